"""Walk an alignment letter above letter, with a sign wherever the two texts differ.

Arrives: an alignment. Leaves: ``Column``s, a letter of the original and the one that answers it. Start
reading at ``columns``.

What is alike is only spelled out near a difference, and of a long event both ends, so that the work
grows with the differences. A long event is numbered, so that it can be shown by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, islice, pairwise, zip_longest
from typing import NamedTuple

import regex

from fidelity.terms import Alignment, StepKind
from fidelity.variants.citations import LONGEST_SHOWN, count_of
from fidelity.variants.moves import blocks_of

ALIKE, OTHER, LEFT_OUT, PUT_IN, DIVIDED, AWAY, HERE = " ", "×", "○", "●", "‖", "◇", "◆"
SHORTENED = "…"  # the same on both sides
UNSHOWN = "⋯"  # on both sides of the number of letters that are not shown, in one text
LEAST_GAIN = 8  # letters; a shorter stretch is shown, since "…" would spare nothing
LONG_EVENT = 40  # letters, a manuscript line (Clark 1914 and after count 30-40 to the line)
LONGEST_SKIP = LONGEST_SHOWN  # letters of a stretch in one text only; of a longer one both ends are shown
LONGEST_END, SHORTEST_END = 30, 8  # letters that are shown of either end: nearly a line; a word
NUMBER_ROOM = 20  # columns of the number between them

_DIVISION = regex.compile(r"\s")
_DIVISION_BACKWARD = regex.compile(r"(?r)\s")

Spans = tuple[int, int, int, int]  # original start and end, copy start and end


class Column(NamedTuple):
    """One letter above another.

    Attributes:
        original, copy: a letter of either text; "" where it has none.
        sign: what is between them.
        original_at, copy_at: offset of the letter, or of the next one.
        event: number of the long event it belongs to; 0 for none.
    """

    original: str
    copy: str
    sign: str
    original_at: int
    copy_at: int
    event: int = 0


def columns(alignment: Alignment, context: int, room: int = 2 * LONGEST_SHOWN) -> Iterator[Column]:
    """Walk an alignment, letter above letter; stretches alike are shortened between differences.

    Args:
        alignment: to walk.
        context: so many words that are alike are shown before and after a difference.
        room: columns that go to a line, which what is shown of a long stretch is to fit.
    """
    ends = min(max((room - NUMBER_ROOM) // 2, SHORTEST_END), LONGEST_END)
    steps = alignment.steps.tolist()
    elsewhere = Elsewhere(alignment)
    runs = [(kept, list(run)) for kept, run in groupby(steps, key=lambda step: step[4] == StepKind.KEPT)]
    for at, (kept, run) in enumerate(runs):
        if not kept:
            for step in answers(run, elsewhere):
                yield from _changed(alignment, step, elsewhere, ends)
        else:
            yield from _kept(alignment, run, context, after=at > 0, before=at + 1 < len(runs))


def answers(run: Sequence[Sequence[int]], elsewhere: Elsewhere) -> list[Spans]:
    """Put what was left out and what was put in at the same place one above the other, moved matter apart.

    Args:
        run: steps of an alignment that follow one another, in none of which the letters are kept; between
            two of them moved matter may have been taken out.
        elsewhere: what was moved.
    """
    joined: list[Spans] = []
    before_moved = False
    for o0, o1, c0, c1, _ in run:
        moved = elsewhere.touches(o0, o1, c0, c1)
        if joined and not moved and not before_moved:
            a0, a1, b0, b1 = joined[-1]
            adjoining = o0 == a1 and c0 == b1
            if adjoining and ((a0 == a1 and c0 == c1) or (b0 == b1 and o0 == o1)):
                joined[-1] = (a0, o1, b0, c1)
                continue
        joined.append((o0, o1, c0, c1))
        before_moved = moved
    return joined


class Elsewhere:
    """Knows which letters of either text belong to moved blocks."""

    def __init__(self, alignment: Alignment) -> None:
        blocks = blocks_of(alignment)
        self.gone = sorted((o0, o1) for o0, o1, _, _ in blocks)
        self.come = sorted((c0, c1) for _, _, c0, c1 in blocks)

    def touches(self, o0: int, o1: int, c0: int, c1: int) -> bool:
        """Tell whether a step has letters of a moved block."""
        return any(a < o1 and o0 < b for a, b in self.gone) or any(a < c1 and c0 < b for a, b in self.come)

    def pieces(self, step: Spans) -> list[Spans]:
        """Part a long step: what is of the original, what of the copy, and at the ends of moved blocks."""
        o0, o1, c0, c1 = step
        size = max(o1 - o0, c1 - c0)
        both = o1 > o0 and c1 > c0
        if size <= LONG_EVENT or (both and size <= LONGEST_SKIP and not self.touches(*step)):
            return [step]
        gone = pairwise(_borders(o0, o1, self.gone))
        come = pairwise(_borders(c0, c1, self.come))
        return [*((a, b, c0, c0) for a, b in gone), *((o1, o1, a, b) for a, b in come)]

    def sign(self, column: Column) -> Column:
        """Give a column the sign of what was moved, if its letter was."""
        if column.original and self.touches(column.original_at, column.original_at + 1, 0, 0):
            return column._replace(sign=AWAY)
        here = column.copy and self.touches(0, 0, column.copy_at, column.copy_at + 1)
        return column._replace(sign=HERE) if here else column


def _borders(start: int, end: int, spans: Sequence[tuple[int, int]]) -> list[int]:
    """Give the ends of a stretch and those of the spans inside it, in order."""
    return sorted({start, end, *(at for span in spans for at in span if start < at < end)})


def _changed(alignment: Alignment, step: Spans, elsewhere: Elsewhere, ends: int) -> Iterator[Column]:
    """Give the columns of a step in which something differs."""
    pieces = elsewhere.pieces(step)
    for o0, o1, c0, c1 in pieces:
        original, copy = alignment.original.letters[o0:o1], alignment.copy.letters[c0:c1]
        sign = sign_of(original, copy)
        if len(pieces) > 1 and sign == DIVIDED:  # the blank beside a moved block
            sign = LEFT_OUT if original else PUT_IN
        size = max(len(original), len(copy))
        event = o0 + c0 + 1 if size > LONG_EVENT else 0
        if size > LONGEST_SKIP:
            for letter, at in _by_its_ends(original or copy, ends):
                shown = (letter, "") if original else ("", letter)
                places = (o0 + at, c0) if original else (o0, c0 + at)
                yield elsewhere.sign(Column(*shown, sign, *places, event))
            continue
        for at in range(size):
            places = min(o0 + at, o1), min(c0 + at, c1)
            yield elsewhere.sign(Column(original[at : at + 1], copy[at : at + 1], sign, *places, event))


def _by_its_ends(letters: str, ends: int) -> Iterator[tuple[str, int]]:
    """Give the first and the last words of a long stretch, and between them how much is not shown.

    Args:
        letters: of the stretch.
        ends: so many letters at most are shown of either end.

    Yields:
        Letters, each with its offset in the stretch or, if it is none of them, where it stands for
        something.
    """
    bare = letters.strip() or letters
    before = letters.index(bare)
    size = len(bare)
    far = min(LONGEST_END, size // 2)  # to here, where a word is longer than what should be shown
    found = _DIVISION_BACKWARD.search(bare, 0, ends + 1) or _DIVISION.search(bare, ends, far)
    first = found.start() if found else far
    found = _DIVISION.search(bare, size - ends - 1) or _DIVISION_BACKWARD.search(
        bare, size - far, size - ends
    )
    last = found.end() if found else size - far
    for at in range(first):
        yield bare[at], before + at
    count = count_of(bare[first:last])
    for sign in f" {UNSHOWN} {count:,} letters {UNSHOWN} ":
        yield sign, before + first
    for at in range(last, size):
        yield bare[at], before + at


def sign_of(original: str, copy: str) -> str:
    """Say what happened in a step.

    >>> sign_of("s", "r"), sign_of("n", ""), sign_of("", "e"), sign_of(" ", "")
    ('×', '○', '●', '‖')
    """
    if _DIVISION.sub("", original) == _DIVISION.sub("", copy):
        return DIVIDED
    if not copy:
        return LEFT_OUT
    return OTHER if original else PUT_IN


def _kept(
    alignment: Alignment, run: Sequence[Sequence[int]], context: int, after: bool, before: bool
) -> Iterator[Column]:
    """Give the columns of a stretch that is alike, shortened where it is long.

    Its first words are needed where it comes ``after`` a difference, its last ones ``before`` one.
    """
    original, copy = alignment.original.letters, alignment.copy.letters
    start, end = run[0][0], run[-1][1]
    first = _after_words(original, start, end, context) if after else start
    last = _before_words(original, start, end, context) if before else end
    if last - first < LEAST_GAIN:
        first = last = end
    line_of = alignment.original.line_of
    for o0, o1, c0, c1 in _cut(run, first, last):
        if first <= o0 and o1 <= last and first < last:
            if o0 == first and after:
                yield Column(SHORTENED, SHORTENED, ALIKE, o0 - 1, c0 - 1)
            if o1 == last and before and not (after and line_of(first - 1) == line_of(last)):
                yield Column(SHORTENED, SHORTENED, ALIKE, o1, c1)
            continue
        for at, (letter, answer) in enumerate(zip_longest(original[o0:o1], copy[c0:c1], fillvalue="")):
            yield Column(letter, answer, ALIKE, min(o0 + at, o1), min(c0 + at, c1))


def _cut(run: Sequence[Sequence[int]], first: int, last: int) -> Iterator[tuple[int, int, int, int]]:
    """Cut the steps of a stretch at two places of the original, as far as letter answers letter."""
    for o0, o1, c0, c1, _ in run:
        even = o1 - o0 == c1 - c0
        cuts = [o0, *(at for at in (first, last) if even and o0 < at < o1), o1]
        for a, b in pairwise(cuts):
            yield a, b, c0 + a - o0, c0 + b - o0 if even else c1


def _after_words(letters: str, start: int, end: int, words: int) -> int:
    """Give where so many words have gone by, the one in which the stretch begins apart."""
    found = next(islice(_DIVISION.finditer(letters, start, end), words, None), None)
    return found.end() if found else end


def _before_words(letters: str, start: int, end: int, words: int) -> int:
    """Give where so many words are still to come, the one in which the stretch ends apart."""
    found = next(islice(_DIVISION_BACKWARD.finditer(letters, start, end), words, None), None)
    return found.start() if found else start
