"""What the commands do with what cannot be used."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import fidelity
from fidelity.errors import DataError, Fault, UsageError
from fidelity.witnesses.data import data_folder
from tests.apparatus.made import made_audit
from tests.test_cli import fake, run

DEMO = data_folder("demo_pairs") / "wickenby_short"


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        (DataError("no such letter", file=Path("E.txt"), line=3, remedy="look again"), 1),
        (UsageError("that cannot be meant"), 2),
    ],
)
@pytest.mark.parametrize(
    "words", [("check", "D"), ("trial", "D"), ("new", "D"), ("compare", "A", "B"), ("demo", "D")]
)
def test_faults_become_messages_and_exit_codes(
    monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], fault: Exception, code: int
) -> None:
    """A fault of the data ends with 1, a wrong use with 2; the message stands on standard error alone."""
    fake(monkeypatch, words[0], fault)
    result = run(*words)
    assert (result.exit_code, result.stdout) == (code, "")
    assert result.stderr == f"{fault}\n"


def test_surprises_keep_their_traceback(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the program is not dressed up as a fault of the data."""
    fake(monkeypatch, "check", ZeroDivisionError("a surprise"))
    with pytest.raises(ZeroDivisionError):
        run("check", "D")


@pytest.mark.parametrize(
    "words",
    [
        ("audit", "D"),
        ("apply", "OUT", "--at-least", "2", "--to", "D"),
        ("align", "A", "B", "--width", "10"),
        ("compare", "A", "B", "--profile", "guess"),
        ("compare", "A"),
        ("collate",),
    ],
)
def test_wrong_use_ends_with_2(words: tuple[str, ...]) -> None:
    """What the command line cannot mean ends with 2 and says what is wrong."""
    result = run(*words)
    assert result.exit_code == 2
    assert "Error" in result.stderr


def test_audit_asks_for_the_folder_first(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A folder that may not be written is refused before the long work, and stays as it was."""
    calls = fake(monkeypatch, "audit", made_audit())
    (tmp_path / "notes.txt").write_text("mine")
    result = run("audit", "D", "--out", tmp_path)
    assert result.exit_code == 1
    assert "holds something else" in result.stderr
    assert calls == []
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_an_unknown_fold_names_the_known_ones(tmp_path: Path) -> None:
    """A fold set that is not there is a fault that lists those that are."""
    text = tmp_path / "original.txt"
    text.write_text("þiꞅ ꞅynꝺon þa", encoding="utf-8")
    result = run("compare", text, text, "--fold", "insulra")
    assert result.exit_code == 1
    assert "insular" in result.stderr


def test_files_that_are_not_there(tmp_path: Path) -> None:
    """A file that is not there is a fault of the data, named."""
    result = run("align", tmp_path / "a.txt", tmp_path / "b.txt")
    assert result.exit_code == 1
    assert "a.txt" in result.stderr


def test_faults_as_json(monkeypatch: pytest.MonkeyPatch) -> None:
    """With --json every fault stands on standard output, part by part; message and exit code stay."""
    faults = [
        Fault("no such letter", Path("E.txt"), 3, 7, "þa ꞅꞇan", "look again"),
        Fault("that is all we know"),
    ]
    fake(monkeypatch, "check", DataError(faults=faults))
    result = run("check", "D", "--json")
    assert result.exit_code == 1
    assert result.stderr == "\n".join(map(str, faults)) + "\n"
    told = json.loads(result.stdout)["faults"]
    assert [Fault(**row | {"file": row["file"] and Path(row["file"])}) for row in told] == faults


def test_faults_as_json_are_short(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a line of any length JSON has the part around the place, as the screen has."""
    fault = Fault("wrong", Path("E.txt"), 1, 50_000, "ꞅ" * 100_000)
    fake(monkeypatch, "check", DataError(faults=[fault]))
    (told,) = json.loads(run("check", "D", "--json").stdout)["faults"]
    assert told["source"] == fault.excerpt[0]
    assert len(told["source"]) < 80


@pytest.mark.parametrize("name", ["audit", "check", "trial", "new", "demo"])
def test_a_folder_may_be_given_as_text(name: str, tmp_path: Path) -> None:
    """Where only a folder can be meant its path may be a str, and anything else is refused with a remedy."""
    (tmp_path / "dossier.toml").write_text("[copyist]\n", encoding="utf-8")
    with pytest.raises(DataError, match=re.escape(str(tmp_path))):
        getattr(fidelity, name)(str(tmp_path))
    for wrong in (3, None, ""):
        with pytest.raises(UsageError, match="is no folder") as caught:
            getattr(fidelity, name)(wrong)
        assert "path" in caught.value.faults[0].remedy


def test_all_folders_may_be_given_as_text(tmp_path: Path) -> None:
    """From an audit to the edited texts the paths may be texts."""
    demo, out, to = (str(folder) for folder in (DEMO, tmp_path / "out", tmp_path / "to"))
    fidelity.audit(demo, out=out)
    assert fidelity.apply(out, 0.9, to)[-1] == tmp_path / "to" / "changes.csv"
    assert fidelity.check(demo, str(tmp_path / "again")).copyist_name == "Erasmus Wickenby"
