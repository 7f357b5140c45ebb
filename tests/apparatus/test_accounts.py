"""What is said of a habit and of a pattern: every figure, and nothing that was not found."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fidelity.apparatus.accounts import account, consequence, told_parallel, told_value
from fidelity.apparatus.entries_habits import look_at, look_rows, pattern_rows
from fidelity.apparatus.page import page
from fidelity.apparatus.screen_review import review_screen
from fidelity.terms import Cause, Circumstance, Phenomenon, Tendency
from tests.apparatus.made import made_audit, made_habit

WIDE = 1000  # letters; nothing is wrapped
LEVELS = 0.95, 0.05  # confidence of the intervals, level of the finds


def test_an_account_gives_rate_interval_place_and_source() -> None:
    """The account of a habit has count, chances, interval, the circumstances that tell, and the sources."""
    habit = made_habit()
    one = habit.confusion
    often, where, printed = account(habit, *LEVELS)
    assert f"r for ꞅ at {one.count} of {one.chances} chances" in often
    assert f"{1000 * one.low:.3g} to {1000 * one.high:.3g}" in often
    assert "in 2 different words (syndon, se)" in often
    assert where == "More often as the first letter of a word (2 of 4)."
    assert printed == (
        "Parallels: r for ꞅ (insular: a handbook, p. 1; from memory, not checked in a source); s, r as a pair"
        " without direction"
        " (another script, caroline: another; read)."
    )


def test_where_nothing_differs_the_places_are_told_all_the_same() -> None:
    """Without a tendency the counts by place are given, and what was compared."""
    habit = made_habit()
    rates = tuple(replace(one, tendency=Tendency.NONE) for one in habit.rates)
    where = account(replace(habit, rates=rates), *LEVELS)[1:-1]
    assert where == [
        "Found as the first letter of a word (2 of 4), as the last letter of a word (0 of 5).",
        "No difference is shown by place in the word.",
    ]
    none = account(replace(habit, rates=(), in_print=()), *LEVELS)
    assert none[1:] == [
        "There is nothing to compare: all its chances are of one kind.",
        "Parallels: not in the published tables that the program knows.",
    ]


@pytest.mark.parametrize("kind", list(Circumstance))
def test_every_circumstance_can_be_told(kind: Circumstance) -> None:
    """Each value of each circumstance is told with its count and chances, one without a name too."""
    value = "inside" if kind is Circumstance.PLACE else ""
    told = told_value(replace(made_habit().rates[0], circumstance=kind, value=value))
    assert told.endswith("(2 of 4)")
    assert "{" not in told


def test_a_confusion_printed_the_other_way_round_is_said_to_be() -> None:
    """A source that has the letters in the other direction is not cited as if it agreed."""
    one = replace(made_habit().in_print[0], direction="reversed")
    assert told_parallel(one).startswith("the other way round, r for ꞅ")


def test_the_consequence_has_its_figures() -> None:
    """What a pattern would do: how many, among how many, what shows, and what undoing it gives."""
    pattern = made_audit().patterns[0]
    told = consequence(pattern)
    assert told[0] == "About 1.25 to be expected among 7 places, at his average rate."
    assert (
        told[1] == "In the survivors the wrong word was a known word at 1 of 2 places: there nothing shows."
    )
    assert told[2] == (
        "Undone, it turns an unknown word into a known one at 1 place, and one known word into another at 1,"
        " where nothing shows."
    )
    assert look_at(pattern) == ["X 1.2 rynd (synd)", "X 2.1 rib (sib, both words)"]


@pytest.mark.parametrize("cause", list(Cause))
def test_what_changes_no_word_is_not_said_to_be_hidden(cause: Cause) -> None:
    """Of every cause something can be said, or nothing; capitals and stops change no word."""
    pattern = replace(made_audit().patterns[0], cause=cause, undoing=None, phenomenon=Phenomenon.OMISSION)
    told = " ".join(consequence(pattern))
    assert ("changes no word" in told) == (cause in (Cause.CAPITAL, Cause.PUNCTUATION, Cause.LETTERFORM))
    assert told.count("..") == 0


def test_the_review_list_shows_each_pattern_with_all_that_is_known() -> None:
    """On the screen a pattern has its habit, its consequence, the places to look at and its examples."""
    shown = review_screen(made_audit(), WIDE)
    assert "2 kinds of error to review" in shown
    for words in (
        "1. ꞅ → r (letter confusion, systematic)",
        "How often       r for ꞅ at",
        "Circumstances   More often as the first letter of a word (2 of 4).",
        "Parallels       r for ꞅ (insular: a handbook",
        "In lost texts   About 1.25",
        "Look at         X 1.2 rynd (synd); X 2.1 rib (sib, both words)",
        "Examples        E 1r:1.2 ꞅynꝺon → ryndon",
        "2. words divided",
        "`fidelity audit`",
    ):
        assert words in shown
    assert "The first of 2 kinds of error" in review_screen(made_audit(), WIDE, most=1)


def test_whether_it_is_beyond_chance_is_said_in_one_of_three_ways() -> None:
    """Systematic; beyond chance but in one word alone; or more than chance gives, not for certain."""
    habit = made_habit()
    for systematic, q_value, said in (
        (True, 0.001, "beyond chance (chance"),
        (False, 0.001, "beyond chance, but in one word only"),
        (False, 0.2, "more than chance gives, but not for certain"),
    ):
        one = replace(habit.confusion, systematic=systematic, q_value=q_value)
        assert said in account(replace(habit, confusion=one), *LEVELS)[0]


def test_all_places_are_in_their_table_though_the_screen_stops() -> None:
    """The screen shows ten places and says how many more there are; the table has them all."""
    made = made_audit()
    undoing = made.patterns[0].undoing
    assert undoing is not None
    many = replace(made.patterns[0], undoing=replace(undoing, looks=undoing.looks * 8))
    assert "6 more in look_at.csv" in review_screen(replace(made, patterns=(many,)), WIDE)
    assert len(look_rows([many])) == 16
    assert len(pattern_rows([many])[0]["look_at"]) == 10  # type: ignore[arg-type]


def test_a_place_unlike_his_is_marked() -> None:
    """Where he never made this error in the survivors that is said beside the place."""
    made = made_audit().patterns[0]
    assert made.undoing is not None
    unlike = replace(made.undoing.looks[0], unlike=True)
    told = look_at(replace(made, undoing=replace(made.undoing, looks=(unlike,))))
    assert told == ["X 1.2 rynd (synd, not where he did it)"]


def test_a_narrow_screen_parts_no_place() -> None:
    """However narrow the screen, a place and its words stay on one line, and nothing is lost."""
    wide, narrow = (review_screen(made_audit(), width) for width in (WIDE, 50))
    assert narrow.split() == wide.split()
    assert "X 2.1 rib (sib, both words)" in narrow
    assert all(len(line) <= 50 for line in narrow.split("\n"))


def test_without_lost_texts_nothing_is_expected_of_them() -> None:
    """A dossier without lost texts has its list too, by frequency, and no word of damage."""
    made = made_audit()
    none = tuple(
        replace(one, expected_in_lost=None, places_in_lost=None, undoing=None) for one in made.patterns
    )
    audit = replace(made, dossier=replace(made.dossier, lost=()), patterns=none)
    shown = review_screen(audit, WIDE)
    assert "the most frequent first" in shown
    assert "to be expected" not in shown
    assert "What they would have done" not in page(audit)
    assert review_screen(replace(audit, patterns=()), WIDE).startswith("There is no kind of error")


def test_the_page_tells_every_habit_in_words() -> None:
    """The page has the account of each habit, and what the worst patterns would have done."""
    html = page(made_audit())
    for line in account(made_habit(), *LEVELS):
        assert line in html
    assert "What they would have done to the lost texts" in html
    assert "X 1.2 rynd (synd)" in html
