"""Tests of whether errors depend on the order of the pages.

Arrives: errors and chances of pages (or lines) in their order. Leaves: the statistic of each test and
its p-value. Start reading at ``trend_test``.

A page that was hard to read has many errors together, so the textbook p-value of a trend, which takes
every letter for a toss of its own, raises false alarms. Here the statistic is the textbook one, but its
p-value comes from permuting pages as wholes: under chance any order of the pages is as good as another,
however much the pages differ (Good 2005, Permutation, Parametric and Bootstrap Tests, 3rd ed., ch. 3;
from memory).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Draw = Callable[[int], Floats]  # so many values of the statistic, were chance alone at work

MOST_DRAWS = 9_999  # permutations: the smallest p is then 1 in 10,000
ENOUGH = 20  # draws as extreme as what was seen, after which no more are made (Besag & Clifford use 10-20)
FIRST_BATCH, LARGEST_BATCH = 64, 2_000_000  # draws of the first round; pages x draws of any round
ALIKE = 1e-9  # two values of a statistic that differ by a smaller share are the same sum, added up otherwise
NONE = 1e-300  # stands for a share of 0, whose logarithm is multiplied by 0 errors
SHARE_OF_AN_END = 0.1  # of the pages: a change nearer to an end rests on too few of them


@dataclass(frozen=True)
class Series:
    """Errors and chances in their order, in groups each of which begins anew.

    Attributes:
        errors, chances: of each page (or line).
        at: its number in the group, in the order that is tested.
        group: which group it belongs to, ascending from 0; one survivor, one page, one leaf, ...
    """

    errors: Floats
    chances: Floats
    at: Floats
    group: NDArray[np.intp]

    def residuals(self) -> Floats:
        """Give how many errors more than its group's rate gives each page has."""
        return np.asarray(self.errors - self.chances * self._rates()[self.group])

    def variance(self) -> float:
        """Give the variance of the sum of at x residual, were every chance a toss of its own."""
        n, nt, ntt = (np.bincount(self.group, self.chances * self.at**power) for power in (0, 1, 2))
        rates = self._rates() * n / np.maximum(n - 1, 1)
        return float((rates * (1 - self._rates()) * (ntt - nt**2 / np.maximum(n, 1))).sum())

    def _rates(self) -> Floats:
        errors, chances = np.bincount(self.group, self.errors), np.bincount(self.group, self.chances)
        return np.asarray(errors / np.maximum(chances, 1))


def cochran_armitage(series: Series) -> float:
    """Give the z of the Cochran-Armitage test for a trend, groups taken together.

    z = sum of t (x - n r) / sqrt(V), where V sums over the groups
    N / (N - 1) r (1 - r) (sum n t^2 - (sum n t)^2 / N), with x errors in n chances at place t, N chances and
    the rate r in the group (Cochran 1954, Biometrics 10:417-451; Armitage 1955, Biometrics 11:375-386; for
    groups, with N - 1, Mantel 1963, JASA 58:690-700; all from memory).

    Returns:
        Above 0 where there are more errors later; 0 where nothing can be said.

    >>> one = np.zeros(3, dtype=np.intp)
    >>> round(cochran_armitage(Series(np.array([1.0, 2, 3]), np.full(3, 10.0), np.arange(3.0), one)), 3)
    1.099
    """
    variance = series.variance()
    return float(series.at @ series.residuals()) / variance**0.5 if variance > 0 else 0.0


def trend_test(series: Series, rng: np.random.Generator, most: int = MOST_DRAWS) -> float:
    """Give the p-value of a trend, two-sided, pages permuted as wholes within their groups."""
    residuals = series.residuals()

    def draw(number: int) -> Floats:
        return np.asarray(np.abs(residuals[_orders(series.group, number, rng)] @ series.at))

    return permutation_p(abs(float(series.at @ residuals)), draw, len(residuals), most)


def mirror_test(series: Series, rng: np.random.Generator, most: int = MOST_DRAWS) -> float:
    """Give the p-value of a trend within groups, two-sided, each group turned round or not.

    Under chance a page's errors might as well stand from the foot upward. Turning whole groups leaves
    together what stands together within them.
    """
    weighted = np.bincount(series.group, _centred(series) * series.residuals())
    weighted = weighted[weighted != 0]

    def draw(number: int) -> Floats:
        signs = rng.integers(0, 2, (number, len(weighted))) * 2.0 - 1
        return np.asarray(np.abs(signs @ weighted))

    return permutation_p(abs(float(weighted.sum())), draw, max(len(weighted), 1), most)


def _centred(series: Series) -> Floats:
    """Give the places counted from the middle of the group's chances."""
    n = np.maximum(np.bincount(series.group, series.chances), 1)
    middle = np.bincount(series.group, series.chances * series.at) / n
    return np.asarray(series.at - middle[series.group])


def _orders(group: NDArray[np.intp], number: int, rng: np.random.Generator) -> NDArray[np.intp]:
    """Give so many orders of the pages, at random within their groups."""
    return np.argsort(group + rng.random((number, len(group))), axis=1)


def change_point(errors: Floats, chances: Floats) -> tuple[float, int]:
    """Find the page from which on the rate is another.

    The greatest likelihood ratio, 2 (log L of two rates - log L of one), over all places of the change
    (Hinkley & Hinkley 1970, Biometrika 57:477-488, from memory), a tenth of the pages or two left at
    either end.

    Returns:
        The likelihood ratio, and the number of pages before the change.
    """
    ratios = _ratios(errors[None, :], chances[None, :])[0]
    best = int(ratios.argmax())
    return float(ratios[best]), best + _end(len(errors))


def change_test(errors: Floats, chances: Floats, rng: np.random.Generator, most: int = MOST_DRAWS) -> float:
    """Give the p-value of the likelihood ratio of ``change_point``, pages permuted as wholes."""
    group = np.zeros(len(errors), dtype=np.intp)

    def draw(number: int) -> Floats:
        orders = _orders(group, number, rng)
        return np.asarray(_ratios(errors[orders], chances[orders]).max(axis=1))

    return permutation_p(change_point(errors, chances)[0], draw, len(errors), most)


def _end(pages: int) -> int:
    return max(2, int(SHARE_OF_AN_END * pages))


def _ratios(errors: Floats, chances: Floats) -> Floats:
    """Give the likelihood ratio of a change after each page, row by row."""
    end = _end(errors.shape[1])
    cut = slice(end - 1, errors.shape[1] - end)
    before, chances_before = errors.cumsum(axis=1), chances.cumsum(axis=1)
    x, n = before[:, -1:], chances_before[:, -1:]
    x1, n1 = before[:, cut], chances_before[:, cut]
    gain = _log_likelihood(x1, n1) + _log_likelihood(x - x1, n - n1) - _log_likelihood(x, n)
    return np.asarray(2 * gain)


def _log_likelihood(errors: Floats, chances: Floats) -> Floats:
    """Give the log-likelihood of errors at their own rate, without what depends on no rate."""
    share = errors / np.maximum(chances, 1)
    right = chances - errors
    return np.asarray(errors * np.log(np.maximum(share, NONE)) + right * np.log(np.maximum(1 - share, NONE)))


def permutation_p(seen: float, draw: Draw, units: int, most: int = MOST_DRAWS) -> float:
    """Give the probability of a value as great as what was seen, by draws, stopped once it is plain.

    Besag & Clifford 1991, Biometrika 78:301-304 (from memory): after h draws as great as what was seen,
    in l altogether, p = h / l; otherwise p = (1 + those as great) / (1 + all draws). Both keep the level.

    Args:
        seen: the value of the statistic.
        draw: gives values of it under chance.
        units: pages put in order; says how many draws fit into memory.
        most: draws at most.
    """
    least = seen - ALIKE * max(abs(seen), 1e-12)
    great = made = 0
    batch = FIRST_BATCH
    while made < most:
        drawn = draw(min(batch, most - made)) >= least
        so_far = great + np.cumsum(drawn)
        if so_far[-1] >= ENOUGH:
            return ENOUGH / (made + int(np.searchsorted(so_far, ENOUGH)) + 1)
        great, made = int(so_far[-1]), made + len(drawn)
        batch = min(2 * batch, max(LARGEST_BATCH // units, FIRST_BATCH))
    return (great + 1) / (made + 1)
