"""Set an original above its copy for a notebook: words of pieces, each with a sign where the two differ.

Arrives: an alignment. Leaves: ``FacingLine``s. Start reading at ``facing_lines``.

The walk and the signs are those of the terminal (``aligned_columns.py``). There letters stand under each
other because all are equally wide; in a notebook's fonts they are not, so here each piece is set by itself,
the original's letters above the sign, the copy's below it, and lines may be broken between words.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby, islice
from typing import NamedTuple

import numpy as np

from fidelity.apparatus.aligned_columns import ALIKE, DIVIDED, OTHER, SHORTENED, Column, columns
from fidelity.letters import NOTHING, SPACE, decode
from fidelity.terms import Alignment, StepKind

MOST_LINES = 12  # with a difference; a cell of a notebook is not read further
MOST_COLUMNS = 4_000  # letters; where lines have no end that is more than anybody reads
CONTEXT = 4  # words alike that are shown before and after a difference


class Piece(NamedTuple):
    """Letters of the original, a sign if the copy differs, the copy's letters; as printed."""

    original: str
    sign: str
    copy: str


class FacingLine(NamedTuple):
    """One line of the original above what answers it: its place in both texts, and its words."""

    original_at: str
    copy_at: str
    words: list[list[Piece]]


def facing_lines(alignment: Alignment) -> tuple[list[FacingLine], int]:
    """Give the first lines with a difference.

    Returns:
        The lines, and how many more lines of the original have a difference.
    """
    walked = islice(columns(alignment, CONTEXT), MOST_COLUMNS)
    lines: list[FacingLine] = []
    shown: set[int] = set()
    for number, of_line in groupby(_numbered(alignment, walked), key=lambda pair: pair[0]):
        if number not in shown and len(shown) == MOST_LINES:
            break
        line = _set(alignment, [column for _, column in of_line])
        if any(piece.sign for word in line.words for piece in word):
            shown.add(number)
            lines.append(line)
    return lines, max(_changed_lines(alignment) - len(shown), 0)


def _numbered(alignment: Alignment, walked: Iterable[Column]) -> Iterator[tuple[int, Column]]:
    """Give each column with the line of the original it stands in, or after."""
    line = 0
    for column in walked:
        if column.original and column.original != SHORTENED:
            line = alignment.original.line_of(column.original_at)
        yield line, column


def _changed_lines(alignment: Alignment) -> int:
    """Count the lines of the original in which a difference begins."""
    steps = alignment.steps
    starts = steps[steps[:, 4] != StepKind.KEPT, 0]
    return len(np.unique(np.searchsorted(np.array(alignment.original.lines), starts, side="right")))


def _set(alignment: Alignment, line: list[Column]) -> FacingLine:
    """Part the columns of a line into words and pieces, and cite its two beginnings."""
    words: list[list[Piece]] = [[]]
    for (sign, blank), run in groupby(line, key=lambda one: (one.sign, _parts_words(one))):
        if blank:
            words.append([])
            continue
        letters = list(run)
        above, below = ("".join(getattr(one, text) for one in letters) for text in ("original", "copy"))
        words[-1].append(
            Piece(above, "", below) if sign == ALIKE else Piece(_visible(above), sign, _visible(below))
        )
    above_at = next((one.original_at for one in line if _cited(one.original)), None)
    below_at = next((one.copy_at for one in line if _cited(one.copy)), None)
    return FacingLine(
        "" if above_at is None else str(alignment.original.locus(above_at)).strip(),
        "" if below_at is None else str(alignment.copy.locus(below_at)).strip(),
        [[Piece(decode(one.original), one.sign, decode(one.copy)) for one in word] for word in words if word],
    )


def _parts_words(column: Column) -> bool:
    """Tell whether a blank, or a border between fields, parts words there: not one that is itself the slip.

    Inside matter that only one of the texts has, or that was moved, blanks part words too.
    """
    return column.sign not in (DIVIDED, OTHER) and not (column.original + column.copy).strip()


def _visible(letters: str) -> str:
    """Show nothing and blanks by the signs the tables have for them.

    >>> _visible(""), _visible(" "), _visible("on eald")
    ('∅', '␣', 'on␣eald')
    """
    return letters.replace("\t", SPACE).replace(" ", SPACE) or NOTHING


def _cited(letters: str) -> bool:
    """Tell whether a place can be cited by a letter."""
    return letters.strip() not in ("", SHORTENED)
