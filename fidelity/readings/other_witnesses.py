"""What other witnesses of a lost text say of the readings of a unit of its copy.

Arrives: the witnesses of each lost text, collated. Leaves: for a unit what they read there, and how probable
that would be, had the original had each reading. Start reading at ``BesideCopy.at``.

The copy has had its say already, in what the calibration believes before the witnesses are heard. So what is
told here is the probability of all that the tradition has, divided by that of the copy: where the copy stands
for itself it drops out; where it was itself copied from a witness, the witness's vote takes the place of its
own; what was copied from it has none. A source that has what the copy has makes no reading that no witness
has more probable than the copy alone did: they are one vote; but slips of the copyist's own are less probable
there.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from fidelity.copyist.tagging import normalise
from fidelity.readings.beside import Beside, LeftOut
from fidelity.readings.testimony import Testimony
from fidelity.sources.descent import Voice, lines_of
from fidelity.sources.tradition import Tradition, agrees, plain_reading
from fidelity.terms import LOST_LETTER
from fidelity.terms.collation import CollatedLocus


class OtherWitnesses:
    """Knows what other witnesses of the lost texts read.

    Args:
        traditions: by id of the text, its own copy the first of the witnesses.
    """

    def __init__(self, traditions: Mapping[str, Tradition]) -> None:
        self.traditions = traditions

    def survivor(self, number: int, left_out: LeftOut) -> Beside | None:  # noqa: ARG002 (as all are asked)
        """Give nothing: of a survivor the original is at hand, and the blind test tries the copyist alone."""
        return None

    def has(self, text: str, start: int, end: int, siglum: str) -> str | None:
        """Give what a witness has at a span of the copy, plain; None where it has nothing extant.

        Another man's transcript of the copy's own original answers too.
        """
        tradition = self.traditions.get(text)
        telling = (
            BesideCopy(replace(tradition, heard_elsewhere=frozenset())).at(start, end) if tradition else None
        )
        return telling.reading_of(siglum) if telling else None

    def lost(self, text: str) -> BesideCopy | None:
        """Give what is known beside the copy of a lost text."""
        tradition = self.traditions.get(text)
        return BesideCopy(tradition) if tradition else None


class BesideCopy:
    """What the witnesses of one text read."""

    def __init__(self, tradition: Tradition) -> None:
        self.tradition = tradition
        self.copy = tradition.collation.witnesses[0]
        self.copied = normalise(self.copy.letters, tradition.folds)
        if len(self.copied) != len(self.copy.letters):  # signs written out: offsets would no more agree
            self.copied = tradition.folds.fold(self.copy.letters)
        some = [locus for locus in tradition.collation.loci if (span := locus.spans[0]) and span[1] > span[0]]
        self.loci = sorted(some, key=_start)

    def at(self, start: int, end: int) -> Testimony | None:
        """Give what is known of a span of its letters; None where no other line has a vote."""
        loci = self._loci(start, end)
        if not loci:
            return None
        first, last = _start(loci[0]), (loci[-1].spans[0] or (0, 0))[1]
        around = self.copied[first:start], self.copied[end:last]
        testimonies = [self._over(one, loci) for one in self.tradition.testimonies(loci[0])]
        testimonies = _without(testimonies, self.tradition.heard_elsewhere)
        own = self.tradition.collation.sigla[0]
        others = [line for line in lines_of(testimonies) if line.speakers != (own,)]
        if not others:
            return None
        transmitted = self.copied[start:end]
        if word_by_word := of_the_unit_alone(testimonies, around, transmitted):
            testimonies, around = word_by_word, ("", "")
        return Testimony(self.tradition, tuple(testimonies), around, transmitted)

    def sides_with(self, siglum: str, start: int, end: int, reading: str) -> bool | None:
        """Tell whether a witness has what the copy has, not this reading; None where it has neither."""
        telling = self.at(start, end)
        one = next((each for each in telling.testimonies if each.siglum == siglum), None) if telling else None
        if telling is None or one is None or not one.reading or one.source:
            return None
        own, other = (agrees(one.reading, telling.whole(text)) for text in (telling.transmitted, reading))
        return own if own != other else None

    def reads(self, start: int, end: int, reading: str) -> bool:
        """Tell whether a witness with a vote has this reading of a span, and not what the copy has."""
        telling = self.at(start, end)
        return telling is not None and bool(telling.witnesses_of(reading))

    def _loci(self, start: int, end: int) -> list[CollatedLocus]:
        """Give the places that have letters in a span."""
        first = max(bisect_right(self.loci, start, key=_start) - 1, 0)
        found = []
        for locus in self.loci[first:]:
            if _start(locus) >= end:
                break
            if (locus.spans[0] or (0, 0))[1] > start:
                found.append(locus)
        return found

    def _over(self, one: Voice, loci: Sequence[CollatedLocus]) -> Voice:
        """Give what a witness has at several places together; the letters it lacks there are lost."""
        parts = [self.tradition.collation.written(locus, one.siglum) for locus in loci]
        if all(part is None for part in parts):
            return replace(one, reading=None)
        text = " ".join(LOST_LETTER if part is None else part for part in parts)
        return replace(one, reading=plain_reading(normalise(text, self.tradition.folds)))


def of_the_unit_alone(
    testimonies: Sequence[Voice], around: tuple[str, str], transmitted: str
) -> list[Voice] | None:
    """Cut what the witnesses have at a place down to a unit of it, where word answers word in all of them.

    What else differs at the place is another matter then. None where that cannot be told, or nothing stands
    around the unit.
    """
    first, last = (len(plain_reading(one).split()) for one in around)
    size = len(plain_reading(transmitted).split())
    known = [one.reading for one in testimonies if one.reading is not None]
    if not first + last or any(
        LOST_LETTER in one or len(one.split()) != first + size + last for one in known
    ):
        return None
    return [
        one
        if one.reading is None
        else replace(one, reading=" ".join(one.reading.split()[first : first + size]))
        for one in testimonies
    ]


def _without(testimonies: Sequence[Voice], sigla: Collection[str]) -> list[Voice]:
    """Let witnesses that are heard elsewhere be silent, and what was copied from them."""
    if not sigla:
        return list(testimonies)
    sources = {one.siglum: one.source for one in testimonies}

    def goes_back(siglum: str) -> bool:
        return bool(siglum) and (siglum in sigla or goes_back(sources.get(siglum, "")))

    return [replace(one, reading=None) if goes_back(one.siglum) else one for one in testimonies]


def _start(locus: CollatedLocus) -> int:
    return (locus.spans[0] or (0, 0))[0]
