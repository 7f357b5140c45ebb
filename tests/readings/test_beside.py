"""What is known beside a copy: Bayes' rule after the calibration, one total, nothing changed without it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import pytest

from fidelity.readings.beside import OTHER, Telling, beside_lost, from_offset, joined
from fidelity.readings.calibrating import Calibration
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.select import chosen, word_probabilities
from fidelity.readings.weighing import weighed, weighed_letters


@dataclass(frozen=True)
class Said:
    """What is known of a unit, as the test says it."""

    likelihoods: dict[str | None, float]
    further: tuple[str, ...] = ()
    told: tuple[str, ...] = ("so it is",)

    def letter_odds(self, reading: str) -> float:
        return -math.log(self.likelihoods.get(reading, 1.0))

    def log_likelihood(self, reading: str | None) -> float:

        return math.log(self.likelihoods.get(reading, self.likelihoods[OTHER]))


@dataclass(frozen=True)
class Spans:
    """What is known by span."""

    said: dict[tuple[int, int], Said] = field(default_factory=dict)

    def at(self, start: int, end: int) -> Telling | None:
        return self.said.get((start, end))


class Fixed(Calibration):
    """A calibration that gives a candidate its posterior, a unit its first doubt, letters what they say."""

    def __init__(self, unsuspected: float = 0.0) -> None:
        super().__init__({}, {}, unsuspected)

    def probability(self, one: Candidate) -> float:
        return one.posterior

    def corrupt_probability(self, unit: Unit) -> float:
        return unit.doubt[0]

    def letter_probabilities(self, unit: Unit) -> list[float]:
        return [one.posterior for one in unit.letters]


def candidate(text: str, p: float) -> Candidate:
    return Candidate(0, 4, 0, "pulf", text, p, (), single=False)


def unit(beside: Said | None, *readings: tuple[str, float], doubt: tuple[float, ...] = ()) -> Unit:
    words = tuple(candidate(*one) for one in readings)
    return Unit(0, 4, "pulf", dict(readings), words, (), doubt, beside)


def test_bayes_by_hand() -> None:
    """Believed .3 of wulf and .7 of pulf; heard what is twenty times as probable of wulf: .3 x 20 to .7."""
    one = unit(Said({"wulf": 0.2, "pulf": 0.01, OTHER: 0.01}), ("wulf", 0.3))
    [(found, p)] = word_probabilities(one, Fixed())
    assert found.proposed == "wulf"
    assert p == pytest.approx(6.0 / 6.7)
    [choice] = chosen(one, Fixed(), 0.2)
    assert choice.told == ("so it is",)
    assert dict(choice.rivals) == {"pulf": pytest.approx(0.7 / 6.7)}


def test_something_else_has_its_share() -> None:
    """Corrupt .5, of which wulf has .3: something else .2, and all three sum to 1 before and after."""
    one = unit(Said({"wulf": 0.4, "pulf": 0.1, OTHER: 0.2}), ("wulf", 0.3), doubt=(0.5,))
    found = weighed(one, one.words, Fixed())
    total = 0.3 * 0.4 + 0.5 * 0.1 + 0.2 * 0.2
    assert found.words[0] == pytest.approx(0.12 / total)
    assert found.transmitted == pytest.approx(0.05 / total)
    assert found.other == pytest.approx(0.04 / total)
    assert sum(found.words) + found.transmitted + found.other == pytest.approx(1.0)


def test_an_unsuspected_unit_may_be_wrong_too() -> None:
    """Nothing speaks against the unit, but one such in ten is wrong: what is known may raise that."""
    one = unit(Said({"pulf": 0.1, OTHER: 0.9}))
    found = weighed(one, (), Fixed(unsuspected=0.1))
    assert found.other == pytest.approx(0.09 / (0.09 + 0.09))


def test_nothing_is_changed_where_nothing_is_known() -> None:
    """Without anything beside it a unit is weighed as the calibration says, and no more than in all."""
    one = unit(None, ("wulf", 0.3), ("full", 0.9))
    found = weighed(one, one.words, Fixed(unsuspected=0.1))
    assert found.words == pytest.approx((0.25, 0.75))
    assert found.other == 0.0


def test_a_further_reading_is_judged() -> None:
    """A reading that only another copy has is weighed with the rest, and may be proposed."""
    said = Said({"wulf": 0.5, "pulf": 0.001, OTHER: 0.001}, further=("wulf",))
    one = replace(unit(said), further=(candidate("wulf", 0.02),))
    [choice] = chosen(one, Fixed(), 0.2)
    assert choice.candidate.proposed == "wulf"
    assert choice.probability == pytest.approx(0.01 / (0.01 + 0.98 * 0.001))


def test_a_letter_is_heard_as_the_unit_with_it() -> None:
    """A letter believed at .2: right with four times the likelihood of all else it has .5."""
    letter = Candidate(0, 1, 0, "p", "w", 0.2, (), single=True)
    one = replace(unit(Said({"wulf": 0.4, "pulf": 0.1, OTHER: 0.1})), letters=(letter,))
    assert weighed_letters(one, Fixed()) == [pytest.approx(0.8 / 1.6)]
    assert weighed_letters(replace(one, beside=None), Fixed()) == [0.2]


def test_several_are_joined_and_parts_keep_their_places() -> None:
    """What two know is added up; a part of a copy asks for its own spans."""
    first = Spans({(5, 9): Said({OTHER: 0.5}, ("wulf",), ("one",))})
    other = Spans({(5, 9): Said({OTHER: 0.25}, ("wulf", "full"), ("two",)), (0, 4): Said({OTHER: 1.0})})
    both = joined([first, None, other])
    assert both is not None
    found = both.at(5, 9)
    assert found is not None
    assert found.further == ("wulf", "full")
    assert found.told == ("one", "two")
    assert found.log_likelihood("any") == pytest.approx(-2.0794415)
    assert both.at(1, 2) is None
    assert joined([None]) is None
    part = from_offset(both, 5)
    assert part is not None
    assert part.at(0, 4) == found
    assert from_offset(None, 5) is None
    assert beside_lost((), ["X"]) == {}
