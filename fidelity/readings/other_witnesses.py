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

import math
from bisect import bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from fidelity.copyist.tagging import normalise
from fidelity.dossier.conjectures import with_stops
from fidelity.letters import decode, encode
from fidelity.readings.beside import Beside, LeftOut
from fidelity.sources.descent import Voice, likelihood, lines_of, set_aside
from fidelity.sources.rates import NOT_NAMED
from fidelity.sources.tradition import Tradition, agrees, plain_reading, whole_readings
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
        """Give what a witness has at a span of the copy, plain; None where it has nothing extant."""
        tradition = self.traditions.get(text)
        telling = BesideCopy(tradition).at(start, end) if tradition else None
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

    def at(self, start: int, end: int) -> _Telling | None:
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
        if word_by_word := _of_the_unit_alone(testimonies, around, transmitted):
            testimonies, around = word_by_word, ("", "")
        return _Telling(self.tradition, tuple(testimonies), around, transmitted)

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


def _of_the_unit_alone(
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


@dataclass(frozen=True)
class _Telling:
    """What the witnesses read of one unit.

    Attributes:
        tradition: the witnesses.
        testimonies: what each has, perhaps of more than the unit.
        around: what the copy has before the unit and after it in that.
        transmitted: what it has in the unit.
    """

    tradition: Tradition
    testimonies: tuple[Voice, ...]
    around: tuple[str, str]
    transmitted: str

    @property
    def further(self) -> tuple[str, ...]:
        """The readings of the unit that witnesses with a vote have, with the copy's stops."""
        without, found = set_aside(self.testimonies), []
        for one in self.testimonies[1:]:
            if not one.reading or one.siglum in without:
                continue
            inner = self._of_the_unit(one.reading)
            if inner and LOST_LETTER not in inner and inner != plain_reading(self.transmitted):
                found.append(encode(with_stops(decode(inner), decode(self.transmitted))))
        return tuple(dict.fromkeys(found))

    def reading_of(self, siglum: str) -> str | None:
        """Give what a witness has of the unit alone, plain; None where that cannot be told."""
        text = next((one.reading for one in self.testimonies if one.siglum == siglum), None)
        return None if text is None else self._of_the_unit(text)

    def _of_the_unit(self, text: str) -> str | None:
        """Give the part of a witness's words that answers the unit; None where that cannot be told."""
        before, after = (plain_reading(one) for one in self.around)
        if text.startswith(before) and text[len(before) :].endswith(after):
            return text[len(before) : len(text) - len(after)].strip()
        return None

    @property
    def told(self) -> tuple[str, ...]:
        """What each reads, and who has no vote."""
        without = set_aside(self.testimonies)
        by_reading: dict[str, list[str]] = {}
        for one in self.testimonies[1:]:
            if one.reading is not None and one.siglum not in without:
                shown = decode(one.reading).replace(LOST_LETTER, "…") or "nothing"
                by_reading.setdefault(shown, []).append(one.siglum)
        told = [
            f"{_named(sigla)} {'reads' if len(sigla) == 1 else 'read'} {reading}"
            for reading, sigla in by_reading.items()
        ]
        return (*told, *(f"{siglum}, {ground}, has no vote" for siglum, ground in without.items()))

    def letter_odds(self, reading: str) -> float:
        """Give the log odds of writing what the copy has for this reading, against copying it right; nats.

        Words are remembered: what he did to this word in the survivors counts too. A word that he wrote for
        another though no letters explain it is not told here, but by ``accident``.
        """
        own = self.testimonies[0]
        return self._own_letters(self.whole(reading)) - self._log(own, own.reading or "")

    def accident(self, reading: str) -> float:
        """Give the log of the probability that he wrote any word for this, whatever its letters; nats.

        Which word it is says nothing then, so that how rare it is in the language speaks neither for it nor
        against it: a rare word beside a witness's *and* is no sign that the copyist found it somewhere else.
        """
        own = self.testimonies[0]
        single = one_word(self.whole(reading)) and one_word(own.reading or "")
        return math.log(self.tradition.rates[own.siglum].exchanged) if single else -math.inf

    def log_likelihood(self, reading: str | None) -> float:
        """Give the log of the probability of what the witnesses have, had the original this; nats."""
        head = NOT_NAMED if reading is None else self.whole(reading)
        rates = self.tradition.rates
        middle = whole_readings(self.testimonies)
        found = likelihood(self.testimonies, list(dict.fromkeys([head, *middle])), rates)[head]
        own = self.testimonies[0]
        if own.reading is None:
            return found
        if own.source not in rates:
            return found - self._log(own, head)
        written = self._own_letters(head)  # as it was believed before the witnesses were heard
        source = next((one for one in self.testimonies if one.siglum == own.source), None)
        if source is None or source.reading != own.reading or reading in self.further:
            return found - written
        at_most = self._log(source, own.reading) - self._log(own, own.reading)
        return found - max(written, self._log(source, head) - at_most)

    def _own_letters(self, head: str) -> float:
        """Give the log of the probability of what the copy has; of a single word, by its letters alone."""
        own = self.testimonies[0]
        written = own.reading or ""
        if head == NOT_NAMED or not (one_word(head) and one_word(written)):
            return self._log(own, head)
        return math.log(max(self.tradition.rates[own.siglum].by_letters(head, written), 1e-300))

    def _log(self, one: Voice, head: str) -> float:
        """Give the log of the probability of what a witness has, its source having had this; nats."""
        return math.log(max(self.tradition.rates[one.siglum].written_given(head, one.reading or ""), 1e-300))

    def witnesses_of(self, reading: str) -> list[str]:
        """Give the witnesses with a vote that may have this reading of the unit, and not the copy's own."""
        head, own = self.whole(reading), self.whole(self.transmitted)
        without = set_aside(self.testimonies)
        return [
            one.siglum
            for one in self.testimonies[1:]
            if one.reading
            and one.siglum not in without
            and agrees(one.reading, head)
            and not agrees(one.reading, own)
        ]

    def whole(self, reading: str) -> str:
        """Give what is compared where the unit has this reading."""
        return plain_reading(self.around[0] + reading + self.around[1])


def one_word(reading: str) -> bool:
    """Tell whether a reading is a single word.

    >>> one_word("cweð"), one_word("cweð and"), one_word("")
    (True, False, False)
    """
    return len(reading.split()) == 1


def _named(sigla: Sequence[str]) -> str:
    """Give sigla as a sentence has them.

    >>> _named(["K"]), _named(["K", "W"])
    ('K', 'K and W')
    """
    return " and ".join([", ".join(sigla[:-1]), sigla[-1]]) if len(sigla) > 1 else sigla[0]
