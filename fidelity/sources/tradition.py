"""All that is known of the witnesses of a text: what they have, who copied whom, how well they copy.

Arrives: a collation, what is declared or found of dependence, rates. Leaves: what each witness says at each
place. Start reading at ``Tradition.testimonies``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from fidelity.letters import without_stops
from fidelity.sources.descent import Voice
from fidelity.sources.rates import WitnessRate
from fidelity.terms import LOST_LETTER
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.collation import CollatedLocus, Collation
from fidelity.witnesses.folds import NO_FOLDS, Folds

DECLARED, FOUND = "declared", "found, not declared"


def plain_reading(letters: str, folds: Folds = NO_FOLDS) -> str:
    """Give what is compared of a reading: letterforms folded, stops left out, blanks single.

    >>> plain_reading("cweð.  and"), plain_reading("·")
    ('cweð and', '·')
    """
    folded = folds.fold(letters)
    words = " ".join(without_stops(folded).split())
    return words or " ".join(folded.split())


def agrees(partial: str, reading: str) -> bool:
    """Tell whether a reading of which letters are lost may be this one.

    >>> agrees("locc" + LOST_LETTER, "loccan"), agrees(LOST_LETTER + "rh", "þur")
    (True, False)
    """
    pattern = ".*".join(re.escape(part) for part in partial.split(LOST_LETTER))
    return bool(re.fullmatch(pattern, reading))


@dataclass(frozen=True)
class Tradition:
    """The witnesses of one text.

    Attributes:
        collation: of all of them, the main one first.
        rates: how each renders its source, by siglum.
        dependence: by siglum where each was copied from another.
        dates: as printed, by siglum.
        folds: letterforms counted as equal.
        heard_elsewhere: sigla of transcripts of the very original of the copy. They attest readings as all
            do; what they say of the copy is weighed where his copies are compared.
    """

    collation: Collation
    rates: Mapping[str, WitnessRate]
    dependence: Mapping[str, Sequence[DependentStretch]] = field(default_factory=dict)
    dates: Mapping[str, str] = field(default_factory=dict)
    folds: Folds = NO_FOLDS
    heard_elsewhere: frozenset[str] = frozenset()

    def testimonies(self, locus: CollatedLocus) -> list[Voice]:
        """Give what each witness has at a place, and from what it was copied there."""
        offset = self._offset(locus)
        found = []
        for siglum in self.collation.sigla:
            written = self.collation.written(locus, siglum)
            reading = None if written is None else plain_reading(written, self.folds)
            stretch = self.dependent_at(siglum, offset)
            source, ground = (stretch.source, ground_of(stretch)) if stretch else ("", "")
            found.append(Voice(siglum, reading, source, ground))
        return found

    def dependent_at(self, siglum: str, offset: int) -> DependentStretch | None:
        """Give the stretch in which a witness was copied from another, if the letter lies in one."""
        some = self.dependence.get(siglum, ())
        return next((one for one in some if one.span[0] <= offset < one.span[1]), None)

    def _offset(self, locus: CollatedLocus) -> int:
        """Give where a place lies in the main witness: its first letter, or the letter before."""
        span = locus.spans[0]
        if span is None:
            return 0
        return span[0] if span[1] > span[0] else max(span[0] - 1, 0)

    def printed(self, locus: CollatedLocus, reading: str) -> str:
        """Give a reading in the letters of the first witness that has it."""
        for siglum in self.collation.sigla:
            written = self.collation.written(locus, siglum)
            if written is not None and plain_reading(written, self.folds) == reading:
                return written
        return reading


def ground_of(stretch: DependentStretch) -> str:
    """Say how a dependence is known, and where it holds."""
    how = FOUND if stretch.found else DECLARED
    return f"{stretch.printed}, {how}" if stretch.printed else how


def whole_readings(testimonies: Sequence[Voice]) -> list[str]:
    """Give the readings that are attested, in order; of damaged ones those that no whole one can be."""
    known = [one.reading for one in testimonies if one.reading is not None]
    whole = list(dict.fromkeys(one for one in known if LOST_LETTER not in one))
    damaged = (one for one in dict.fromkeys(known) if LOST_LETTER in one)
    return whole + [one for one in damaged if not any(agrees(one, reading) for reading in whole)]


def settled(testimonies: Sequence[Voice], readings: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Give siglum and reading of each witness; one that may have several readings is left out."""
    for one in testimonies:
        if one.reading is None:
            continue
        if LOST_LETTER in one.reading and one.reading not in readings:
            fitting = [reading for reading in readings if agrees(one.reading, reading)]
            if len(fitting) == 1:
                yield one.siglum, fitting[0]
        else:
            yield one.siglum, one.reading
