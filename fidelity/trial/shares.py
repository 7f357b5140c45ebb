"""Share out the total of probability among the readings of one unit, conjectures among them.

Arrives: a unit with its readings. Leaves: ``Shares``. Start reading at ``shares_of``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.readings.calibrating import Calibration
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.weighing import weighed


@dataclass(frozen=True)
class Shares:
    """How the total of probability is shared out in one unit.

    Attributes:
        words: what each of its readings has, those that only other knowledge brought in last.
        transmitted: what the transmitted reading has, where something is known beside the copy.
        scale, alone: by what the readings were drawn down, with the conjectures and without them.
        joined: readings that only conjectures brought in, folded.
        unit: with what is known beside it.
        evidence: log of what was added up when that was brought to bear, nats.
        other: what all readings that were not judged have together, where something is known beside the copy.
    """

    words: tuple[float, ...]
    transmitted: float
    scale: float
    alone: float
    joined: frozenset[str]
    unit: Unit
    evidence: float = 0.0
    other: float = 0.0

    def of_others(self, others: Sequence[Candidate], calibration: Calibration) -> list[float]:
        """Give what each reading that was not judged for a proposal has.

        Where something is known beside the copy they share what it leaves to anything else: by itself each
        might come out above readings that were judged, and all of them together above 1.
        """
        found = [calibration.probability(one) for one in others]
        if self.unit.beside is None:
            return [p * self.scale for p in found]
        told = [self.unit.beside.log_likelihood(one.proposed) - self.evidence for one in others]
        found = [p * math.exp(min(one, 0.0)) for p, one in zip(found, told, strict=True)]
        share = min(1.0, self.other / max(math.fsum(found), self.other)) if self.other else 0.0
        return [p * share for p in found]


def shares_of(base: Unit, unit: Unit, limit: float, calibration: Calibration) -> Shares:
    """Share out the total among the readings of a unit.

    Args:
        base: the unit as the audit has it.
        unit: the same with conjectures among its words.
        limit: what all readings may have together.
        calibration: what the features of a reading are worth.
    """
    joined = frozenset(one.proposed for one in unit.words[len(base.words) :])
    if unit.beside is None:
        raw = [calibration.probability(one) for one in unit.words]
        scale, alone = (min(1.0, limit / max(sum(some), limit)) for some in (raw, raw[: len(base.words)]))
        return Shares(tuple(p * scale for p in raw), 0.0, scale, alone, joined, unit)
    found = weighed(base, (*unit.words, *unit.further), calibration)
    return Shares(found.words, found.transmitted, 1.0, 1.0, joined, unit, found.evidence, found.other)
