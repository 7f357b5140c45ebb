"""Let words answer each other because the editor says so, and align anew what stands around them.

Arrives: an alignment, and a span of either text. Leaves: the alignment with the two spans answering
each other; between the nearest kept words on both sides the rest is aligned anew, in full, at the
costs the alignment was made with. Start reading at ``with_pairs``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import numpy.typing as npt
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import Pair
from fidelity.alignment.channel import AnswerTotals
from fidelity.alignment.check import cost_of_steps, in_full
from fidelity.alignment.costs import Costs, costs_from
from fidelity.alignment.moved import with_moved
from fidelity.alignment.settle import settle_gaps
from fidelity.alignment.steps import StepTable, free_kept
from fidelity.terms import Alignment, Moved, StepKind
from fidelity.witnesses.folds import Folds

Steps = npt.NDArray[Any]
Span = tuple[int, int]
Point = tuple[int, int]  # an offset in the original and the offset in the copy that answers it


def with_pairs(alignment: Alignment, pairs: Sequence[tuple[Span, Span]], folds: Folds) -> Alignment:
    """Give the alignment in which these words of the copy answer these words of the original.

    Args:
        alignment: made by ``align_witnesses``.
        pairs: spans of words in the original and in the copy, in letters, none empty; in the same
            order in both texts, and apart.
        folds: those the alignment was made with.

    >>> from fidelity.alignment.align import align_witnesses
    >>> from fidelity.terms import Witness
    >>> found = align_witnesses(Witness("E", "on stræte and dæge"), Witness("E", "on dæge"))
    >>> [found.original.letters[o0:o1] for o0, o1, c0, c1, kind in found.steps.tolist() if kind]
    [' stræte and']
    >>> paired = with_pairs(found, [((3, 9), (3, 7))], Folds())
    >>> [paired.original.letters[o0:o1] for o0, o1, c0, c1, kind in paired.steps.tolist() if kind == 2]
    [' and dæge']
    """
    if not pairs:
        return alignment
    pair = Pair(alignment.original, alignment.copy, folds)
    counted = alignment.counted if isinstance(alignment.counted, AnswerTotals) else None
    costs = costs_from(pair.channel(counted), pair.texts.letters)
    steps, cost = alignment.steps, alignment.cost
    ends = (len(alignment.original), len(alignment.copy))
    points = _kept_words(steps.tolist(), pair)
    for (o0, o1), (c0, c1) in sorted(pairs):
        first = max((one for one, _ in points if one[0] <= o0 and one[1] <= c0), default=(0, 0))
        last = min((one for _, one in points if one[0] >= o1 and one[1] >= c1), default=ends)
        anew = [
            *_aligned(first, (o0, c0), pair, costs),
            *_answering((o0, c0), (o1, c1), pair, costs),
            *_aligned((o1, c1), last, pair, costs),
        ]
        steps, inside = _with_stretch(steps, first, last, anew, max(ends))
        cost += cost_of_steps(_as_array(anew), pair, costs) - cost_of_steps(_as_array(inside), pair, costs)
        fixed = ((o1, c1), (o0, c0))  # what was paired holds like a kept word for the pairs that follow
        points = [one for one in points if one[0] <= first or one[1] >= last] + [fixed]
    changed = with_moved(replace(alignment, steps=steps, cost=cost, moved=()), folds)
    return replace(changed, moved=tuple(one for one in changed.moved if not _moves(one, pairs)))


def _moves(block: Moved, pairs: Sequence[tuple[Span, Span]]) -> bool:
    """Tell whether a moved block has letters of a pair: they stand where the editor says."""
    return any(
        start < two[1] and two[0] < end
        for one in pairs
        for two, (start, end) in zip(one, (block.original_span, block.copy_span), strict=True)
    )


def _as_array(rows: list[list[int]]) -> Steps:
    return np.array(rows, dtype=np.int64).reshape(-1, 5)


def _with_stretch(
    steps: Steps, first: Point, last: Point, anew: list[list[int]], letters: int
) -> tuple[Steps, list[list[int]]]:
    """Put new steps in the place of those between two points; give those too that they replace."""
    before = np.count_nonzero((steps[:, 1] <= first[0]) & (steps[:, 3] <= first[1]))
    after = np.count_nonzero((steps[:, 0] >= last[0]) & (steps[:, 2] >= last[1]))
    beyond = len(steps) - int(after)
    begun, inside, rest = _parted(steps[int(before) : beyond], first, last)
    table = StepTable(letters)
    for part in (steps[: int(before)], *([row] for row in [*begun, *anew, *rest]), steps[beyond:]):
        table.add(np.array(part, dtype=np.int32).reshape(-1, 5))  # kept runs that go on are joined
    return table.whole(), inside


def _kept_words(steps: list[list[int]], pair: Pair) -> list[tuple[Point, Point]]:
    """Give the words that are kept letter for letter: where each ends, and where it begins.

    A stretch that is aligned anew begins where such a word ends, and ends where one begins.
    """
    original, copy = pair.original.letters, pair.copy.letters
    found = []
    for o0, o1, c0, c1, kind in steps:
        if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
            continue
        at = o0
        while at < o1:
            if original[at].isspace() or (at > o0 and not original[at - 1].isspace()):
                at += 1
                continue
            end = at
            while end < o1 and not original[end].isspace():
                end += 1
            begin, stop = c0 + at - o0, c0 + end - o0
            if _is_word(original, at, end) and _is_word(copy, begin, stop):
                found.append(((end, stop), (at, begin)))
            at = end
    return found


def _is_word(text: str, start: int, end: int) -> bool:
    """Tell whether a span is a whole word."""
    return (start == 0 or text[start - 1].isspace()) and (end == len(text) or text[end].isspace())


def _parted(steps: Steps, first: Point, last: Point) -> tuple[list[list[int]], ...]:
    """Part steps into those before a point, those between, and those after; kept runs are cut there."""
    parts: tuple[list[list[int]], ...] = ([], [], [])
    for o0, o1, c0, c1, kind in steps.tolist():
        run = kind == StepKind.KEPT and o1 - o0 == c1 - c0
        cuts = [point for point in (first, last) if run and o0 < point[0] < o1]
        corners = [(o0, c0), *sorted(set(cuts)), (o1, c1)]
        for (a, c), (b, d) in pairwise(corners):
            part = 0 if b <= first[0] and d <= first[1] else 2 if a >= last[0] and c >= last[1] else 1
            parts[part].append([a, b, c, d, kind])
    return parts


def _aligned(start: Point, end: Point, pair: Pair, costs: Costs) -> list[list[int]]:
    """Align a stretch in full."""
    (o0, c0), (o1, c1) = start, end
    if o0 == o1 and c0 == c1:
        return []
    if o0 == o1 or c0 == c1:
        kind = StepKind.CHANGED if max(o1 - o0, c1 - c0) == 1 else StepKind.SKIPPED
        return [[o0, o1, c0, c1, int(kind)]]
    steps = in_full(np.array([[o0, o1, c0, c1, 0]]), pair, costs).astype(np.int32)
    original, copy = pair.original.letters, pair.copy.letters
    free_kept(steps, original, copy, frozenset(pair.free))
    rows: list[list[int]] = settle_gaps(steps, pair.texts, original, copy, costs).tolist()
    return rows


def _answering(start: Point, end: Point, pair: Pair, costs: Costs) -> list[list[int]]:
    """Align the words of the pair; where that would leave one out and put the other in, letter by letter."""
    steps = _aligned(start, end, pair, costs)
    answer = any(o1 > o0 and c1 > c0 for o0, o1, c0, c1, _ in steps)
    if answer and all(kind != StepKind.SKIPPED for *_, kind in steps):
        return steps
    (o0, c0), (o1, c1) = start, end
    fold = pair.folds.fold
    original, copy = fold(pair.original.letters[o0:o1]), fold(pair.copy.letters[c0:c1])
    rows = []
    for code in Levenshtein.opcodes(original, copy):
        a, b, c, d = o0 + code.src_start, o0 + code.src_end, c0 + code.dest_start, c0 + code.dest_end
        if code.tag == "equal":
            rows.append([a, b, c, d, int(StepKind.KEPT)])
        else:
            size = max(b - a, d - c)
            rows += [
                [
                    min(a + at, b),
                    min(a + at + 1, b),
                    min(c + at, d),
                    min(c + at + 1, d),
                    int(StepKind.CHANGED),
                ]
                for at in range(size)
            ]
    return rows
