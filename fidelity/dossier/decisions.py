"""Read the editor's own decisions, which lie beside the dossier.toml.

Arrives: ``decisions.csv``, and the texts of the dossier. Leaves: ``Decision``s in their order, or
every fault with line and column. Start reading at ``decisions_of``.
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fidelity.dossier.contents import Dossier, LostText, Survivor
from fidelity.dossier.decision_rows import BYTE_ORDER_MARK, COLUMNS, MUST, FileRow, FileRows, rows_of
from fidelity.dossier.word_places import WordPlace, nearest, words_at
from fidelity.errors import DataError, Fault
from fidelity.letters import NOTHING, encode
from fidelity.terms import Cause, Witness
from fidelity.terms.decisions import OF_LOST_TEXTS, OF_SURVIVORS, WITH_VALUE, Decision, Ruling

if TYPE_CHECKING:
    from fidelity.dossier.texts import DossierTexts

DECISIONS = "decisions.csv"
EARLIER = "decisions_earlier.csv"
_OTHER_DATES = (  # as spreadsheets write them; the day first, since a month above 12 tells the other way
    re.compile(r"(?P<d>\d{1,2})[./](?P<m>\d{1,2})[./](?P<y>\d{4})"),
    re.compile(r"(?P<m>\d{1,2})[./](?P<d>\d{1,2})[./](?P<y>\d{4})"),
    re.compile(r"(?P<y>\d{4})[./-](?P<m>\d{1,2})[./-](?P<d>\d{1,2})"),
)


def read_rows(file: Path) -> FileRows:
    """Read a file of decisions line by line; one that is not there has no lines.

    Raises:
        DataError: it cannot be read, or is no UTF-8 text.
    """
    from fidelity.witnesses.source_text import text_of_file

    if not file.exists():
        return rows_of("")
    text = text_of_file(file)
    with file.open("rb") as opened:
        marked = opened.read(3) == BYTE_ORDER_MARK.encode("utf-8")
    return rows_of(BYTE_ORDER_MARK * marked + text)


def decisions_of(
    texts: DossierTexts, survivors: Sequence[Survivor], lost: Sequence[LostText]
) -> tuple[Decision, ...]:
    """Read the decisions of a dossier; faults join the dossier's.

    Args:
        texts: the files of the dossier.
        survivors, lost: its texts, as far as they could be read.
    """
    file = texts.folder / DECISIONS
    if not file.exists():
        return ()
    try:
        rows = read_rows(file)
    except DataError as error:
        texts.faults += error.faults
        return ()
    texts.note_digest(file)
    if texts.faults:
        return ()  # a text that could not be read is no unknown text
    found, faults = checked(rows, file, survivors, lost)
    texts.faults += faults
    return tuple(found)


def checked(
    rows: FileRows, file: Path, survivors: Sequence[Survivor], lost: Sequence[LostText]
) -> tuple[list[Decision], list[Fault]]:
    """Give the decisions of a file, and what is wrong with it."""
    missing = [name for name in MUST if name not in rows.names]
    if rows.head >= 0 and missing:
        head = rows.rows[rows.head]
        near = [nearest(name, [one for one in rows.names if one not in COLUMNS]) for name in missing[:1]]
        remedy = f"{' '.join(filter(None, near))} name the columns {', '.join(COLUMNS)}".strip()
        what = f"the table has no column {missing[0]}"
        return [], [Fault(what, file, head.line, 1, _first_line(head), remedy)]
    texts = {one.id: one.original for one in survivors} | {one.id: one.copy for one in lost}
    check = _Check(rows, file, texts, frozenset(one.id for one in lost))
    found = [decision for row in rows.decisions if (decision := check.decision(row))]
    return found, check.faults


class _Check:
    """What is known while the lines of a file are checked."""

    def __init__(
        self, rows: FileRows, file: Path, texts: Mapping[str, Witness], lost: frozenset[str]
    ) -> None:
        self.rows, self.file, self.texts, self.lost = rows, file, texts, lost
        self.faults: list[Fault] = []

    def decision(self, row: FileRow) -> Decision | None:
        """Give the decision of a line; None where it is faulty."""
        before = len(self.faults)
        if not row.closed or len(row.cells) > len(self.rows.names):
            self._misshapen(row)
            return None
        record = self.rows.record(row)
        text, ruling = record["text"], record["decision"]
        if text not in self.texts:
            self._fault(row, "text", f"there is no text {text}", list(self.texts))
        kinds = [str(one) for one in (OF_LOST_TEXTS if text in self.lost else OF_SURVIVORS)]
        if ruling not in list(Ruling):
            self._fault(row, "decision", f"{ruling or 'nothing'} is no decision", list(map(str, Ruling)))
        elif text in self.texts and ruling not in kinds:
            what = "lost text" if text in self.lost else "survivor"
            remedy = f"of a {what} can be decided: {', '.join(kinds)}"
            self._fault(row, "decision", f"{text} is a {what}: {ruling} cannot be decided of it", (), remedy)
        elif fault := value_fault(Ruling(ruling), record.get("value", "")):
            self._fault(row, "value", *fault)
        locus = self._locus(row, text, record["locus"]) if text in self.texts else ""
        when = _dated(record["when"])
        if when is None:
            self._fault(row, "when", f"{record['when']} is no date", (), _date_meant(record["when"]))
        if len(self.faults) > before:
            return None
        told = {name: record.get(name, "") for name in ("original", "value", "reason", "who")}
        words = record["transmitted"]
        return Decision(text, locus, Ruling(ruling), words, **told, when=when or "", line=row.line)

    def _locus(self, row: FileRow, text: str, cited: str) -> str:
        """Give the locus in the one form, or as it is where the line has not so many words any more."""
        found = words_at(self.texts[text], text, cited)
        if found is None:
            labels = [f"{label}.1" for label in self.texts[text].labels]
            near = nearest(cited.removeprefix(text + " "), labels)
            self._fault(row, "locus", f"{text} has no place {cited}", (), near)
        return found.locus if isinstance(found, WordPlace) else cited.removeprefix(text + " ").strip()

    def _misshapen(self, row: FileRow) -> None:
        """Say that a line cannot be taken apart."""
        more = f"{len(row.cells)} cells, but {len(self.rows.names)} columns are named"
        what = more if row.closed else "a quotation mark is opened and not closed"
        remedy = (
            'put a cell that holds the sign between the cells into quotation marks ("…"), doubling any in it'
        )
        self.faults.append(Fault(what, self.file, row.line, 1, _first_line(row), remedy))

    def _fault(self, row: FileRow, name: str, what: str, known: Sequence[str] = (), remedy: str = "") -> None:
        """Add a fault of one cell."""
        if known:
            cell = self.rows.cell(row, name)
            remedy = f"{nearest(cell, known)} known: {', '.join(known)}"
        at = self.rows.names.index(name) if name in self.rows.names else len(row.starts)
        before = row.raw[: row.starts[at]] if at < len(row.starts) else row.raw
        line, source = row.line + before.count("\n"), row.raw.split("\n")[before.count("\n")]
        column = len(encode(before.rpartition("\n")[2])) + 1
        self.faults.append(Fault(what, self.file, line, column, source, remedy))


def undecided(dossier: Path | Dossier) -> Dossier:
    """Give a dossier without the editor's decisions."""
    if isinstance(dossier, Path):
        from fidelity.dossier.read import read_dossier  # which itself reads decisions

        dossier = read_dossier(dossier)
    return replace(dossier, decisions=())


def value_fault(ruling: Ruling, value: str) -> tuple[str, Sequence[str], str] | None:
    """Say what is wrong with the value of a decision: what, the known values, what to do; else None."""
    if ruling is Ruling.CAUSE and value not in list(Cause):
        return f"{value or 'nothing'} is no cause", list(map(str, Cause)), ""
    if ruling in WITH_VALUE and not value.strip():
        wanted = "the reading" if ruling is Ruling.ADOPTED else "the original's words"
        return f"{ruling} without a value", (), f"give {wanted} as value"
    if ruling is Ruling.ADOPTED and value.strip() == NOTHING:
        remedy = "to leave words out, decide of them together with a word beside them, and adopt that word"
        return f"{NOTHING} stands for no letters: it cannot be adopted", (), remedy
    if ruling not in WITH_VALUE and value.strip():
        with_one = ", ".join(WITH_VALUE)
        return f"{ruling} has no value, but {value} is given", (), f"only {with_one} have a value"
    return None


def _first_line(row: FileRow) -> str:
    return row.raw.split("\n", 1)[0]


def _is_date(written: str) -> bool:
    """Tell whether this is an ISO date."""
    try:
        return datetime.date.fromisoformat(written).isoformat() == written
    except ValueError:
        return False


def _dated(written: str) -> str | None:
    """Give a date as ISO 8601 has it, "" where none is told; None where it cannot be told for certain.

    >>> _dated("2024-03-31"), _dated("31.3.2024"), _dated(""), _dated("3/4/2024")
    ('2024-03-31', '2024-03-31', '', None)
    """
    if not written or _is_date(written):
        return written
    if "/" in written or not (found := _OTHER_DATES[0].fullmatch(written.strip())):
        return None
    try:
        return datetime.date(int(found["y"]), int(found["m"]), int(found["d"])).isoformat()
    except ValueError:
        return None


def _date_meant(written: str) -> str:
    """Say how a date is to be written; the one that was meant, if that can be told."""
    for pattern in _OTHER_DATES:
        found = pattern.fullmatch(written.strip())
        if found:
            try:
                day = datetime.date(int(found["y"]), int(found["m"]), int(found["d"]))
            except ValueError:
                continue
            return f"did you mean {day.isoformat()}?"
    return "write year, month and day, as in 2024-03-31"
