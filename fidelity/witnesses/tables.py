"""Read a table of parallel fields: lemma and gloss, numeral and word, text and translation.

Arrives: TSV (without quoting) or CSV in letters. Leaves: the fields' names and a ``Row`` for each
entry, its fields parted by tabs. Start reading at ``rows_of_table``.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from fidelity.errors import Fault
from fidelity.letters import decode
from fidelity.witnesses.plain import Row
from fidelity.witnesses.source_text import MOST_FAULTS

_OTHERS = {",": (";", "\t"), "\t": (";", ",")}  # what may part the fields instead
_CELL = re.compile(r'(?:"(?:[^"]|"")*+(?:"|$)|[^,"])*+')
_PLAIN_CELL = re.compile(r"[^\t]*+")

CITATION_COLUMNS = ("locus", "entry", "n")  # a column of this name cites the entry and is no field


class _Record(NamedTuple):
    """One row of the file, not yet understood."""

    number: int
    written: str
    cells: list[str]


def rows_of_table(
    letters: str, delimiter: str, file: Path | None, faults: list[Fault]
) -> tuple[tuple[str, ...], list[Row]]:
    """Read a table; each row is an entry, cited by its number or by a citation column.

    Args:
        letters: the file in letters.
        delimiter: what parts the cells: a tab (then nothing is quoted) or a comma (CSV).
        file: where it comes from, for the faults.
        faults: is added to: ragged rows, unnamed or twice named fields, double citations.

    Returns:
        The names of the fields, as printed, and the entries.
    """
    if wrong := _wrong_delimiter(letters, delimiter, file):
        faults.append(wrong)
        return (), []
    records = _tsv(letters) if delimiter == "\t" else _csv(letters, delimiter, file, faults)
    filled = (record for record in records if any(record.cells))
    header = next(filled, None)
    if header is None:
        return (), []
    names = [decode(cell) for cell in header.cells]
    citation = _check_header(header, names, delimiter, file, faults)
    fields = tuple(name for at, name in enumerate(names) if at != citation)
    rows: list[Row] = []
    for record in filled:
        if len(record.cells) == len(names):
            rows.append(_entry(record, citation, delimiter, len(rows) + 1))
        elif all(names):  # else the header is at fault, and so are perhaps all rows
            faults.append(_ragged(record, names, delimiter, file))
    _check_citations(rows, citation or 0, delimiter, file, faults)
    return fields, [row for row in rows if row.text]


def _wrong_delimiter(letters: str, delimiter: str, file: Path | None) -> Fault | None:
    """Say that the fields are parted by another sign than the file's name promises.

    In countries with a decimal comma programs for spreadsheets part the fields of a .csv by semicolons.
    """
    number, header = next(
        ((at, row) for at, row in enumerate(letters.split("\n"), 1) if row.strip()), (0, "")
    )
    found = [sign for sign in _OTHERS[delimiter] if sign in header]
    if delimiter in header or not found:
        return None
    named = {"\t": "tabs", ",": "commas", ";": "semicolons"}
    what = f"the fields are parted by {named[found[0]]}, not by {named[delimiter]}"
    remedy = {
        (",", "\t"): "let the name of the file end in .tsv",
        (",", ";"): "save it with commas, or with tabs as .tsv",
        ("\t", ","): "let the name of the file end in .csv",
        ("\t", ";"): "save it with tabs",
    }[delimiter, found[0]]
    return Fault(what, file, number, header.index(found[0]) + 1, decode(header), remedy)


def _column_of(record: _Record | Row, at: int, delimiter: str) -> int:
    """Give the column, from 1, at which a cell of a row begins; the row's end where it has no such cell."""
    written, cell = record.written, _CELL if delimiter == "," else _PLAIN_CELL
    begins, start = list[int](), 0
    while start <= len(written):
        begins.append(start)
        found = cell.match(written, start)
        start = (found.end() if found else len(written)) + 1
    return (begins[at] if at < len(begins) else len(written)) + 1


def _tsv(letters: str) -> Iterator[_Record]:
    for number, written in enumerate(letters.split("\n"), start=1):
        yield _Record(number, written, [cell.strip() for cell in written.split("\t")])


def _csv(letters: str, delimiter: str, file: Path | None, faults: list[Fault]) -> Iterator[_Record]:
    written = letters.split("\n")
    reader = csv.reader((line + "\n" for line in written), delimiter=delimiter, strict=True)
    before = 0
    try:
        for cells in reader:
            record = _Record(before + 1, written[before], [cell.strip() for cell in cells])
            if any("\t" in cell or "\n" in cell for cell in record.cells):
                remedy = "one entry is one line: put a space, or part the entry"
                column = next((record.written.index(one) for one in '\t"' if one in record.written), 0) + 1
                source = decode(record.written)
                faults.append(
                    Fault("a tab or line end inside a cell", file, before + 1, column, source, remedy)
                )
            before = reader.line_num
            yield record
    except csv.Error as error:
        remedy = 'double a quotation mark inside a cell ("") and close each cell that opens with one'
        row = written[before] if before < len(written) else ""
        column = row.find('"') + 1 or len(row) + 1
        what = f"this is not well-formed CSV: {error}"
        faults.append(Fault(what, file, before + 1, column, decode(row), remedy))


def _check_header(
    header: _Record, names: Sequence[str], delimiter: str, file: Path | None, faults: list[Fault]
) -> int | None:
    """Check the fields' names; give the index of the citation column, if there is one."""
    citations = [at for at, name in enumerate(names) if name.lower() in CITATION_COLUMNS]
    seen: set[str] = set()
    wrong = 0
    for at, name in enumerate(names):
        what = remedy = ""
        if not name:
            what, remedy = "this field has no name", "name every field in the first row"
        elif name in seen:
            what, remedy = f"two fields are named {name}", "give each field its own name"
        elif at in citations[1:]:
            what = f"both {names[citations[0]]} and {name} would cite the entry"
            remedy = f"only one of the fields may be named {', '.join(CITATION_COLUMNS)}"
        seen.add(name)
        wrong += bool(what)
        if what and wrong <= MOST_FAULTS:
            column = _column_of(header, at, delimiter)
            faults.append(Fault(what, file, header.number, column, decode(header.written), remedy))
    if wrong > MOST_FAULTS:
        faults.append(Fault(f"and {wrong - MOST_FAULTS} more fields so", file, header.number))
    if len(citations) == len(names):
        remedy = "the first row names the fields, e.g. lemma and gloss"
        source = decode(header.written)
        faults.append(Fault("the table has no field with text", file, header.number, 1, source, remedy))
    return citations[0] if citations else None


def _entry(record: _Record, citation: int | None, delimiter: str, number: int) -> Row:
    """Make an entry of a row."""
    cells = [cell for at, cell in enumerate(record.cells) if at != citation]
    label = str(number) if citation is None else decode(record.cells[citation])
    text = "\t".join(cells)
    begin = record.written.rfind(delimiter.join(cells))
    return Row(record.number, record.written, begin if begin >= 0 else None, text, label, "")


def _ragged(record: _Record, names: Sequence[str], delimiter: str, file: Path | None) -> Fault:
    """Say that a row has too many cells or too few, at the first too many or at the row's end."""
    what = f"{len(record.cells)} cells where the header names {len(names)} ({', '.join(names)})"
    column = _column_of(record, len(names), delimiter)
    remedy = "give every entry a cell for each field, empty if need be"
    return Fault(what, file, record.number, column, decode(record.written), remedy)


def _check_citations(
    rows: Sequence[Row], citation: int, delimiter: str, file: Path | None, faults: list[Fault]
) -> None:
    """Report entries that cannot be cited, or two that are cited alike."""
    first: dict[str, int] = {}
    for row in rows:
        what = ""
        if not row.label:
            what, remedy = "this entry has no citation", "give it one"
        elif row.label in first:
            what = f"the citation {row.label} stands a second time (first in line {first[row.label]})"
            remedy = "give each entry its own citation"
        if what:
            column = _column_of(row, citation, delimiter)
            faults.append(Fault(what, file, row.number, column, decode(row.written), remedy))
        first.setdefault(row.label, row.number)
