"""How far each longer context is followed: concentrations, fitted on what is left out.

Arrives: the letters of the survivors with the context of each as nodes of a tree. Leaves: for every level of
context two concentrations. Start reading at ``fitted``.

At each context the share of letters that stand for something else is drawn towards that of the next shorter
context, and so is the share of each other letter among these (a beta and a Dirichlet distribution around the
shorter context: MacKay & Peto 1995, Natural Language Engineering 1, 289-308). A concentration says how many
letters the shorter context is worth. It is what makes ten blocks of the text, each left out in turn, most
probable: where a copyist's errors hang on the words he writes, longer contexts are followed; where they are
slips of the eye that may come anywhere, hardly at all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

BLOCKS = 10  # as in the blind test
MOST_LETTERS = 40_000  # that are predicted to fit two times nine numbers; more change nothing
LEAST_LOG, MOST_LOG = -6.0, 12.0  # of a concentration: from "follow it" to "do not look"
PRIOR_MEAN, PRIOR_DEVIATION = 1.0, 2.0  # of its logarithm, where hardly anything is known: about 3
LEAST_SHARE = 1e-12


@dataclass(frozen=True)
class Concentrations:
    """How many letters the next shorter context is worth, level by level.

    Attributes:
        wrong: for the share of letters that stand for something else.
        which: for what these stand for.
        at_all: the share of such letters over all, 0-1.
    """

    wrong: Floats
    which: Floats
    at_all: float


def fitted(nodes: Sequence[Numbers], tags: Numbers, wrong: NDArray[np.bool_], kinds: int) -> Concentrations:
    """Fit the concentrations.

    Args:
        nodes: for each level the node of every letter's context.
        tags: number of each letter's tag.
        wrong: whether it is not the letter itself.
        kinds: how many different tags there are.
    """
    size = len(tags)
    block = np.arange(size) * BLOCKS // max(size, 1)
    looked_at = np.arange(0, size, max(size // MOST_LETTERS, 1))
    others = np.flatnonzero(wrong)
    all_of, wrong_of, same_of = [], [], []
    for node in nodes:
        all_of.append(_elsewhere(node, block, None)[looked_at])
        counted = _elsewhere(node, block, wrong)
        wrong_of.append(counted)
        same_of.append(_elsewhere(node * kinds + tags, block, None)[others])
    at_all = (float(wrong.sum()) + 0.5) / (size + 1.0)
    among = np.array([counted[others] for counted in wrong_of])
    counted = np.array([counted[looked_at] for counted in wrong_of])
    return Concentrations(
        _most_probable(counted, np.array(all_of), at_all, wrong[looked_at]),
        _most_probable(np.array(same_of), among, 1.0 / kinds, np.ones(len(others), dtype=bool)),
        at_all,
    )


def _elsewhere(keys: Numbers, block: Numbers, which: NDArray[np.bool_] | None) -> Floats:
    """Count for each letter the others with the same key, those of its own block left out."""
    _, key = np.unique(keys, return_inverse=True)
    _, own = np.unique(key * BLOCKS + block, return_inverse=True)
    weights = None if which is None else which.astype(np.float64)
    everywhere, here = np.bincount(key, weights)[key], np.bincount(own, weights)[own]
    return np.asarray(everywhere - here, dtype=np.float64)


def _most_probable(counts: Floats, totals: Floats, start: float, happened: NDArray[np.bool_]) -> Floats:
    """Give the concentrations that make what happened most probable.

    Args:
        counts, totals: level x letter, from what is left when the letter's block is out.
        start: share with no context at all.
        happened: for each letter.
    """
    from scipy.optimize import minimize  # slow to import, and many commands never need it

    levels = len(counts)
    found = minimize(
        _surprise,
        np.full(levels, PRIOR_MEAN),
        args=(counts, totals, start, happened),
        jac=True,
        method="L-BFGS-B",
        bounds=[(LEAST_LOG, MOST_LOG)] * levels,
    )
    return np.exp(np.asarray(found.x, dtype=np.float64))


def _surprise(
    logs: Floats, counts: Floats, totals: Floats, start: float, happened: NDArray[np.bool_]
) -> tuple[float, Floats]:
    """Give -log of the probability of what happened, the prior with it, and its slopes."""
    concentrations = np.exp(logs)
    shares = [np.full(counts.shape[1], start)]
    for level, concentration in enumerate(concentrations):
        shares.append((counts[level] + concentration * shares[-1]) / (totals[level] + concentration))
    p = np.maximum(np.where(happened, shares[-1], 1 - shares[-1]), LEAST_SHARE)
    prior = (logs - PRIOR_MEAN) / PRIOR_DEVIATION
    slope = np.where(happened, 1.0, -1.0) / p
    slopes = np.zeros(len(logs))
    for level in range(len(logs) - 1, -1, -1):
        concentration = concentrations[level]
        weight = totals[level] + concentration
        slopes[level] = concentration * float((slope * (shares[level] - shares[level + 1]) / weight).sum())
        slope = slope * concentration / weight
    return float(-np.log(p).sum() + (prior**2).sum() / 2), -slopes + prior / PRIOR_DEVIATION


def discounts(counts: Iterable[int]) -> tuple[float, float, float]:
    """Give the discounts for what was seen once, twice, and more often.

    D1 = 1 - 2Y n2/n1, D2 = 2 - 3Y n3/n2, D3 = 3 - 4Y n4/n3 with Y = n1 / (n1 + 2 n2) (Chen &
    Goodman 1999, eq. 17, after Ney, Essen & Kneser 1994); 0.5, 1 and 1.5 where the counts of
    counts do not give them. Discounts stay between 0.1 and 0.95 of their count.
    """
    of = Counter(min(count, 5) for count in counts)
    if not of[1] or not of[2]:
        return 0.5, 1.0, 1.5
    y = of[1] / (of[1] + 2 * of[2])
    raw = [k - (k + 1) * y * (of[k + 1] / of[k]) if of[k] else k / 2 for k in (1, 2, 3)]
    first, second, third = (min(max(d, 0.1), 0.95 * k) for k, d in enumerate(raw, start=1))
    return first, second, third
