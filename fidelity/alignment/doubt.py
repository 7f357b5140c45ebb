"""Find where another alignment is as good: the rivals of the one that was given.

Arrives: an alignment. Leaves: for stretches that differ, other ways through them that cost the
same. Start reading at ``rivals_of``. Whether they would be judged differently is not asked here
(``variants/rivals.py`` does).

Two kinds of stretches are looked at, in their own neighbourhood only, so that the work grows with
the differences: a gap that can be moved along equal letters ("the the man" for "the man"), and
changes of several letters in which one is left out or put in ("in" for "m"). Nothing is claimed of
changes longer than ``LONGEST`` letters, of several changes with kept letters between, nor of what
a wholly different chain of anchors might give.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fidelity.alignment.rival_costs import MOST_WAYS, RivalCosts, Row, Step, Stretch, ways_as_good
from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import Folds

LONGEST = 6  # letters a side of a change that is tried in every way; its ways grow with the square
CONTEXT = 2  # letters kept on either side that are tried with it (chosen)
SHORT_GAP = 3  # letters; a longer gap is a step of its own kind, as in the alignment
FARTHEST = 500  # letters by which a gap is moved along equal ones; beyond, a text repeats without end


@dataclass(frozen=True)
class Rivals:
    """A stretch with other ways through it.

    Attributes:
        first, last: it is ``steps[first:last]`` of the alignment.
        ways: each a list of steps from the beginning of that stretch to its end.
    """

    first: int
    last: int
    ways: tuple[tuple[Row, ...], ...]


def rivals_of(alignment: Alignment, folds: Folds) -> Iterator[Rivals]:
    """Give the stretches through which other ways are as good, in order.

    An alignment's own choice is no evidence for it: of what the costs were learned from, the
    answers in the stretch itself are left out.

    Args:
        alignment: of the two texts.
        folds: letterforms counted as equal.

    >>> from fidelity.terms import Witness
    >>> from fidelity.witnesses.folds import NO_FOLDS
    >>> steps = np.array([(0, 3, 0, 0, 1), (3, 10, 0, 7, 0)], dtype=np.int32)
    >>> given = Alignment(Witness("E", "se se wudu"), Witness("C", "se wudu"), steps, 0.0, 1)
    >>> [rivals] = rivals_of(given, NO_FOLDS)  # the other "se" was left out
    >>> rivals.ways[0]
    ((0, 3, 0, 3, 0), (3, 6, 3, 3, 1), (6, 10, 3, 7, 0))
    """
    steps: list[Row] = list(map(tuple, alignment.steps.tolist()))
    costs: RivalCosts | None = None
    for first, last in _changes(alignment.steps):
        rows = steps[first:last]
        if all(row[0] == row[1] for row in rows) or all(row[2] == row[3] for row in rows):
            found = _moved_along(alignment, steps, first, last)
        else:
            costs = costs or RivalCosts(alignment, folds)
            found = _other_ways(alignment, steps, first, last, costs)
        if found is not None:
            yield found


def _changes(steps: np.ndarray) -> Iterator[tuple[int, int]]:
    """Give the changes that may have rivals: first step and last plus one."""
    apart = np.concatenate(([0], steps[:, 4] != StepKind.KEPT, [0])).astype(np.int8)
    edges = np.flatnonzero(np.diff(apart))
    first, last = edges[0::2], edges[1::2]
    if not len(first):
        return
    gaps = (steps[:, 0] == steps[:, 1]) | (steps[:, 2] == steps[:, 3])
    before = np.concatenate(([0], np.cumsum(gaps)))
    with_gap = before[last] > before[first]
    yield from zip(first[with_gap].tolist(), last[with_gap].tolist(), strict=True)


def _is_run(row: Sequence[int]) -> bool:
    """Tell whether a step keeps letters one for one."""
    return bool(row[4] == StepKind.KEPT and row[1] - row[0] == row[3] - row[2])


def _kept_beside(steps: Sequence[Row], first: int, last: int) -> tuple[Row | None, Row | None]:
    """Give the runs kept right before and right after some steps, where there are any."""
    before = steps[first - 1] if first and _is_run(steps[first - 1]) else None
    after = steps[last] if last < len(steps) and _is_run(steps[last]) else None
    return before, after


def _moved_along(alignment: Alignment, steps: Sequence[Row], first: int, last: int) -> Rivals | None:
    """Give the other places of a gap that can be moved along equal letters."""
    gap = steps[first:last]
    original = gap[0][0] < gap[0][1]
    text = alignment.original.letters if original else alignment.copy.letters
    start, end = (gap[0][0], gap[-1][1]) if original else (gap[0][2], gap[-1][3])
    before, after = _kept_beside(steps, first, last)
    most = min(before[1] - before[0] - (before[0] > 0), FARTHEST) if before else 0
    most_right = min(after[1] - after[0] - (after[1] < len(alignment.original)), FARTHEST) if after else 0
    left = right = 0
    while left < most and text[start - left - 1] == text[end - left - 1]:
        left += 1
    while right < most_right and text[start + right] == text[end + right]:
        right += 1
    if not left and not right:
        return None
    ways = [_shifted(before, gap, after, shift) for shift in _shifts(text, start, end, left, right)]
    return Rivals(first - bool(before), last + bool(after), tuple(ways[:MOST_WAYS])) if ways else None


def _shifts(text: str, start: int, end: int, left: int, right: int) -> list[int]:
    """Give by how many letters a gap is to be moved to its other places: to words, if it is words."""
    if any(letter.isspace() for letter in text[start:end]) and _is_words(text, start, end):
        shifts = [shift for shift in range(-left, right + 1) if _is_words(text, start + shift, end + shift)]
    else:
        shifts = [-left, right]
    return sorted((shift for shift in shifts if shift), key=lambda shift: (-abs(shift), shift))


def _is_words(text: str, start: int, end: int) -> bool:
    """Tell whether a gap is whole words with the division before or after them."""
    if text[start].isspace():
        return end == len(text) or text[end].isspace()
    return text[end - 1].isspace() and (start == 0 or text[start - 1].isspace())


def _shifted(before: Row | None, gap: Sequence[Row], after: Row | None, shift: int) -> tuple[Row, ...]:
    """Give the steps of a gap and what is kept beside it, the gap moved."""
    rows: list[Row] = [(a + shift, b + shift, c + shift, d + shift, kind) for a, b, c, d, kind in gap]
    (a, _, c, _, _), (_, b, _, d, _) = gap[0], gap[-1]
    first = (
        (before[0], a + shift, before[2], c + shift, before[4]) if before else (a, a + shift, c, c + shift, 0)
    )
    last = (b + shift, after[1], d + shift, after[3], after[4]) if after else (b + shift, b, d + shift, d, 0)
    return tuple(row for row in (first, *rows, last) if row[1] > row[0] or row[3] > row[2])


def _other_ways(
    alignment: Alignment, steps: Sequence[Row], first: int, last: int, costs: RivalCosts
) -> Rivals | None:
    """Give the other ways through some changes near each other, with a little of what is kept beside."""
    original, copy = alignment.original.letters, alignment.copy.letters
    rows = steps[first:last]
    if max(rows[-1][1] - rows[0][0], rows[-1][3] - rows[0][2]) > LONGEST:
        return None
    before, after = _kept_beside(steps, first, last)
    back = min(before[1] - before[0], CONTEXT) if before else 0
    on = min(after[1] - after[0], CONTEXT) if after else 0
    o0, o1, c0, c1 = rows[0][0] - back, rows[-1][1] + on, rows[0][2] - back, rows[-1][3] + on
    gaps = [max(b - a, d - c) for a, b, c, d, kind in rows if kind != StepKind.KEPT and (a == b or c == d)]
    taught = costs.taught_by(rows, original, copy)
    stretch = Stretch(original[o0:o1], copy[c0:c1], taught, max(*gaps, SHORT_GAP))
    given = [step for row in rows for step in _single_steps(row, o0, c0)]
    given = [(at, at + 1, at, at + 1) for at in range(back)] + given
    given += [(o1 - o0 - at, o1 - o0 - at + 1, c1 - c0 - at, c1 - c0 - at + 1) for at in range(on, 0, -1)]
    ways: dict[tuple[Row, ...], None] = {}
    for way in ways_as_good(stretch, given, costs):
        steps_of = [_row(step, o0, c0, original, copy, costs) for step in way]
        if before:
            steps_of.insert(0, (before[0], o0, before[2], c0, before[4]))
        if after:
            steps_of.append((o1, after[1], c1, after[3], after[4]))
        ways[_joined(steps_of)] = None
    ways.pop(tuple(row for row in (before, *rows, after) if row), None)
    return Rivals(first - bool(before), last + bool(after), tuple(ways)) if ways else None


def _single_steps(row: Row, start: int, start_copy: int) -> Iterator[Step]:
    """Give a step as operations, with offsets from the beginning of a stretch: a run letter by letter."""
    a, b, c, d = row[0] - start, row[1] - start, row[2] - start_copy, row[3] - start_copy
    if _is_run(row):
        yield from ((a + at, a + at + 1, c + at, c + at + 1) for at in range(b - a))
    else:
        yield a, b, c, d


def _row(step: Step, start: int, start_copy: int, original: str, copy: str, costs: RivalCosts) -> Row:
    """Give a step of a way its offsets in the whole texts and its kind."""
    a, b, c, d = step[0] + start, step[1] + start, step[2] + start_copy, step[3] + start_copy
    letters, written = original[a:b], copy[c:d]
    kept = len(letters) == len(written) == 1 and costs.fold(letters) == costs.fold(written)
    if kept or (letters, written) in costs.free:
        return a, b, c, d, int(StepKind.KEPT)
    return a, b, c, d, int(StepKind.SKIPPED if max(b - a, d - c) > SHORT_GAP else StepKind.CHANGED)


def _joined(rows: Sequence[Row]) -> tuple[Row, ...]:
    """Make one step of neighbouring runs that are kept, and leave out empty ones."""
    joined: list[Row] = []
    for row in rows:
        if row[0] == row[1] and row[2] == row[3]:
            continue
        if joined and _is_run(joined[-1]) and _is_run(row):
            joined[-1] = (joined[-1][0], row[1], joined[-1][2], row[3], row[4])
        else:
            joined.append(row)
    return tuple(joined)
