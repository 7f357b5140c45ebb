"""Show an original and its copy one above the other, with a sign between wherever they differ.

Arrives: an alignment. Leaves: lines for the terminal. Start reading at
``side_by_side``.

The alignment is walked once, as ``Column``s: a letter of the original, the letter that answers it,
and a sign. What is alike is only spelled out near a difference, so that the work grows with the
differences. Nothing is told by colour. What letters cannot show is said in notes below the block
(``aligned_notes.py``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import dropwhile, groupby, islice, pairwise, zip_longest
from textwrap import wrap
from typing import NamedTuple

import regex

from fidelity.apparatus.aligned_notes import Note
from fidelity.letters import decode
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.variants.citations import LONGEST_SHOWN
from fidelity.variants.moves import blocks_of

ALIKE, OTHER, LEFT_OUT, PUT_IN, DIVIDED, AWAY, HERE = " ", "×", "○", "●", "‖", "◇", "◆"
LEGEND = (
    f"{OTHER} another letter",
    f"{LEFT_OUT} left out in the copy",
    f"{PUT_IN} put in by the copy",
    f"{DIVIDED} words parted or joined otherwise",
    "… the same on both sides",
)
LEGEND_MOVED = (f"{AWAY} stands elsewhere in the copy", f"{HERE} stood elsewhere in the original")
SHORTENED = "…"
FIELD_BORDER = "¦"  # stands for a tab, which would break the columns
LEAST_GAIN = 8  # letters; a shorter stretch is shown, since "…" would spare nothing
NARROWEST = 20  # letters; a block is never narrower, whatever the screen
LONGEST_SKIP = LONGEST_SHOWN  # letters of a stretch in one text only; of a longer one both ends are shown
ENDS_OF_SKIP = 30  # letters of either end, nearly a manuscript line

INDENT = "  "  # of notes

_DIVISION = regex.compile(r"\s")
_DIVISION_BACKWARD = regex.compile(r"(?r)\s")


class Column(NamedTuple):
    """One letter above another.

    Attributes:
        original, copy: a letter of either text; "" where it has none.
        sign: what is between them.
        original_at, copy_at: offset of the letter, or of the next one.
    """

    original: str
    copy: str
    sign: str
    original_at: int
    copy_at: int


def side_by_side(alignment: Alignment, width: int, context: int, notes: Sequence[Note] = ()) -> Iterator[str]:
    """Give the original above the copy, block by block, a line of signs between them.

    Args:
        alignment: of the two.
        width: of the screen, in letters.
        context: so many words are shown before and after a difference; what lies between is "…".
        notes: what is to be said of places; each stands below the block with its letter.

    Yields:
        Lines: the original with its place in the margin, the signs, the copy with its place, the
        notes, and an empty one.
    """
    margin = max(_longest_place(alignment.original), _longest_place(alignment.copy)) + 2
    room = max(width - margin, NARROWEST)
    waiting: dict[tuple[bool, int], list[Note]] = {}
    for note in notes:
        waiting.setdefault((note.in_copy, note.offset), []).append(note)
    for block in _blocks(columns(alignment, context), alignment.original, room):
        yield from _printed(block, alignment, margin)
        here = [waiting.pop((False, one.original_at), []) for one in block if one.original]
        here += [waiting.pop((True, one.copy_at), []) for one in block if one.copy]
        told = [line for found in here for note in found for line in _told(note, alignment, width, context)]
        if told:
            yield from (*told, "")
    for left in waiting.values():  # of places inside a stretch that is shown by its ends
        for note in left:
            yield from (*_told(note, alignment, width, context), "")


def _told(note: Note, alignment: Alignment, width: int, context: int) -> Iterator[str]:
    """Give the lines of a note, and the moved block it tells of, letter above letter."""
    yield from wrap(note.text, width, initial_indent=INDENT, subsequent_indent=2 * INDENT)
    if note.moved is not None:
        inside = replace(alignment, steps=note.moved.steps, moved=())
        lines = list(side_by_side(inside, width - len(INDENT), context))
        yield ""
        yield from ((INDENT + line).rstrip() for line in lines[:-1])


def _longest_place(witness: Witness) -> int:
    """Give the letters that the longest citation may need: siglum, line, a word's number."""
    longest_line = max(b - a for a, b in pairwise((*witness.lines, len(witness.letters))))
    return len(f"{witness.siglum} {max(witness.labels, key=len)}.{longest_line // 2 + 1}")


def columns(alignment: Alignment, context: int) -> Iterator[Column]:
    """Walk an alignment, letter above letter; stretches alike are shortened between differences."""
    steps = alignment.steps.tolist()
    elsewhere = _Elsewhere(alignment)
    runs = [(kept, list(run)) for kept, run in groupby(steps, key=lambda step: step[4] == StepKind.KEPT)]
    for at, (kept, run) in enumerate(runs):
        if not kept:
            for step in _answers(run, elsewhere):
                yield from _changed(alignment, step, elsewhere)
        else:
            yield from _kept(alignment, run, context, after=at > 0, before=at + 1 < len(runs))


def _answers(run: Sequence[Sequence[int]], elsewhere: _Elsewhere) -> list[tuple[int, int, int, int]]:
    """Put what was left out and what was put in at the same place one above the other, moved matter apart."""
    joined: list[tuple[int, int, int, int]] = []
    before_moved = False
    for o0, o1, c0, c1, _ in run:
        moved = elsewhere.touches(o0, o1, c0, c1)
        if joined and not moved and not before_moved:
            a0, a1, b0, b1 = joined[-1]
            if (a0 == a1 and c0 == c1) or (b0 == b1 and o0 == o1):
                joined[-1] = (a0, o1, b0, c1)
                continue
        joined.append((o0, o1, c0, c1))
        before_moved = moved
    return joined


class _Elsewhere:
    """Knows which letters of either text belong to moved blocks."""

    def __init__(self, alignment: Alignment) -> None:
        blocks = blocks_of(alignment)
        self.gone = sorted((o0, o1) for o0, o1, _, _ in blocks)
        self.come = sorted((c0, c1) for _, _, c0, c1 in blocks)

    def touches(self, o0: int, o1: int, c0: int, c1: int) -> bool:
        """Tell whether a step has letters of a moved block."""
        return any(a < o1 and o0 < b for a, b in self.gone) or any(a < c1 and c0 < b for a, b in self.come)

    def sign(self, column: Column) -> Column:
        """Give a column the sign of what was moved, if its letter was."""
        if column.original and self.touches(column.original_at, column.original_at + 1, 0, 0):
            return column._replace(sign=AWAY)
        here = column.copy and self.touches(0, 0, column.copy_at, column.copy_at + 1)
        return column._replace(sign=HERE) if here else column


def _changed(alignment: Alignment, step: Sequence[int], elsewhere: _Elsewhere) -> Iterator[Column]:
    """Give the columns of a step in which something differs."""
    o0, o1, c0, c1 = step[:4]
    original, copy = alignment.original.letters[o0:o1], alignment.copy.letters[c0:c1]
    sign = _sign(original, copy)
    size = max(len(original), len(copy))
    for at in range(size):
        if size > LONGEST_SKIP and ENDS_OF_SKIP <= at < size - ENDS_OF_SKIP:
            if at == ENDS_OF_SKIP:
                shown = SHORTENED if original else "", SHORTENED if copy else ""
                yield elsewhere.sign(Column(*shown, sign, o0 + at, c0 + at))
            continue
        column = Column(original[at : at + 1], copy[at : at + 1], sign, min(o0 + at, o1), min(c0 + at, c1))
        yield elsewhere.sign(column)


def _sign(original: str, copy: str) -> str:
    """Say what happened in a step.

    >>> _sign("s", "r"), _sign("n", ""), _sign("", "e"), _sign(" ", "")
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


def _blocks(walked: Iterator[Column], original: Witness, room: int) -> Iterator[list[Column]]:
    """Part the columns into blocks: a new one for each manuscript line, and where the screen ends."""
    block: list[Column] = []
    line = -1
    for column in walked:
        now = original.line_of(column.original_at) if column.original else line
        if block and now != line:
            yield block
            block = []
        line = now
        block.append(column)
        if len(block) == room:
            ends = (
                at
                for at in range(room, room // 2, -1)
                if (block[at - 1].original + block[at - 1].copy).isspace()
            )
            end = next(ends, room)
            yield block[:end]
            block = block[end:]
    if block:
        yield block


def _is_blank(column: Column) -> bool:
    return column.sign == ALIKE and not (column.original + column.copy).strip()


def _printed(block: Sequence[Column], alignment: Alignment, margin: int) -> Iterator[str]:
    """Print one block: the original, the signs, the copy, and an empty line; none that is blank."""
    block = list(dropwhile(_is_blank, block))
    if all(one.sign == ALIKE and not _is_letter(one.original) for one in block):
        return
    places = (
        _place(
            alignment.original, next((one.original_at for one in block if _is_letter(one.original)), None)
        ),
        "",
        _place(alignment.copy, next((one.copy_at for one in block if _is_letter(one.copy)), None)),
    )
    rows = (
        "".join((one.original or " ") for one in block),
        "".join(one.sign for one in block),
        "".join((one.copy or " ") for one in block),
    )
    for place, letters in zip(places, rows, strict=True):
        shown = decode(letters.replace("\t", FIELD_BORDER))
        yield f"{place:<{margin}}{shown}".rstrip()
    yield ""


def _is_letter(shown: str) -> bool:
    """Tell whether a place can be cited by what is shown there."""
    return shown not in ("", SHORTENED) and not shown.isspace()


def _place(witness: Witness, offset: int | None) -> str:
    """Cite the first word of a row; nothing where the row is empty."""
    return "" if offset is None else str(witness.locus(offset)).strip()


def is_alike(alignment: Alignment) -> bool:
    """Tell whether the copy differs nowhere from the original, letterforms counted equal apart."""
    return bool((alignment.steps[:, 4] == StepKind.KEPT).all())
