"""Take the cells out of an .ods file.

Arrives: its parts. Leaves: its sheets with their cells. Start reading at ``cells_of_ods``.

The format is OpenDocument 1.2, part 1 (sections from memory): tables, rows and cells (9.1), cells and
rows that stand for several alike (19.675, 19.679), text in paragraphs with blanks written out (6.1).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from lxml import etree

from fidelity.witnesses.sheet_cells import (
    MERGED,
    NOT_RECKONED,
    NOT_TEXT,
    Cell,
    Parts,
    Sheet,
    TooMuch,
    number_as_text,
)
from fidelity.witnesses.xml_source import local_name

MOST_CELLS = 2_000_000  # with text, repeated ones counted; the largest text planned for has a twentieth
_NOT_TEXT = {
    "date": "holds a date, not a text",
    "time": "holds a time, not a text",
    "boolean": "holds a truth value, not a text",
}
_IN_ROWS = ("table-header-rows", "table-rows", "table-row-group")
_NOT_READ = ("annotation", "shapes", "tracked-changes")  # remarks on a cell, and drawings


@dataclass
class _Counted:
    """How many cells have been given, of all sheets."""

    cells: int = field(default=0)


def cells_of_ods(parts: Parts) -> Sequence[Sheet]:
    """Give the sheets of an .ods file, in their order.

    Raises:
        KeyError: there is no content in it.
        TooMuch: there are more cells than in any table.
        ValueError: it is locked by a password.
    """
    if b"encryption-data" in (
        parts.read("META-INF/manifest.xml") if "META-INF/manifest.xml" in parts.names else b""
    ):
        raise ValueError("locked")
    counted = _Counted()
    sheets = []
    for table in parts.elements("content.xml", "table"):
        parent = table.getparent()
        if parent is not None and local_name(parent) == "spreadsheet":  # tables stand in remarks too
            cells = list(_cells(table, counted))
            sheets.append(Sheet(_attribute(table, "name"), False, cells))
    return sheets


def _attribute(element: etree._Element, name: str) -> str:
    """Give an attribute, whatever its namespace."""
    for key, value in element.items():
        if str(key).rpartition("}")[2] == name:
            return str(value)
    return ""


def _repeated(element: etree._Element, name: str) -> int:
    """Give how many rows or cells an element stands for."""
    return max(int(_attribute(element, name) or 1), 1)


def _rows(table: etree._Element) -> Iterator[etree._Element]:
    """Give the rows of a table, those of groups among them."""
    stack = [table]
    while stack:
        one = stack.pop()
        name = local_name(one)
        if name == "table-row":
            yield one
        elif one is table or name in _IN_ROWS:
            stack += reversed(one)


def _cells(table: etree._Element, counted: _Counted) -> Iterator[Cell]:
    """Give the cells of a table that hold something."""
    row = 0
    for one in _rows(table):
        times = _repeated(one, "number-rows-repeated")
        filled = list(_cells_of_row(one, row + 1, counted))
        for below in range(times if filled else 0):
            counted.cells += len(filled)
            if counted.cells > MOST_CELLS:
                raise TooMuch(f"more than {MOST_CELLS:,} cells of this spreadsheet are filled")
            yield from (cell._replace(row=cell.row + below) for cell in filled)
        row += times


def _cells_of_row(row: etree._Element, number: int, counted: _Counted) -> Iterator[Cell]:
    """Give the cells of a row that hold something."""
    column = 0
    for one in row:
        if local_name(one) not in ("table-cell", "covered-table-cell"):
            continue
        times = _repeated(one, "number-columns-repeated")
        cell = _cell(one, number, column + 1)
        if cell.text or cell.wrong:
            if counted.cells + times > MOST_CELLS:
                raise TooMuch(f"more than {MOST_CELLS:,} cells of this spreadsheet are filled")
            yield from (cell._replace(column=cell.column + beside) for beside in range(times))
        column += times


def _cell(one: etree._Element, row: int, column: int) -> Cell:
    """Understand one cell."""
    kind = _attribute(one, "value-type")
    text = "\n".join(_text_in(part) for part in one if local_name(part) == "p")
    if max(_repeated(one, "number-columns-spanned"), _repeated(one, "number-rows-spanned")) > 1:
        return Cell(row, column, text, *MERGED)
    formula = _attribute(one, "formula")
    if formula and (text.startswith(("#", "Err:")) or "error" in one.values()):
        return Cell(row, column, "", f"holds the error {text}", "mend the formula, or type the text")
    if formula and not kind:
        return Cell(row, column, "", "holds a formula without a result", NOT_RECKONED)
    if kind in _NOT_TEXT:
        return Cell(row, column, "", _NOT_TEXT[kind], NOT_TEXT)
    if kind in ("float", "percentage", "currency"):
        return Cell(row, column, number_as_text(_attribute(one, "value")))
    return Cell(row, column, text)


def _text_in(element: etree._Element) -> str:
    """Give the text of a paragraph; several blanks, tabs and line ends are elements in it."""
    written = element.text or ""
    for part in element:
        name = local_name(part)
        if name == "s":
            written += " " * min(_repeated(part, "c"), 1000)
        elif name in ("tab", "line-break"):
            written += "\t" if name == "tab" else "\n"
        elif name not in _NOT_READ:
            written += _text_in(part)
        written += part.tail or ""
    return written
