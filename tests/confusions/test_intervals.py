"""Intervals against published tables, another library, and simulated copies."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.proportion import proportion_confint

from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.intervals import (
    CLUSTERED,
    JEFFREYS,
    clopper_pearson,
    clustered,
    dispersion,
    jeffreys,
    page_chances,
    rule_of_three,
    wilson,
    wilson_continuity,
)
from fidelity.errors import UsageError

# Newcombe 1998, Statistics in Medicine 17:857-872, Table I, 95 %: methods 3, 4 and 5. The last row is
# derived by the same formulae, as is the whole last column (Jeffreys is not among his methods).
NEWCOMBE = [
    (81, 263, (0.2553, 0.3662), (0.2535, 0.3682), (0.2527, 0.3676), (0.2545, 0.3656)),
    (15, 148, (0.0624, 0.1605), (0.0598, 0.1644), (0.0578, 0.1617), (0.0604, 0.1576)),
    (0, 20, (0.0000, 0.1611), (0.0000, 0.2005), (0.0000, 0.1684), (0.0000, 0.1166)),
    (1, 29, (0.0061, 0.1718), (0.0018, 0.1963), (0.0009, 0.1776), (0.0037, 0.1501)),
    (29, 29, (0.8830, 1.0000), (0.8544, 1.0000), (0.8806, 1.0000), (0.9177, 1.0000)),
]
METHODS = [wilson, wilson_continuity, clopper_pearson, jeffreys]
LETTERS = "abcdef"


@pytest.mark.parametrize("row", NEWCOMBE, ids=lambda row: f"{row[0]} of {row[1]}")
def test_published_intervals(row: tuple[Any, ...]) -> None:
    """Each named method gives the limits that Newcombe 1998 prints for it."""
    k, n, *limits = row
    for method, printed in zip(METHODS, limits, strict=True):
        assert method(k, n) == pytest.approx(printed, abs=5.1e-5), method.__name__


@given(st.integers(1, 500), st.floats(0, 1), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_another_library_agrees(n: int, share: float, confidence: float) -> None:
    """Wilson, Clopper-Pearson and Jeffreys agree with statsmodels, the ends of Jeffreys excepted."""
    k = round(n * share)
    for method, name in ((wilson, "wilson"), (clopper_pearson, "beta"), (jeffreys, "jeffreys")):
        low, high = proportion_confint(k, n, alpha=1 - confidence, method=name)
        low, high = (0.0 if k == 0 else low), (1.0 if k == n else high)  # the convention of jeffreys()
        assert method(k, n, confidence) == pytest.approx((low, high), abs=1e-9)


def test_beta_posterior() -> None:
    """437 girls of 980 births: the posterior Beta(438, 544) has the middle 95 % at .4151-.4772.

    Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 2 (placenta praevia, uniform prior); half
    an event less on each side turns the uniform prior into Jeffreys'.
    """
    assert jeffreys(437.5, 981) == pytest.approx((0.4151, 0.4772), abs=5.1e-5)


def test_rule_of_three() -> None:
    """No event in n chances leaves a rate of about 3/n open (Hanley & Lippman-Hand 1983).

    0 of 300 and 0 of 1,500 are the figures of BMJ Quality & Safety 22:1042; 0 of 14 is exact.
    """
    assert rule_of_three(14) == pytest.approx(0.1926, abs=5.1e-5)
    assert rule_of_three(300) == pytest.approx(1 / 100, rel=0.01)
    assert rule_of_three(1500) == pytest.approx(1 / 500, rel=0.01)
    assert rule_of_three(0) == 1.0


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_limits_hold_the_rate(events: tuple[int, int]) -> None:
    """Every interval holds the rate, lies in 0-1, and grows with the confidence."""
    k, n = events
    for method in METHODS:
        low, high = method(k, n)
        wider = method(k, n, 0.99)
        assert 0 <= wider[0] <= low <= k / n <= high <= wider[1] <= 1


pages = st.lists(st.integers(0, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=1)


@given(pages, st.none() | st.floats(0, 5))
def test_clustered_limits_hold_the_rate(by_page: list[tuple[int, int]], pooled: float | None) -> None:
    """The clustered interval holds the rate on any pages, and its method is named."""
    counts = {str(page): count for page, (count, _) in enumerate(by_page)}
    chances = {str(page): chance for page, (_, chance) in enumerate(by_page)}
    low, high, method = clustered(counts, chances, 0.95, pooled)
    total = sum(chances.values())
    assert 0 <= low <= (sum(counts.values()) / total if total else 0.5) <= high <= 1
    assert method == (CLUSTERED if sum(map(bool, chances.values())) > 1 else JEFFREYS)


def test_one_page_is_plain_jeffreys() -> None:
    """With one page nothing is known of the difference between pages, and the method says so."""
    assert clustered({"1r": 15}, {"1r": 148}) == (*jeffreys(15, 148), JEFFREYS)


def test_concentrated_errors_widen_the_interval() -> None:
    """The same count in the same chances is less certain when it all stands on one page."""
    chances = {str(page): 50 for page in range(20)}
    spread = clustered({str(page): 1 for page in range(20)}, chances)
    heaped = clustered({"3": 20}, chances)
    assert heaped.high - heaped.low > 1.5 * (spread.high - spread.low)


@pytest.mark.parametrize("given_", [(3, 2, 0.95), (-1, 2, 0.95), (1, 2, 0.0), (1, 2, 95.0)])
def test_no_share_is_refused(given_: tuple[int, int, float]) -> None:
    """More events than chances, or a confidence in percent, is a usage error, not a number."""
    for method in METHODS:
        with pytest.raises(UsageError):
            method(*given_)
    with pytest.raises(UsageError):
        clustered({"1r": given_[0]}, {"1r": given_[1]}, given_[2])


def simulated(rng: np.random.Generator, spread: float, rates: list[float]) -> AnswerCounts:
    """Draw the answers of one copy: six confusions, 20-60 pages, 300-3,000 chances each."""
    page_count = int(rng.integers(20, 61))
    factors = rng.choice([2 / (1 + spread), 2 * spread / (1 + spread)], page_count)
    answers, chances = {}, {}
    for letter, rate in zip(LETTERS, rates, strict=True):
        by_page = rng.multinomial(rng.integers(300, 3001), rng.dirichlet(np.full(page_count, 8.0)))
        wrong = rng.binomial(by_page, rate * factors)
        chances[letter] = {str(page): int(count) for page, count in enumerate(by_page)}
        answers[letter, "z"] = {str(page): int(count) for page, count in enumerate(wrong)}
    return AnswerCounts(answers, chances, frozenset(), {}, {})


@pytest.mark.parametrize(("spread", "least", "most"), [(1.0, 0.93, 0.97), (2.0, 0.92, 0.97)])
def test_coverage(spread: float, least: float, most: float) -> None:
    """Of 3,000 intervals 93-97 % hold the true rate when pages are alike, 92 % when they are not.

    "Not alike": half the pages have twice the error rate of the others. Both with the pooled
    dispersion and, in the second figure, without it.
    """
    rng = np.random.default_rng(1998)
    held = {"pooled": 0, "alone": 0}
    for _ in range(500):
        rates = rng.uniform(0.01, 0.05, len(LETTERS)).tolist()
        counts = simulated(rng, spread, rates)
        pooled = dispersion(counts)
        for letter, rate in zip(LETTERS, rates, strict=True):
            for way, dispersed in (("pooled", pooled), ("alone", None)):
                by_page, chances = counts.answers[letter, "z"], counts.chances[letter]
                low, high, _ = clustered(by_page, chances, 0.95, dispersed)
                held[way] += low <= rate <= high
    assert least <= held["pooled"] / 3000 <= most
    assert least <= held["alone"] / 3000 <= most + 0.005


def test_dispersion_is_found() -> None:
    """Pages that differ by a factor of two have the dispersion (1/3)^2; equal pages have none."""
    rng = np.random.default_rng(5)
    for spread, true in ((1.0, 0.0), (2.0, 1 / 9)):
        found = [dispersion(simulated(rng, spread, [0.05] * 6)) for _ in range(60)]
        assert np.median(found) == pytest.approx(true, abs=0.02)


def test_plain_jeffreys_would_fail() -> None:
    """The correction is needed: plain Jeffreys intervals of clustered errors hold too seldom."""
    rng = np.random.default_rng(6)
    held = 0
    for _ in range(300):
        factors = rng.choice([2 / 3, 4 / 3], 20)
        held += jeffreys(int(rng.binomial(150, 0.05 * factors).sum()), 3000)[0] <= 0.05
    assert held / 300 < 0.95  # one side alone should hold in 97.5 %


def test_page_chances() -> None:
    """The effective number of pages is the number of pages where all are alike."""
    assert 1 / page_chances({"1": 5, "2": 5, "3": 5, "4": 5}).share_squares == pytest.approx(4)
    assert page_chances({}).total == 0
