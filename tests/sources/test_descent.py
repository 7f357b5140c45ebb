"""Lines of descent at one place, each with one vote."""

from __future__ import annotations

import math

import pytest

from fidelity.sources.descent import Voice, circle_in, likelihood, lines_of, set_aside
from fidelity.sources.rates import WitnessRate

DECLARED = "declared"
A, B, C = Voice("A", "wæs"), Voice("B", "wær"), Voice("C", "wæs")
RATES = {siglum: WitnessRate(5.0) for siglum in "ABCDEZ"}


def test_a_copy_of_what_is_extant_has_no_vote() -> None:
    """Dependent copies are eliminated (Maas § 8): D, copied from B, which is extant, is set aside."""
    copy = Voice("D", "wær", "B", DECLARED)
    assert set_aside([A, B, copy]) == {"D": "copied from B (declared)"}
    assert [line.root for line in lines_of([A, B, copy])] == ["A", "B"]
    assert likelihood([A, B, copy], ["wæs", "wær"], RATES) == likelihood([A, B], ["wæs", "wær"], RATES)


def test_a_copy_of_a_copy_is_set_aside_too() -> None:
    """E, copied from D, which is lost at the place and was copied from B, has no vote either."""
    lost = Voice("D", None, "B", DECLARED)
    copy = Voice("E", "wer", "D", DECLARED)
    assert set_aside([B, lost, copy]) == {"E": "copied from B (declared)"}


def test_copies_of_what_is_lost_here_speak_for_it_with_one_vote() -> None:
    """Two copies of one lost leaf that agree are one line."""
    lost = Voice("Z", None)
    copies = [Voice("D", "wær", "Z", DECLARED), Voice("E", "wær", "Z", DECLARED)]
    (line,) = lines_of([lost, *copies])
    assert (line.root, line.speakers, line.reading) == ("Z", ("D", "E"), "wær")
    one = likelihood([lost, copies[0]], ["wæs", "wær"], RATES)
    two = likelihood([lost, *copies], ["wæs", "wær"], RATES)
    apart = likelihood([Voice("D", "wær"), Voice("E", "wær")], ["wæs", "wær"], RATES)
    gain, gain_two, gain_apart = (some["wær"] - some["wæs"] for some in (one, two, apart))
    assert gain < gain_two < 0.7 * gain_apart


def test_the_sum_over_what_a_lost_source_may_have_had() -> None:
    """By hand: P(copies | head) = sum over the middle of P(middle | head) P(D | middle) P(E | middle)."""
    testimonies = [
        Voice("Z", None),
        Voice("D", "wær", "Z", DECLARED),
        Voice("E", "wæs", "Z", DECLARED),
    ]
    (line,) = lines_of(testimonies)
    assert line.reading is None  # its copies differ: it stands for neither
    p = RATES["Z"].written_given
    by_hand = p("wæs", "wæs") * p("wæs", "wær") * p("wæs", "wæs") + p("wæs", "wær") * p("wær", "wær") * p(
        "wær", "wæs"
    )
    found = likelihood(testimonies, ["wæs", "wær"], RATES)
    assert found["wæs"] == pytest.approx(math.log(by_hand))


def test_independent_witnesses_multiply() -> None:
    """Two that agree against one: the ratio is that of one, once over."""
    found = likelihood([A, B, C], ["wæs", "wær"], RATES)
    p = RATES["A"].written_given
    assert found["wæs"] - found["wær"] == pytest.approx(math.log(p("wæs", "wæs") / p("wær", "wæs")))


def test_a_witness_that_is_silent_says_nothing() -> None:
    """One that is not extant at the place changes no ratio and is in no line."""
    silent = Voice("D", None)
    assert likelihood([A, B, silent], ["wæs", "wær"], RATES) == likelihood([A, B], ["wæs", "wær"], RATES)
    assert [line.root for line in lines_of([A, silent])] == ["A"]


def test_circles_are_found() -> None:
    """A circle is found wherever it is entered; a chain is none."""
    assert circle_in({"A": "B", "B": "C", "C": "A"}) == ("A", "B", "C", "A")
    assert circle_in({"A": "B", "B": "C"}) == ()
