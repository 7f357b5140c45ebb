"""One rule by itself: counted by hand, and the same figures as in the tables of an audit."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.cli import main
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.errors import UsageError
from fidelity.judge import Audit
from fidelity.settings import Settings
from fidelity.terms import RuleSeen
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

DEMO = Path(__file__).parents[1] / "demo_pairs" / "wickenby_long"


def seen(original: str, copy: str, where: str = "") -> RuleSeen:
    """Look at a rule in one survivor of three lines, in which s was twice read as r."""
    first = read_witness("stan on sæ\nsele wæs þær\nsunu his stod", siglum="A")
    second = read_witness("rtan on sæ\nsele wær þær\nsunu his stod", siglum="A")
    lost = (LostText("Z", read_witness("rele wæs", siglum="Z")),)
    dossier = Dossier(Path(), "", "", NO_FOLDS, (Survivor("A", first, second),), lost, (), (), Settings())
    return fidelity.rule(dossier, original, copy, where)[0]


def test_what_is_counted_by_hand() -> None:
    """Of seven s two became r: at the beginning of stan and at the end of wæs; five were copied right."""
    rule = seen("s", "r")
    assert (rule.count, rule.chances) == (2, 7)
    assert [(str(one.locus), one.original_word, one.copy_words) for one in rule.done] == [
        ("A 1.1", "stan", "rtan"),
        ("A 2.2", "wæs", "wær"),
    ]
    assert [one.original_word for one in rule.right] == ["sæ", "sele", "sunu", "his", "stod"]
    assert rule.low < 2 / 7 < rule.high
    assert rule.p_original_given_copy == pytest.approx(2 / 3)  # r stands in þær too
    assert rule.undoing is not None
    assert [(one.transmitted, one.undone) for one in rule.undoing.looks] == [("rele", "sele")]


@pytest.mark.parametrize(
    ("where", "count", "chances"),
    [
        ("place=first", 1, 5),
        ("place=last", 1, 2),
        ("before=t", 0, 0),
        ("after=t", 1, 2),
        ("before=æ", 1, 1),
        ("word=stan", 1, 1),
        ("text=A", 2, 7),
        ("text=B", 0, 0),
        ("script=insular", 0, 0),
    ],
)
def test_under_a_circumstance(where: str, count: int, chances: int) -> None:
    """The same two, by place, neighbour, word, text and script."""
    rule = seen("s", "r", where)
    assert (rule.count, rule.chances) == (count, chances)
    assert (len(rule.done), len(rule.right)) == (count, chances - count)


def test_never_seen_is_not_never() -> None:
    """Of a rule never seen it is told how often it might have been, with an upper limit."""
    rule = seen("n", "u")
    assert (rule.count, rule.chances, rule.q_value) == (0, 3, None)
    assert rule.high > 0.3


@pytest.mark.parametrize(
    ("original", "copy", "where"),
    [
        ("", "r", ""),
        ("s", "s", ""),
        ("s", "r", "after"),
        ("s", "r", "colour=red"),
        ("s", "r", "place=middle"),
    ],
)
def test_what_is_no_rule(original: str, copy: str, where: str) -> None:
    """No letters, the same letters, no such circumstance: what to write instead is told."""
    with pytest.raises(UsageError) as raised:
        seen(original, copy, where)
    assert raised.value.faults[0].remedy


@cache
def audited() -> Audit:
    return fidelity.patterns(DEMO)


@pytest.mark.parametrize(("original", "copy"), [("ꞅ", "r"), ("þ", "th"), ("n", "u"), ("un", "nu"), ("n", "")])
def test_the_figures_are_those_of_the_tables(original: str, copy: str) -> None:
    """On the long demo: count, chances and circumstances of confusions.csv and circumstances.csv."""
    rule, _ = fidelity.rule(DEMO, original, copy)
    (one,) = (c for c in audited().confusions if (c.original, c.copy) == (original, copy))
    assert (rule.count, rule.chances) == (one.count, one.chances)
    assert (rule.low, rule.high) == pytest.approx((one.low, one.high))
    assert len(rule.done) == one.count
    ours = {(r.circumstance, r.value): (r.count, r.chances) for r in rule.rates}
    for habit in (h for h in audited().habits if h.confusion == one):
        theirs = {(r.circumstance, r.value): (r.count, r.chances) for r in habit.rates}
        assert theirs.items() <= ours.items()  # which values are told depends on the other confusions too


def test_screen_and_json_say_the_same() -> None:
    """The command tells count and places; as JSON every place; a wrong circumstance ends with 2."""
    run = CliRunner().invoke(main, ["rule", str(DEMO), "ꞅ", "r", "--where", "after=ꞇ"])
    assert run.exit_code == 0
    assert "5 of 413 chances" in run.output
    assert max(map(len, run.output.splitlines())) <= 100
    found = json.loads(
        CliRunner().invoke(main, ["rule", str(DEMO), "ꞅ", "r", "--where", "after=ꞇ", "--json"]).output
    )
    assert (found["count"], found["chances"], len(found["followed"])) == (5, 413, 5)
    assert all(place["locus"] in run.output for place in found["followed"])
    wrong = CliRunner().invoke(main, ["rule", str(DEMO), "ꞅ", "r", "--where", "sideways=ꞇ"])
    assert wrong.exit_code == 2
    assert "after=" in wrong.stderr


def test_letters_that_stay_are_no_part_of_a_rule() -> None:
    """Sta for rta is s for r after nothing else: what stays is said by --where."""
    with pytest.raises(UsageError) as raised:
        seen("st", "rt")
    assert raised.value.faults[0].remedy == "look at s r, with --where after=t"
    with pytest.raises(UsageError) as raised:
        seen("æs", "ær")
    assert raised.value.faults[0].remedy == "look at s r, with --where before=æ"


def test_places_are_printed_in_their_own_letterforms() -> None:
    """What is folded to be compared is not what a reader finds in the manuscript."""
    short = DEMO.parent / "wickenby_short"
    found, _ = fidelity.rule(short, "ꞅ", "r")
    (place,) = (one for one in found.done if str(one.locus) == "B 3.3")
    assert (place.original_word, place.normalised) == ("miꞅꞇe", "miste")
    screen = CliRunner().invoke(main, ["rule", str(short), "ꞅ", "r"]).output
    assert "B 3.3 miꞅꞇe → mirte." in screen.replace("\n", " ")
    assert "miste" not in screen
    assert "þis (" not in screen
