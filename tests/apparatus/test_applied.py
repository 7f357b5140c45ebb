"""Proposals of a written audit, applied to the texts it keeps."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from fidelity.apparatus import applied
from fidelity.apparatus.applied import apply_folder, read_changes
from fidelity.apparatus.folder import write_audit
from fidelity.errors import DataError, UsageError
from fidelity.readings.apply import Change, undone
from fidelity.terms import Locus, Witness
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.apparatus.made import made_audit


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """Give the folder of the audit made by hand."""
    write_audit(made_audit(), tmp_path / "out")
    return tmp_path / "out"


def test_text_and_changes_are_written(out: Path, tmp_path: Path) -> None:
    """The folder has the text of each lost original and the list of every change."""
    files = apply_folder(out, 0.5, tmp_path / "texts")
    assert [file.name for file in files] == ["X.txt", "X_as_transmitted.txt", "changes.csv"]
    assert (
        files[0].read_text(encoding="utf-8")
        == "[fol. 3v]\nIc wæs on fyre\nfæste neaht-\nnestig <b>&amp;</b>\n"
    )
    assert read_changes(tmp_path / "texts") == [
        {
            "reading": 1,
            "text": "X",
            "locus": "X 3v:1.2",
            "transmitted": "wær",
            "proposed": "wæs",
            "probability": 0.712346,
            "kind": "misreading",
            "ground": "ope_ingenii",
            "evidence": "s→r 2 of 9",
            "copy_start": 3,
            "copy_end": 6,
            "decision": "",
        },
        {
            "reading": 3,
            "text": "X",
            "locus": "X 3v:2.2",
            "transmitted": "neaht nestig",
            "proposed": "neahtnestig",
            "probability": 0.55,
            "kind": "division",
            "ground": "ope_ingenii",
            "evidence": "s→r 2 of 9",
            "copy_start": 21,
            "copy_end": 33,
            "decision": "",
        },
    ]


def test_the_untouched_text_stands_beside_the_edited(out: Path, tmp_path: Path) -> None:
    """ID_as_transmitted.txt is the copy byte for byte, and undoing changes.csv in ID.txt leads back to it."""
    files = apply_folder(out, 0.5, tmp_path / "texts")
    assert files[1].read_bytes() == (out / "texts" / "X.txt").read_bytes()
    rows = read_changes(tmp_path / "texts")
    changes = [
        Change(
            int(str(row["reading"])), Locus("X", "1"), str(row["transmitted"]), str(row["proposed"]), 0.5,
            (int(str(row["copy_start"])), int(str(row["copy_end"]))),
        )
        for row in rows
    ]  # fmt: skip
    edited = read_witness(files[0], siglum="X")
    assert write_plain(undone(edited, changes)).encode() == files[1].read_bytes()


def test_nothing_probable_enough_gives_the_text_as_transmitted(out: Path, tmp_path: Path) -> None:
    """Where no proposal is so probable the text is the copy, and the list is empty."""
    files = apply_folder(out, 0.99, tmp_path / "texts")
    assert files[0].read_bytes() == (out / "texts" / "X.txt").read_bytes()
    assert read_changes(tmp_path / "texts") == []


def test_a_table_stays_a_table(tmp_path: Path) -> None:
    """A lost text in parallel fields comes back as a table with its fields."""
    audit = made_audit()
    copy = replace(Witness("G", "lupus\tpulf"), fields=("lemma", "gloss"))
    lost = replace(audit.dossier.lost[0], id="G", copy=copy)
    reading = replace(audit.readings[0], text="G", copy_span=(6, 10), transmitted="pulf", proposed="wulf")
    write_audit(
        replace(audit, dossier=replace(audit.dossier, lost=(lost,)), readings=(reading,)), tmp_path / "out"
    )
    files = apply_folder(tmp_path / "out", 0.5, tmp_path / "texts")
    assert files[0].name == "G.tsv"
    assert files[0].read_text(encoding="utf-8") == "locus\tlemma\tgloss\n1\tlupus\twulf\n"


def test_a_changed_text_is_refused(out: Path, tmp_path: Path) -> None:
    """If the copy in the audit's folder was edited, no proposal is put where it does not belong."""
    text = out / "texts" / "X.txt"
    text.write_text(text.read_text(encoding="utf-8").replace("Ic wær", "Ic ne wær"), encoding="utf-8")
    with pytest.raises(DataError, match="but the copy has"):
        apply_folder(out, 0.5, tmp_path / "texts")
    assert not (tmp_path / "texts").exists()


@pytest.mark.parametrize(
    "summary",
    ["", "{}", "[]", '{"colophon": {"program": "another"}}', '{"colophon": {"program": "fidelity"}}'],
)
def test_what_is_no_audit_is_refused(tmp_path: Path, summary: str) -> None:
    """A folder without the summary of an audit is a fault of the data."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "summary.json").write_text(summary)
    with pytest.raises(DataError, match="not the folder of an audit"):
        apply_folder(tmp_path / "out", 0.5, tmp_path / "texts")


def test_a_damaged_table_of_readings_is_refused(out: Path, tmp_path: Path) -> None:
    """A probability that is no number is reported with its reading."""
    file = out / "readings.csv"
    file.write_text(file.read_text(encoding="utf-8").replace("0.712346", "high"), encoding="utf-8")
    with pytest.raises(DataError, match="reading 1"):
        apply_folder(out, 0.5, tmp_path / "texts")


def test_edited_texts_are_never_replaced(out: Path, tmp_path: Path) -> None:
    """A folder with anything in it is left alone: an editor may have worked on the texts."""
    apply_folder(out, 0.5, tmp_path / "texts")
    (tmp_path / "texts" / "X.txt").write_text("edited by hand")
    with pytest.raises(DataError, match="not an empty folder"):
        apply_folder(out, 0.5, tmp_path / "texts")
    assert (tmp_path / "texts" / "X.txt").read_text() == "edited by hand"


def test_a_failure_leaves_nothing(out: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If the list of changes cannot be written, there is no text without it."""

    def full(*_: object) -> str:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(applied, "csv_text", full)
    with pytest.raises(DataError, match="No space left"):
        apply_folder(out, 0.5, tmp_path / "texts")
    assert [path.name for path in tmp_path.iterdir()] == ["out"]


def test_a_wrong_probability_is_a_wrong_use(out: Path, tmp_path: Path) -> None:
    """A number that is no probability has the exit code of a wrong use."""
    with pytest.raises(UsageError) as error:
        apply_folder(out, 2.0, tmp_path / "texts")
    assert error.value.exit_code == 2


def test_summary_tells_how_texts_are_read(out: Path) -> None:
    """Whoever wants to read the kept copy finds file, digest and profile in the summary."""
    kept = json.loads((out / "summary.json").read_text(encoding="utf-8"))["lost_copies"][0]
    assert kept["file"] == "texts/X.txt"
    assert (kept["profile"], kept["numbered"]) == ("plain", False)
