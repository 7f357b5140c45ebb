"""Let a gap begin and end where words do, where that is as cheap.

Arrives: the steps of an alignment. Leaves: the same steps with gaps moved along equal letters.
Start reading at ``settle_gaps``.

In "elnbogan elnbogan" for "elnbogan" the letters put in may be "elnbogan ", "gan elnbo" or
" elnbogan": the cost is the same, the letters answered are the same. A reader expects words.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.texts import NumberedTexts
from fidelity.terms import StepKind

Steps = npt.NDArray[Any]

LONG_RUN = 3  # letters; a kept step no longer may be a declared expansion


def settle_gaps(steps: Steps, texts: NumberedTexts, original: str, copy: str) -> Steps:
    """Move each gap that holds a word division to where words begin and end, if it can be moved.

    Args:
        steps: of an alignment, in order; changed in place.
        texts: the two texts as numbers.
        original, copy: the same in letters.
    """
    for at in _movable(steps, texts):
        o0, o1, c0, c1 = steps[at, :4].tolist()
        text, start, end = (original, o0, o1) if o1 > o0 else (copy, c0, c1)
        if not any(letter.isspace() for letter in text[start:end]):
            continue
        before = int(steps[at - 1, 1] - steps[at - 1, 0])
        after = int(steps[at + 1, 1] - steps[at + 1, 0])
        shift = _shift(text, start, end, before - 1, after - 1)
        if shift:
            steps[at - 1, [1, 3]] += shift
            steps[at, :4] += shift
            steps[at + 1, [0, 2]] += shift
    return steps


def _movable(steps: Steps, texts: NumberedTexts) -> list[int]:
    """Give the gaps between kept runs that can be moved by a letter at least, to either side."""
    n, m = steps[:, 1] - steps[:, 0], steps[:, 3] - steps[:, 2]
    run = (steps[:, 4] == StepKind.KEPT) & (n == m) & (n > LONG_RUN)
    gap = (steps[:, 4] != StepKind.KEPT) & ((n == 0) | (m == 0))
    at = np.flatnonzero(gap[1:-1] & run[:-2] & run[2:]) + 1
    found = []
    for text, here, column in ((texts.original, at[m[at] == 0], 0), (texts.copy, at[n[at] == 0], 2)):
        start, end = steps[here, column], steps[here, column + 1]
        found.append(here[(text[start] == text[end]) | (text[start - 1] == text[end - 1])])
    movable: list[int] = np.sort(np.concatenate(found)).tolist()
    return movable


def _shift(text: str, start: int, end: int, most_left: int, most_right: int) -> int:
    """Give by how many letters to move a gap so that it is whole words; 0 where it cannot be."""
    if _is_whole_words(text, start, end):
        return 0
    left = 0
    while left < most_left and text[start - left - 1] == text[end - left - 1]:
        left += 1
        if _is_whole_words(text, start - left, end - left):
            return -left
    right = 0
    while right < most_right and text[start + right] == text[end + right]:
        right += 1
        if _is_whole_words(text, start + right, end + right):
            return right
    return 0


def _is_whole_words(text: str, start: int, end: int) -> bool:
    """Tell whether a gap is whole words with the division before or after them."""
    if text[start].isspace():
        return end == len(text) or text[end].isspace()
    return text[end - 1].isspace() and (start == 0 or text[start - 1].isspace())
