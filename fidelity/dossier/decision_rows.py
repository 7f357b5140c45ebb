"""A table of decisions as its file has it: every line as it was written, known to the program or not.

Arrives: the text of ``decisions.csv``. Leaves: its lines with their cells and where each begins, so
that a line can be added or taken out and all others stay as they are. Start reading
at ``rows_of``.

Spreadsheets write commas, semicolons or tabs between the cells, and some a byte-order mark: the file
keeps what it has. Line ends alone are made alike.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

COLUMNS = ("text", "locus", "transmitted", "original", "decision", "value", "reason", "who", "when")
MUST = ("text", "locus", "transmitted", "decision", "when")  # without these nothing can be decided
BYTE_ORDER_MARK = "\ufeff"
DELIMITERS = (",", ";", "\t")
_REMARK = re.compile(" *#")
_QUOTED = re.compile(r' *"((?:[^"]|"")*)"')


@dataclass(frozen=True)
class FileRow:
    """One line of the file, or several where a cell runs over them.

    Attributes:
        raw: as it is written, without the line end.
        line: number of its first line, from 1.
        cells: what is in it, white space at the ends left out.
        starts: offset of each cell in ``raw``.
        closed: whether every quotation mark is closed.
    """

    raw: str
    line: int
    cells: tuple[str, ...]
    starts: tuple[int, ...]
    closed: bool = True

    @property
    def is_remark(self) -> bool:
        """Whether it holds no decision: an empty line, or one that begins with #."""
        return not any(self.cells) or self.raw.lstrip().startswith("#")


@dataclass(frozen=True)
class FileRows:
    """A whole file of decisions.

    Attributes:
        rows: all lines, the first with the names of the columns among them.
        head: index of that line; -1 where there is none.
        delimiter: what parts the cells.
        line_end: what ends the lines.
        mark: the byte-order mark, or "".
    """

    rows: tuple[FileRow, ...]
    head: int
    delimiter: str = ","
    line_end: str = "\n"
    mark: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """Give the columns."""
        return self.rows[self.head].cells if self.head >= 0 else ()

    @property
    def decisions(self) -> list[FileRow]:
        """Give the lines after the names of the columns that may hold a decision."""
        return [row for row in self.rows[self.head + 1 :] if not row.is_remark] if self.head >= 0 else []

    def cell(self, row: FileRow, name: str) -> str:
        """Give what a line has in a column, "" where it has none."""
        at = self.names.index(name) if name in self.names else len(row.cells)
        return row.cells[at] if at < len(row.cells) else ""

    def record(self, row: FileRow) -> dict[str, str]:
        """Give all of a line by column."""
        return {name: self.cell(row, name) for name in self.names if name}

    def without(self, rows: Sequence[FileRow]) -> FileRows:
        """Take lines out."""
        gone = {id(row) for row in rows}
        return replace(self, rows=tuple(row for row in self.rows if id(row) not in gone))

    def with_record(self, record: Mapping[str, str]) -> FileRows:
        """Add a line at the end; columns that are not there yet come last."""
        found = self._with_columns(record)
        cells = [_quoted(record.get(name, ""), found.delimiter) for name in found.names]
        made = FileRow(
            found.delimiter.join(cells), 0, tuple(record.get(name, "") for name in found.names), ()
        )
        return replace(found, rows=(*found.rows, made))

    def _with_columns(self, names: Mapping[str, str]) -> FileRows:
        """Add the columns that are missing, to the names alone: short lines have nothing in them."""
        more = tuple(name for name in names if name not in self.names)
        if not more:
            return self
        old = self.rows[self.head] if self.head >= 0 else FileRow("", 1, (), ())
        raw = self.delimiter.join(filter(None, (old.raw, *(_quoted(name, self.delimiter) for name in more))))
        named = replace(old, raw=raw, cells=(*old.cells, *more))
        if self.head < 0:
            return replace(self, rows=(*self.rows, named), head=len(self.rows))
        return replace(self, rows=(*self.rows[: self.head], named, *self.rows[self.head + 1 :]))

    def text(self) -> str:
        """Give the file as it is to be written."""
        return self.mark + "".join(row.raw + self.line_end for row in self.rows)


def rows_of(text: str, columns: Sequence[str] = COLUMNS) -> FileRows:
    """Take a file apart.

    Args:
        text: of the file, line ends as they are.
        columns: that are known; by them it is told what parts the cells.

    >>> found = rows_of("text;locus\\nX;1.2\\n")
    >>> found.delimiter, found.record(found.decisions[0])
    (';', {'text': 'X', 'locus': '1.2'})
    """
    mark = BYTE_ORDER_MARK if text.startswith(BYTE_ORDER_MARK) else ""
    text = text.removeprefix(BYTE_ORDER_MARK)
    line_end = "\r\n" if "\r\n" in text else "\n"
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    first = next(
        (line for line in text.split("\n") if line.strip() and not line.lstrip().startswith("#")), ""
    )
    delimiter = max(DELIMITERS, key=lambda one: (_known_in(first, one, columns), -DELIMITERS.index(one)))
    rows = tuple(_rows(text, delimiter))
    head = next((at for at, row in enumerate(rows) if not row.is_remark), -1)
    return FileRows(rows, head, delimiter, line_end, mark)


def _known_in(line: str, delimiter: str, columns: Sequence[str]) -> int:
    """Count the known columns in a line taken apart by this delimiter."""
    return len({cell.strip().strip('"') for cell in line.split(delimiter)} & set(columns))


def _rows(text: str, delimiter: str) -> list[FileRow]:
    """Take the lines apart; a quoted cell may run over line ends."""
    rows, at, line = [], 0, 1
    while at < len(text):
        end, cells, starts, closed = _cells(text, at, delimiter)
        raw = text[at:end]
        rows.append(FileRow(raw, line, tuple(cells), tuple(starts), closed))
        line += raw.count("\n") + 1
        at = end + 1
    return rows


def _cells(text: str, begin: int, delimiter: str) -> tuple[int, list[str], list[int], bool]:
    """Take one line apart: where it ends, its cells, the offset of each, whether all quotes are closed."""
    cells: list[str] = []
    starts: list[int] = []
    at, closed = begin, True
    remark = _REMARK.match(text, begin) is not None
    while True:
        starts.append(at - begin)
        line_stop = text.find("\n", at)
        line_stop = len(text) if line_stop < 0 else line_stop
        quoted = None if remark else _QUOTED.match(text, at, len(text))
        rest = quoted.end() if quoted else at
        opened = not quoted and not remark and text[at:line_stop].lstrip(" ").startswith('"')
        closed = closed and not opened
        stops = [stop for stop in (text.find(delimiter, rest), text.find("\n", rest)) if stop >= 0]
        stop = min(stops, default=len(text))
        inside = quoted[1].replace('""', '"') + text[rest:stop] if quoted else text[at:stop]
        cells.append(inside.strip())
        if stop >= len(text) or text[stop] == "\n":
            return stop, cells, starts, closed
        at = stop + 1


def _quoted(cell: str, delimiter: str) -> str:
    """Write a cell; in quotation marks where it would be read otherwise."""
    special = any(sign in cell for sign in (delimiter, '"', "\n", "\r"))
    if special or cell != cell.strip() or cell.startswith("#"):
        return '"' + cell.replace('"', '""') + '"'
    return cell
