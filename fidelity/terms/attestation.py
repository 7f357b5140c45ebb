"""What the tradition says at one place: who reads what, who has no vote, how strong each reading is.

Arrives: nothing. Leaves: the records that ``sources/attestation.py`` makes. Start reading at
``AttestedReading``.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.in_notebook import Shown


@dataclass(frozen=True)
class DependentStretch:
    """A stretch of a text in which one witness was copied from another.

    Attributes:
        source: siglum of what it was copied from.
        span: offsets in the text's own copy (in a survivor: in its original), half-open.
        printed: the stretch as cited; "" where it is all of the text.
        found: whether this was found in the texts, not declared by the editor.
    """

    source: str
    span: tuple[int, int]
    printed: str = ""
    found: bool = False


@dataclass(frozen=True)
class AttestedReading(Shown):
    """One reading of one place.

    Attributes:
        text: id of the text; "" for a table without one.
        locus: the place, as printed; "" where the table names none.
        reading: as printed; "" where the words are left out.
        witnesses: sigla of all that have it, those without a vote too.
        lines: of the independent lines of descent that have it, the siglum each is named by.
        set_aside: siglum and ground of those that have it and no vote.
        earliest: date of the oldest of those that have a vote, as printed; "" if none is dated.
        likelihood_ratio: how many times more probable all that the lines have is, if this reading stood at
            the head of the tradition, than if the strongest other did.
        against: the strongest other reading, as printed.
        assumptions: what the ratio rests on, in plain words.
    """

    text: str
    locus: str
    reading: str
    witnesses: tuple[str, ...]
    lines: tuple[str, ...]
    set_aside: tuple[tuple[str, str], ...]
    earliest: str
    likelihood_ratio: float
    against: str
    assumptions: str


@dataclass(frozen=True)
class SuspectedCopy:
    """A witness that may be a copy of another, though nobody has said so.

    Attributes:
        text: id of the text.
        siglum: the witness.
        source: what it may have been copied from.
        shared: how many peculiar readings of the source it has: all there are.
        more: how many peculiar readings of its own it has beside them; 0 where either may be the copy.
        basis: what else the suspicion rests on, in plain words; "" where it rests on peculiar readings.
    """

    text: str
    siglum: str
    source: str
    shared: int
    more: int
    basis: str = ""
