"""Where in the lost texts to look: places like those at which he made the error come first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fidelity.causes.looks import where_he_did_it, with_looks
from fidelity.causes.undone import LostWords
from fidelity.terms import Cause, Circumstance, CircumstanceRate, Habit, Tendency
from fidelity.witnesses.folds import load_folds
from fidelity.witnesses.read import read_witness
from tests.apparatus.made import made_audit, made_habit

FOLDS = load_folds(["insular"], ())
PLACE, BEFORE, AFTER = Circumstance.PLACE, Circumstance.BEFORE, Circumstance.AFTER


def habit(*rates: tuple[Circumstance, str, int, Tendency]) -> Habit:
    """Give a habit that happened so often under these values."""
    made = tuple(
        CircumstanceRate("ꞅ", "r", kind, value, count, 50, count, 0.1, 0.0, 0.2, tendency=tendency)
        for kind, value, count, tendency in rates
    )
    return replace(made_habit(), rates=made)


@pytest.mark.parametrize(
    ("word", "start", "fits"), [("stan", 0, False), ("wæs", 2, True), ("æsc", 1, True), ("s", 0, True)]
)
def test_a_place_where_it_happens_less_and_never_is_none_of_his(word: str, start: int, fits: bool) -> None:
    """Never at the beginning of a word, where it had many chances; elsewhere it may be."""
    never = habit((PLACE, "first", 0, Tendency.LESS), (PLACE, "last", 3, Tendency.NONE))
    assert where_he_did_it(never, FOLDS)(word, start, start + 1) is fits


def test_where_all_of_it_happens_is_the_only_place_of_his() -> None:
    """All of it happened before t, more often than elsewhere: before c he never did it, or at the end."""
    only = habit((AFTER, "ꞇ", 6, Tendency.MORE), (AFTER, "c", 0, Tendency.NONE))
    fits = where_he_did_it(only, FOLDS)
    assert fits("stan", 0, 1)
    assert not fits("æsc", 1, 2)
    assert fits("wæs", 2, 3)  # at the end of a word nothing follows: the letter after says nothing there


def test_less_often_is_not_never() -> None:
    """Less often, but met: a place like any other; so is all where nothing differs."""
    seldom = habit((BEFORE, "æ", 1, Tendency.LESS), (BEFORE, "i", 9, Tendency.NONE))
    assert where_he_did_it(seldom, FOLDS)("wæs", 2, 3)
    assert where_he_did_it(habit(), FOLDS)("wæs", 2, 3)


def test_one_letter_for_two_is_undone_as_such() -> None:
    """A pattern n → ∅ that is haplography is looked for where nn became n, not wherever an n may be gone."""
    copy = read_witness("bane bran", siglum="X")
    words = LostWords({"X": copy}, ["banne", "brand", "brann"], FOLDS)
    pattern = replace(
        made_audit().patterns[0], cause=Cause.HAPLOGRAPHY, letters=("n", ""), systematic=False, undoing=None
    )
    (told,) = with_looks([pattern], [], words, {}, FOLDS)
    assert told.undoing is not None
    assert [one.undone for one in told.undoing.looks] == ["banne", "brann"]
    chance = replace(pattern, cause=Cause.UNDETERMINED)
    assert with_looks([chance], [], words, {}, FOLDS)[0].undoing is None
