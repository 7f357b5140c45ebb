"""Cut an alignment at the word divisions that the copyist kept.

Arrives: an alignment. Leaves: ``Cell``s, the stretches between kept divisions that hold a
difference; mostly a word and the word that answers it. Start reading at ``changed_cells``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from fidelity.terms import Alignment, StepKind

Step = tuple[int, int, int, int, int]  # original start and end, copy start and end, StepKind

_DIVISION = re.compile(r"\s")


@dataclass(frozen=True)
class Cell:
    """A stretch between two kept word divisions in which something differs.

    Attributes:
        original_start, original_end, copy_start, copy_end: its spans.
        steps: the alignment's steps inside it.
    """

    original_start: int
    original_end: int
    copy_start: int
    copy_end: int
    steps: tuple[Step, ...]


def changed_cells(alignment: Alignment, steps: Sequence[Step] | None = None) -> Iterator[Cell]:
    """Give every cell that holds a difference, in order.

    Args:
        alignment: of the two texts.
        steps: only these of its steps, or others in their place: from where a cell begins to where
            one ends; all where none are given.
    """
    original, copy = alignment.original.letters, alignment.copy.letters
    rows = alignment.steps.tolist() if steps is None else steps
    if not len(rows):
        return
    start, start_copy = rows[0][0], rows[0][2]
    inside: list[Step] = []
    changed = False
    for o0, o1, c0, c1, kind in rows:
        if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
            inside.append((o0, o1, c0, c1, kind))
            changed = changed or kind != StepKind.KEPT
            continue
        first = _kept_division(original[o0:o1], copy[c0:c1])
        if first < 0:
            inside.append((o0, o1, c0, c1, kind))
            continue
        last = o1 - o0 - 1 - _kept_division(original[o0:o1][::-1], copy[c0:c1][::-1])
        if first:
            inside.append((o0, o0 + first, c0, c0 + first, kind))
        if changed:
            yield Cell(start, o0 + first, start_copy, c0 + first, tuple(inside))
        start, start_copy = o0 + last + 1, c0 + last + 1
        changed = False
        inside = [(start, o1, start_copy, c1, kind)] if start < o1 else []
    if changed:
        yield Cell(start, rows[-1][1], start_copy, rows[-1][3], tuple(inside))


def _kept_division(letters: str, written: str) -> int:
    """Give where the first division stands that both texts have; -1 where there is none."""
    for found in _DIVISION.finditer(letters):
        if written[found.start()].isspace():
            return found.start()
    return -1
