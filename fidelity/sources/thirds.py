"""A copy, a witness, and the third witnesses that show which readings are the witness's own.

Arrives: texts. Leaves: a ``Case``, what is asked about, and for each third a ``Beside``, which answers for
what it has. Start reading at ``Case``.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.sources.coincidence import Coincidence, plain
from fidelity.sources.direction import Known
from fidelity.sources.facing import Span, face
from fidelity.terms import LOST_LETTER, Witness
from fidelity.variants.set_aside import evidence_of
from fidelity.witnesses.folds import Folds


@dataclass(frozen=True)
class Third:
    """A witness to compare with.

    Attributes:
        witness: its text.
        is_original: whether it is the copy's presumed original: then nothing of it is in doubt.
    """

    witness: Witness
    is_original: bool = False


@dataclass(frozen=True)
class Case:
    """One copy and one other witness of the same text.

    Attributes:
        text: id of the text.
        copy: the copy.
        witness: the witness asked about.
        thirds: independent witnesses to compare it with.
        chances: what this copyist does by himself.
        known: what is known of the words of the originals' language.
        folds: letterforms counted as equal.
    """

    text: str
    copy: Witness
    witness: Witness
    thirds: tuple[Third, ...]
    chances: Coincidence
    known: Known
    folds: Folds


class Beside:
    """A third witness beside the witness and beside the copy."""

    def __init__(self, third: Third, case: Case) -> None:
        self.third, self.witness = third, third.witness
        self.facing = face(third.witness, case.witness, case.folds, case.text)
        self.turned = face(case.witness, third.witness, case.folds, case.text)
        self.with_copy = face(third.witness, case.copy, case.folds, case.text)
        self.good = evidence_of(third.witness)
        self.differing = [(first, second) for first, second, _ in self.facing.differences(case.folds)]

    def has(self, span: Span, reading: str, folds: Folds) -> bool | None:
        """Tell whether it has a reading of the witness's at a span of that; None if it is not there."""
        letters = self.at(span, folds)
        return None if letters is None else letters == reading

    def at(self, span: Span, folds: Folds) -> str | None:
        """Give what it has, plain, at a span of the witness; None if it is not there."""
        there = self.turned.answer(span)
        if there is None:
            return None
        letters = self.witness.letters[slice(*there)]
        if LOST_LETTER in letters or not self.good[slice(*there)].all():
            return None
        return plain(letters, folds).strip()
