"""Let a gap begin and end where words do, where that is as cheap.

Arrives: the steps of an alignment. Leaves: the same steps with gaps moved along equal letters.
Start reading at ``settle_gaps``.

In "elnbogan elnbogan" for "elnbogan" the letters put in may be "elnbogan ", "gan elnbo" or
" elnbogan": the cost is the same, the letters answered are the same. A reader expects words.
"""

from __future__ import annotations

from fidelity.terms import StepKind

Row = tuple[int, int, int, int, int]  # original start and end, copy start and end, StepKind


def settle_gaps(rows: list[Row], original: str, copy: str) -> list[Row]:
    """Move each gap that holds a word division to where words begin and end, if it can be moved.

    Args:
        rows: steps of an alignment, in order.
        original, copy: the two texts in letters.
    """
    for at in range(1, len(rows) - 1):
        o0, o1, c0, c1, kind = rows[at]
        before, after = rows[at - 1], rows[at + 1]
        if kind == StepKind.KEPT or (o0 != o1 and c0 != c1) or not (_is_run(before) and _is_run(after)):
            continue
        text, start, end = (original, o0, o1) if o1 > o0 else (copy, c0, c1)
        if not any(letter.isspace() for letter in text[start:end]):
            continue
        shift = _shift(text, start, end, before[1] - before[0] - 1, after[1] - after[0] - 1)
        if shift:
            rows[at - 1] = (before[0], before[1] + shift, before[2], before[3] + shift, before[4])
            rows[at] = (o0 + shift, o1 + shift, c0 + shift, c1 + shift, kind)
            rows[at + 1] = (after[0] + shift, after[1], after[2] + shift, after[3], after[4])
    return rows


def _is_run(row: Row) -> bool:
    """Tell whether a step keeps letters one for one (a shorter one may be a declared expansion)."""
    return row[4] == StepKind.KEPT and row[1] - row[0] == row[3] - row[2] > 3


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
