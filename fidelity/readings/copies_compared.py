"""Compare the other copies of each text with the first one, and with the original where it survives.

Arrives: survivors and lost texts with their other copies. Leaves: ``Compared``, one for each other copy: how
many words stand where in which way, and every place of difference. Start reading at ``compare_copies``.

What is compared is on the level where copies and originals speak one alphabet (``tagging.normalise``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import normalise
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.letters import decode
from fidelity.readings.three_texts import Answers, Stretch, answers_in, stretches_of
from fidelity.terms import LOST_LETTER, Alignment, Variant, Witness
from fidelity.terms.copies import HIS, Beside, CopyPlace
from fidelity.variants.corrections import final_text
from fidelity.variants.moves import blocks_of
from fidelity.variants.set_aside import HIS_OWN, Mask, evidence_of
from fidelity.witnesses.folds import Folds


@dataclass(frozen=True)
class Word:
    """A stretch of three texts on which it is told how they stand to each other.

    Attributes:
        start, end: of its letters in the first copy.
        original, first, other: what each has, normalised; ``original`` None where it is lost.
        page: of the first copy, with the text's id.
        place: the place in full; None where all agree.
        counted: whether it counts: its letters are evidence in all.
    """

    start: int
    end: int
    original: str | None
    first: str
    other: str
    page: str
    place: CopyPlace | None
    counted: bool


@dataclass(frozen=True)
class Compared:
    """One other copy beside the first.

    Attributes:
        text: id of the text.
        survivor: its index among the survivors; None for a lost text.
        other_copy: the other copy: its file, or where another made it his siglum.
        by: who made it; ``HIS`` for the man himself.
        number: which of his other copies it is, from 1: those named in the same place go together.
        copy, other: the two copies, as they were let stand.
        to_other: where the letters of the first stand in the other.
        words: all of the text, stretch by stretch.
    """

    text: str
    survivor: int | None
    other_copy: str
    by: str
    number: int
    copy: Witness
    other: Witness
    to_other: Answers
    words: tuple[Word, ...]

    @cached_property
    def places(self) -> tuple[CopyPlace, ...]:
        """Give every place at which any of the texts differs."""
        return tuple(word.place for word in self.words if word.place)

    @property
    def maker(self) -> tuple[str, int]:
        """Give what copies have in common that are judged together: who made them, and which they are."""
        return self.by, self.number

    @cached_property
    def other_letters(self) -> Mask:
        """Tell for each letter of the other copy whether it is its copyist's own and can be read."""
        good = evidence_of(self.other)
        good &= np.array([letter != LOST_LETTER for letter in self.other.letters], dtype=np.bool_)
        return good


def compare_copies(
    dossier: Dossier, alignments: Sequence[Alignment], variants: Sequence[Variant]
) -> tuple[Compared, ...]:
    """Compare every other copy of every text with the first.

    Args:
        dossier: with the lost texts.
        alignments: of the survivors with their first copies, in the dossier's order.
        variants: of all survivors, causes decided.
    """
    found = []
    for at, (survivor, alignment) in enumerate(zip(dossier.survivors, alignments, strict=True)):
        ours = [one for one in variants if one.text == survivor.id]
        for other in _others(survivor, dossier):
            done = _compared(survivor.id, alignment.copy, other, dossier.folds, alignment, ours)
            found.append(replace(done, survivor=at))
    for text in dossier.lost:
        for other in _others(text, dossier):
            found.append(_compared(text.id, text.copy, other, dossier.folds))
    return tuple(found)


@dataclass(frozen=True)
class _Other:
    """Another copy of a text: itself, how it is named, who made it, which of his it is."""

    witness: Witness
    name: str
    by: str
    number: int


def _others(text: Survivor | LostText, dossier: Dossier) -> Iterator[_Other]:
    """Give his other copies of a text, and other men's transcripts of the same original."""
    for number, copy in enumerate(text.other_copies, start=1):
        yield _Other(final_text(copy)[0], copy.file or f"copy {number + 1}", HIS, number)
    for one in dossier.witnesses:
        if one.of == text.id and one.from_original:
            siglum = one.witness.siglum
            yield _Other(final_text(one.witness)[0], siglum, siglum, 0)


def _compared(
    text: str,
    copy: Witness,
    other: _Other,
    folds: Folds,
    alignment: Alignment | None = None,
    variants: Sequence[Variant] = (),
) -> Compared:
    """Compare one other copy with the first, and with the original where there is an alignment with it."""
    copies = align_witnesses(copy, other.witness, folds)
    to_other = answers_in(copies)
    to_original = answers_in(alignment, from_copy=True) if alignment else None
    found = Compared(text, None, other.name, other.by, other.number, copy, other.witness, to_other, ())
    counted = _Counted(alignment, copies)
    words = tuple(
        _word(found, stretch, alignment, folds, counted.whole(stretch), variants)
        for stretch in stretches_of(copy.letters, to_other, to_original)
    )
    return replace(found, words=words)


class _Counted:
    """Tells of each stretch whether it counts: clear, in the right hands, and moved in none of the texts."""

    def __init__(self, alignment: Alignment | None, copies: Alignment) -> None:
        self.first = evidence_of(copies.original, HIS_OWN)
        self.other = evidence_of(copies.copy, HIS_OWN)
        self.original = evidence_of(alignment.original) if alignment else None
        for start, end, _, _ in blocks_of(copies):
            self.first[start:end] = False
        for _, _, start, end in blocks_of(alignment) if alignment else ():
            self.first[start:end] = False

    def whole(self, one: Stretch) -> bool:
        """Tell whether every letter of a stretch counts."""
        masks = [(self.first, one.first), (self.other, one.other)]
        if self.original is not None:
            masks.append((self.original, one.original))
        return all(bool(mask[start:end].all()) for mask, (start, end) in masks)


def _word(
    of: Compared,
    stretch: Stretch,
    alignment: Alignment | None,
    folds: Folds,
    counted: bool,
    variants: Sequence[Variant],
) -> Word:
    """Say how the texts stand to each other on one stretch."""
    letters = [of.copy.letters[slice(*stretch.first)], of.other.letters[slice(*stretch.other)]]
    if alignment:
        letters.append(alignment.original.letters[slice(*stretch.original)])
    letters = [" ".join(one.split()) for one in letters]
    first, other, *original = (normalise(one, folds) for one in letters)
    start, end = stretch.first
    at = min(start, max(len(of.copy) - 1, 0))
    what = how_they_stand(original[0] if original else None, first, other)
    place = None
    if what:
        own = [one for one in variants if _touches(one, stretch.first)] if original != [first] else []
        place = CopyPlace(
            of.text,
            replace(of.copy.locus(at), text=of.text),
            decode(letters[2]) if alignment else "",
            decode(letters[0]),
            decode(letters[1]),
            of.other_copy,
            what,
            str(own[0].phenomenon) if own else "",
            str(own[0].cause) if own else "",
            of.by,
            not counted,
            stretch.first,
        )
    page = f"{of.text} {of.copy.pages[of.copy.line_of(at)]}".rstrip()
    return Word(start, end, original[0] if original else None, first, other, page, place, counted)


def how_they_stand(original: str | None, first: str, other: str) -> Beside | None:
    """Say how two copies stand to their original; None where all agree.

    >>> str(how_they_stand("wulf", "pulf", "wulf")), str(how_they_stand(None, "pulf", "wulf"))
    ('first wrong, other right', 'they differ')
    """
    if original is None:
        return None if first == other else Beside.DIFFER
    if first == original:
        return None if other == original else Beside.OTHER_WRONG
    if other == original:
        return Beside.FIRST_WRONG
    return Beside.BOTH_ALIKE if first == other else Beside.BOTH_OTHERWISE


def _touches(variant: Variant, span: tuple[int, int]) -> bool:
    """Tell whether a difference of the first copy lies in a span of it."""
    start, end = variant.copy_span
    return start <= span[1] and span[0] <= end if start == end else start < span[1] and span[0] < end
