"""An audit is written whole or not at all."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from fidelity.apparatus import folder
from fidelity.apparatus.entries_hands import HAND_TABLES
from fidelity.apparatus.entries_trial import TRIAL_TABLES
from fidelity.apparatus.folder import write_audit, written_whole
from fidelity.errors import DataError
from fidelity.terms import Witness
from fidelity.witnesses.read import read_witness
from tests.apparatus.made import made_audit

FILES = {
    "apparatus.xml",
    "apparatus.txt",
    "scores.csv",
    "variants.csv",
    "confusions.csv",
    "patterns.csv",
    "look_at.csv",
    "habits.csv",
    "circumstances.csv",
    "recheck.csv",
    "rescued.csv",
    "readings.csv",
    "imported.csv",
    "imported_places.csv",
    "consistency.csv",
    "consistency_places.csv",
    *(f"{name}.csv" for name in HAND_TABLES),
    "parallels.csv",
    "conjectures.csv",
    "attestation.csv",
    "flagged.csv",
    "flagged_rates.csv",
    "copies.csv",
    "copies_rates.csv",
    "transfer.csv",
    *(f"{name}.csv" for name in TRIAL_TABLES),
    "drift.csv",
    "page_rates.csv",
    "forecast.csv",
    "forecast_trial.csv",
    "decisions.csv",
    "summary.json",
    "report.html",
    "texts/X.txt",
    *(
        f"pictures/{name}.{kind}"
        for name in ("reliability", "forecast", "forecast_trial", "imported")
        for kind in ("svg", "pdf", "png")
    ),
}


def contents(of: Path) -> dict[str, bytes]:
    """Give every file of a folder with its bytes."""
    return {file.relative_to(of).as_posix(): file.read_bytes() for file in of.rglob("*") if file.is_file()}


def test_every_file_is_written(tmp_path: Path) -> None:
    """The files promised are there, and they are the ones that are named."""
    out = tmp_path / "out"
    files = write_audit(made_audit(), out)
    assert {file.relative_to(out).as_posix() for file in files} == FILES == set(contents(out))


def test_written_twice_is_the_same(tmp_path: Path) -> None:
    """The same audit gives the same bytes, also over an earlier one."""
    write_audit(made_audit(), tmp_path / "one")
    first = contents(tmp_path / "one")
    write_audit(made_audit(), tmp_path / "one")
    write_audit(made_audit(), tmp_path / "two")
    assert contents(tmp_path / "one") == first == contents(tmp_path / "two")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["one", "two"]


def test_lost_copies_are_kept_as_transmitted(tmp_path: Path) -> None:
    """The folder holds each lost text's copy, and reading it back gives the same letters."""
    audit = made_audit()
    lost = audit.dossier.lost[0]
    signs = replace(lost, copy=read_witness("Ic [wæs] on\nfyre", siglum="X", profile="leiden"))
    fields = replace(lost, id="G", copy=replace(Witness("G", "acer\thlin"), fields=("lemma", "gloss")))
    cited = replace(lost, id="Y", copy=read_witness("7a\tIc wæs\n7b\ton fyre", siglum="Y", numbered=True))
    copies = (signs, fields, cited)
    write_audit(replace(audit, dossier=replace(audit.dossier, lost=copies), readings=()), tmp_path / "out")
    told = json.loads((tmp_path / "out" / "summary.json").read_text(encoding="utf-8"))["lost_copies"]
    for one, how in zip(copies, told, strict=True):
        file = tmp_path / "out" / how["file"]
        again = read_witness(file, siglum=one.copy.siglum, profile=how["profile"], numbered=how["numbered"])
        assert (again.letters, again.labels, again.states) == (
            one.copy.letters,
            one.copy.labels,
            one.copy.states,
        )


def test_a_failure_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If writing fails half way, the folder is not there, nor any made on the way to it."""

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folder, "write_confusions", full)
    with pytest.raises(DataError, match="No space left on device"):
        write_audit(made_audit(), tmp_path / "new" / "deep" / "out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("fault", [OSError("disk"), ValueError("a surprise"), KeyboardInterrupt()])
def test_a_failure_leaves_the_old_audit(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fault: BaseException
) -> None:
    """If writing fails, for whatever reason, an earlier audit stands there as it was."""
    write_audit(made_audit(), tmp_path / "out")
    before = contents(tmp_path)

    def fails(*_: object) -> None:
        raise fault

    monkeypatch.setattr(folder, "_write_text", fails)
    with pytest.raises((DataError, ValueError, KeyboardInterrupt)):
        write_audit(made_audit(), tmp_path / "out")
    assert contents(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_failed_exchange_puts_the_old_folder_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the new folder cannot take its place at the last moment, the old one comes back."""
    write_audit(made_audit(), tmp_path / "out")
    before = contents(tmp_path)
    rename = Path.rename

    def refuses(self: Path, target: Path) -> Path:
        if self.name.endswith(".new"):
            raise PermissionError(13, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refuses)
    with pytest.raises(DataError, match="Permission denied"):
        write_audit(made_audit(), tmp_path / "out")
    assert contents(tmp_path) == before


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("notes.txt", "my notes"),
        ("summary.json", "{}"),
        ("summary.json", '{"colophon": {"program": "another"}, "files": ["summary.json"]}'),
        ("summary.json", "not json"),
    ],
)
def test_something_else_is_never_replaced(tmp_path: Path, name: str, text: str) -> None:
    """A folder that this program did not write is refused and left alone."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / name).write_text(text)
    before = contents(tmp_path)
    with pytest.raises(DataError, match="holds something else"):
        write_audit(made_audit(), tmp_path / "out")
    assert contents(tmp_path) == before


def test_a_file_laid_into_an_audit_is_not_lost(tmp_path: Path) -> None:
    """An audit to which somebody added a file of his own is not replaced."""
    write_audit(made_audit(), tmp_path / "out")
    (tmp_path / "out" / "my_notes.txt").write_text("X 3: look again")
    before = contents(tmp_path)
    with pytest.raises(DataError, match=r"my_notes\.txt"):
        write_audit(made_audit(), tmp_path / "out")
    assert contents(tmp_path) == before


def test_an_empty_folder_is_used(tmp_path: Path) -> None:
    """A folder made for the purpose is no hindrance."""
    (tmp_path / "out").mkdir()
    write_audit(made_audit(), tmp_path / "out")
    assert set(contents(tmp_path / "out")) == FILES


def test_a_folder_of_empty_folders_is_something_else(tmp_path: Path) -> None:
    """Folders that somebody laid out are left alone, though no file is in them yet."""
    (tmp_path / "out" / "photographs").mkdir(parents=True)
    with pytest.raises(DataError, match="holds something else"):
        write_audit(made_audit(), tmp_path / "out")


def test_a_file_in_the_way_is_refused(tmp_path: Path) -> None:
    """A file of that name is left alone."""
    (tmp_path / "out").write_text("x")
    with pytest.raises(DataError, match="a file, not a folder"):
        write_audit(made_audit(), tmp_path / "out")
    assert (tmp_path / "out").read_text() == "x"


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    """Where the folder is a link, what it leads to is written and the link stays."""
    (tmp_path / "real").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "real", target_is_directory=True)
    write_audit(made_audit(), tmp_path / "out")
    assert (tmp_path / "out").is_symlink()
    assert set(contents(tmp_path / "real")) == FILES


def test_nothing_is_seen_before_it_is_whole(tmp_path: Path) -> None:
    """While the files are being written the folder is not there."""
    out = tmp_path / "out"
    with written_whole(out) as new:
        (new / "a").write_text("a")
        assert not out.exists()
    assert (out / "a").read_text() == "a"
