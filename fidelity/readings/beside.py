"""What is known of a unit of a copy beside the copy itself: his other copies, his own marks.

Arrives: a span of copied letters. Leaves: further readings to be judged there, and how probable what else
is known would be if the original had had each reading. Start reading at ``Telling``.

What stands here says only what is asked and how answers are joined; who answers is in the files that know
of copies or of marks. The answers are brought to bear after the calibration (``weighing.py``), which knows
nothing of them. In the blind test a round is answered by what the other rounds teach, and by nothing else.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol, runtime_checkable

OTHER = None  # stands for any reading that is not named: something else
LeftOut = Sequence[tuple[int, int, int]]  # index of a survivor, and the span of its copied letters


class Telling(Protocol):
    """What is known of one unit."""

    @property
    def further(self) -> tuple[str, ...]:
        """Readings of the whole unit that are to be judged with the rest, normalised."""

    @property
    def told(self) -> tuple[str, ...]:
        """What is known, each in a clause, as the evidence of a proposal says it."""

    def letter_odds(self, reading: str) -> float:
        """Give how much less probable what stands is where he read this, than where he read what stands.

        Args:
            reading: one of ``further``.

        Returns:
            log of P(what stands | reading) / P(what stands | what stands), letter by letter; nats.
        """

    def log_likelihood(self, reading: str | None) -> float:
        """Give the log of the probability of what is known, had the original this reading; nats.

        Args:
            reading: of the whole unit, normalised, the transmitted one among them; ``OTHER`` for any that is
                not named. Constants common to all readings may be left out.
        """


class Beside(Protocol):
    """What is known beside one copy (or, in a round of the blind test, beside a part of it)."""

    def at(self, start: int, end: int) -> Telling | None:
        """Give what is known of a span of its letters; None where nothing is."""


@runtime_checkable
class Witnessing(Protocol):
    """What knows the readings of other witnesses beside one copy."""

    def reads(self, start: int, end: int, reading: str) -> bool:
        """Tell whether a witness with a vote has this reading of a span, and not what the copy has."""


@runtime_checkable
class Accidental(Protocol):
    """What reckons with words written for others though no letters explain it."""

    def accident(self, reading: str) -> float:
        """Give the log of the probability that it so befell a unit whose original had this; nats."""


class BesideRounds(Protocol):
    """What is known beside all his copies, as far as a round may know it."""

    def survivor(self, number: int, left_out: LeftOut) -> Beside | None:
        """Give what is known beside a survivor's copy, its rates learned without what is left out."""

    def lost(self, text: str) -> Beside | None:
        """Give what is known beside the copy of a lost text, by id; rates from all survivors."""


@dataclass(frozen=True)
class _AllTold:
    """Several that tell of one unit, taken to be independent of each other, given the original."""

    tellings: tuple[Telling, ...]

    @property
    def further(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(text for one in self.tellings for text in one.further))

    @property
    def told(self) -> tuple[str, ...]:
        return tuple(clause for one in self.tellings for clause in one.told)

    def letter_odds(self, reading: str) -> float:
        return max(one.letter_odds(reading) for one in self.tellings if reading in one.further)

    def accident(self, reading: str) -> float:
        return max(accident_beside(one, reading) for one in self.tellings)

    def log_likelihood(self, reading: str | None) -> float:
        return sum(one.log_likelihood(reading) for one in self.tellings)


@dataclass(frozen=True)
class _Joined:
    """Several that know something beside one copy."""

    several: tuple[Beside, ...]

    def at(self, start: int, end: int) -> Telling | None:
        found = tuple(telling for one in self.several if (telling := one.at(start, end)))
        return _AllTold(found) if len(found) > 1 else next(iter(found), None)

    def reads(self, start: int, end: int, reading: str) -> bool:
        return any(attested_beside(one, start, end, reading) for one in self.several)


@dataclass(frozen=True)
class _From:
    """What is known beside a part of a copy: offsets count from the part's beginning."""

    whole: Beside
    start: int

    def at(self, start: int, end: int) -> Telling | None:
        return self.whole.at(start + self.start, end + self.start)


def attested_beside(beside: Beside | None, start: int, end: int, reading: str) -> bool:
    """Tell whether another witness has this reading of a span: then it is no conjecture."""
    return isinstance(beside, Witnessing) and beside.reads(start, end, reading)


def accident_beside(telling: Telling, reading: str) -> float:
    """Give the log of the probability of an accident to a copied unit; -inf where none is reckoned with."""
    return telling.accident(reading) if isinstance(telling, Accidental) else -math.inf


def joined(several: Iterable[Beside | None]) -> Beside | None:
    """Take several that know something beside one copy for one; None if none does."""
    found = tuple(one for one in several if one is not None)
    return _Joined(found) if len(found) > 1 else next(iter(found), None)


def from_offset(whole: Beside | None, start: int) -> Beside | None:
    """Give the same for a part of the copy that begins at this letter."""
    return whole if whole is None or not start else _From(whole, start)


def beside_lost(rounds: Sequence[BesideRounds], texts: Iterable[str]) -> dict[str, Beside]:
    """Give what is known beside the copies of lost texts, by id, where anything is."""
    found = ((text, joined(one.lost(text) for one in rounds)) for text in texts)
    return {text: one for text, one in found if one}
