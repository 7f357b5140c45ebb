"""What the blind test says of a kind of proposal of which it tried few.

Arrives: the proposals tried that were believed about as much, of all kinds and of this one. Leaves: the
interval of the share of this kind that is right. Start reading at ``of_its_kind``.

Kinds fare unlike: of one copyist's habits all may be right of which .8 is said, and of his capitals none. The
rest are asked for want of better; how unlike kinds are, and what little was tried of this one, both count.
"""

from __future__ import annotations

import math

import numpy as np

from fidelity.confusions.beta import normal_quantile

# Standard deviation in log odds, before anything is seen (chosen): blind on the learning halves of two real
# copies kinds with a hundred proposals or more differed by .2 to .6 from what was said of them, on the long
# demo by more (of its habits 113 of 113 were right where .79 was said, of its capital letters none of 25).
KINDS_APART = 0.5
FARTHEST, STEP = 14.0, 0.02  # log odds tried: beyond them nothing is told apart


def of_its_kind(
    limits: tuple[float, float], right: int, tried: int, apart: float, confidence: float
) -> tuple[float, float, float]:
    """Give the share of a kind that is right, with its interval.

    The log odds of the kind are taken as normal around what all kinds show, with the variance of that and of
    kinds; what was tried of the kind itself makes of it the posterior.

    Args:
        limits: interval of the share of all kinds, 0-1.
        right, tried: of this kind, right ones and all.
        apart: by how much kinds differ, standard deviation in log odds.
        confidence: of both intervals, 0-1.

    Returns:
        Low, middle (the median) and high, 0-1.

    >>> [round(one, 2) for one in of_its_kind((0.93, 0.99), 0, 4, 0.5, 0.95)]
    [0.65, 0.86, 0.96]
    """
    z = normal_quantile((1 + confidence) / 2)
    low, high = (_log_odds(one) for one in limits)
    middle, unsure = (low + high) / 2, (high - low) / 2 / z
    at = np.arange(-FARTHEST, FARTHEST, STEP)
    log = -0.5 * (at - middle) ** 2 / (unsure**2 + apart**2)
    log += right * -np.logaddexp(0, -at) + (tried - right) * -np.logaddexp(0, at)
    below = np.cumsum(np.exp(log - log.max()))
    found = [at[np.searchsorted(below, share * below[-1])] for share in ((1 - confidence) / 2, 0.5)]
    top = at[min(int(np.searchsorted(below, (1 + confidence) / 2 * below[-1])), len(at) - 1)]
    first, half, last = (float(1 / (1 + math.exp(-one))) for one in (*found, top))
    return first, half, last


def _log_odds(share: float) -> float:
    """Give log odds; of a limit that is 0 or 1 those of one in a thousand."""
    share = min(max(share, 1e-3), 1 - 1e-3)
    return math.log(share / (1 - share))
