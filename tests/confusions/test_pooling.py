"""Rates drawn towards the rate above: against scipy, in the limit, and on published data."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from fidelity.confusions.beta import log_gamma
from fidelity.confusions.circumstances import PairSeats, UnitSeats, values_of
from fidelity.confusions.difference_tests import hypergeometric
from fidelity.confusions.groups import group_of
from fidelity.confusions.intervals import jeffreys
from fidelity.confusions.pooling import STRENGTHS, pooled, rates_under, weights_of
from fidelity.confusions.surroundings import Pair
from fidelity.settings import Settings
from fidelity.terms import Circumstance, CircumstanceRate, Tendency

AFTER, SCRIPT, TEXT, WORD = Circumstance.AFTER, Circumstance.SCRIPT, Circumstance.TEXT, Circumstance.WORD
Rows = Sequence[tuple[int, int]]


def seats_under(kind: Circumstance, rows: Rows, pages: int = 20) -> PairSeats:
    """Make the seats of a confusion with (how often, out of how many) under values "0", "1", ..."""
    seats = PairSeats()
    for value, (count, chances) in enumerate(rows):
        by, name, place = seats.by[kind], str(value), seats.by[Circumstance.PLACE]
        for counter in (by.count, by.at_place["inside"][0]):
            counter[name] = count
        for counter in (by.chances, by.at_place["inside"][1]):
            counter[name] = chances
        place.count["inside"] += count
        place.chances["inside"] += chances
        by.words[name] = Counter({f"word {number}": 1 for number in range(count)})
        for page in range(pages):  # dealt out evenly
            unit = seats.units["B", (f"B {name} {page}", name, name)]
            unit.count += count // pages + (page < count % pages)
            unit.chances["inside"] += chances // pages + (page < chances % pages)
    return seats


def told(kind: Circumstance, *confusions: Rows, spread: float = 0.0) -> list[list[CircumstanceRate]]:
    """Give the rates of some confusions under the values of one circumstance, in the order of these."""
    seats: dict[Pair, PairSeats] = {
        (chr(ord("a") + number), "?"): seats_under(kind, rows) for number, rows in enumerate(confusions)
    }
    found = rates_under(seats, spread, Settings())
    rates = ([one for one in found[pair] if one.circumstance is kind] for pair in seats)
    return [sorted(some, key=lambda one: int(one.value)) for some in rates]


@given(st.lists(st.floats(1e-3, 1e6), min_size=1, max_size=20))
def test_log_gamma_agrees_with_scipy(values: list[float]) -> None:
    """The logarithm of the gamma function is that of scipy.special.gammaln, to the twelfth digit."""
    expected = special.gammaln(np.array(values))
    assert log_gamma(np.array(values)) == pytest.approx(expected, rel=1e-12, abs=1e-12)


@given(st.data())
def test_exact_test_agrees_with_scipy(data: st.DataObject) -> None:
    """The two-sided probability is twice the smaller tail of scipy.stats.hypergeom."""
    total = data.draw(st.integers(1, 3000))
    happened, n = data.draw(st.integers(0, total)), data.draw(st.integers(0, total))
    k = data.draw(st.integers(max(0, n + happened - total), min(n, happened)))
    law = stats.hypergeom(total, happened, n)
    expected = min(1.0, 2 * min(law.cdf(k), law.sf(k - 1)))
    assert hypergeometric(k, [(n, happened, total)]) == pytest.approx(expected, rel=1e-7, abs=1e-300)


@given(st.lists(st.tuples(*[st.integers(0, 40)] * 4), min_size=1, max_size=4), st.data())
def test_several_tables_add_up(cells: list[tuple[int, int, int, int]], data: st.DataObject) -> None:
    """Of several tables the sum is tested: every way to share it out, weighed by scipy.stats.hypergeom."""
    tables = [(a + b, a + c, a + b + c + d) for a, b, c, d in cells if a + b + c + d]
    shares = np.ones(1)
    for n, happened, total in tables:
        shares = np.convolve(shares, stats.hypergeom(total, happened, n).pmf(range(n + 1)))
    k = data.draw(st.sampled_from(np.flatnonzero(shares > 1e-12).tolist()))
    expected = min(1.0, 2 * min(shares[k:].sum(), shares[: k + 1].sum()))
    assert hypergeometric(k, tables) == pytest.approx(expected, rel=1e-6)


def test_the_lady_who_tasted_tea() -> None:
    """Fisher 1935, Design of Experiments, ch. 2: all four right has 1/70, one cup wrong 17/70; doubled."""
    assert hypergeometric(4, [(4, 4, 8)]) == pytest.approx(2 / 70)
    assert hypergeometric(3, [(4, 4, 8)]) == pytest.approx(34 / 70)


# Efron & Morris 1975, JASA 70:311-319, table 1, from memory: 18 players' hits in their first 45 times at bat
# of 1970, and their batting average over the rest of the season.
HITS = [18, 17, 16, 15, 14, 14, 13, 12, 11, 11, 10, 10, 10, 10, 10, 9, 8, 7]
SEASON = [0.346, 0.298, 0.276, 0.222, 0.273, 0.270, 0.263, 0.210, 0.269, 0.230, 0.264, 0.256, 0.303, 0.264]
SEASON += [0.226, 0.286, 0.316, 0.200]
AT_BAT = 45


def test_batting_averages() -> None:
    """Drawn towards the average of all, 18 averages are about three times as near to the season's.

    Efron & Morris found a total squared error of 0.077 for the players' own averages and of 0.022 for
    their (limited) estimates: 3.5 times (from memory).
    """
    (rates,) = told(AFTER, [(hits, AT_BAT) for hits in HITS])
    own = sum((hits / AT_BAT - season) ** 2 for hits, season in zip(HITS, SEASON, strict=True))
    drawn = sum((one.rate - season) ** 2 for one, season in zip(rates, SEASON, strict=True))
    assert own == pytest.approx(0.077, abs=0.002)
    assert 2.5 < own / drawn < 4.5


def test_values_that_are_alike_lean_on_the_whole() -> None:
    """Where nothing depends on the value, its rate is the rate above, its interval hardly wider."""
    rows = [(2 + at % 3, 100) for at in range(30)]
    (rates,) = told(AFTER, rows)
    whole = jeffreys(sum(k for k, _ in rows), 100 * len(rows))
    for one in rates:
        assert one.rate == pytest.approx(0.03, abs=0.004)
        assert one.high - one.low < 2 * (whole[1] - whole[0])
        assert one.tendency is Tendency.NONE


def test_values_that_differ_stand_for_themselves() -> None:
    """Where rates are far apart everywhere, each is nearly its own share."""
    rows = [(2, 400), (200, 400), (40, 400), (360, 400)]
    for rates in told(AFTER, rows, rows[::-1], rows):
        for one in rates:
            share = one.count / one.chances
            assert one.rate == pytest.approx(share, abs=0.01)
            assert (one.low, one.high) == pytest.approx(jeffreys(one.count, one.chances), abs=0.01)
            assert one.tendency is not Tendency.NONE


def test_three_chances_lean_on_the_rate_above() -> None:
    """One of three is no third of all, where the others say 2 %; none of three is no 0."""
    (rates,) = told(AFTER, [(1, 3), (0, 3), *[(20, 1000)] * 6])
    assert 0.01 < rates[1].rate < rates[0].rate < 0.08
    assert rates[0].low < 0.02 < rates[0].high < jeffreys(1, 3)[1]
    assert rates[1].high < jeffreys(0, 3)[1] / 2


def test_a_value_without_chances_is_none() -> None:
    """A value that never offered the letter is not told; with a single value left nothing is."""
    assert [one.value for one in told(AFTER, [(3, 50), (0, 0), (2, 40)])[0]] == ["0", "2"]
    assert told(AFTER, [(3, 50), (0, 0)]) == [[]]
    assert told(AFTER, [(0, 50), (0, 40)]) == [[]]


def test_words_without_a_single_one_are_told_only_where_that_is_strange() -> None:
    """Of words are told those it happened in, and those where it must be wondered that it did not."""
    (rates,) = told(WORD, [(30, 60), (0, 60), (0, 2), (1, 5)])
    assert [one.value for one in rates] == ["0", "1", "3"]
    assert [one.tendency for one in rates] == [Tendency.MORE, Tendency.LESS, Tendency.NONE]


def test_more_often_must_be_seen_in_two_words() -> None:
    """A letter after which a single word went wrong over and over is no tendency of that letter."""
    seats = seats_under(AFTER, [(20, 40), (1, 200)])
    seats.by[AFTER].words["0"] = Counter({"wær": 20})
    found = rates_under({("s", "r"): seats}, 0.0, Settings())["s", "r"]
    assert {one.value: one.tendency for one in found if one.circumstance is AFTER} == {
        "0": Tendency.NONE,
        "1": Tendency.LESS,
    }


ROWS = st.lists(st.integers(0, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), min_size=2)


@given(st.lists(ROWS, min_size=1, max_size=4), st.floats(0, 0.5))
def test_weights_sum_to_one(confusions: list[Rows], spread: float) -> None:
    """Rates above and strengths have weights that sum to 1, and limits stand around each rate."""
    groups = [group_of(("s", "r"), seats_under(AFTER, rows).by[AFTER], None, spread) for rows in confusions]
    some = [group for group in groups if group]
    if not some:
        return
    learned = weights_of(some)
    limits = pooled(some, learned, [range(len(group.values)) for group in some], 0.95)
    for weights, each in zip(learned, limits, strict=True):
        assert weights.shape[1] == len(STRENGTHS) and weights.min() >= 0
        assert weights.sum() == pytest.approx(1)
        for rate, low, high in each:
            assert 0 <= low <= rate <= high <= 1


@given(st.integers(1, 80), ROWS)
def test_rates_rise_with_the_count(chances: int, others: Rows) -> None:
    """Of values with as many chances, the one under which it happened more often has the higher rate."""
    rows = [(count, chances) for count in range(0, chances + 1, max(1, chances // 5))]
    (rates,) = told(AFTER, [*rows, *others])
    for fewer, more in pairwise(rates[: len(rows)]):
        assert fewer.rate < more.rate


def test_pages_that_differ_widen_the_limits() -> None:
    """With pages that differ the limits are wider, and the rate leans more on the rate above."""
    rows = [(30, 400), (90, 400), (10, 400), (60, 400)]
    (alike,), (differing,) = told(AFTER, rows), told(AFTER, rows, spread=0.5)
    for one, other in zip(alike, differing, strict=True):
        assert other.high - other.low > one.high - one.low


def on_pages(languages: Sequence[str]) -> PairSeats:
    """Make a confusion on good and bad pages of four texts, each page in two languages or in one."""
    rng, seats = np.random.default_rng(1), PairSeats()
    for text in "BEGH":
        for page in range(10):
            script = "insular" if page < 5 else "caroline"
            rate = rng.choice([0.01, 0.04])
            for language in languages:
                chances = 100 if language else 200
                unit = f"{text} {page}", script, language
                halves = rng.binomial(100, rate, 2) if len(languages) == 1 else [rng.binomial(100, rate)]
                seats.units[text, unit] = UnitSeats(int(sum(halves)), Counter(inside=chances))
                seats.by[Circumstance.PLACE].count["inside"] += int(sum(halves))
                seats.by[Circumstance.PLACE].chances["inside"] += chances
                for kind, value in values_of(text, unit).items():
                    for count in halves:
                        seats.by[kind].count[value] += int(count)
                    seats.by[kind].chances[value] += chances
    return seats


@pytest.mark.parametrize("kind", [SCRIPT, TEXT])
def test_two_languages_of_one_page_are_no_two_witnesses(kind: Circumstance) -> None:
    """A page tells as much of scripts and texts whether it is in one language or in two.

    Counted as two, bad pages would count twice: with half the pages four times as bad as the others 10 %
    of what makes no difference was then called unlikely at the 5 % level.
    """
    one, two = (
        rates_under({("s", "r"): on_pages(languages)}, 0.1, Settings())["s", "r"]
        for languages in ([""], ["ang", "la"])
    )
    assert (
        [each for each in one if each.circumstance is kind]
        == [each for each in two if each.circumstance is kind]
        != []
    )


def test_more_or_less_often_than_at_the_same_places() -> None:
    """Inside words it happens less; after a letter met only there it may still be more than elsewhere."""
    seats = PairSeats()
    rows = {"last": {"e": (100, 200)}, "inside": {"x": (20, 100), "y": (0, 100)}}  # x: 0.2, all: 0.3
    by = seats.by[Circumstance.BEFORE]
    for place, values in rows.items():
        for value, (count, chances) in values.items():
            for counter, number in ((by.count, count), (by.at_place[place][0], count)):
                counter[value] += number
            for counter, number in ((by.chances, chances), (by.at_place[place][1], chances)):
                counter[value] += number
            by.words[value] = Counter({f"word {number}": 1 for number in range(count)})
    found = rates_under({("s", "r"): seats}, 0.0, Settings())["s", "r"]
    assert {one.value: one.tendency for one in found} == {
        "e": Tendency.NONE,
        "x": Tendency.MORE,
        "y": Tendency.LESS,
    }


def test_more_or_less_often_in_a_text_than_at_the_same_places() -> None:
    """A text with many last letters, where it often happens, may have the higher rate and yet less of it."""
    seats = PairSeats()
    for text, chances in (("B", {"last": 90, "inside": 10}), ("E", {"last": 10, "inside": 90})):
        for page in range(10):
            count = 20 if text == "B" else 16  # 27 % of the last letters, 9 % inside: 25.2 and 10.8
            seats.units[text, (f"{text} {page}", "", "")] = UnitSeats(count, Counter(chances))
            seats.by[TEXT].count[text] += count
            seats.by[TEXT].chances[text] += 100
            seats.by[TEXT].words[text].update(f"word {number}" for number in range(count))
            seats.by[Circumstance.PLACE].chances.update(chances)
    seats.by[Circumstance.PLACE].count.update(last=270, inside=90)
    found = rates_under({("s", "r"): seats}, 0.0, Settings())["s", "r"]
    tendencies = {one.value: one.tendency for one in found if one.circumstance is TEXT}
    assert tendencies == {"B": Tendency.LESS, "E": Tendency.MORE}
