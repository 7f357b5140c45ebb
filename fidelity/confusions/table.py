"""Write and read the table of confusions, ``confusions.csv``.

Arrives: ``Confusion`` records, or the file. Leaves: the file, or the records. The same records give
the same bytes, and a file that is read and written again comes out unchanged. Start reading at
``write_confusions``; ``COLUMNS`` is the order of the columns.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isclose, isfinite
from pathlib import Path

from fidelity.errors import DataError
from fidelity.terms import Confusion, Locus

COLUMNS = (
    "original",
    "copy",
    "folded",
    "count",
    "chances",
    "rate_per_1000",
    "low",
    "high",
    "expected",
    "p_value",
    "q_value",
    "systematic",
    "p_original_given_copy",
    "loci",
)
DIGITS = 6  # significant; more than any copy can support, so that nothing is lost by printing
YES_NO = {"yes": True, "no": False}

_BETWEEN_LOCI = "; "
_KEPT_SPACE = "\u00a0"  # prints as a space, does not end the name of the text, does not part loci
_ENDS_LIKE_A_WORD = re.compile(r"\.\d+\Z", re.ASCII)
_LOCUS = re.compile(r"(?P<text>[^ ]*) (?P<line>.*?)(?:\.(?P<word>\d+))?", re.ASCII | re.DOTALL)


def write_confusions(confusions: Sequence[Confusion], path: Path) -> None:
    """Write confusions as a table: UTF-8, one line each, rates and limits per 1,000 chances.

    Args:
        confusions: in the order in which they are to stand.
        path: the file; what it held is replaced.
    """
    text = io.StringIO(newline="")
    table = csv.writer(text, lineterminator="\n")
    table.writerow(COLUMNS)
    table.writerows(_row(confusion) for confusion in confusions)
    path.write_text(text.getvalue(), encoding="utf-8", newline="")


def read_confusions(path: Path) -> list[Confusion]:
    """Read back what ``write_confusions`` wrote.

    Returns:
        The confusions in the order of the file, floats as exact as they were printed.

    Raises:
        DataError: with file and line, where the file is not such a table.
    """
    try:
        text = path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = path.read_bytes()[: fault.start].count(b"\n") + 1
        raise DataError("not UTF-8", file=path, line=line, remedy="save the table as UTF-8") from fault
    rows = _rows(text, path)
    line, header = next(rows, (1, []))
    if tuple(header) != COLUMNS:
        remedy = f"the columns must be {', '.join(COLUMNS)}"
        raise DataError("not a table of confusions", file=path, line=line, remedy=remedy)
    return [_confusion(fields, path, line) for line, fields in rows]


def _rows(text: str, path: Path) -> Iterator[tuple[int, list[str]]]:
    """Give each row of a table with the number of its first line."""
    table = csv.reader(io.StringIO(text, newline=""), strict=True)
    line = 1
    try:
        for fields in table:
            yield line, fields
            line = table.line_num + 1
    except csv.Error as fault:
        raise DataError(f"not a CSV row: {fault}", file=path, line=line, remedy="mend the quotes") from fault


def _row(confusion: Confusion) -> list[str]:
    """Give the fields of one row, as printed."""
    per_1000 = (1000 * confusion.rate, 1000 * confusion.low, 1000 * confusion.high)
    return [
        confusion.original,
        confusion.copy,
        confusion.folded,
        str(confusion.count),
        str(confusion.chances),
        *(_number(rate) for rate in per_1000),
        *(_number(value) for value in (confusion.expected, confusion.p_value, confusion.q_value)),
        "yes" if confusion.systematic else "no",
        _number(confusion.p_original_given_copy),
        _BETWEEN_LOCI.join(_cite(locus) for locus in confusion.loci),
    ]


def _number(value: float) -> str:
    """Print a float with a fixed number of significant digits."""
    return f"{value:.{DIGITS}g}"


def _cite(locus: Locus) -> str:
    """Cite a locus so that it can be read back; it looks as ``str`` gives it.

    A space within the name of a text becomes one that does not break; names do not end in ";".

    >>> _cite(Locus("B", "12r:3", 4))
    'B 12r:3.4'
    """
    text = locus.text.replace(" ", _KEPT_SPACE)
    line = locus.line.replace(_BETWEEN_LOCI, f";{_KEPT_SPACE}")
    unclear = not locus.word and _ENDS_LIKE_A_WORD.search(line)  # verse 3.7, no word: 3.7.0
    return f"{replace(locus, text=text, line=line)}{'.0' if unclear else ''}"


def _locus(cited: str) -> Locus:
    """Read a locus as ``_cite`` wrote it.

    >>> _locus("B 12r:3.4")
    Locus(text='B', line='12r:3', word=4)
    """
    found = _LOCUS.fullmatch(cited)
    if found is None:
        raise ValueError(f"{cited!r} is no locus")
    text, line = (found[part].replace(_KEPT_SPACE, " ") for part in ("text", "line"))
    return Locus(text, line, int(found["word"] or 0))


def _confusion(fields: list[str], path: Path, line: int) -> Confusion:
    """Read one row, or say what is wrong with it."""
    try:
        return _checked(fields)
    except (ValueError, KeyError) as fault:
        what = f"neither yes nor no: {fault}" if isinstance(fault, KeyError) else str(fault)
        remedy = "write the table again, or take the line from an undamaged copy"
        raise DataError(what, file=path, line=line, remedy=remedy) from fault


def _checked(fields: list[str]) -> Confusion:
    """Read one row; a ValueError or KeyError tells what is wrong with it."""
    if len(fields) != len(COLUMNS):
        raise ValueError(f"{len(fields)} fields instead of {len(COLUMNS)}")
    cell = dict(zip(COLUMNS, fields, strict=True))
    count, chances = int(cell["count"]), int(cell["chances"])
    if not 0 <= count <= chances:
        raise ValueError(f"count {count} in {chances} chances")
    low, high = (_bounded(cell, limit, 1000.0) / 1000 for limit in ("low", "high"))
    confusion = Confusion(
        original=cell["original"],
        copy=cell["copy"],
        folded=cell["folded"],
        count=count,
        chances=chances,
        low=low,
        high=high,
        expected=_bounded(cell, "expected"),
        p_value=_bounded(cell, "p_value", 1.0),
        q_value=_bounded(cell, "q_value", 1.0),
        systematic=YES_NO[cell["systematic"]],
        p_original_given_copy=_bounded(cell, "p_original_given_copy", 1.0),
        loci=tuple(_locus(cited) for cited in cell["loci"].split(_BETWEEN_LOCI)) if cell["loci"] else (),
    )
    printed = _bounded(cell, "rate_per_1000", 1000.0)
    if not low <= high or not isclose(printed, 1000 * confusion.rate, rel_tol=10.0 ** (1 - DIGITS)):
        raise ValueError(
            f"rate {cell['rate_per_1000']} ({cell['low']} to {cell['high']}) for {count}/{chances}"
        )
    return confusion


def _bounded(cell: dict[str, str], column: str, most: float = float("inf")) -> float:
    """Read a number of 0 or more, and no more than its column allows."""
    value = float(cell[column])
    if not isfinite(value) or not 0 <= value <= most:
        raise ValueError(f"{column} is {cell[column]}")
    return value
