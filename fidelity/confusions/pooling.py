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

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.beta import beta_quantiles, log_gamma
from fidelity.confusions.circumstances import WITHIN_PLACES, PairSeats
from fidelity.confusions.difference_tests import differences
from fidelity.confusions.groups import Group, clustering, group_of
from fidelity.confusions.measure import benjamini_hochberg
from fidelity.confusions.surroundings import Pair
from fidelity.letters import decode
from fidelity.settings import Settings
from fidelity.terms import Circumstance, CircumstanceRate, Tendency

Floats = NDArray[np.float64]

STRENGTHS = 4.0 ** np.arange(8) / 2  # chances the rate above may count for: from half a chance to 8,192
AT_ONCE = 500  # values reckoned side by side: a few megabytes
HIGHEST = 1 - 1e-6  # a rate above that a factor has lifted to 1 or beyond
LEAST = 1e-9  # a share below is printed as 0
MOST_WORDS = 30  # of one confusion are told with their rates; a thousand of one event each say nothing
FITTED = 1e-6  # a step that changes no weight by more is the last
MOST_STEPS = 500  # of the fit, as a stop only


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
    clustered = {pair: spread * clustering(each) for pair, each in seats.items()}
    words = {pair: sum(map(bool, each.by[Circumstance.WORD].count.values())) for pair, each in seats.items()}
    for kind in Circumstance:  # the place in the word comes first
        above = at_place if kind in WITHIN_PLACES else {}
        groups = [
            group
            for pair in seats
            if (group := group_of(pair, seats[pair].by[kind], above.get(pair), clustered[pair]))
        ]
        if not groups:
            continue
        tested = [differences(group.values, kind, seats[group.pair], settings.seed) for group in groups]
        q_values = iter(benjamini_hochberg([p for each in tested for p, _ in each]))
        qs = [[next(q_values) for _ in each] for each in tested]
        chosen = [_worth_telling(group, kind, each, settings) for group, each in zip(groups, qs, strict=True)]
        limits = pooled(groups, weights_of(groups), chosen, settings.confidence)
        for at, group in enumerate(groups):
            if kind is Circumstance.PLACE:
                rates = (rate for rate, _, _ in limits[at])
                at_place[group.pair] = dict(zip(group.values, rates, strict=True))
            made = _rates(group, kind, seats[group.pair], chosen[at], limits[at])
            made = [
                _judged(
                    replace(one, p_value=tested[at][value][0], q_value=qs[at][value]),
                    tested[at][value][1],
                    words[group.pair],
                    settings,
                )
                for value, one in zip(chosen[at], made, strict=True)
            ]
            found[group.pair] += sorted(made, key=lambda one: (-one.count, -one.chances, one.value))
    return found


def _worth_telling(
    group: Group, kind: Circumstance, q_values: Sequence[float], settings: Settings
) -> list[int]:
    """Choose the values to be told: all; of words those it happened in most, and those that stand out."""
    if kind is not Circumstance.WORD:
        return list(range(len(group.values)))
    often = np.argsort(-group.count, kind="stable")[:MOST_WORDS].tolist()
    found = {at for at in often if group.count[at]}
    return sorted(found.union(at for at, q in enumerate(q_values) if q <= settings.false_discovery))


def weights_of(groups: Sequence[Group]) -> list[Floats]:
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


def _log_likelihoods(group: Group) -> Floats:
    """Give log prior and likelihood of each rate above and strength, shape (rates above, strengths).

    Beta-binomial; the binomial coefficients, the same everywhere, are left out.
    """
    rates, prior = group.above()
    numbers = [group.count / group.effect, group.chances / group.effect, group.factor]
    seen, times = np.unique(np.stack(numbers), axis=1, return_counts=True)
    total = np.repeat(prior[:, None], len(STRENGTHS), axis=1)
    for start in range(0, seen.shape[1], AT_ONCE):
        k, n, factor = seen[:, start : start + AT_ONCE, None, None]
        factors, which = np.unique(
            factor, return_inverse=True
        )  # few: most words have the letters at one place
        a, b = _prior(rates, factors[:, None, None])
        which, before = which.ravel(), _log_beta(a, b)
        logs = _log_beta(a[which] + k, b[which] + n - k) - before[which]
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
    groups: Sequence[Group], weights: Sequence[Floats], chosen: Sequence[Sequence[int]], confidence: float
) -> list[list[tuple[float, float, float]]]:
    """Give rate and limits of some values: the mixture of beta posteriors, and a beta in its place.

    Args:
        groups: counts and chances.
        weights: of each the rates above and strengths, as ``weights_of`` gives them.
        chosen: of each which values.
        confidence: of the limits.

    Returns:
        For each group rate, lower and upper limit, shares 0-1, of each value chosen.
    """
    means, strengths = (
        np.concatenate([each[at] for each in map(_mixtures, groups, weights, chosen)]) for at in (0, 1)
    )
    tail = (1 - confidence) / 2
    alike, which = np.unique(np.stack([means, strengths]), axis=1, return_inverse=True)  # many values are
    sides = alike[0] * alike[1], (1 - alike[0]) * alike[1]
    low, high = (beta_quantiles(*sides, share)[which.ravel()] for share in (tail, 1 - tail))
    low = np.where(low > LEAST, np.minimum(low, means), 0.0)
    limits = zip(means.tolist(), low.tolist(), np.maximum(high, means).tolist(), strict=True)
    return [list(islice(limits, len(some))) for some in chosen]


def _mixtures(group: Group, weights: Floats, some: Sequence[int]) -> tuple[Floats, Floats]:
    """Give mean and strength of the beta of the same mean and variance as the mixture, value by value."""
    at = np.array(some, dtype=np.intp)
    k, n, factor, effect = (
        each[at, None, None] for each in (group.count, group.chances, group.factor, group.effect)
    )
    a, b = _prior(group.above()[0], factor)
    a, b = a + k / effect, b + (n - k) / effect
    size = a + b
    mean = (weights * (a / size)).sum(axis=(1, 2))
    square = (weights * (a / size) * (a + 1) / (size + 1)).sum(axis=(1, 2))
    return mean, mean * (1 - mean) / np.maximum(square - mean * mean, 1e-15) - 1


def _rates(
    group: Group,
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


def _judged(made: CircumstanceRate, more: bool, words: int, settings: Settings) -> CircumstanceRate:
    """Say whether a rate stands out; in how many words it must be seen is the same as for a habit.

    Of a confusion that is seen in too few words at all no more can be said than in which.
    """
    of_word = made.circumstance is Circumstance.WORD
    if made.q_value > settings.false_discovery or (0 < words < settings.systematic_words and not of_word):
        return made
    if not more:
        return replace(made, tendency=Tendency.LESS)
    seen = made.count if of_word else made.words
    return replace(made, tendency=Tendency.MORE) if seen >= settings.systematic_words else made
