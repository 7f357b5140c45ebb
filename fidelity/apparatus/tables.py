"""Write rows as CSV, as JSON and as a table for the terminal, and read the CSV back.

Arrives: rows of ``entries.py``. Leaves: text. Start reading at ``csv_text``; ``terminal_table``
makes the same rows fit a screen.

In CSV a list is joined by "; ", yes and no stand for true and false, and an empty field for what
is not known. Letters stand as they are, spaces included.
"""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import zip_longest
from pathlib import Path
from textwrap import wrap

from fidelity.apparatus.cells import Cell
from fidelity.confusions.table import DIGITS
from fidelity.errors import DataError
from fidelity.letters import NOTHING, SPACE, decode, encode

BETWEEN_ITEMS = "; "
KEPT_SPACE = "\u00a0"  # stands for a space inside an item where "; " would part it
SHORTENED = "…"
NARROWEST = 5  # letters; a column is not cut further, even if the table is then too wide
BETWEEN_COLUMNS = 2  # spaces
WRAPPED = frozenset(("pattern",))  # columns of names in plain words, of which nothing is to be cut off

HEADINGS: Mapping[str, str] = {
    "reading": "no.",
    "variant": "no.",
    "rate_per_1000": "per 1,000",
    "low": "from",
    "high": "to",
    "p_value": "p",
    "q_value": "q",
    "p_original_given_copy": "original so, given copy",
    "at_least": "said at least",
    "wrong_places": "wrong places",
    "expected_in_lost": "expected in lost",
    "makes_word": "a word?",
    "places_in_lost": "places there",
    "blind_test": "blind test",
    "within_variance": "variance within",
    "within_covariance": "covariance within",
    "wrong_letters_left": "wrong letters left",
    "good_words": "good words",
    "would_be_known": "it would be a word",
    "both_known": "both are words",
    "word_lost": "a word is lost",
    "both_unknown": "neither is a word",
    "survivor_places": "places",
    "share_right": "share right",
    "wrong_at": "wrong at",
    "same": "in common",
    "survivor_share": "in survivors",
    "low80": "80 % from",
    "high80": "to",
    "low95": "95 % from",
    "high95": "to",
    "binomial_low80": "binomial 80 % from",
    "binomial_high80": "to",
    "binomial_low95": "binomial 95 % from",
    "binomial_high95": "to",
    "within80": "within 80 %",
    "within95": "within 95 %",
    "binomial_within80": "binomial within 80 %",
    "first_rate": "first",
    "last_rate": "last",
}


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, Cell]]) -> str:
    """Give rows as a CSV table: a line of column names, then one line for each row."""
    text = io.StringIO(newline="")
    table = csv.writer(text, lineterminator="\n")
    table.writerow(columns)
    table.writerows([csv_cell(row[column]) for column in columns] for row in rows)
    return text.getvalue()


def csv_cell(cell: Cell) -> str:
    """Give one cell as CSV has it.

    >>> csv_cell(True), csv_cell(None), csv_cell(22.5), csv_cell(("E 4.2", "E 5.1"))
    ('yes', '', '22.5', 'E 4.2; E 5.1')
    >>> csv_cell((("wæs", 0.71), ("wær", 0.2)))
    'wæs 0.71; wær 0.2'
    """
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float):
        return f"{cell:.{DIGITS}g}"
    if isinstance(cell, tuple):
        items = (item if isinstance(item, str) else f"{item[0]} {item[1]:.{DIGITS}g}" for item in cell)
        return BETWEEN_ITEMS.join(item.replace(BETWEEN_ITEMS, f";{KEPT_SPACE}") for item in items)
    return str(cell)


def read_csv(path: Path, columns: Sequence[str]) -> list[dict[str, str]]:
    """Read a table back, every cell as it is printed.

    Raises:
        DataError: with file and line, where the file is not a table with these columns.
    """
    remedy = "take the file as it was written; it is not meant to be edited"
    try:
        text = path.read_bytes().decode("utf-8-sig")
        records = list(csv.reader(io.StringIO(text, newline=""), strict=True))
    except OSError as error:
        raise DataError(f"cannot be read: {error.strerror}", file=path) from None
    except (UnicodeDecodeError, csv.Error) as error:
        raise DataError(f"not a table: {error}", file=path, remedy=remedy) from None
    if not records or not set(columns) <= set(records[0]):
        what = f"not a table with the columns {', '.join(columns)}"
        raise DataError(what, file=path, line=1, remedy=remedy)
    for number, record in enumerate(records, start=1):
        if len(record) != len(records[0]):
            fields = "1 field" if len(record) == 1 else f"{len(record)} fields"
            what = f"{fields} in row {number} instead of {len(records[0])}"
            raise DataError(what, file=path, remedy=remedy)
    return [dict(zip(records[0], record, strict=True)) for record in records[1:]]


def json_text(data: object) -> str:
    """Give rows, or anything made of mappings and lists, as JSON."""
    import json  # not needed for a screen

    return json.dumps(data, ensure_ascii=False, indent=2, allow_nan=False) + "\n"


def heading(column: str) -> str:
    """Give a column's name in plain words.

    >>> heading("rate_per_1000"), heading("same_rule_elsewhere")
    ('per 1,000', 'same rule elsewhere')
    """
    return HEADINGS.get(column, column.replace("_", " "))


def shown(cell: Cell) -> str:
    """Give a cell as a reader sees it: three digits, nothing and a space made visible.

    >>> shown(22.2222), shown(None), shown(" "), shown(("a", "b"))
    ('22.2', '', '␣', 'a; b')
    """
    if isinstance(cell, float):
        return f"{cell:.3g}" if abs(cell) < 1000 else f"{cell:,.0f}"
    if isinstance(cell, int) and not isinstance(cell, bool):
        return f"{cell:,}"
    text = csv_cell(cell)
    if text and not text.strip():
        return SPACE * len(text)
    return "".join(" " if unicodedata.category(letter) == "Cc" else letter for letter in text)


P_COLUMNS, SMALLEST_P = frozenset(("p_value", "q_value")), 0.001  # smaller ones say no more to a reader
NAME_COLUMNS = frozenset(
    ("measure", "cause", "other_causes", "kind", "class")
)  # names that are written with "_" in the files
IN_PLAIN_WORDS: Mapping[str, str] = {  # names of causes that say less, or something else, to a reader
    "metathesis": "letters or words moved"
}
LETTER_COLUMNS = frozenset(("original", "copy", "transmitted", "proposed"))


def in_plain_words(name: str) -> str:
    """Give the name of a cause, a script or a measure as a reader says it.

    >>> in_plain_words("later_hand"), in_plain_words("metathesis")
    ('later hand', 'letters or words moved')
    """
    return IN_PLAIN_WORDS.get(name, name.replace("_", " "))


def shown_in(column: str, cell: Cell) -> str:
    """Give a cell as ``shown`` does, with a sign for it where a text has no letters there.

    >>> shown_in("copy", ""), shown_in("example", ""), shown_in("other_causes", ("eye_skip", "minims"))
    ('∅', '', 'eye skip; minims')
    >>> shown_in("measure", "metathesis"), shown_in("q_value", 4e-34), shown_in("q_value", 0.04)
    ('letters or words moved', '< 0.001', '0.04')
    """
    if column in P_COLUMNS and isinstance(cell, float) and 0 <= cell < SMALLEST_P:
        return f"< {SMALLEST_P:g}"
    if column in NAME_COLUMNS and isinstance(cell, str):
        return in_plain_words(cell)
    if column in NAME_COLUMNS and isinstance(cell, tuple):
        return shown(tuple(in_plain_words(name) if isinstance(name, str) else name for name in cell))
    return NOTHING if column in LETTER_COLUMNS and cell == "" else shown(cell)


def terminal_table(columns: Sequence[str], rows: Sequence[Mapping[str, Cell]], width: int) -> str:
    """Give some columns of rows as a table that fits the screen.

    Args:
        columns: which, in order.
        rows: the rows.
        width: of the screen, in letters. Long cells end in "…"; no column gets narrower than
            ``NARROWEST``, and of a list as many items are shown as fit, the first one whole.
    """
    numbers = [all(_is_number(row[column]) for row in rows) for column in columns]
    cells = [[encode(shown_in(column, row[column])) for column in columns] for row in rows]
    headings = [heading(column) for column in columns]
    natural = [max(map(len, column)) for column in zip(headings, *cells, strict=True)]
    if _total(natural) > width:  # let the headings run over several lines first
        words = [max(name.split(), key=len) for name in headings]
        natural = [max(map(len, column)) for column in zip(words, *cells, strict=True)]
    least = [max([NARROWEST, *(_least(row[column], width) for row in rows)]) for column in columns]
    widths = _fitting(natural, least, width)
    names = ["\n".join(wrap(name, most)) for name, most in zip(headings, widths, strict=True)]
    rules = ["-" * most for most in widths]
    body = [
        [_fitted(name, row[name], most) for name, most in zip(columns, widths, strict=True)] for row in rows
    ]
    parted = ([cell.split("\n") for cell in row] for row in (names, rules, *body))
    lines = (line for row in parted for line in zip_longest(*row))
    return "\n".join(decode(_in_columns(line, widths, numbers)) for line in lines)


def titled(title: str, columns: Sequence[str], rows: Sequence[Mapping[str, Cell]], width: int) -> str:
    """Give a table under its title."""
    return f"{title}\n\n{terminal_table(columns, rows, width) if rows else 'none'}"


def paragraphs(texts: Iterable[str], width: int) -> str:
    """Give sentences, each as a paragraph that fits the screen."""
    return "\n".join(
        "\n".join(wrap(text, width, break_long_words=False, break_on_hyphens=False)) for text in texts
    )


def _items(cell: Cell) -> list[str]:
    """Give the items of a list as they are shown, in letters; none for a cell that is no list."""
    items = cell if isinstance(cell, tuple) else ()
    return [encode(shown((item,))) for item in items if isinstance(item, str)]


def _least(cell: Cell, width: int) -> int:
    """Give how wide a list must be to show its first item whole; half the screen is the most."""
    items = _items(cell)
    more = len(BETWEEN_ITEMS + SHORTENED) if len(items) > 1 else 0
    return min(len(items[0]) + more, width // 2) if items else 0


def _fitted(column: str, cell: Cell, most: int) -> str:
    """Give a cell in letters, made to fit a column: wrapped, cut after whole items, or cut."""
    letters = encode(shown_in(column, cell))
    if column in WRAPPED:
        return "\n".join(wrap(letters, most)) if len(letters) > most else letters
    items = _items(cell)
    while len(letters) > most and len(items) > 1:
        items.pop()
        letters = BETWEEN_ITEMS.join([*items, SHORTENED])
    return _cut(letters, most)


def _in_columns(cells: Sequence[str | None], widths: Sequence[int], numbers: Sequence[bool]) -> str:
    """Set the cells of one line under each other, numbers to the right."""
    padded = (
        (cell or "").rjust(most) if number else (cell or "").ljust(most)
        for cell, most, number in zip(cells, widths, numbers, strict=True)
    )
    return (" " * BETWEEN_COLUMNS).join(padded).rstrip()


def _is_number(cell: Cell) -> bool:
    return cell is None or (isinstance(cell, (int, float)) and not isinstance(cell, bool))


def _total(widths: Sequence[int]) -> int:
    """Give the width of a table from the widths of its columns."""
    return sum(widths) + BETWEEN_COLUMNS * (len(widths) - 1)


def _fitting(widths: list[int], least: Sequence[int], width: int) -> list[int]:
    """Narrow the widest columns until the table fits, or none can be narrowed any more."""
    widths = list(widths)
    while _total(widths) > width:
        spare = [at for at, most in enumerate(widths) if most > least[at]]
        if not spare:
            break
        widths[max(spare, key=widths.__getitem__)] -= 1
    return widths


def _cut(letters: str, most: int) -> str:
    """Shorten letters to so many, the last being "…"."""
    return letters if len(letters) <= most else letters[: most - 1].rstrip() + SHORTENED
