"""Habits told in full: which are told, with which words, and who has seen the same elsewhere."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.confusions.habits import FEWEST, parallels_in_print
from fidelity.dossier import Dossier, Survivor
from fidelity.judge import Audit, judge, told_in_full
from fidelity.settings import Settings
from fidelity.terms import Habit, InPrint
from fidelity.witnesses.folds import load_folds, published_confusions
from fidelity.witnesses.read import read_witness

FOLDS = load_folds(["insular", "wynn"], ())


def told(original: str, copy: str) -> tuple[Audit, dict[tuple[str, str], Habit]]:
    """Tell the habits of a pair of texts in insular script."""
    first, second = (read_witness(text, siglum="B", script="insular") for text in (original, copy))
    survivor = Survivor("B", first, second)
    found = told_in_full(judge(Dossier(Path(), "", "", FOLDS, (survivor,), (), (), (), Settings())))
    return found, {(one.confusion.original, one.confusion.copy): one for one in found.habits}


def in_print(original: str, written: str, *scripts: str) -> tuple[InPrint, ...]:
    return parallels_in_print(original, written, scripts, FOLDS)


def test_insular_s_for_r_is_in_print() -> None:
    """ꞅ→r is C010 to the letter, and C001, which has ꞃ for the r he wrote in his own hand."""
    found = {one.id: one for one in in_print("ꞅ", "r", "insular")}
    assert {"C001", "C010"} <= found.keys()
    for one in (found["C001"], found["C010"]):
        assert (one.script, one.direction, one.his_script) == ("insular", "one-way", True)
    assert found["C001"].misread == "ꞃ"


def test_everything_told_is_in_the_table_as_it_stands_there() -> None:
    """Each parallel has letters, source, locator and basis of the row it names."""
    rows = {(one.id, one.source, one.locator, one.basis, one.direction) for one in published_confusions()}
    for one in (*in_print("ꞅ", "r", "insular"), *in_print("c", "e"), *in_print("rn", "m")):
        printed = "one-way" if one.direction == "reversed" else one.direction
        assert (one.id, one.source, one.locator, one.basis, printed) in rows


def test_a_pair_is_found_both_ways() -> None:
    """What is printed without direction is a parallel either way, and called a pair."""
    for original, written in (("a", "u"), ("u", "a")):
        found = {one.id: one.direction for one in in_print(original, written, "insular")}
        assert found["C024"] == "pair"


def test_printed_the_other_way_round() -> None:
    """ꞃ→s, the reverse of C001, is called reversed, not one-way; it comes after the pairs."""
    found = in_print("ꞃ", "s", "insular")
    directions = {one.id: one.direction for one in found}
    assert directions["C001"] == "reversed" and directions["C003"] == "pair"
    order = [one.direction for one in found if one.his_script]
    assert order == sorted(order, key=("one-way", "pair", "reversed").index)


def test_another_script_counts_with_the_printed_letter_only() -> None:
    """A roman s misread as r is no case of insular ꞅ, unless he read a manuscript in insular script."""
    insular = {"C001", "C010"}
    assert insular <= {one.id for one in in_print("s", "r", "insular")}
    assert not insular & {one.id for one in in_print("s", "r", "caroline")}
    seen_elsewhere = {one.id: one.his_script for one in in_print("ꞅ", "r", "caroline")}
    assert not any(seen_elsewhere[number] for number in insular)


def test_those_of_his_script_come_first() -> None:
    """Parallels in the script he read stand before those in others, and none is told twice."""
    found = in_print("a", "u", "caroline")
    ranks = [one.his_script for one in found]
    assert ranks == sorted(ranks, reverse=True) and set(ranks) == {True, False}
    said = [(one.script, one.source, one.locator, one.direction) for one in found]
    assert len(said) == len(set(said))


def test_a_letter_overlooked_is_no_other_letter() -> None:
    """A letter left out has parallels only among those left out; one nobody has named has none."""
    assert all(one.misread == "" or one.original == "" for one in in_print("i", "", "insular"))
    assert in_print("æ", "q", "insular") == ()


LINES = "sona swa he his sele\nsona wæs hus and sunu\nstan sona on sæ"


@pytest.mark.parametrize("times", [FEWEST - 1, FEWEST])
def test_what_is_told(times: int) -> None:
    """What happened five times in one word is told, though no habit of the letter; four times are not."""
    line = "genim þas wyrte and wyl on ecede sona"
    original = "\n".join([line] * 8)
    copy = "\n".join([line.replace("ecede", "ecebe")] * times + [line] * (8 - times))
    found, habits = told(original, copy)
    one = next(one for one in found.confusions if (one.original, one.copy) == ("d", "b"))
    assert one.count == times and not one.systematic
    assert (("d", "b") in habits) == (times >= FEWEST)


def test_a_habit_is_told_with_its_words_and_in_order() -> None:
    """Systematic confusions are told however few, the most frequent first, each with its words."""
    original = "\n".join([LINES.replace("s", "ꞅ").replace("t", "ꞇ")] * 3)
    copy = "\n".join([LINES.replace("sona", "rona").replace("stan", "scan").replace("sunu", "runu")] * 3)
    found, habits = told(original, copy)
    assert next(iter(habits)) == ("ꞅ", "r")
    counts = [habit.confusion.count for habit in habits.values()]
    assert counts == sorted(counts, reverse=True)
    one = habits["ꞅ", "r"]
    assert one.confusion.systematic and one.confusion in found.confusions
    assert one.words == ("sona", "sunu")
    told_of = {rate.circumstance for rate in one.rates}  # never after a letter, in one script, text and hand
    assert told_of == {"place_in_word", "letter_after", "word"}
    assert "C010" in {each.id for each in one.in_print}


def test_no_habits() -> None:
    """A faithful copy has nothing to tell."""
    assert told(LINES, LINES)[1] == {}
