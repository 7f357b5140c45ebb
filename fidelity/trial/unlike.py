"""How far texts, and kinds of error, differ in how often a proposal is right of which the same is said.

Arrives: the proposals of the blind test. Leaves: a standard deviation in log odds, and with it the range of
shares that a text must be expected to show. Start reading at ``text_spread``.

An interval says how well the average over the survivors is known. A lost text is none of them: his habits may
have changed by then, or his exemplar's spelling, and nothing in the copy need show it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from fidelity.confusions.beta import normal_quantile
from fidelity.terms import TrialReading

# Before any survivor is seen, and how many survivors outweigh it. By so much, beyond chance, did the lost
# texts of eight simulated copyists differ from what was said of them (.47 without reference text, 0 with it),
# the halves of the learning half of a real copy (.15), those of another (.05): the root of the mean square.
EXPECTED_SPREAD, AS_MANY = 0.25, 3.0


def text_spread(readings: Sequence[TrialReading]) -> float:
    """Give by how much texts differ, standard deviation in log odds.

    Survivors are compared; a single one cannot tell how unlike another text is, however its pages differ,
    and ``EXPECTED_SPREAD`` stands.

    Args:
        readings: of the blind test.
    """
    return spread_between(readings, [one.survivor for one in readings], EXPECTED_SPREAD)


def spread_between(readings: Sequence[TrialReading], groups: Sequence[str], expected: float) -> float:
    """Give by how much groups of proposals differ, standard deviation in log odds.

    Where p was said of each proposal, those of a group that are right differ from the sum of p by a variance
    of v = sum of p (1 - p) by chance, and by v squared times that of its log odds beyond chance (to the first
    order in it). What all groups have in common is taken out; the moments then give the variance (as
    DerSimonian & Laird 1986, Controlled Clinical Trials 7, 177-188, do with other weights). Few groups, or
    few proposals in each, tell this badly: by the precision of either, what is found is drawn towards what
    is expected.

    Args:
        readings: of the blind test.
        groups: the group of each.
        expected: before anything is seen.
    """
    _, number = np.unique(np.array(groups, dtype=str), return_inverse=True)
    said = np.array([one.probability for one in readings], dtype=float)
    right = np.array([one.right for one in readings], dtype=float)
    gained, chance = (np.bincount(number, what) for what in (right - said, said * (1 - said)))
    total, squares = float(chance.sum()), float((chance**2).sum())
    if len(chance) < 2 or not squares:
        return expected
    beyond = gained - chance * gained.sum() / total
    weight = squares - 2 * float((chance**3).sum()) / total + squares**2 / total**2
    variance = (float((beyond**2).sum()) - (total - squares / total)) / weight
    before = expected**2
    unsure = float((2 * (chance + before * chance**2) ** 2 + chance).sum()) / weight**2
    own = 1 / (1 + unsure * AS_MANY / (2 * before**2))
    return math.sqrt(max(own * variance + (1 - own) * before, 0.0))


def of_a_text(
    share: float, limits: tuple[float, float], spread: float, confidence: float
) -> tuple[float, float]:
    """Give the range of shares to be expected of one more text.

    Args:
        share: of the proposals of the blind test that were right, 0-1.
        limits: interval of that share over all texts, 0-1.
        spread: by how much texts differ, standard deviation in log odds.
        confidence: of both, 0-1.

    Returns:
        Low and high, 0-1: on the scale of the log odds the two uncertainties add up by their squares.

    >>> low, high = of_a_text(0.33, (0.3, 0.36), 0.2, 0.95)
    >>> round(low, 2), round(high, 2)
    (0.25, 0.43)
    """
    middle = _log_odds(share)
    apart = spread * normal_quantile((1 + confidence) / 2)
    low, high = (math.hypot(_log_odds(limit) - middle, apart) for limit in limits)
    return (
        1 / (1 + math.exp(low - middle)) if limits[0] > 0 else 0.0,
        1 / (1 + math.exp(-high - middle)) if limits[1] < 1 else 1.0,
    )


def _log_odds(share: float) -> float:
    share = min(max(share, 1e-12), 1 - 1e-12)
    return math.log(share / (1 - share))
