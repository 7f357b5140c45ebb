"""Show an original and its copy one above the other, with a sign between wherever they differ.

Arrives: an alignment. Leaves: lines for the terminal. Start reading at
``side_by_side``.

The alignment is walked once, as columns (``aligned_columns.py``), and cut into blocks: one for each
manuscript line, and one for each long event. Nothing is told by colour. What letters cannot show is
said in notes below the block (``aligned_notes.py``).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import chain, pairwise
from textwrap import wrap

from fidelity.apparatus.aligned_columns import (
    ALIKE,
    AWAY,
    DIVIDED,
    HERE,
    LEFT_OUT,
    OTHER,
    PUT_IN,
    SHORTENED,
    UNSHOWN,
    Column,
    columns,
)
from fidelity.apparatus.aligned_notes import FIELD_BORDER, Note
from fidelity.letters import decode
from fidelity.terms import Alignment, StepKind, Witness

NO_LETTER = (
    "░"  # where a text has no letter above or below one of the other; no blank, for that is a division
)
LEGEND = (
    f"{OTHER} another letter",
    f"{LEFT_OUT} left out in the copy",
    f"{PUT_IN} put in by the copy",
    f"{DIVIDED} words parted or joined otherwise",
    f"{NO_LETTER} nothing here, not even a blank",
    f"{SHORTENED} the same on both sides",
    f"{UNSHOWN} 9 letters {UNSHOWN} so many are not shown",
)
LEGEND_MOVED = (f"{AWAY} stands elsewhere in the copy", f"{HERE} stood elsewhere in the original")
LEGEND_FIELDS = (f"{FIELD_BORDER} border between two fields",)
NARROWEST = 20  # letters; a block is never narrower, whatever the screen
INDENT = "  "  # of notes


def side_by_side(alignment: Alignment, width: int, context: int, notes: Sequence[Note] = ()) -> Iterator[str]:
    """Give the original above the copy, block by block, a line of signs between them.

    Args:
        alignment: of the two.
        width: of the screen, in letters.
        context: so many words are shown before and after a difference; what lies between is "…".
        notes: what is to be said of places; each stands below the block with its letter, and what is
            said of a long event below the whole of it.

    Yields:
        Lines: the original with its place in the margin, the signs, the copy with its place, the
        notes, and an empty one. Of a text that has nothing in a block there is no line.
    """
    margin = max(_longest_place(alignment.original), _longest_place(alignment.copy)) + 2
    if width - margin < NARROWEST:
        margin = 0  # the places get lines of their own
    room = max(width - margin, NARROWEST)
    by_place = sorted(notes, key=lambda note: note.offset)
    waiting = [deque(one for one in by_place if one.in_copy == in_copy) for in_copy in (False, True)]
    blocks = _blocks(columns(alignment, context, room), alignment.original, room)
    for block, following in pairwise(chain(blocks, ([],))):
        yield from _printed(block, alignment, margin, room)
        if following and block[-1].event and following[0].event == block[-1].event:
            continue
        told = [line for note in _due(block, waiting) for line in _told(note, alignment, width, context)]
        if told:
            yield from (*told, "")


def _due(block: Sequence[Column], waiting: Sequence[deque[Note]]) -> Iterator[Note]:
    """Take the notes to the letters of a block, and those that should have been told before."""
    ends = (
        max((one.original_at for one in block if one.original), default=-1),
        max((one.copy_at for one in block if one.copy), default=-1),
    )
    for notes, end in zip(waiting, ends, strict=True):
        while notes and notes[0].offset <= end:
            yield notes.popleft()


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


def _blocks(walked: Iterator[Column], original: Witness, room: int) -> Iterator[list[Column]]:
    """Part the columns into blocks, for each manuscript line, each long event, and where the screen ends."""
    block: list[Column] = []
    line, event = -1, 0
    for column in walked:
        same_event = bool(column.event) and column.event == event
        now = line if same_event or not column.original else original.line_of(column.original_at)
        if block and (now != line or column.event != event):
            yield block
            block = []
        line, event = now, column.event
        block.append(column)
        if len(block) == room:
            ends = (at for at in range(room, room // 2, -1) if _is_blank(block[at - 1]))
            end = next(ends, room)
            yield block[:end]
            block = block[end:]
    if block:
        yield block


def _is_blank(column: Column) -> bool:
    """Tell whether a column shows no letter in either row."""
    return not (column.original + column.copy).strip()


def _trimmed(block: Sequence[Column]) -> Sequence[Column]:
    """Take from both ends the blanks that go with what was left out, put in or moved, or tell nothing."""
    telling = [at for at, one in enumerate(block) if not _is_blank(one) or one.sign in (DIVIDED, OTHER)]
    return block[telling[0] : telling[-1] + 1] if telling else ()


def _printed(block: Sequence[Column], alignment: Alignment, margin: int, room: int) -> Iterator[str]:
    """Print one block: the original, the signs, the copy, and an empty line; no row that says nothing."""
    block = _trimmed(block)
    above = next((one.original_at for one in block if _is_letter(one.original)), None)
    below = next((one.copy_at for one in block if _is_letter(one.copy)), None)
    if all(one.sign == ALIKE for one in block) and above is None:
        return
    rows = (
        (_place(alignment.original, above), "".join(one.original or NO_LETTER for one in block)),
        ("", "".join(one.sign for one in block)),
        (_place(alignment.copy, below), "".join(one.copy or NO_LETTER for one in block)),
    )
    for at, (place, letters) in enumerate(rows):
        if at == 1 or place or (above is None and below is None):
            shown = decode(letters.replace("\t", FIELD_BORDER))
            if not margin:
                yield from wrap(place, room)
            yield (f"{place:<{margin}}{shown}" if margin else shown).rstrip()
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


def legend(alignment: Alignment) -> tuple[str, ...]:
    """Explain the signs that an alignment needs."""
    fields = "\t" in alignment.original.letters or "\t" in alignment.copy.letters
    return (*LEGEND, *(LEGEND_MOVED if alignment.moved else ()), *(LEGEND_FIELDS if fields else ()))
