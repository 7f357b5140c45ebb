"""How probable it is that a witness has this, if what it was copied from had that."""

from __future__ import annotations

import itertools
import math

import pytest
from scipy.stats import binom

from fidelity.alignment.channel import ADDED_SHARE, OMITTED_SHARE
from fidelity.sources.rates import (
    EXCHANGED,
    HEAPED,
    JUST_THIS,
    LEAST,
    NEW_SLIPS,
    TAKEN_FOR,
    WitnessRate,
    forward,
)
from fidelity.terms import LOST_LETTER

SLIP = 0.01
CHANGED = SLIP * (1 - OMITTED_SHARE - ADDED_SHARE) / TAKEN_FOR
PUT_IN = SLIP * ADDED_SHARE / TAKEN_FOR
STOPS = 1 - SLIP * ADDED_SHARE


def test_a_word_copied_right() -> None:
    """By hand: each letter kept, nothing put in at any of its four places; other ways hardly count."""
    kept = (1 - SLIP) ** 3 * STOPS**4
    assert forward("wæs", "wæs", SLIP) == pytest.approx(kept, rel=1e-4)
    assert binom.pmf(3, 3, 1 - SLIP) * STOPS**4 == pytest.approx(kept)


def test_one_letter_changed() -> None:
    """By hand: one changed, or left out and put in on either side of its place; two kept."""
    by_hand = (CHANGED + 2 * SLIP * OMITTED_SHARE * PUT_IN) * (1 - SLIP) ** 2 * STOPS**4
    assert forward("wæs", "wær", SLIP) == pytest.approx(by_hand, rel=1e-3)


@pytest.mark.parametrize(
    ("original", "written"), list(itertools.product(["ab", "a", "aab"], ["ab", "b", "ba", "aabb"]))
)
def test_all_ways_counted_out(original: str, written: str) -> None:
    """The forward sum is the sum over all ways, counted one by one."""
    assert forward(original, written, SLIP) == pytest.approx(_counted(original, written), rel=1e-12)


def _counted(original: str, written: str) -> float:
    """Add up all ways of copying, one after the other."""

    def ways(i: int, j: int) -> float:
        if i == len(original) and j == len(written):
            return STOPS
        total = 0.0
        if j < len(written):
            total += PUT_IN * ways(i, j + 1)
        if i < len(original):
            total += STOPS * SLIP * OMITTED_SHARE * ways(i + 1, j)
            if j < len(written):
                total += STOPS * (1 - SLIP if original[i] == written[j] else CHANGED) * ways(i + 1, j + 1)
        return total

    return ways(0, 0)


def test_what_is_lost_may_have_been_anything() -> None:
    """A witness of which the end is lost says of the rest only what its letters say."""
    rate = WitnessRate(5.0)
    some = [rate.written_given(original, "sw" + LOST_LETTER) for original in ("swide", "swiðe")]
    assert some[0] == pytest.approx(some[1])
    assert some[0] > 100 * rate.written_given("heard", "sw" + LOST_LETTER)
    assert rate.written_given("anything", LOST_LETTER) == 1.0


def test_no_single_witness_weighs_without_bound() -> None:
    """However unlike two readings are, one witness weighs no more than what nothing explains allows."""
    rate = WitnessRate(5.0)
    ratio = rate.written_given("pyrige", "pyrige") / rate.written_given("pintreow", "pyrige")
    assert ratio < 1 / (EXCHANGED * JUST_THIS)
    assert rate.written_given("", "") == 1 - EXCHANGED
    assert rate.written_given("wæs", "") == EXCHANGED


def test_a_copyist_of_his_own_is_asked_himself() -> None:
    """Where a copyist's own way is known, it stands in the place of the rate, but for slips that are new."""
    rate = WitnessRate(0.0, channel=lambda original, written: 0.25 if original != written else 0.75)
    known = (1 - NEW_SLIPS - EXCHANGED) * 0.25
    new = NEW_SLIPS * forward("wæs", "wær", LEAST / 1000) + EXCHANGED * forward("wæs", "wær", HEAPED)
    by_hand = (1 - EXCHANGED) * (known + new) + EXCHANGED * JUST_THIS
    assert rate.written_given("wæs", "wær") == pytest.approx(by_hand)


def test_impossible_rates_are_kept_within_bounds() -> None:
    """No witness is taken for perfect, none for random."""
    assert WitnessRate(0.0).slip > 0
    assert math.isfinite(math.log(WitnessRate(0.0).written_given("wæs", "wær")))
    assert WitnessRate(5000.0).slip < 1000
