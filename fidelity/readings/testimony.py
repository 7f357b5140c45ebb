"""What the witnesses of a lost text, a unit of its copy before them, make of each reading.

Arrives: what each has. Leaves: further readings, what is told of them, and the log of how probable what they
have would be. Start reading at ``Testimony``. How the copy comes in is said in ``other_witnesses.py``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.dossier.conjectures import with_stops
from fidelity.letters import decode, encode
from fidelity.sources.descent import Voice, likelihood, set_aside
from fidelity.sources.rates import NOT_NAMED
from fidelity.sources.tradition import Tradition, agrees, plain_reading, whole_readings
from fidelity.terms import LOST_LETTER


@dataclass(frozen=True)
class Testimony:
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
