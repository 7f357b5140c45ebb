"""Put the proposed readings of an audit into the lost texts, and write both texts and changes.

Arrives: the folder of an audit, a least probability, the path of a new folder. Leaves: the folder
with each lost text, edited and as transmitted, and ``changes.csv``. Start reading at ``apply_folder``.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_decisions import DECISION_COLUMNS
from fidelity.apparatus.entries_texts import CHANGE_COLUMNS, change_rows
from fidelity.apparatus.folder import READINGS, SUMMARY, written_whole
from fidelity.apparatus.summary import PROGRAM
from fidelity.apparatus.tables import csv_text, read_csv
from fidelity.errors import DataError, UsageError
from fidelity.readings.apply import Change, apply_readings
from fidelity.terms import Locus, ProposedReading, Witness
from fidelity.terms.decisions import APPLIED, Ruling
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.read import read_witness

CHANGES = "changes.csv"
DECISIONS = "decisions.csv"
LEFT_ALONE = (Ruling.KEPT, Ruling.CRUX)
PARALLELS = "parallels.csv"
PARTNER = "partner"  # the kind of a change that goes with another
AS_TRANSMITTED = "_as_transmitted"  # added to the name of a text
LIMITS = re.compile(r" \([^()]* per 1,000\)")  # of a rate, left out of the list of changes

_NEEDED = (
    *("reading", "text", "locus", "transmitted", "proposed", "probability", "kind", "ground", "evidence"),
    *("verdict", "copy_start", "copy_end", "decision"),
)


def apply_folder(out: Path, at_least: float, to: Path) -> list[Path]:
    """Write the lost texts with the proposals of at least this probability in them.

    Args:
        out: the folder that an audit was written to.
        at_least: least probability, 0-1.
        to: the folder to write: ``ID.txt`` for each lost text (``ID.tsv`` for one in parallel
            fields), beside it ``ID_as_transmitted.txt``, byte for byte as the audit keeps it, and
            ``changes.csv``. New or empty: an edited text is never replaced.

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
    readings, evidence = _readings(out / READINGS)
    readings += _partners(out / PARALLELS, readings, {copy.siglum: copy for copy in copies.values()})
    texts: dict[str, bytes] = {}
    changes: list[Change] = []
    for file, copy in copies.items():
        own = [reading for reading in readings if reading.text == copy.siglum]
        text, made = apply_readings(copy, own, at_least)
        name = Path(file)
        texts[name.name] = text.encode("utf-8")
        texts[f"{name.stem}{AS_TRANSMITTED}{name.suffix}"] = (out / file).read_bytes()
        changes += [replace(one, evidence=evidence[one.reading]) for one in made]
    with written_whole(to) as folder:
        for file, content in texts.items():
            (folder / file).write_bytes(content)
        table = csv_text(CHANGE_COLUMNS, change_rows(changes))
        (folder / CHANGES).write_text(table, encoding="utf-8", newline="")
    return [to / name for name in [*texts, CHANGES]]


def read_changes(to: Path) -> list[Row]:
    """Read back the list of changes that ``apply_folder`` wrote."""
    rows = read_csv(to / CHANGES, CHANGE_COLUMNS)
    numbers = ("reading", "copy_start", "copy_end")
    return [
        row
        | {name: int(row[name]) for name in numbers}
        | {"probability": float(row["probability"]) if row["probability"] else None}
        for row in rows
    ]


def left_alone(out: Path) -> list[Row]:
    """Give the decisions of an audit by which places of the lost texts stay as they are transmitted.

    Args:
        out: the folder that the audit was written to.
    """
    rows = read_csv(out / DECISIONS, DECISION_COLUMNS) if (out / DECISIONS).exists() else []
    return [dict(row) for row in rows if row["applied"] == APPLIED and row["decision"] in LEFT_ALONE]


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
    given: Mapping[str, Any] = copy.get("his_marks", {})
    signs: dict[str, Any] = {key: tuple(one) if isinstance(one, list) else one for key, one in given.items()}
    return read_witness(out / copy["file"], siglum=copy["text"], his_marks=HisMarks(**signs), **how)


def _readings(file: Path) -> tuple[list[ProposedReading], dict[int, str]]:
    """Read the proposals back, as far as they are needed to be applied, and the evidence in short."""
    readings, evidence = [], {}
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
                    probability=float(row["probability"] or 0),
                    verdict=row["verdict"],
                    kind=row["kind"],
                    ground=row["ground"],
                    decision=row["decision"],
                )
            )
            evidence[readings[-1].number] = LIMITS.sub("", row["evidence"])
        except ValueError as error:
            remedy = "take the file as it was written; it is not meant to be edited"
            raise DataError(f"reading {row['reading']}: {error}", file=file, remedy=remedy) from None
    return readings, evidence


def _partners(
    file: Path, readings: Sequence[ProposedReading], copies: Mapping[str, Witness]
) -> Iterator[ProposedReading]:
    """Give for each proposal the change of its partner that goes in with it; none of an earlier audit."""
    if not file.is_file():
        return
    by_number = {one.number: one for one in readings}
    for row in read_csv(file, ("reading", "moves_with", "partner", "partner_start", "partner_end")):
        one = by_number.get(int(row["reading"])) if row["partner"] and row["reading"] else None
        if one is not None and one.decision in ("", Ruling.OPEN):  # what is decided, the editor words
            start, end = int(row["partner_start"]), int(row["partner_end"])
            yield replace(
                one,
                locus=copies[one.text].locus(start),
                copy_span=(start, end),
                transmitted=row["moves_with"].partition(" → ")[0],
                proposed=row["partner"],
                kind=PARTNER,
            )


def _locus(text: str, cited: str) -> Locus:
    """Read a locus of a text back: what stands after the last full stop is the word."""
    place = cited.removeprefix(text).strip()
    line, _, word = place.rpartition(".")
    return Locus(text, line, int(word)) if line and word.isdecimal() else Locus(text, place)
