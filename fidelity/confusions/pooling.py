"""Rates under many circumstances, each drawn towards the rate above it as far as it is uncertain.

Arrives: ``Seats``. Leaves: ``CircumstanceRate``s. Start reading at ``rates_under``.

A rate with three chances says little by itself, and the rate of the confusion as a whole says much
where confusions depend little on the circumstance. How much to lean on which is learned from all
confusions of this copyist together: the rates under the values of a circumstance have a beta
distribution around the confusion's rate r, with parameters m r and m (1 - r). The strength m is as
many chances as the rate above counts for; it is unknown, and may differ from confusion to confusion.
Its distribution over a grid is estimated by expectation and maximisation from the beta-binomial
likelihoods of all confusions (empirical Bayes: Efron 2010, Large-Scale Inference, ch. 1, from
memory); r has Jeffreys' prior. Neighbours and words stand at certain places in the word: there the
rate above is that of the places at which a value was met. Each rate is then a mixture of beta
posteriors with parameters k + m r and n - k + m (1 - r), and its limits are those of the beta
distribution with the same mean and variance. Counts and chances are divided by the design effect of
pages that differ.

Whether a value makes a difference is tested without that model: ``difference_tests.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.beta import beta_quantile, log_gamma
from fidelity.confusions.circumstances import WITHIN_PLACES, PairSeats, Seats
from fidelity.confusions.difference_tests import differences
from fidelity.confusions.measure import benjamini_hochberg
from fidelity.confusions.surroundings import Pair
from fidelity.letters import decode
from fidelity.settings import Settings
from fidelity.terms import Circumstance, CircumstanceRate, Tendency

Floats = NDArray[np.float64]

STRENGTHS = 4.0 ** np.arange(8) / 2  # chances the rate above may count for: from half a chance to 8,192
RATES_ABOVE = 9  # points at which the rate above is looked at, evenly in its log-odds ...
REACH = 3.5  # ... and so many standard deviations to either side of the likeliest
AT_ONCE = 500  # values reckoned side by side: a few megabytes
HIGHEST = 1 - 1e-6  # a rate above that a factor has lifted to 1 or beyond
LEAST = 1e-9  # a share below is printed as 0
FITTED = 1e-6  # a step that changes no weight by more is the last
MOST_STEPS = 500  # of the fit, as a stop only


@dataclass(frozen=True)
class _Group:
    """One confusion under the values of one circumstance.

    Attributes:
        pair: the confusion, in letters.
        values: of the circumstance.
        count, chances: of each value.
        effect: by how much pages that differ make each value's chances worth less.
        factor: by how much the rate above differs for each value, since it stands at certain places.
    """

    pair: Pair
    values: tuple[str, ...]
    count: Floats
    chances: Floats
    effect: Floats
    factor: Floats

    @property
    def rate(self) -> float:
        """Give the rate above: over all values."""
        return float(self.count.sum() / self.chances.sum())

    def above(self) -> tuple[Floats, Floats]:
        """Give the rates above that are possible, and the logarithms of their prior weights."""
        share = (self.count.sum() + 0.5) / (self.chances.sum() + 1)
        known = share * (1 - share) * self.chances.sum() / self.effect.max()
        odds = np.log(share / (1 - share)) + np.linspace(-REACH, REACH, RATES_ABOVE) / np.sqrt(known)
        rates = 1 / (1 + np.exp(-odds))
        return rates, (np.log(rates) + np.log1p(-rates)) / 2  # Jeffreys' prior, of the log-odds


def rates_under(
    seats: Mapping[Pair, PairSeats], spread: float, settings: Settings
) -> dict[Pair, list[CircumstanceRate]]:
    """Give every confusion's rate under every value of every circumstance that could matter.

    Args:
        seats: what was counted of each confusion.
        spread: how much pages differ (``intervals.dispersion``), by which the limits are widened.
        settings: false-discovery rate, confidence, words, seed.

    Returns:
        By confusion, in the order of the circumstances; of their values the most frequent first.
    """
    found: dict[Pair, list[CircumstanceRate]] = {pair: [] for pair in seats}
    at_place: dict[Pair, dict[str, float]] = {}
    for kind in Circumstance:  # the place in the word comes first
        above = at_place if kind in WITHIN_PLACES else {}
        groups = [g for pair in seats if (g := _group(pair, seats[pair], kind, spread, above.get(pair)))]
        if not groups:
            continue
        tested = [
            differences(group.pair, group.values, kind, seats[group.pair], settings.seed) for group in groups
        ]
        q_values = iter(benjamini_hochberg([p for each in tested for p, _ in each]))
        for group, weights, each in zip(groups, weights_of(groups), tested, strict=True):
            some = _worth_telling(group, kind, qs := [next(q_values) for _ in each], settings)
            limits = pooled(group, weights, some, settings.confidence)
            if kind is Circumstance.PLACE:
                at_place[group.pair] = dict(zip(group.values, (rate for rate, _, _ in limits), strict=True))
            made = _rates(group, kind, seats[group.pair], some, limits)
            made = [
                _judged(replace(one, p_value=each[at][0], q_value=qs[at]), each[at][1], settings)
                for at, one in zip(some, made, strict=True)
            ]
            found[group.pair] += sorted(made, key=lambda one: (-one.count, -one.chances, one.value))
    return found


def _group(
    pair: Pair, seats: PairSeats, kind: Circumstance, spread: float, at_place: Mapping[str, float] | None
) -> _Group | None:
    """Put together what was counted under one circumstance; None where it has a single value."""
    by = seats.by[kind]
    values = sorted(value for value, chances in by.chances.items() if chances)
    if len(values) < 2 or not sum(by.count.values()):
        return None
    count = np.array([by.count[value] for value in values], dtype=np.float64)
    chances = np.array([by.chances[value] for value in values], dtype=np.float64)
    share = (count.sum() + 0.5) / (chances.sum() + 1)
    effect = 1 + spread * _clustering(seats) * share * (1 - share) * chances  # Kish 1965
    return _Group(pair, tuple(values), count, chances, effect, _factors(values, by, at_place))


def _factors(values: Sequence[str], by: Seats, at_place: Mapping[str, float] | None) -> Floats:
    """Give for each value the rate of the places it stands at over the rate of all places.

    The rates at places are drawn towards the rate of all themselves, so that a place with few chances
    says little, and the place nothing where confusions do not depend on it.
    """
    if not at_place:
        return np.ones(len(values))
    expected = np.zeros(len(values))
    for place, (_, chances) in by.at_place.items():
        expected += at_place[place] * np.array([chances[value] for value in values])
    every = np.array([by.chances[value] for value in values])
    return np.asarray(expected / every * (every.sum() / expected.sum()), dtype=np.float64)


def _clustering(seats: PairSeats) -> float:
    """Give the share of squares of the pages' chances: 1 / the effective number of pages."""
    pages: Counter[tuple[str, ...]] = Counter()
    for (text, (page, script, _)), unit in seats.units.items():  # two languages of one page share its luck
        pages[text, page, script] += unit.chances.total()
    total = pages.total()
    return sum(chances * chances for chances in pages.values()) / total**2 if total else 1.0


def _worth_telling(
    group: _Group, kind: Circumstance, q_values: Sequence[float], settings: Settings
) -> list[int]:
    """Choose the values to be told: all; of words those it happened in, or should have happened in."""
    if kind is not Circumstance.WORD:
        return list(range(len(group.values)))
    low = settings.false_discovery
    return [at for at, q_value in enumerate(q_values) if group.count[at] or q_value <= low]


def weights_of(groups: Sequence[_Group]) -> list[Floats]:
    """Learn how much the rate above counts for, from all confusions together.

    Returns:
        For each confusion the weights of shape (rates above, strengths), summing to 1.
    """
    logs = [_log_likelihoods(group) for group in groups]
    likelihood = [np.exp(each - each.max()) for each in logs]
    marginal = np.array([each.sum(axis=0) for each in likelihood])
    weights = np.full(len(STRENGTHS), 1 / len(STRENGTHS))
    for _ in range(MOST_STEPS):
        shares = marginal * weights
        shares /= shares.sum(axis=1, keepdims=True)
        new = (shares.sum(axis=0) + 1 / len(STRENGTHS)) / (len(groups) + 1)  # as by one more confusion
        settled = bool(np.abs(new - weights).max() < FITTED)
        weights = new
        if settled:
            break
    return [each * weights / (each * weights).sum() for each in likelihood]


def _log_likelihoods(group: _Group) -> Floats:
    """Give log prior and likelihood of each rate above and strength, shape (rates above, strengths).

    Beta-binomial; the binomial coefficients, the same everywhere, are left out.
    """
    rates, prior = group.above()
    numbers = [group.count / group.effect, group.chances / group.effect, group.factor]
    seen, times = np.unique(np.stack(numbers), axis=1, return_counts=True)
    total = np.repeat(prior[:, None], len(STRENGTHS), axis=1)
    for start in range(0, seen.shape[1], AT_ONCE):
        k, n, factor = seen[:, start : start + AT_ONCE, None, None]
        a, b = _prior(rates, factor)
        logs = _log_beta(a + k, b + n - k) - _log_beta(a, b)
        total += np.tensordot(times[start : start + AT_ONCE], logs, axes=1)
    return total


def _prior(rates: Floats, factor: Floats) -> tuple[Floats, Floats]:
    """Give the beta parameters of each value, rate above and strength.

    Args:
        rates: of shape (rates above,).
        factor: of shape (values, 1, 1).

    Returns:
        Two arrays of shape (values, rates above, strengths).
    """
    here = np.minimum(rates[None, :, None] * factor, HIGHEST)
    return here * STRENGTHS, (1 - here) * STRENGTHS


def _log_beta(a: Floats, b: Floats) -> Floats:
    return log_gamma(a) + log_gamma(b) - log_gamma(a + b)


def pooled(
    group: _Group, weights: Floats, some: Sequence[int], confidence: float
) -> list[tuple[float, float, float]]:
    """Give rate and limits of some values: the mixture of beta posteriors, and a beta in its place.

    Args:
        group: counts and chances.
        weights: of rates above and strengths, as ``weights_of`` gives them.
        some: which values.
        confidence: of the limits.

    Returns:
        Rate, lower and upper limit, shares 0-1, of each value chosen.
    """
    rates, _ = group.above()
    tail = (1 - confidence) / 2
    known: dict[tuple[float, float, float], tuple[float, float, float]] = {}  # many values are alike
    found = []
    for at in some:
        k, n, factor = (float(each[at]) for each in (group.count, group.chances, group.factor))
        if (k, n, factor) not in known:
            effect = float(group.effect[at])
            a, b = (each[0] for each in _prior(rates, np.full((1, 1, 1), factor)))
            known[k, n, factor] = _mixture(a + k / effect, b + (n - k) / effect, weights, tail)
        found.append(known[k, n, factor])
    return found


def _mixture(a: Floats, b: Floats, weights: Floats, tail: float) -> tuple[float, float, float]:
    """Give mean and limits of a mixture of beta distributions, by the beta of the same mean and variance."""
    size = a + b
    means = a / size
    mean = float((weights * means).sum())
    square = float((weights * means * (a + 1) / (size + 1)).sum())
    strength = mean * (1 - mean) / max(square - mean * mean, 1e-15) - 1
    sides = mean * strength, (1 - mean) * strength
    low, high = (beta_quantile(*sides, share) for share in (tail, 1 - tail))
    return mean, min(low, mean) if low > LEAST else 0.0, max(high, mean)


def _rates(
    group: _Group,
    kind: Circumstance,
    seats: PairSeats,
    some: Sequence[int],
    limits: Sequence[tuple[float, float, float]],
) -> list[CircumstanceRate]:
    """Put together the records of some values of one circumstance, as yet without their tests."""
    original, copy = map(decode, group.pair)
    return [
        CircumstanceRate(
            original=original,
            copy=copy,
            circumstance=kind,
            value=decode(group.values[at]),
            count=int(group.count[at]),
            chances=int(group.chances[at]),
            words=len(seats.by[kind].words[group.values[at]]),
            rate=rate,
            low=low,
            high=high,
        )
        for at, (rate, low, high) in zip(some, limits, strict=True)
    ]


def _judged(made: CircumstanceRate, more: bool, settings: Settings) -> CircumstanceRate:
    """Say whether a rate stands out; in how many words it must be seen is the same as for a habit."""
    if made.q_value > settings.false_discovery:
        return made
    if not more:
        return replace(made, tendency=Tendency.LESS)
    seen = made.count if made.circumstance is Circumstance.WORD else made.words
    return replace(made, tendency=Tendency.MORE) if seen >= settings.systematic_words else made
