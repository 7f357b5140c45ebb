"""What happens to a word though no slip of letters explains it."""

from __future__ import annotations

import math

import pytest

from fidelity.sources.accidents import by_accident, word_shares
from fidelity.sources.rates import (
    EXCHANGED,
    HEAPED,
    JUST_THIS,
    NEW_SLIPS,
    NOT_NAMED,
    UNSURE,
    WitnessRate,
    forward,
)

E = 0.01
SHARES = {"and": 0.2, "locc": 0.05}


def spelled(original: str, written: str) -> float:
    """Copy every word right, or not at all."""
    return float(original == written)


def test_a_word_is_as_probable_as_it_is_common() -> None:
    """By hand: three words at most, *and* twice in neither; a word that is nowhere is not impossible."""
    share = word_shares(["and he cwæð", "and eode"])
    assert share("and") == pytest.approx(2 / 4)
    assert share("locc") == pytest.approx(1 / 4)


def test_a_copy_of_a_text_makes_no_word_more_common() -> None:
    """The same text twice is that text."""
    once, twice = word_shares(["and he cwæð"]), word_shares(["and he cwæð"] * 2)
    assert [once(word) for word in ("and", "locc")] == [twice(word) for word in ("and", "locc")]


def test_one_word_for_another() -> None:
    """By hand: exchanged, or one left out and the other put in, before it or after it."""
    by_hand = E * 0.2 + 2 * E * (E * 0.2)
    assert by_accident(["locc"], ["and"], E, spelled, SHARES.__getitem__) == pytest.approx(by_hand)


def test_one_of_two_words() -> None:
    """The word beside it is copied right: two accidents are no part of what one costs."""
    found = by_accident(["sang", "locc"], ["sang", "and"], E, spelled, lambda word: SHARES.get(word, 0.01))
    assert found == pytest.approx((1 - E) * (E * 0.2 + 2 * E * E * 0.2), rel=1e-2)


def test_a_word_left_out_and_a_word_put_in() -> None:
    """By hand: one accident each, the word put in by its share."""
    assert by_accident(["sang", "locc"], ["sang"], E, spelled, lambda _: 0.0) == pytest.approx((1 - E) * E)
    put_in = by_accident(["sang"], ["sang", "and"], E, spelled, lambda word: 0.2 * (word == "and"))
    assert put_in == pytest.approx((1 - E) * E * 0.2)


def test_all_copied_right_is_no_accident() -> None:
    """Nothing is told of copying right: that is for the letters."""
    assert by_accident(["sang", "and"], ["sang", "and"], E, spelled, lambda _: 0.0) == pytest.approx(
        E * E, abs=E * E
    )


def test_a_common_word_beside_a_rare_one() -> None:
    """A witness comes upon the common word by accident more easily than another upon the rare one."""
    rate = WitnessRate(5.0, share=lambda word: SHARES[word])
    common, rare = rate.written_given("locc", "and"), rate.written_given("and", "locc")
    assert common == pytest.approx(EXCHANGED * 0.2, rel=1e-2)
    assert common / rare == pytest.approx(0.2 / 0.05, rel=1e-2)


def test_a_rate_not_known() -> None:
    """By hand: the mean over all rates; a slip is more probable than at the assumed one, not four times."""
    known, unsure = WitnessRate(5.0), WitnessRate(5.0, doubt=UNSURE)
    assert math.fsum(weight for _, weight in UNSURE) == 1.0
    mean = math.fsum(weight * forward("wæs", "wær", times * 0.005) for times, weight in UNSURE)
    by_hand = (1 - EXCHANGED) * mean + EXCHANGED * JUST_THIS
    assert unsure.written_given("wæs", "wær") == pytest.approx(by_hand)
    assert 1 < unsure.by_letters("wæs", "wær") / known.by_letters("wæs", "wær") < 4
    assert unsure.by_letters("wæs", "wæs") < known.by_letters("wæs", "wæs")


def test_a_slip_that_the_survivors_do_not_show() -> None:
    """By hand: what his habits hold for impossible is a slip like anyone's, or a word misread as a whole."""
    his = WitnessRate(4.0, channel=spelled, exchanged=0.001)
    by_hand = 0.999 * (
        NEW_SLIPS * forward("morginn", "norginn", 0.004) + 0.001 * forward("morginn", "norginn", HEAPED)
    )
    assert his.by_letters("morginn", "norginn") == pytest.approx(by_hand)
    assert his.by_letters("morginn", "morginn") > 0.99 * (1 - 0.001)


def test_a_reading_not_named() -> None:
    """Whatever is not named explains any reading by an accident alone, however rare its words are."""
    rate = WitnessRate(5.0, share=lambda _: 1e-6)
    assert rate.written_given(NOT_NAMED, "locc and") == EXCHANGED * JUST_THIS
