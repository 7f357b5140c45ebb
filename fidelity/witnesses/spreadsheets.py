"""Read a spreadsheet as the table of parallel fields that is in it.

Arrives: the path of an .xlsx or .ods file. Leaves: its cells as a table with tabs (TSV), which is
then read by ``tables.py`` like any other: the row in the sheet is the line in the table. Start
reading at ``table_of_sheet``.

A cell counts for what it holds, not for how it looks: a number is written as plainly as it can be
("3"), a formula is its result as last saved. What a spreadsheet makes of text by itself, or hides
from a reader of its cells, is a fault: dates and truth values, errors, results never reckoned,
merged cells, text in a second sheet.

The cells are taken from the XML in the file without a library for spreadsheets. Those at hand read
an error or a formula without a result as an empty cell, and one of them ends the whole program at a
single cell in the last column and row of a sheet; the guard against that would be as long as this.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

from lxml import etree

from fidelity.errors import DataError, Fault
from fidelity.witnesses.not_texts import what_it_is
from fidelity.witnesses.not_texts_packed import DAMAGED
from fidelity.witnesses.ods_cells import cells_of_ods
from fidelity.witnesses.sheet_cells import Cell, Parts, Sheet, TooMuch, cell_name
from fidelity.witnesses.source_text import LARGEST_FILE, MOST_FAULTS, bytes_of_any
from fidelity.witnesses.xlsx_cells import cells_of_xlsx

MOST_FIELDS = 256  # columns; a gloss table has some ten, and a stray cell may stand in column 16,384
MOST_ROWS = 1_048_576  # the last row of a sheet in the programs that write these files

READERS: Mapping[str, Callable[[Parts], Sequence[Sheet]]] = {
    # ending of the name -> what gives the sheets
    ".xlsx": cells_of_xlsx,
    ".xlsm": cells_of_xlsx,
    ".ods": cells_of_ods,
}
KIND_OF = {".xlsx": "(xlsx)", ".xlsm": "(xlsx)", ".ods": "(ods)"}  # as ``not_texts.py`` names them
_CHARACTER_OF = {"\t": "tab", "\n": "line end", "\r": "line end"}
_UNSAID = re.compile(r"[\t\n\r]")


class _Table(NamedTuple):
    """What is known of the one sheet with text."""

    rows: dict[int, dict[int, str]]
    faults: list[Fault]


def table_of_sheet(file: Path, faults: list[Fault]) -> str:
    """Give the one sheet with text in a spreadsheet as a table with tabs.

    Args:
        file: its name ends in one of ``READERS``.
        faults: is added to: cells that hold something else than text and numbers, merged cells,
            text in more than one sheet. Their line is the row in the sheet.

    Returns:
        The table; line for line its rows, the empty ones too.

    Raises:
        DataError: missing, too large, damaged, locked, or no spreadsheet.
    """
    data = bytes_of_any(file)
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            sheets = READERS[file.suffix.lower()](Parts(archive))
            found = [(sheet, _table(sheet, file)) for sheet in sheets]
    except TooMuch as error:
        raise DataError(str(error), file=file, remedy="save the table as CSV (UTF-8)") from None
    except (*DAMAGED, KeyError, etree.XMLSyntaxError):
        raise _unreadable(data, file) from None
    filled = [(sheet, table) for sheet, table in found if table.rows or table.faults]
    if len(filled) > 1:
        names = ", ".join(sheet.name + (" (hidden)" if sheet.hidden else "") for sheet, _ in filled)
        remedy = "keep one sheet in the file, or save the sheet that is meant as CSV (UTF-8)"
        faults.append(Fault(f"{len(filled)} sheets have text: {names}", file, remedy=remedy))
        return ""
    if not filled:
        return ""
    _, (rows, own) = filled[0]
    faults += own[:MOST_FAULTS]
    if len(own) > MOST_FAULTS:
        faults.append(Fault(f"and {len(own) - MOST_FAULTS} more such cells", file))
    return _with_tabs(rows)


def _table(sheet: Sheet, file: Path) -> _Table:
    """Gather the cells of a sheet that hold something."""
    rows: dict[int, dict[int, str]] = {}
    faults: list[Fault] = []
    letters = 0
    for cell in sheet.cells:
        what, remedy = _fault_of(cell)
        if what:
            faults.append(Fault(f"cell {cell_name(cell)} {what}", file, cell.row, remedy=remedy))
            continue
        text = cell.text.strip()
        letters += len(text) + 1
        if letters > LARGEST_FILE:
            raise TooMuch("there is too much text in this spreadsheet")
        if text:
            rows.setdefault(cell.row, {})[cell.column] = text
    return _Table(rows, faults)


def _fault_of(cell: Cell) -> tuple[str, str]:
    """Say why a cell cannot be taken, and what to do; ("", "") where it can."""
    if cell.wrong:
        return cell.wrong, cell.remedy
    if cell.column > MOST_FIELDS or cell.row > MOST_ROWS:
        return "stands far outside of any table", "empty it: select it, and delete what is in it"
    if unsaid := _UNSAID.search(cell.text.strip()):
        what = f"has a {_CHARACTER_OF[unsaid.group()]} in it"
        return what, "one entry is one row: put a space, or part the entry"
    return "", ""


def _with_tabs(rows: Mapping[int, Mapping[int, str]]) -> str:
    """Write rows with tabs; a row is filled up to the width of the first, which names the fields."""
    if not rows:
        return ""
    width = max(rows[min(rows)])
    return "\n".join(_with_tabs_row(rows.get(number, {}), width) for number in range(1, max(rows) + 1))


def _with_tabs_row(cells: Mapping[int, str], width: int) -> str:
    if not cells:
        return ""
    return "\t".join(cells.get(column, "") for column in range(1, max(width, *cells) + 1))


def _unreadable(data: bytes, file: Path) -> DataError:
    """Say that a file is no spreadsheet, or a damaged one."""
    own = KIND_OF.get(file.suffix.lower(), "")
    what, remedy = what_it_is(data) or ("damaged", "")
    if own in what or "damaged" in what or "zip" in what:
        what, remedy = "a damaged or locked spreadsheet", "open it, and save it anew without a password"
    return DataError(f"this is {what}", file=file, remedy=remedy)


def with_cells(faults: Iterable[Fault], table: str) -> Iterator[Fault]:
    """Name the cell, as a spreadsheet does, in faults found in the table that was made of it.

    Args:
        faults: with the line and column in the table.
        table: in letters.
    """
    lines = table.split("\n")
    for fault in faults:
        if fault.line is None or fault.what.startswith("cell ") or fault.line > len(lines):
            yield fault
            continue
        where = f"row {fault.line}"
        if fault.column is not None:
            fields_before = lines[fault.line - 1][: fault.column - 1].count("\t")
            where = f"cell {cell_name(Cell(fault.line, fields_before + 1))}"
        yield replace(fault, what=f"{where}: {fault.what}")
