"""Writing a decision down: its effect is told, what changes nothing is refused, all can be undone."""

from __future__ import annotations

import csv
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.cli import main
from fidelity.dossier import read_dossier
from fidelity.errors import DataError, UsageError
from fidelity.judge import judge
from fidelity.readings.decided import standing, told
from fidelity.readings.evidence import EvidenceBook
from fidelity.terms import Cause
from fidelity.terms.decisions import Decision, Ruling
from tests.test_decisions import DEMO, TOLD


@pytest.fixture
def dossier(tmp_path: Path) -> Path:
    shutil.copytree(DEMO, tmp_path / "dossier")
    return tmp_path / "dossier"


def table(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


def run(dossier: Path, *words: str, reason: str = "r") -> str:
    line = ["decide", str(dossier), *words, "--reason", reason, "--who", "w"]
    result = CliRunner().invoke(main, line)
    return result.output


@pytest.mark.parametrize(
    ("decision", "what"),
    [
        (("E 5.1", "pair", "ꞅꞇꞃeameꞅ"), "E 5.1: “stneamer” answers “ꞅꞇꞃeameꞅ” already"),
        (("E 1.1", "not_his"), r"E 1.1 \(Regnante : Regnante\): original and copy do not differ there"),
        (("X 7.1", "adopted", "rece"), "X 7.1: “rece” is what is transmitted there"),
        (("X 7.1", "adopted", "∅"), "∅ stands for no letters: it cannot be adopted"),
    ],
)
def test_what_changes_nothing_is_refused(dossier: Path, decision: tuple[str, ...], what: str) -> None:
    """What stands there is told, and nothing is written."""
    with pytest.raises(DataError, match=what):
        fidelity.decide(dossier, *decision, **TOLD)
    assert not (dossier / "decisions.csv").exists()


def test_a_decision_is_not_made_twice(dossier: Path) -> None:
    """The same once more is refused with its line; for another reason it may be made again."""
    fidelity.decide(dossier, "X 7.1", "kept", **TOLD)
    with pytest.raises(DataError, match="X 7.1 is decided so already, in line 2: X 7.1 rece: kept"):
        fidelity.decide(dossier, "X 7.1", "kept", **TOLD)
    fidelity.decide(dossier, "X 7.1", "kept", reason="another", who="E. Ditor")
    assert [row["reason"] for row in table(dossier / "decisions.csv")] == ["another"]


def test_what_will_change_is_told_before_it_is_written(dossier: Path) -> None:
    """Of a pair the differences that go and come, of what is not his those that are set aside."""
    there: list[bool] = []

    def tell(_: str) -> None:
        there.append((dossier / "decisions.csv").exists())

    made = fidelity.decide(dossier, "E 5.13", "pair", "ac.", transmitted="ac", progress=tell, **TOLD)
    assert made.changes == (
        "“ac” answers “ac.”",
        "differences no more: E 5.12 ac. oꝼ þæꞃe → nothing",
        "differences instead: E 5.12 . oꝼ þæꞃe ac → nothing",
    )
    assert there == [False] * 3
    made = fidelity.decide(dossier, "E 5.1", "not_his", **TOLD)
    assert made.changes == (
        "counted nowhere any more, and nothing is learned from it: E 5.1 ꞃ → n; E 5.1 ꞅ → r",
    )


def test_an_earlier_decision_that_gives_way_is_named(dossier: Path) -> None:
    """With its line; in a lost text for words in common, in a survivor for differences in common."""
    run(dossier, "X 7.1", "adopted", "sece")
    run(dossier, "X 7.2", "kept")
    given_way = "overrides line 2 of decisions.csv (X 7.1 rece: adopted sece)"
    assert given_way in run(dossier, "X 7.1-7.2", "kept")
    run(dossier, "E 5.1", "not_his")
    told = run(dossier, "E 5.1-5.2", "not_his")
    assert "overrides line 5 of decisions.csv (E 5.1 stneamer: not_his)" in told
    assert "overrides" not in run(dossier, "X 6.1", "kept")
    why = [one.why for one in standing(read_dossier(dossier)) if one.why]
    assert why == ["line 4 decides some of the same words"] * 2


def test_what_fails_is_told_to_change_nothing(dossier: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the file cannot be written, nothing is told to have changed."""

    def fails(*_: object, **__: object) -> None:
        raise DataError("another run is writing to this folder")

    monkeypatch.setattr("fidelity.variants.deciding.write_decision", fails)
    line = ["decide", str(dossier), "X 7.1", "adopted", "sece", "--reason", "r", "--who", "w"]
    told = CliRunner().invoke(main, line)
    assert told.exit_code == 1
    assert "Changes" not in told.output


def test_a_decision_is_withdrawn(dossier: Path) -> None:
    """The line goes to the earlier ones, and who took it back and why; it is in force no more."""
    run(dossier, "X 7.1", "adopted", "sece", reason="sense")
    run(dossier, "E 5.1", "not_his")
    output = run(dossier, "X 7.1", "withdrawn", reason="no sense")
    assert output.splitlines()[:2] == [
        "Changes: this is decided no more: X 7.1 rece: adopted sece.",
        "X 7.1 (rece): withdrawn",
    ]
    assert [row["text"] for row in table(dossier / "decisions.csv")] == ["E"]
    earlier = table(dossier / "decisions_earlier.csv")
    assert [(row["decision"], row["reason"]) for row in earlier] == [
        ("adopted", "sense"),
        ("withdrawn", "no sense"),
    ]
    assert [one.text for one in read_dossier(dossier).decisions] == ["E"]
    with pytest.raises(DataError, match="nothing is decided of X 7.1") as raised:
        fidelity.decide(dossier, "X 7.1", "withdrawn", **TOLD)
    assert "E 5.1" in raised.value.faults[0].remedy
    line = ["decide", str(dossier), "E 5.1", "withdrawn", "--reason", "r", "--who", "w", "--json"]
    told = json.loads(CliRunner().invoke(main, line).output)
    assert (told["withdrawn"], told["decision"], len(told["replaced"])) == (True, "not_his", 1)


def test_a_stale_decision_is_withdrawn(dossier: Path) -> None:
    """Also one on words that the line has no more."""
    run(dossier, "X 1.6", "kept")
    copy = dossier / "X" / "copy.txt"
    first, rest = copy.read_text(encoding="utf-8").split("\n", 1)
    copy.write_text(first.rpartition(" ")[0] + "\n" + rest, encoding="utf-8")
    assert "withdrawn" in run(dossier, "X 1.6", "withdrawn")
    assert table(dossier / "decisions.csv") == []


@pytest.mark.parametrize("reason", ["", "  "])
def test_a_decision_needs_a_reason(dossier: Path, reason: str) -> None:
    """None is written without one; in a table filled in by hand it is allowed, and told."""
    with pytest.raises(UsageError, match="without a reason"):
        fidelity.decide(dossier, "X 7.1", "kept", reason=reason, who="E. Ditor")
    assert not (dossier / "decisions.csv").exists()
    head = "text,locus,transmitted,decision,reason,when\n"
    rows = "X,7.1,rece,kept,,2024-03-31\nX,7.2,gif,kept,so,2024-03-31\n"
    (dossier / "decisions.csv").write_text(head + rows, encoding="utf-8")
    notes = told(standing(read_dossier(dossier)))
    assert "decisions without a reason: 1 (X 7.1)" in notes


def test_an_unknown_cause_is_answered_with_all_there_are(dossier: Path) -> None:
    """The nearest first, then the list."""
    with pytest.raises(DataError) as raised:
        fidelity.decide(dossier, "E 6.1", "cause", "eyeskip", **TOLD)
    remedy = raised.value.faults[0].remedy
    assert remedy.startswith("did you mean eye_skip? known: letterform, capital")
    assert remedy.endswith("undetermined")


@pytest.mark.parametrize("cause", list(Cause))
def test_a_cause_counts_once(cause: Cause) -> None:
    """The table of confusions and the evidence of readings have one count, whatever cause is decided.

    Of ꞅ→r in ꞅynꝺon the other twelve places stay as they are.
    """
    dossier = read_dossier(DEMO)
    decision = Decision("E", "4.2", Ruling.CAUSE, "ryndon", "ꞅynꝺon", str(cause), line=2)
    found = judge(replace(dossier, decisions=(decision,)))
    assert [one.applied for one in found.decisions] == ["yes"]
    (counted,) = (one.count for one in found.confusions if (one.original, one.copy) == ("ꞅ", "r"))
    assert counted in (12, 13)
    book = EvidenceBook(found.by_survivor, found.variants, found.counts, dossier.folds)
    evidence = book.of(("s", "r"), "syndon", 0, 20)
    assert evidence.count == counted
    assert ("E 4.2" in evidence.parallels) is (counted == 13)
