"""Let a gap begin and end where words do, where that is as cheap.

Arrives: the steps of an alignment. Leaves: the same steps with gaps moved along equal letters, and
letters given back that a gap has taken from a changed letter beside it.
Start reading at ``settle_gaps``.

In "elnbogan elnbogan" for "elnbogan" the letters put in may be "elnbogan ", "gan elnbo" or
" elnbogan": the cost is the same, the letters answered are the same. A reader expects words. Nor
does he expect that "rudan t" was put in and an r left out where "rudan" stands before "teddere" for
"reddere", though that may be cheaper by a little.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.channel import GAP_EXTEND
from fidelity.alignment.costs import Costs
from fidelity.alignment.steps import cost_of
from fidelity.alignment.texts import NumberedTexts
from fidelity.letters import is_punctuation
from fidelity.terms import StepKind

Steps = npt.NDArray[Any]
Row = list[int]

LONG_RUN = 3  # letters; a kept step no longer may be a declared expansion


def settle_gaps(
    steps: Steps, texts: NumberedTexts, original: str, copy: str, costs: Costs | None = None
) -> Steps:
    """Move each gap that holds a word division to where words begin and end, if it can be moved.

    A gap slides along equal letters, which changes no cost; a kept run beside it may be used up, or
    begin anew. Where a single letter of the other text stands unanswered beside a gap, it is
    answered by the gap's first or last letter if that leaves whole words in the gap and costs no
    more than a gap saves by not naming its letters: ln n - ``GAP_EXTEND`` nats for n letters in use.
    A letter written for another is charged for being this and no other, one inside a gap is not, so
    a lesser difference is no evidence.

    Args:
        steps: of an alignment, in order; may be changed in place.
        texts: the two texts as numbers.
        original, copy: the same in letters.
        costs: under which letters are given back; none are where there are no costs.
    """
    if costs is not None:
        steps = _given_back(steps, texts, original, copy, costs)
    added: list[tuple[int, Row]] = []
    used_up = False
    for at in _movable(steps, texts):
        o0, o1, c0, c1 = steps[at, :4].tolist()
        text, start, end = (original, o0, o1) if o1 > o0 else (copy, c0, c1)
        if not any(letter.isspace() for letter in text[start:end]):
            continue
        left, right = _run(steps, at - 1, texts), _run(steps, at + 1, texts)
        shift = _shift(text, start, end, left, right)
        if not shift:
            continue
        steps[at, :4] += shift
        for beside, side, run in ((at - 1, [1, 3], left), (at + 1, [0, 2], right)):
            if run:
                steps[beside, side] += shift
                used_up = used_up or run == abs(shift)
            else:  # the letters slid over are kept, where nothing was before
                added.append((max(at, beside), _kept(o0, c0, shift) if beside < at else _kept(o1, c1, shift)))
    if added:
        steps = np.insert(steps, [at for at, _ in added], [row for _, row in added], axis=0)
    return steps[(steps[:, 1] > steps[:, 0]) | (steps[:, 3] > steps[:, 2])] if used_up else steps


def _kept(o: int, c: int, shift: int) -> Row:
    """Make the step of the letters that a gap has slid over, from where it began or ended."""
    first, last = sorted((0, shift))
    return [o + first, o + last, c + first, c + last, int(StepKind.KEPT)]


def _run(steps: Steps, at: int, texts: NumberedTexts) -> int:
    """Give how many letters a step keeps one for one; 0 where it is another, or none."""
    if not 0 <= at < len(steps):
        return 0
    o0, o1, c0, c1, kind = steps[at].tolist()
    if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
        return 0
    if o1 - o0 <= LONG_RUN:
        same = texts.folded[texts.original[o0:o1]] == texts.folded[texts.copy[c0:c1]]
        return o1 - o0 if same.all() else 0
    return int(o1 - o0)


def _movable(steps: Steps, texts: NumberedTexts) -> list[int]:
    """Give the gaps beside kept runs that can be moved by a letter at least, to either side."""
    n, m = steps[:, 1] - steps[:, 0], steps[:, 3] - steps[:, 2]
    kept = steps[:, 4] == StepKind.KEPT
    run = np.concatenate(([False], kept & (n == m), [False]))
    gap = np.flatnonzero(~kept & ((n == 0) | (m == 0)) & (n + m > 1))
    found = []
    for text, here, column in ((texts.original, gap[m[gap] == 0], 0), (texts.copy, gap[n[gap] == 0], 2)):
        start, end = steps[here, column], steps[here, column + 1]
        right = run[here + 2]
        right[right] = text[start[right]] == text[end[right]]
        left = run[here]
        left[left] = text[start[left] - 1] == text[end[left] - 1]
        found.append(here[left | right])
    movable: list[int] = np.sort(np.concatenate(found)).tolist()
    return movable


def _shift(text: str, start: int, end: int, most_left: int, most_right: int) -> int:
    """Give by how many letters to move a gap so that it is whole words; 0 where it cannot be."""
    for is_whole in (_is_whole_words, _ends_at_a_stop):
        for shift in _shifts(text, start, end, most_left, most_right):
            if is_whole(text, start + shift, end + shift):
                return shift
    return 0


def _shifts(text: str, start: int, end: int, most_left: int, most_right: int) -> Iterator[int]:
    """Give by how many letters a gap can be moved along equal letters, those to the left first."""
    yield 0
    left = right = 0
    while left < most_left and text[start - left - 1] == text[end - left - 1]:
        left += 1
        yield -left
    while right < most_right and text[start + right] == text[end + right]:
        right += 1
        yield right


def _is_whole_words(text: str, start: int, end: int) -> bool:
    """Tell whether a gap is whole words with the division before or after them."""
    if text[start].isspace():
        return end == len(text) or text[end].isspace()
    return text[end - 1].isspace() and (start == 0 or text[start - 1].isspace())


def _ends_at_a_stop(text: str, start: int, end: int) -> bool:
    """Tell whether a gap is whole words with the division before them and a stop after."""
    return text[start].isspace() and end < len(text) and is_punctuation(text[end])


def _given_back(steps: Steps, texts: NumberedTexts, original: str, copy: str, costs: Costs) -> Steps:
    """Let a letter that stands unanswered beside a gap be answered by a letter at the gap's edge."""
    n, m = steps[:, 1] - steps[:, 0], steps[:, 3] - steps[:, 2]
    unnamed = max(math.log(max(len(texts.letters), 1)) - GAP_EXTEND, 0.0)
    skipped = steps[:, 4] == StepKind.SKIPPED
    beside = np.zeros(len(steps), dtype=bool)
    for gap, letter in ((skipped & (n == 0), (n == 1) & (m == 0)), (skipped & (m == 0), (n == 0) & (m == 1))):
        beside[:-1] |= (gap[:-1] & letter[1:]) | (letter[:-1] & gap[1:])
    for at in np.flatnonzero(beside).tolist():
        rows = steps[at : at + 2]
        for answered in _answered(rows.tolist(), original, copy):
            if cost_of(answered, texts, costs) <= cost_of(rows, texts, costs) + unnamed:
                steps[at : at + 2] = answered
                break
    return steps


def _answered(rows: list[Row], original: str, copy: str) -> Iterator[Steps]:
    """Give the ways to answer a letter beside a gap from within the gap that leave whole words there."""
    o0, o1, c0, c1 = rows[0][0], rows[1][1], rows[0][2], rows[1][3]
    text, start, end = (original, o0, o1) if c1 - c0 == 1 else (copy, c0, c1)
    if end - start < LONG_RUN + 2 or _is_whole_words(text, start, end):
        return
    changed, gap = int(StepKind.CHANGED), int(StepKind.SKIPPED)
    if _is_whole_words(text, start, end - 1):
        o, c = o1 - 1, c1 - 1
        yield np.array([(o0, o, c0, c, gap), (o, o1, c, c1, changed)], dtype=np.int32)
    if _is_whole_words(text, start + 1, end):
        o, c = o0 + 1, c0 + 1
        yield np.array([(o0, o, c0, c, changed), (o, o1, c, c1, gap)], dtype=np.int32)
