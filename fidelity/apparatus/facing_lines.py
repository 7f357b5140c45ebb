"""Cut an original and its copy into lines that stand side by side.

Arrives: an alignment. Leaves: ``FacingLine``s, each a manuscript line of the original and the stretch of
the copy that answers it. Start reading at ``facing_lines``.

Every letter of both texts is in one line and in no other. The lines are the original's; where the copy
ends a line of its own is shown inside them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from fidelity.terms import Alignment, StepKind, Witness

# Letters of a line that are set in one go, four manuscript lines (Clark 1914 and after count 30-40 to the
# line): in longer paragraphs original and copy would drift apart from each other.
LONGEST_LINE = 160

Span = tuple[int, int]


class Mark(NamedTuple):
    """Letters of one text at which the other differs.

    Attributes:
        start, end: their offsets; equal where this text has nothing and only the place is marked.
        form: in what form they are marked (``facing_marks.py``).
        variant: number of the difference in variants.csv; 0 for none.
    """

    start: int
    end: int
    form: str
    variant: int


@dataclass
class FacingLine:
    """A line of the original, or a part of a long one, and what the copy has for it.

    Attributes:
        line: index of the line in the original.
        original, copy: offsets of the letters of either text, the blank for the line end among them.
        marks: where they differ, by side: first the original's, then the copy's.
        variants: numbers of the differences that are told of below this line.
        moved_here: numbers of those whose words stand here and stood elsewhere.
    """

    line: int
    original: Span
    copy: Span
    marks: tuple[list[Mark], list[Mark]] = field(default_factory=lambda: ([], []))
    variants: list[int] = field(default_factory=list)
    moved_here: list[int] = field(default_factory=list)

    @property
    def is_alike(self) -> bool:
        """Tell whether nothing differs here, letterforms counted equal apart."""
        return not (self.marks[0] or self.marks[1])

    def side(self, in_copy: int) -> Span:
        """Give the offsets of one text, 0 for the original and 1 for the copy."""
        return self.copy if in_copy else self.original


def facing_lines(alignment: Alignment) -> list[FacingLine]:
    """Cut both texts into lines that answer each other, in the order of the original."""
    lines, starts = [], list[int]()
    for line, start in _parts_of_lines(alignment.original):
        lines.append(line)
        starts.append(start)
    cuts = [*opposite_of(alignment, starts), len(alignment.copy)]
    cuts[0] = 0
    starts.append(len(alignment.original))
    spans = zip(lines, pairwise(starts), pairwise(cuts), strict=True)
    return [FacingLine(line, original, copy) for line, original, copy in spans]


def _parts_of_lines(witness: Witness) -> Iterator[tuple[int, int]]:
    """Give index and first letter of each line, and of each part of a long one; parts end at blanks."""
    ends = [*witness.lines[1:], len(witness)]
    for line, (start, end) in enumerate(zip(witness.lines, ends, strict=True)):
        yield line, start
        while end - start > 1.5 * LONGEST_LINE:  # else the last part would be a few words
            blank = witness.letters.rfind(" ", start, start + LONGEST_LINE)
            if blank < 0:
                blank = witness.letters.find(" ", start + LONGEST_LINE, end)
            if not 0 <= blank < end - 1:
                break
            start = blank + 1
            yield line, start


def opposite_of(alignment: Alignment, offsets: Sequence[int]) -> list[int]:
    """Give where the copy is to be cut when the original is cut before these letters, ascending.

    What was put in just there goes with the line before as far as its last blank; letters joined to the
    next word go with that.
    """
    steps, letters = alignment.steps, alignment.copy.letters
    found, last = list[int](), 0
    for offset, at in zip(offsets, np.searchsorted(steps[:, 1], offsets, side="right").tolist(), strict=True):
        if at == len(steps):
            cut = len(letters)
        else:
            o0, o1, c0, c1, kind = steps[at].tolist()
            cut = c0 + offset - o0
            if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
                cut = min(cut, c1)
            if offset == o0:
                cut = _before_what_is_joined(alignment, at)
        last = max(last, cut)
        found.append(last)
    return found


def _before_what_is_joined(alignment: Alignment, at: int) -> int:
    """Give where the last word begins of what was put in before a step, or the step where that is a blank."""
    steps, letters = alignment.steps, alignment.copy.letters
    end = start = int(steps[at, 2])
    while at and steps[at - 1, 0] == steps[at - 1, 1]:
        at -= 1
        start = int(steps[at, 2])
    while end > start and not letters[end - 1].isspace():
        end -= 1
    return end


class LineFinder:
    """Finds in which line a letter of either text stands."""

    def __init__(self, lines: Sequence[FacingLine]) -> None:
        self.lines = lines
        self._starts = [line.original[0] for line in lines], [line.copy[0] for line in lines]

    def parts(self, in_copy: int, start: int, end: int) -> Iterator[tuple[int, int, int]]:
        """Cut a span of one text at the ends of lines: index of the line, start and end of each part."""
        at = max(bisect_right(self._starts[in_copy], start) - 1, 0)
        while start < end and at < len(self.lines):
            stop = min(self.lines[at].side(in_copy)[1], end)
            if stop > start:
                yield at, start, stop
                start = stop
            at += 1
