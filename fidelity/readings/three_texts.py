"""Cut an original, its first copy and another copy into the same stretches.

Arrives: the alignments of original and first copy, and of first and other copy. Leaves: ``Stretch``es, which
together hold all letters of all three texts in order. Start reading at ``stretches_of``.

A stretch lies between two word divisions of the first copy that both others have; so it is mostly a word.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.copyist.tagging import LONGEST_TAIL
from fidelity.terms import Alignment, StepKind

Ints = npt.NDArray[np.int64]
Span = tuple[int, int]
WITHIN = -1  # stands for no place: inside an operation that cannot be cut


@dataclass(frozen=True)
class Answers:
    """Where the letters of one text are answered in another.

    Attributes:
        first, last: for each place between letters of the one text, from 0 to its size, the place in the
            other before and after what was put in there; ``WITHIN`` inside an operation.
        kept: for each letter whether it was kept.
        skipped: places at which more than a few letters of either text answer nothing.
    """

    first: Ints
    last: Ints
    kept: npt.NDArray[np.bool_]
    skipped: npt.NDArray[np.bool_]

    def span(self, start: int, end: int) -> Span | None:
        """Give what answers a span, with what was put in at its ends; None where it cannot be told."""
        found = int(self.first[start]), int(self.last[end])
        return found if WITHIN not in found else None

    def is_skip(self, start: int, end: int) -> bool:
        """Tell whether a span has a long stretch left out, or put in."""
        return bool(self.skipped[start : end + 1].any())


def answers_in(alignment: Alignment, from_copy: bool = False) -> Answers:
    """Say where each place of the original stands in the copy, or the other way round.

    >>> from fidelity.alignment.align import align_witnesses
    >>> from fidelity.terms import Witness
    >>> found = answers_in(align_witnesses(Witness("E", "of cyning"), Witness("E", "of þam cyninge")))
    >>> found.span(0, 2), found.span(3, 9)
    ((0, 6), (7, 14))
    """
    size = len(alignment.copy if from_copy else alignment.original)
    first, last = np.full(size + 1, WITHIN, dtype=np.int64), np.full(size + 1, WITHIN, dtype=np.int64)
    kept, skipped = np.zeros(size + 1, dtype=np.bool_), np.zeros(size + 1, dtype=np.bool_)
    first[0] = last[0] = 0
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        x0, x1, y0, y1 = (c0, c1, o0, o1) if from_copy else (o0, o1, c0, c1)
        if kind == StepKind.KEPT and x1 - x0 == y1 - y0:
            first[x0 + 1 : x1 + 1] = last[x0 + 1 : x1 + 1] = np.arange(y0 + 1, y1 + 1)
            kept[x0:x1] = True
            continue
        if kind == StepKind.SKIPPED and max(x1 - x0, y1 - y0) > LONGEST_TAIL:
            skipped[x0 : x1 + 1] = True
        if y0 == y1:  # letters left out: whatever stands among them answers nothing
            first[x0 + 1 : x1] = last[x0 + 1 : x1] = y0
        if x1 > x0:
            first[x1] = y1
        last[x1] = y1
    return Answers(first, last, kept, skipped)


@dataclass(frozen=True)
class Stretch:
    """The same stretch of three texts.

    Attributes:
        original, first, other: its spans; ``original`` is empty where the original is lost.
    """

    original: Span
    first: Span
    other: Span


def stretches_of(letters: str, to_other: Answers, to_original: Answers | None = None) -> Iterator[Stretch]:
    """Cut three texts, or two copies of a lost text, into the same stretches.

    Args:
        letters: of the first copy.
        to_other: where they are answered in the other copy.
        to_original: the same for the original; None where it is lost.
    """
    spaces = np.array([letter.isspace() for letter in letters], dtype=np.bool_)
    spaces &= to_other.kept[: len(letters)]
    if to_original is not None:
        spaces &= to_original.kept[: len(letters)]
    start = 0
    for end in [*np.flatnonzero(spaces).tolist(), len(letters)]:
        other = to_other.span(start, end)
        original = to_original.span(start, end) if to_original is not None else (0, 0)
        if other is not None and original is not None and (end > start or other[1] > other[0]):
            yield Stretch(original, (start, end), other)
        start = end + 1
