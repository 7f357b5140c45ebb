"""All witnesses of a text side by side: what each has at every place.

Arrives: nothing. Leaves: the records that ``sources/collate.py`` makes. Start reading at ``Collation``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from fidelity.terms.witness import LOST_LETTER, Locus, Witness

Span = tuple[int, int]


@dataclass(frozen=True)
class CollatedLocus:
    """One place, between two word divisions that all witnesses have where they are there.

    Attributes:
        locus: its first word in the main witness; where that has nothing, the word before.
        spans: for each witness its letters, the word division after them included. Of length 0 where it
            leaves the place out; None where it is not extant, so that nothing can be said of it.
        damaged: for each witness whether a part of the place is lost in it.
    """

    locus: Locus
    spans: tuple[Span | None, ...]
    damaged: tuple[bool, ...]


@dataclass(frozen=True)
class Collation:
    """Any number of witnesses of one text, aligned.

    Attributes:
        text: its id.
        sigla: how the witnesses are cited, the main one first: its places cite the loci.
        witnesses: in the same order.
        loci: in the order of the text. The spans of one witness, those that are None left out, follow
            each other without a hole from its first letter to its last.
    """

    text: str
    sigla: tuple[str, ...]
    witnesses: tuple[Witness, ...]
    loci: tuple[CollatedLocus, ...]

    @cached_property
    def _column_of(self) -> dict[str, int]:
        return {siglum: at for at, siglum in enumerate(self.sigla)}

    def span(self, locus: CollatedLocus, siglum: str) -> Span | None:
        """Give the letters that a witness has at a locus; None where it is not extant."""
        return locus.spans[self._column_of[siglum]]

    def written(self, locus: CollatedLocus, siglum: str) -> str | None:
        """Give what a witness has at a locus, in letters, lost ones as ``LOST_LETTER``.

        Returns:
            "" where it leaves the place out; None where it is not extant, or nothing of it can be read.
        """
        column = self._column_of[siglum]
        span = locus.spans[column]
        if span is None:
            return None
        letters = self.witnesses[column].letters[slice(*span)].strip()
        if locus.damaged[column] and LOST_LETTER not in letters:
            return None  # letters are lost here, and their sign stands elsewhere
        return None if letters and not letters.replace(LOST_LETTER, "").strip() else letters

    def recovered(self, siglum: str) -> str:
        """Give the whole text of a witness as it stands in the table, letter for letter."""
        letters = self.witnesses[self._column_of[siglum]].letters
        spans = (self.span(locus, siglum) for locus in self.loci)
        return "".join(letters[slice(*span)] for span in spans if span is not None)
