"""An editor's rules run over a small text and a small survivor: every figure is counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fidelity.readings.own_rules import OwnGrounds, holds, own_rules_run
from fidelity.terms import Circumstance, RulePlace, RuleUse
from fidelity.terms.decisions import Decision, DecisionUse, Ruling
from fidelity.terms.parallels import OwnRule, asked
from fidelity.variants.places import places_of
from tests.readings.test_consistency import LOST, grounds, reading

RULE = OwnRule("r", "s", reason="sense", by="E. Ditor")


def own_grounds() -> OwnGrounds:
    own = grounds()
    return OwnGrounds(own, {"E": places_of(own.alignments["E"].original)})


def run(rule: OwnRule, *uses: DecisionUse) -> tuple[RuleUse, list[RulePlace]]:
    readings = [
        reading(1, LOST, 15, "þær", "þæs", 0.9),
        reading(2, LOST, 19, "wær", "wæs", 0.4),
    ]
    (use,), places = own_rules_run([rule], readings, replace(own_grounds(), decisions=uses))
    return use, places


def test_every_place_is_listed_with_what_becomes_of_it() -> None:
    """Of seven r one is proposed, one possible, one decided; of each it is known what would follow."""
    use, places = run(replace(RULE, decided=(("X", 54),)))
    assert [one.word for one in places] == ["þære", "þær", "wær", "þær", "bolster", "wæter", "hwær"]
    assert [one.probability for one in places] == [None, 0.9, 0.4, None, None, None, None]
    assert [one.decided for one in places] == [*[""] * 6, "decided so"]
    assert places[-1].why == "sense; neither is a known word"
    assert places[0].why == "is a known word, and would be none"
    assert (use.places, use.proposed, use.possible, use.left) == (7, 1, 1, 5)
    # þær at the second place would be þæs; þære and wæter are words and would be none; the rest neither
    assert (use.would_be_known, use.both_known, use.word_lost, use.both_unknown) == (1, 0, 2, 2)
    assert use.by == "E. Ditor: sense"


@pytest.mark.parametrize(
    ("where", "lost", "right", "wrong"),
    [
        ("", 7, 5, 7),
        ("place=last", 6, 5, 4),
        ("before=æ", 5, 3, 3),
        ("after=e", 1, 0, 2),
        ("word=þær", 2, 2, 0),
        ("word=treower", 0, 2, 2),
        ("text=X", 7, 5, 7),
        ("text=E", 0, 5, 7),
    ],
)
def test_under_a_circumstance_counted_by_hand(where: str, lost: int, right: int, wrong: int) -> None:
    """The same circumstance is asked of the copy's letters, in the lost text and in the survivor."""
    use, places = run(replace(RULE, where=(asked(where),) if where else ()))
    assert (use.places, use.right, use.wrong) == (lost, right, wrong)
    assert len(places) == lost


def test_the_survivors_refute_what_they_had_otherwise() -> None:
    """Where the original had r following would have been wrong: the places are cited."""
    use, _ = run(replace(RULE, where=((Circumstance.PLACE, "last"),)))
    assert {place.split()[-1] for place in use.wrong_at} == {"wæter", "wær", "ofer", "ær"}
    assert use.low < use.right / use.survivor_places < use.high


def test_decisions_on_a_place_are_told() -> None:
    """What was decided of a place, by whom and why, stands there, whatever the rule says."""
    kept = DecisionUse(Decision("X", "1.6", Ruling.KEPT, "wær", reason="a name", who="P."), span=(19, 22))
    _, places = run(RULE, kept)
    assert [(one.decided, one.why.split(";")[0]) for one in places if one.word == "wær"] == [
        ("kept", "kept (P.): a name")
    ]


def test_adopted_readings_are_rules_once() -> None:
    """Two adopted readings by one operation are one rule; a rule that is stated is not given twice."""
    uses = [
        DecisionUse(Decision("X", "1.5", Ruling.ADOPTED, "þær", value="þæs", who="E."), span=(15, 18)),
        DecisionUse(Decision("X", "1.6", Ruling.ADOPTED, "wær", value="wæs", who="E."), span=(19, 22)),
    ]
    (use,), places = own_rules_run([], [], replace(own_grounds(), decisions=uses))
    assert (use.rule, use.by, use.places) == ("s→r", "E.", 7)
    assert [one.decided for one in places] == ["", "adopted", "adopted", "", "", "", ""]
    assert len(own_rules_run([RULE], [], replace(own_grounds(), decisions=uses))[0]) == 1


def test_rules_for_other_texts_and_none() -> None:
    """A rule for another lost text gives nothing here; without rules there is nothing."""
    assert own_rules_run([replace(RULE, texts=("Y",))], [], own_grounds()) == ([], [])
    assert own_rules_run([], [], own_grounds()) == ([], [])


@pytest.mark.parametrize("division", [OwnRule("", " "), OwnRule("of ac", "ofac"), OwnRule("ofhis", "of his")])
def test_divisions_may_be_rules(division: OwnRule) -> None:
    """A division put in anywhere, or words joined or parted as wholes."""
    use, places = run(replace(division, where=((Circumstance.TEXT, "X"),)))
    expected = {"": 32, "of ac": 0, "ofhis": 1}[division.copy]
    assert (use.places, len(places)) == (expected, expected)


def test_places_of_a_letter_in_a_word() -> None:
    """First, last, inside, alone; a stop is no letter of the word."""
    text = "o on no. bob"
    found = [
        next(place for place in ("first", "inside", "last", "alone") if _at(text, at, place))
        for at, letter in enumerate(text)
        if letter == "o"
    ]
    assert found == ["alone", "first", "last", "inside"]


def _at(text: str, at: int, place: str) -> bool:
    return holds(Circumstance.PLACE, place, text, (at, at + 1), ("X", "", ""))
