"""Take the cells out of an .xlsx file.

Arrives: its parts. Leaves: its sheets with their cells. Start reading at ``cells_of_xlsx``.

The format is ECMA-376, part 1, SpreadsheetML (sections from memory): the workbook names the sheets
(18.2), texts stand once in a list of their own (18.4), and a number is a date by its format (18.8.30).
"""

from __future__ import annotations

import posixpath
import re
from collections.abc import Iterator, Sequence

from lxml import etree

from fidelity.witnesses.sheet_cells import MERGED, NOT_RECKONED, NOT_TEXT, Cell, Parts, Sheet, number_as_text
from fidelity.witnesses.xml_source import local_name

_WORKBOOK = "xl/workbook.xml"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_STRICT_RELATION = "{http://purl.oclc.org/ooxml/officeDocument/relationships}id"
_PLACE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_ESCAPED = re.compile(r"_x([0-9A-Fa-f]{4})_")  # a sign that XML cannot hold (22.9.2.19)
_DATES = frozenset((*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)))  # 18.8.30
_NO_DATE = re.compile(r'"[^"]*"|\\.|_.|\*.|\[[^\]]*\]')  # parts of a format that are not reckoned
_DATE = re.compile(r"[dmyhs]", re.IGNORECASE)


def cells_of_xlsx(parts: Parts) -> Sequence[Sheet]:
    """Give the sheets with cells of an .xlsx file, in their order.

    Raises:
        KeyError: a part that it needs is missing.
        TooMuch: a part is larger than any table.
    """
    targets = _targets(parts)
    texts = (
        [_text_in(one) for one in parts.elements("xl/sharedStrings.xml", "si")] if _has_texts(parts) else []
    )
    dates = _date_styles(parts)
    sheets = []
    for one in parts.elements(_WORKBOOK, "sheet"):
        target = targets[one.get(_RELATION) or one.get(_STRICT_RELATION) or ""]
        if "worksheets/" in target:  # else a sheet of charts or dialogs, without cells
            hidden = one.get("state", "visible") != "visible"
            sheets.append(Sheet(one.get("name", ""), hidden, _cells(parts, target, texts, dates)))
    return sheets


def _has_texts(parts: Parts) -> bool:
    return "xl/sharedStrings.xml" in parts.names


def _targets(parts: Parts) -> dict[str, str]:
    """Give the part in which each sheet stands."""
    found = {}
    for one in parts.elements("xl/_rels/workbook.xml.rels", "Relationship"):
        found[one.get("Id", "")] = posixpath.join("/xl", one.get("Target", "")).lstrip("/")
    return found


def _date_styles(parts: Parts) -> frozenset[str]:
    """Give the styles that show a number as a date or time."""
    if "xl/styles.xml" not in parts.names:
        return frozenset()
    dates = {str(number) for number in _DATES}
    formats: list[str] = []
    for one in parts.elements("xl/styles.xml", "numFmt", "cellXfs"):
        if local_name(one) == "numFmt":
            shown = _NO_DATE.sub("", one.get("formatCode", ""))
            if _DATE.search(shown) and shown.lower() != "general":
                dates.add(one.get("numFmtId", ""))
        else:
            formats = [style.get("numFmtId", "") for style in one]
    return frozenset(str(at) for at, number in enumerate(formats) if number in dates)


def _text_in(element: etree._Element) -> str:
    """Give the text of a cell or of an entry in the list of texts, hints how to speak it left out."""
    written = []
    for one in element.iter("{*}t"):
        parent = one.getparent()
        if parent is None or local_name(parent) != "rPh":
            written.append(one.text or "")
    return _ESCAPED.sub(lambda found: chr(int(found[1], 16)), "".join(written))


def _cells(parts: Parts, target: str, texts: Sequence[str], dates: frozenset[str]) -> Iterator[Cell]:
    """Give the cells of a sheet; where one does not say its place it follows the one before."""
    row = column = 0
    line: etree._Element | None = None
    for one in parts.elements(target, "c", "mergeCell"):
        if local_name(one) == "mergeCell":
            yield Cell(*_place(one.get("ref", "")), "", *MERGED)
            continue
        if one.getparent() is not line:
            line = one.getparent()
            row, column = int((line.get("r") if line is not None else None) or row + 1), 0
        row, column = _place(one.get("r", "")) if one.get("r") else (row, column + 1)
        yield _cell(one, row, column, texts, dates)


def _place(written: str) -> tuple[int, int]:
    """Give row and column of a cell that is named as B5, or of the first in B5:C5."""
    found = _PLACE.match(written)
    if not found:
        raise ValueError("no place of a cell")  # told as a damaged file
    return int(found[2]), _column(found[1])


def _column(letters: str) -> int:
    """Give the number of a column, from 1."""
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _cell(one: etree._Element, row: int, column: int, texts: Sequence[str], dates: frozenset[str]) -> Cell:
    """Understand one cell by the kind it says it is of (18.18.11)."""
    kind = one.get("t", "n")
    value = one.findtext("{*}v")
    if kind == "inlineStr":
        return Cell(row, column, _text_in(one))
    if value is None or (kind == "n" and not value):
        if one.find("{*}f") is not None:
            return Cell(row, column, "", "holds a formula without a result", NOT_RECKONED)
        return Cell(row, column)
    if kind == "s":
        at = int(value)
        if not 0 <= at < len(texts):
            raise ValueError("a text that is not in the list")  # caught as a damaged file
        return Cell(row, column, texts[at])
    if kind == "str":
        return Cell(row, column, _ESCAPED.sub(lambda found: chr(int(found[1], 16)), value))
    if kind == "e":
        return Cell(row, column, "", f"holds the error {value}", "mend the formula, or type the text")
    if kind == "b":
        written = "TRUE" if value.strip() == "1" else "FALSE"
        return Cell(row, column, "", f"holds the truth value {written}, not a text", NOT_TEXT)
    if kind == "d" or one.get("s", "0") in dates:
        return Cell(row, column, "", "holds a date or a time, not a text", NOT_TEXT)
    return Cell(row, column, number_as_text(value))
