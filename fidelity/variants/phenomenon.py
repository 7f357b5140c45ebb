"""Say what happened to letters: one of five phenomena, mechanically.

Arrives: letters of the original and what the copy has for them. Leaves: a ``Phenomenon``. Start
reading at ``phenomenon_of``.
"""

from __future__ import annotations

from fidelity.terms import LOST_LETTER, Alignment, Phenomenon
from fidelity.variants.events import Event, strokes_of
from fidelity.witnesses.folds import Folds


def phenomenon_of(original: str, copy: str, folds: Folds) -> Phenomenon:
    """Say what happened to these letters, by their letters alone.

    >>> from fidelity.witnesses.folds import NO_FOLDS
    >>> phenomenon_of("la", "al", NO_FOLDS), phenomenon_of(" ", "", NO_FOLDS)
    (<Phenomenon.TRANSPOSITION: 'transposition'>, <Phenomenon.DIVISION: 'division'>)
    """
    folded, folded_copy = folds.fold(original), folds.fold(copy)
    if "".join(folded.split()) == "".join(folded_copy.split()):
        return Phenomenon.DIVISION
    if not folded_copy.strip(LOST_LETTER + " "):
        return Phenomenon.OMISSION
    if not folded.strip(LOST_LETTER + " "):
        return Phenomenon.ADDITION
    if folded != folded_copy and sorted(folded) == sorted(folded_copy):
        return Phenomenon.TRANSPOSITION
    return Phenomenon.SUBSTITUTION


def what_happened(event: Event, alignment: Alignment, folds: Folds) -> Phenomenon:
    """Say what happened in an event: by its letters, unless words were moved."""
    if event.moved:
        return Phenomenon.TRANSPOSITION
    gone = alignment.original.letters[event.o0 : event.o1]
    come = alignment.copy.letters[event.c0 : event.c1]
    phenomenon = phenomenon_of(gone, come, folds)
    minims = strokes_of(gone, folds), strokes_of(come, folds)
    if phenomenon is Phenomenon.TRANSPOSITION and None not in minims:
        return Phenomenon.SUBSTITUTION  # the same strokes parted otherwise, nothing moved
    return phenomenon
