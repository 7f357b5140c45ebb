"""Tests of order against published figures, another library, and pages that differ by chance."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from statsmodels.stats.contingency_tables import Table

from fidelity.confusions.order_tests import (
    ENOUGH,
    Series,
    change_point,
    change_test,
    cochran_armitage,
    mirror_test,
    permutation_p,
    trend_test,
)

Counts = list[tuple[int, int]]


def series(pages: Counts, at: list[float] | None = None, group: list[int] | None = None) -> Series:
    """Put errors and chances in order, in one group unless said otherwise."""
    errors, chances = np.array(pages, dtype=np.float64).T
    places = np.arange(len(pages), dtype=np.float64) if at is None else np.array(at)
    return Series(errors, chances, places, np.array(group if group else [0] * len(pages)))


# Maternal alcohol consumption and malformations, absent and present: Agresti 2002, Categorical Data
# Analysis, 2nd ed., sec. 5.3.5 (table and results from memory).
AGRESTI = [(48, 17066 + 48), (38, 14464 + 38), (5, 788 + 5), (1, 126 + 1), (1, 37 + 1)]


@pytest.mark.parametrize(("at", "squared"), [([0, 0.5, 1.5, 4, 7], 6.57), ([1, 2, 3, 4, 5], 1.83)])
def test_published_trend(at: list[float], squared: float) -> None:
    """Agresti 2002 (from memory) gives z squared as 6.57 with his scores, 1.83 with 1 to 5."""
    assert cochran_armitage(series(AGRESTI, at)) ** 2 == pytest.approx(squared, abs=0.005)


@given(st.lists(st.tuples(st.integers(0, 30), st.just(60)), min_size=3, max_size=20))
def test_another_library_agrees(pages: Counts) -> None:
    """The z is that of statsmodels' test for ordered categories."""
    one = series([(1, 60), *pages])
    table = np.column_stack([one.errors, one.chances - one.errors])
    theirs = Table(table, shift_zeros=False).test_ordinal_association(row_scores=one.at)
    assert cochran_armitage(one) == pytest.approx(-theirs.zscore, rel=1e-6, abs=1e-9)


def test_matched_pairs() -> None:
    """In pairs the z is McNemar's: 64^2 / 236 = 17.356 for approval of the president, Agresti 1990, p. 350.

    150 changed their mind one way and 86 the other; those who did not change it tell nothing.
    """
    pairs = [(1, 1), (0, 1)] * 150 + [(0, 1), (1, 1)] * 86 + [(1, 1), (1, 1)] * 794 + [(0, 1), (0, 1)] * 570
    number = len(pairs) // 2
    group = np.repeat(np.arange(number), 2).tolist()
    z = cochran_armitage(series(pairs, [0.0, 1.0] * number, group))
    assert z**2 == pytest.approx(17.356, abs=5e-4)
    assert z == pytest.approx(-4.166, abs=5e-4)


@pytest.mark.parametrize(("right", "exact"), [(3, 34 / 70), (4, 2 / 70)])
def test_tasting_tea(right: int, exact: float) -> None:
    """Eight cups permuted as wholes have Fisher's exact p: 34/70 with three of four right, 2/70 with all.

    Fisher 1935, The Design of Experiments, ch. 2. A draw of 20 in l gives 19 / (l - 1) without bias.
    """
    milk_first = [(1, 1)] * right + [(0, 1)] * (4 - right)
    tea_first = [(1, 1)] * (4 - right) + [(0, 1)] * right
    cups = series(tea_first + milk_first, [0.0] * 4 + [1.0] * 4)
    p_values = [trend_test(cups, np.random.default_rng(seed)) for seed in range(200)]
    unbiased = [(ENOUGH - 1) / (ENOUGH / p - 1) for p in p_values]
    assert np.mean(unbiased) == pytest.approx(exact, rel=0.06)


def test_groups_are_taken_for_themselves() -> None:
    """Two survivors of unlike rate, each without a trend, show none together; side by side they would."""
    pages = [(2, 100)] * 4 + [(20, 100)] * 4
    at = [0.0, 1, 2, 3] * 2
    assert cochran_armitage(series(pages, at, [0] * 4 + [1] * 4)) == pytest.approx(0)
    assert cochran_armitage(series(pages)) > 3


def test_turned_round_the_trend_turns() -> None:
    """Read backwards, the same pages have the opposite z."""
    pages = [(1, 90), (4, 100), (3, 80), (9, 120)]
    assert cochran_armitage(series(pages[::-1])) == pytest.approx(-cochran_armitage(series(pages)))


def test_change_point_is_found_where_it_is() -> None:
    """A rate that changes after the twelfth of thirty pages is found to change there."""
    errors = np.array([5.0] * 12 + [20.0] * 18)
    ratio, before = change_point(errors, np.full(30, 1000.0))
    assert before == 12
    assert ratio > 100


def test_change_point_is_the_textbook_ratio() -> None:
    """The ratio is twice the gain in log-likelihood of two binomials over one."""
    errors, chances = np.array([1.0, 2, 6, 8]), np.full(4, 50.0)

    def log_likelihood(x: float, n: float) -> float:
        return float(x * np.log(x / n) + (n - x) * np.log(1 - x / n))

    gain = log_likelihood(3, 100) + log_likelihood(14, 100) - log_likelihood(17, 200)
    ratio, before = change_point(errors, chances)
    assert ratio == pytest.approx(2 * gain)
    assert before == 2


def clustered_pages(rng: np.random.Generator, pages: int = 40, factor: float = 2.0) -> Counts:
    """Draw pages of about 1,000 letters at 1 %, half of them with so many times the rate of the rest."""
    of_page = rng.choice([2 / (1 + factor), 2 * factor / (1 + factor)], pages)
    chances = rng.integers(600, 1400, pages)
    return list(zip(rng.binomial(chances, 0.01 * of_page).tolist(), chances.tolist(), strict=True))


def test_unlike_pages_are_no_trend() -> None:
    """Pages that differ by chance by a factor of four keep the level of 5 %, which the plain z does not.

    600 copies; 5 % are 30, and more than 45 would come about once in 200 such tests.
    """
    rng = np.random.default_rng(4)
    plain = 0
    found = {"trend": 0, "change": 0}
    for _ in range(600):
        one = series(clustered_pages(rng, factor=4.0))
        plain += abs(cochran_armitage(one)) > 1.96
        found["trend"] += trend_test(one, rng, 999) <= 0.05
        found["change"] += change_test(one.errors, one.chances, rng, 999) <= 0.05
    assert found["trend"] <= 45
    assert found["change"] <= 45
    assert plain > 100


def test_clusters_within_pages_are_no_trend() -> None:
    """Errors that come in bursts on a page keep the level of the test within pages."""
    rng = np.random.default_rng(9)
    lines, pages, found = 20, 30, 0
    group = np.repeat(np.arange(pages), lines)
    at = np.tile(np.arange(lines, dtype=np.float64), pages)
    for _ in range(400):
        bursts = np.zeros(lines * pages)
        np.add.at(bursts, rng.integers(0, lines * pages, 25), 5)
        found += mirror_test(Series(bursts, np.full(lines * pages, 60.0), at, group), rng, 999) <= 0.05
    assert found <= 33  # 5 % are 20; more than 33 once in 300


def test_permutation_p_is_a_level() -> None:
    """Stopped early or not, p is at most 5 % in one of twenty cases under chance."""
    rng = np.random.default_rng(11)
    found = sum(permutation_p(rng.normal(), rng.standard_normal, 1, 199) <= 0.05 for _ in range(2_000))
    assert 70 <= found <= 130  # the standard deviation is 10


def test_permutation_p_counts() -> None:
    """What is never reached has 1 in (draws + 1); what is always reached is stopped at once."""
    assert permutation_p(2.0, np.zeros, 1, 999) == 1 / 1000
    assert permutation_p(0.0, np.ones, 1, 999) == ENOUGH / ENOUGH
