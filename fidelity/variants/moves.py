"""Make one event of what was moved, instead of an omission here and an addition there.

Arrives: an alignment with its moved blocks. Leaves: its steps without their letters, and an event
for each block. Start reading at ``steps_without_moved`` and ``with_moved``.

Words that changed places with their neighbours are shown with what they were moved over; what was
moved further is shown by itself, with the place in the copy where it now stands.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise, zip_longest

import numpy as np

from fidelity.terms import Alignment, StepKind
from fidelity.variants.cells import Cell, Step
from fidelity.variants.events import Event

NEARBY = 80  # letters, about two manuscript lines (Clark 1914 and after count 30-40 to the line)
LONGEST_CHANGE = 3  # letters of a changed step; a longer one is a gap, as in the alignment

Span = tuple[int, int]
Block = tuple[int, int, int, int]  # original start and end, copy start and end


def blocks_of(alignment: Alignment) -> list[Block]:
    """Give the spans of the moved blocks with the white space that was left out or put in with them."""
    sides = (
        _with_spaces([one.original_span for one in alignment.moved], alignment, 0),
        _with_spaces([one.copy_span for one in alignment.moved], alignment, 2),
    )
    return [(*span, *span_copy) for span, span_copy in zip(*sides, strict=True)]


def _with_spaces(spans: Sequence[Span], alignment: Alignment, side: int) -> list[Span]:
    """Widen blocks by the white space that is all that is left of the gaps they stand in.

    White space between two blocks goes with the first.
    """
    steps, letters = alignment.steps, (alignment.copy if side else alignment.original).letters
    found = list(spans)
    order = sorted(range(len(spans)), key=spans.__getitem__)
    taken = 0  # the end of the block before
    for at, following in zip_longest(order, order[1:]):
        start, end = spans[at]
        first = max(int(np.searchsorted(steps[:, side], start, side="right")) - 1, 0)
        last = int(np.searchsorted(steps[:, side + 1], end))
        left, right = max(int(steps[first, side]), taken), int(steps[last, side + 1])
        if following is not None:
            right = min(right, spans[following][0])
        if steps[first, 4] != StepKind.KEPT and letters[left:start].isspace():
            start = left
        if steps[last, 4] != StepKind.KEPT and letters[end:right].isspace():
            end = right
        found[at], taken = (start, end), end
    return found


def steps_without_moved(alignment: Alignment) -> list[Step]:
    """Give the steps of an alignment with the letters of moved blocks cut out.

    What is left of a step keeps its place; a letter that was only paired because its neighbour
    had moved counts as left out or put in.
    """
    steps: list[Step] = list(map(tuple, alignment.steps.tolist()))
    blocks = blocks_of(alignment)
    cuts: dict[int, tuple[list[Span], list[Span]]] = {}
    for o0, o1, c0, c1 in blocks:
        for side, start, end in ((0, o0, o1), (2, c0, c1)):
            first = np.searchsorted(alignment.steps[:, side + 1], start, side="right")
            last = np.searchsorted(alignment.steps[:, side], end)
            for at in range(int(first), int(last)):
                cuts.setdefault(at, ([], []))[side // 2].append((start, end))
    if not cuts:
        return steps
    found: list[Step] = []
    done = 0
    for at in sorted(cuts):
        found += [*steps[done:at], *_cut(steps[at], *map(sorted, cuts[at]))]
        done = at + 1
    return found + steps[done:]


def _cut(step: Step, cuts: list[Span], cuts_copy: list[Span]) -> Iterator[Step]:
    """Give what is left of a step when spans are cut out of it on either side."""
    o0, o1, c0, c1, kind = step
    if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
        shift = c0 - o0
        ends = {at for span in cuts for at in span} | {at - shift for span in cuts_copy for at in span}
        places = sorted({o0, o1, *(at for at in ends if o0 < at < o1)})
        for a, b in pairwise(places):
            gone, come = _inside(a, cuts), _inside(a + shift, cuts_copy)
            if not gone and not come:
                yield a, b, a + shift, b + shift, kind
            elif not (gone and come):
                yield _change(a, a if gone else b, a + shift, a + shift if come else b + shift)
        return
    for left, right in zip_longest(_outside((o0, o1), cuts), _outside((c0, c1), cuts_copy)):
        a, b = left or (o1, o1)
        yield _change(a, b, *(right or (c1, c1)))


def _change(o0: int, o1: int, c0: int, c1: int) -> Step:
    kind = StepKind.SKIPPED if max(o1 - o0, c1 - c0) > LONGEST_CHANGE else StepKind.CHANGED
    return o0, o1, c0, c1, int(kind)


def _inside(at: int, spans: Sequence[Span]) -> bool:
    return any(start <= at < end for start, end in spans)


def _outside(span: Span, taken: Sequence[Span]) -> Iterator[Span]:
    """Give the parts of a span that lie outside of others, which stand in order."""
    start, end = span
    for first, last in taken:
        if start < first:
            yield start, first
        start = max(start, last)
    if start < end:
        yield start, end


def with_moved(events: list[Event], alignment: Alignment) -> list[Event]:
    """Put an event for each moved block among the others, in the order of the original."""
    blocks = blocks_of(alignment)
    starts = [event.o0 for event in events]
    found: list[Event] = []
    for at, block in enumerate(blocks):
        wide = _over(block, alignment)
        others = [*blocks[:at], *blocks[at + 1 :]]
        near = max(wide[1] - wide[0], wide[3] - wide[2]) - (block[1] - block[0]) <= NEARBY
        if near and not _disturbed(wide, events, starts) and not any(_overlap(wide, one) for one in others):
            block = wide
        found.append(_event(block, alignment))
    return sorted([*events, *found], key=lambda event: (event.o0, event.c0)) if found else events


def _over(block: Block, alignment: Alignment) -> Block:
    """Widen a block to what it was moved over: from where it stood to where it now stands."""
    o0, o1, c0, c1 = block
    steps = alignment.steps
    place = int(steps[np.searchsorted(steps[:, 3], c0, side="right"), 0])
    place_copy = opposite(alignment, o0)
    return min(o0, place), max(o1, place), min(c0, place_copy), max(c1, place_copy)


def opposite(alignment: Alignment, offset: int) -> int:
    """Give where in the copy a step of the original begins that holds this letter."""
    return int(alignment.steps[np.searchsorted(alignment.steps[:, 1], offset, side="right"), 2])


def _overlap(first: Block, second: Block) -> bool:
    return (first[0] < second[1] and second[0] < first[1]) or (first[2] < second[3] and second[2] < first[3])


def _disturbed(wide: Block, events: Sequence[Event], starts: Sequence[int]) -> bool:
    """Tell whether another change lies between the two places."""
    near = events[max(bisect_left(starts, wide[0]) - 1, 0) : bisect_left(starts, wide[1] + 1)]
    return any(_overlap(wide, (one.o0, one.o1, one.c0, one.c1)) or _within(one, wide) for one in near)


def _within(event: Event, wide: Block) -> bool:
    """Tell whether a gap, which has no letters on one side, lies strictly inside."""
    return wide[0] < event.o0 < wide[1] and wide[2] < event.c0 < wide[3]


def _event(block: Block, alignment: Alignment) -> Event:
    """Make the event of a block."""
    o0, o1, c0, c1 = block
    original, copy = alignment.original.letters, alignment.copy.letters
    cell = Cell(*_words_around(original, o0, o1), *_words_around(copy, c0, c1), ())
    return Event(cell, o0, o1, c0, c1, ((original[o0:o1], copy[c0:c1]),), moved=True)


def _words_around(letters: str, start: int, end: int) -> Span:
    """Widen a span to whole words."""
    while start and not letters[start - 1].isspace() and not letters[start].isspace():
        start -= 1
    while end < len(letters) and not letters[end].isspace() and not letters[end - 1].isspace():
        end += 1
    return start, end
