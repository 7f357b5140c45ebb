"""Rank the readings of a place, and say of each why it is or is not proposed.

Arrives: a unit whose readings have been weighed. Leaves: ``Rival``s. Start reading at ``ranked``.

The rank is among all readings there are: those that share the total of probability, the transmitted one
among them, and every other restoration of the unit, judged in the same way though never for a proposal.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rapidfuzz.distance import Levenshtein

from fidelity.letters import decode
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.restore import Proposer
from fidelity.readings.why import TOLD_APART, why_of
from fidelity.terms import ProposedReading
from fidelity.terms.conjecture import Conjecture, Rival

TRANSMITTED, CANDIDATE, CONJECTURE = "transmitted", "candidate", "conjecture"
MOST_BEYOND = 5  # restorations that are named though they were not judged for a proposal


@dataclass(frozen=True)
class Weighed:
    """A unit with its readings weighed.

    Attributes:
        unit: with the conjectures among its words.
        asked: the conjectures, and what each makes of the whole unit, folded.
        readings: for each of the unit's words what is known of it.
        transmitted: probability of the transmitted reading, 0-1.
        others: all other restorations, with what the calibration says of them.
        joined: readings that only conjectures brought in, folded.
        note: what was done so that all share one total; "" if nothing.
    """

    unit: Unit
    asked: tuple[tuple[Conjecture, str], ...]
    readings: tuple[ProposedReading, ...]
    transmitted: float
    others: tuple[tuple[float, Candidate], ...]
    joined: frozenset[str]
    note: str = ""


class _Standing(NamedTuple):
    """By what readings are ordered: the best is the least.

    Of equally probable ones those that the audit judged come first, in its order: by the last digit, then by
    their letters. Then come those that a restoration leads to, and those nearer to what is written.
    """

    improbability: float
    beside_the_audit: bool
    exactly: float
    distance: int
    text: str


def ranked(
    weighed: Weighed,
    as_written: ProposedReading,
    proposals: Sequence[ProposedReading],
    barred: str,
    proposer: Proposer,
) -> Iterator[Rival]:
    """Give the transmitted reading and every judged one, the best first.

    Args:
        weighed: the unit.
        as_written: the transmitted reading.
        proposals: what the audit proposes in the unit.
        barred: why nothing may be proposed there; "" where it may.
        proposer: words and settings.
    """
    unit = weighed.unit
    pairs = zip(unit.words, weighed.readings, strict=True)
    judged = {one.proposed: (one, reading) for one, reading in pairs}
    order = sorted(
        [
            _audited(weighed.transmitted, unit.transmitted),
            *(
                _standing(reading.probability, one)
                if text in weighed.joined
                else _audited(reading.probability, text)
                for text, (one, reading) in judged.items()
            ),
            *(_standing(p, one) for p, one in weighed.others),
        ]
    )
    printed = {unit.transmitted: as_written.proposed} | {
        text: reading.proposed for text, (_, reading) in judged.items()
    }
    shared = _shared([one for one in order if one.text in printed])
    beyond: list[str] = []
    better: list[tuple[str, float]] = []
    for rank, standing in enumerate(order, start=1):
        text = standing.text
        conjectures = tuple(one for one, whole in weighed.asked if whole == text)
        if text == unit.transmitted:
            reading, sort = as_written, TRANSMITTED
            why: tuple[str, ...] = ("as the copy has it",) if conjectures else ()
        elif text in judged:
            one, reading = judged[text]
            sort = CONJECTURE if text in weighed.joined else CANDIDATE
            why = why_of(one, reading, better, proposals, barred, proposer, text in weighed.joined)
            if rank == len(order):
                why = (*why, "the last of all readings")
        else:
            beyond.append(decode(text))
            continue
        named = tuple(beyond[:MOST_BEYOND])
        equals = tuple(printed[one] for one in shared.get(standing.improbability, ()) if one != text)
        yield Rival(reading, sort, rank, len(order), conjectures, why, named, equals)
        better.append((reading.proposed, reading.probability))


def _audited(p: float, text: str) -> _Standing:
    """Give by what a reading is ordered that the audit judged, as ``select.py`` orders them."""
    return _Standing(-round(p, TOLD_APART), False, -p, 0, text)


def _standing(p: float, one: Candidate) -> _Standing:
    """Give by what any other reading is ordered."""
    distance = Levenshtein.distance(one.proposed, one.transmitted)
    return _Standing(-round(p, TOLD_APART), True, -one.posterior, distance, one.proposed)


def _shared(order: Sequence[_Standing]) -> dict[float, list[str]]:
    """Give the probabilities that several readings share, with these; what is next to nothing is no such."""
    found: dict[float, list[str]] = {}
    for one in order:
        if one.improbability:
            found.setdefault(one.improbability, []).append(one.text)
    return {p: some for p, some in found.items() if len(some) > 1}
