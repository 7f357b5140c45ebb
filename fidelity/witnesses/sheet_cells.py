"""The cells of a spreadsheet, whatever kind of file they come from.

Arrives: the parts of a spreadsheet's file, as XML. Leaves: ``Sheet`` records with their cells, to be
read one after the other. Start reading at ``Cell``.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from lxml import etree

LARGEST_PART = 40_000_000  # bytes of XML; as many bytes as some 800,000 cells, and a gloss table has a tenth
_AT_ONCE = 1 << 20  # bytes

NOT_TEXT = "type it anew as text: an apostrophe before it, or the cell set to text first"
NOT_RECKONED = "open it in a spreadsheet program and save it anew, or put the text in place of the formula"
MERGED = ("is merged with others", "part the cells again, and fill in each of them")


class TooMuch(Exception):  # noqa: N818 - caught where the file is known, and told as a DataError
    """A part of the file is larger than any table."""


class Cell(NamedTuple):
    """What stands in a cell.

    Attributes:
        row: from 1.
        column: from 1.
        text: what it holds, as text.
        wrong: why it cannot be taken as text; "" where it can.
        remedy: what to do about that.
    """

    row: int
    column: int
    text: str = ""
    wrong: str = ""
    remedy: str = ""


class Sheet(NamedTuple):
    """A sheet; its cells are read as they are asked for."""

    name: str
    hidden: bool
    cells: Iterable[Cell]


class Parts:
    """The parts of a spreadsheet's file, none of them larger than it may be."""

    def __init__(self, archive: zipfile.ZipFile) -> None:
        self.archive = archive
        self.names = frozenset(archive.namelist())

    def read(self, name: str) -> bytes:
        """Give a part.

        Raises:
            TooMuch: it is larger than any table, whatever it says of itself.
            KeyError: there is none of that name.
        """
        if self.archive.getinfo(name).file_size > LARGEST_PART:
            raise TooMuch(f"this spreadsheet unpacks to more than {LARGEST_PART // 1_000_000} MB")
        pieces, size = [], 0
        with self.archive.open(name) as opened:
            while piece := opened.read(_AT_ONCE):
                pieces.append(piece)
                size += len(piece)
                if size > LARGEST_PART:
                    raise TooMuch(f"this spreadsheet unpacks to more than {LARGEST_PART // 1_000_000} MB")
        data = b"".join(pieces)
        if b"<!DOCTYPE" in data[:_AT_ONCE]:
            raise ValueError("a declaration of entities")  # no program writes one; told as damaged
        return data

    def elements(self, name: str, *tags: str) -> Iterator[etree._Element]:
        """Give the elements of these names in a part, each emptied when it has been looked at."""
        found = etree.iterparse(
            io.BytesIO(self.read(name)),
            tag=[f"{{*}}{tag}" for tag in tags],
            resolve_entities=False,
            no_network=True,
            load_dtd=False,
        )
        for _, element in found:
            yield element
            element.clear()
            while (before := element.getprevious()) is not None:
                parent = element.getparent()
                if parent is None:
                    break
                parent.remove(before)


def cell_name(cell: Cell) -> str:
    """Name a cell as spreadsheets do.

    >>> cell_name(Cell(5, 2)), cell_name(Cell(1, 28))
    ('B5', 'AB1')
    """
    letters, rest = "", cell.column
    while rest > 0:
        rest, letter = divmod(rest - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"{letters}{cell.row}"


def number_as_text(written: str) -> str:
    """Write a number as a spreadsheet shows it in a cell without a format: 15 digits, no idle zeros.

    >>> number_as_text("3.0"), number_as_text("0.30000000000000004"), number_as_text("1731")
    ('3', '0.3', '1731')
    """
    try:
        return f"{float(written):.15g}"
    except ValueError:
        return written
