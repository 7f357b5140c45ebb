"""Cut an alignment at the word divisions that the copyist kept.

Arrives: an alignment. Leaves: ``Cell``s, the stretches between kept divisions that hold a
difference; mostly a word and the word that answers it. Start reading at ``changed_cells``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import regex

from fidelity.terms import Alignment, StepKind

Step = tuple[int, int, int, int, int]  # original start and end, copy start and end, StepKind

_DIVISION = regex.compile(r"\s")


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


def changed_cells(alignment: Alignment) -> Iterator[Cell]:
    """Give every cell that holds a difference, in order."""
    original, copy = alignment.original.letters, alignment.copy.letters
    start, start_copy = 0, 0
    steps: list[Step] = []
    changed = False
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
            steps.append((o0, o1, c0, c1, kind))
            changed = changed or kind != StepKind.KEPT
            continue
        divisions = [
            found.start()
            for found in _DIVISION.finditer(original[o0:o1])
            if copy[c0 + found.start()].isspace()
        ]
        if not divisions:
            steps.append((o0, o1, c0, c1, kind))
            continue
        first, last = divisions[0], divisions[-1]
        if first:
            steps.append((o0, o0 + first, c0, c0 + first, kind))
        if changed:
            yield Cell(start, o0 + first, start_copy, c0 + first, tuple(steps))
        start, start_copy = o0 + last + 1, c0 + last + 1
        changed = False
        steps = [(start, o1, start_copy, c1, kind)] if start < o1 else []
    if changed:
        yield Cell(start, len(original), start_copy, len(copy), tuple(steps))
