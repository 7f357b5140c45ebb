"""Put the proposed readings of an audit into the lost texts, and write both texts and changes.

Arrives: the folder of an audit, a least probability, the path of a new folder. Leaves: the folder
with one text for each lost text and ``changes.csv``. Start reading at ``apply_folder``.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_texts import CHANGE_COLUMNS, change_rows
from fidelity.apparatus.folder import READINGS, SUMMARY, written_whole
from fidelity.apparatus.summary import PROGRAM
from fidelity.apparatus.tables import csv_text, read_csv
from fidelity.errors import DataError, UsageError
from fidelity.readings.apply import Change, apply_readings
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.witnesses.read import read_witness

CHANGES = "changes.csv"

_NEEDED = ("reading", "text", "locus", "transmitted", "proposed", "probability", "copy_start", "copy_end")


def apply_folder(out: Path, at_least: float, to: Path) -> list[Path]:
    """Write the lost texts with the proposals of at least this probability in them.

    Args:
        out: the folder that an audit was written to.
        at_least: least probability, 0-1.
        to: the folder to write: ``ID.txt`` for each lost text (``ID.tsv`` for one in parallel
            fields), and ``changes.csv``. New or empty: an edited text is never replaced.

    Returns:
        The files written, ``changes.csv`` last.

    Raises:
        DataError: ``out`` is no audit or was changed, ``to`` is not empty or cannot be written.
        UsageError: ``at_least`` is no probability.
    """
    if not 0 <= at_least <= 1:
        raise UsageError(f"{at_least} is no probability", remedy="give a number from 0 to 1")
    if to.exists() and (not to.is_dir() or any(to.iterdir())):
        remedy = "name a new folder, or an empty one: texts that may have been edited are not replaced"
        raise DataError("this is not an empty folder", file=to, remedy=remedy)
    copies = _lost_copies(out)
    readings = _readings(out / READINGS)
    texts: dict[str, str] = {}
    changes: list[Change] = []
    for file, copy in copies.items():
        own = [reading for reading in readings if reading.text == copy.siglum]
        texts[Path(file).name], made = apply_readings(copy, own, at_least)
        changes += made
    with written_whole(to) as folder:
        for name, text in texts.items():
            (folder / name).write_text(text, encoding="utf-8", newline="")
        table = csv_text(CHANGE_COLUMNS, change_rows(changes))
        (folder / CHANGES).write_text(table, encoding="utf-8", newline="")
    return [to / name for name in [*texts, CHANGES]]


def read_changes(to: Path) -> list[Row]:
    """Read back the list of changes that ``apply_folder`` wrote."""
    rows = read_csv(to / CHANGES, CHANGE_COLUMNS)
    return [row | {"reading": int(row["reading"]), "probability": float(row["probability"])} for row in rows]


def _lost_copies(out: Path) -> dict[str, Witness]:
    """Read the copies of the lost texts back, as the audit kept them, by their file."""
    remedy = "name the folder that `fidelity audit … --out` wrote, unchanged"
    try:
        summary = json.loads((out / SUMMARY).read_text(encoding="utf-8"))
        if summary["colophon"]["program"] != PROGRAM:
            raise KeyError(PROGRAM)
        copies: Sequence[Mapping[str, Any]] = summary["lost_copies"]
        return {copy["file"]: _lost_copy(out, copy) for copy in copies}
    except (OSError, ValueError, KeyError, TypeError):
        raise DataError("this is not the folder of an audit", file=out, remedy=remedy) from None


def _lost_copy(out: Path, copy: Mapping[str, Any]) -> Witness:
    """Read one copy back."""
    how = {"profile": copy["profile"], "numbered": copy["numbered"]}
    return read_witness(out / copy["file"], siglum=copy["text"], **how)


def _readings(file: Path) -> list[ProposedReading]:
    """Read the proposals back, as far as they are needed to be applied."""
    readings = []
    for row in read_csv(file, _NEEDED):
        try:
            readings.append(
                ProposedReading(
                    number=int(row["reading"]),
                    text=row["text"],
                    locus=_locus(row["text"], row["locus"]),
                    copy_span=(int(row["copy_start"]), int(row["copy_end"])),
                    transmitted=row["transmitted"],
                    proposed=row["proposed"],
                    probability=float(row["probability"]),
                )
            )
        except ValueError as error:
            remedy = "take the file as it was written; it is not meant to be edited"
            raise DataError(f"reading {row['reading']}: {error}", file=file, remedy=remedy) from None
    return readings


def _locus(text: str, cited: str) -> Locus:
    """Read a locus of a text back: what stands after the last full stop is the word."""
    place = cited.removeprefix(text).strip()
    line, _, word = place.rpartition(".")
    return Locus(text, line, int(word)) if line and word.isdecimal() else Locus(text, place)
