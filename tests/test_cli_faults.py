"""What the commands do with what cannot be used."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.errors import DataError, UsageError
from tests.apparatus.made import made_audit
from tests.test_cli import fake, run


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
