"""Say in words what letters above each other cannot show: what was moved, what is in doubt.

Arrives: an alignment and the differences found in it. Leaves: notes for the screen, each tied to a
letter, and the result of a check. Start reading at ``notes_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fidelity.alignment.check import AlignmentCheck
from fidelity.letters import decode
from fidelity.terms import Alignment, Locus, Moved, Variant
from fidelity.variants.citations import LONGEST_SHOWN, Citations, count_of, in_short
from fidelity.variants.moves import opposite

FIELD_BORDER = "¦"  # stands for a tab, which would break the columns
WORDS_AROUND = 3  # words by which the neighbourhood of a moved block is named


class Note(NamedTuple):
    """A sentence about a place.

    Attributes:
        in_copy: whether the place is in the copy, else in the original.
        offset: the letter under which the note stands.
        text: the sentence.
        moved: the block it tells of, to be shown by itself.
    """

    in_copy: bool
    offset: int
    text: str
    moved: Moved | None = None


def notes_of(alignment: Alignment, variants: Sequence[Variant]) -> list[Note]:
    """Give the notes to an alignment.

    Args:
        alignment: of the two texts.
        variants: the differences found in it.
    """
    cited = Citations(alignment.original), Citations(alignment.copy)
    notes = [note for block in alignment.moved for note in _of_moved(block, alignment, cited)]
    for one in variants:
        in_copy = one.original_span[0] == one.original_span[1]
        start, end = one.copy_span if in_copy else one.original_span
        letters = (alignment.copy if in_copy else alignment.original).letters
        while start + 1 < end and letters[start].isspace():
            start += 1
        if not one.moved and max(len(one.original), len(one.copy)) > LONGEST_SHOWN:
            notes.append(Note(in_copy, start, _of_long(one, cited)))
        if one.or_else:
            notes.append(Note(in_copy, start, f"or {one.or_else}"))
    return [note._replace(text=note.text.replace("\t", f" {FIELD_BORDER} ")) for note in notes]


def _of_moved(block: Moved, alignment: Alignment, cited: tuple[Citations, Citations]) -> Iterator[Note]:
    """Tell of a moved block, at both its places."""
    (o0, o1), (c0, c1) = block.original_span, block.copy_span
    there, here = cited[1].ends(c0, c1), cited[0].ends(o0, o1)
    slips = f", with {block.slips} slip{'s' if block.slips > 1 else ''} on the way" if block.slips else ""
    words = in_short(decode(alignment.original.letters[o0:o1]))
    now, once = _beside(alignment.copy.letters, c0, c1), _beside(alignment.original.letters, o0, o1)
    now = f"stands {now} in the copy, {span_of(there)}"
    once = f"stood {once} in the original, {span_of(here)}"
    yield Note(False, o0, f"moved: {once}; {now}{slips}: {words}", block if block.slips else None)
    if abs(opposite(alignment, o0) - c0) > LONGEST_SHOWN:  # else both places stand near each other
        yield Note(True, c0, f"moved: {once}; {now}")


def _beside(letters: str, start: int, end: int) -> str:
    """Name what a span stands after, or before at the beginning of a text."""
    before = letters[max(start - 80, 0) : start].split()[-WORDS_AROUND:]
    after = letters[end : end + 80].split()
    if before:
        return f"after “{decode(' '.join(before))}”"
    return f"before “{decode(' '.join(after[:WORDS_AROUND]))}”" if after else "alone"


def _of_long(variant: Variant, cited: tuple[Citations, Citations]) -> str:
    """Tell the place and size of a long stretch that one text has and the other has not."""
    parts = []
    for what, (start, end), side in (
        ("left out", variant.original_span, cited[0]),
        ("put in", variant.copy_span, cited[1]),
    ):
        if end > start:
            count = count_of(side.witness.letters[start:end])
            parts.append(f"{what}: {span_of(side.ends(start, end))}, {count:,} letters")
    return "; ".join(parts)


def check_sentence(check: AlignmentCheck, alignment: Alignment) -> str:
    """Say in plain words what was found when stretches were aligned in full.

    The costs are named by their ratio alone: a nat is no measure that a reader need know.
    """
    whole = check.letters >= count_of(alignment.original.letters)
    what = "the whole text" if whole else f"{check.stretches} stretches of it"
    looked_at = f"Check: {what} ({check.letters:,} letters) aligned in full, without short cuts: "
    if check.worst is None:
        return looked_at + "no better alignment was found."
    gap = f"{check.excess:.3%}" if check.excess < 0.001 else f"{check.excess:.2%}"
    return (
        f"{looked_at}a better alignment costs {gap} less. The largest difference is in "
        f"{worst_place(check, alignment)}."
    )


def span_of(ends: tuple[Locus, Locus | None]) -> str:
    """Cite a stretch by its first and its last word."""
    first, last = ends
    return f"{first} to {last}" if last else str(first)


def worst_place(check: AlignmentCheck, alignment: Alignment) -> str:
    """Cite the stretch in which the largest gap was found; "" without one."""
    if check.worst is None:
        return ""
    return span_of(Citations(alignment.original).ends(*check.worst))
