"""How probable readings of every sort came out in the blind test, those too improbable to propose among them.

Arrives: held-out parts of the survivors and what each round knew. Leaves: for each whole reading that was
judged there its probability, blind, and whether it was right. Start reading at ``every_reading``.

The blind test itself lists what is proposed. A conjecture may be less probable than anything proposed; what
its probability is worth only the readings that were judged and not proposed can say.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.copyist.tagging import Tagged
from fidelity.readings.calibrating import Calibrating
from fidelity.readings.held_out import HeldOut
from fidelity.readings.select import Choice, word_probabilities
from fidelity.terms import ProposedReading, Trial, TrialReading, Witness
from fidelity.trial.blind import judged_reading
from fidelity.trial.rounds import Rounds
from fidelity.trial.support import Supporter, supported
from fidelity.trial.truth import places_in


def every_reading(
    held: Sequence[HeldOut],
    tagged: Sequence[Tagged],
    copies: Sequence[tuple[str, Witness]],
    rounds: Rounds,
) -> list[TrialReading]:
    """Give every whole reading judged on held-out survivors, with its blind probability.

    Args:
        held: the held-out parts.
        tagged: the survivors' copies with the truth.
        copies: for each survivor its id and its copy.
        rounds: what each round knew.
    """
    calibrating = Calibrating(held)
    folds = sorted({part.part.fold for part in held})
    calibrations = {fold: calibrating.without(fold) for fold in folds}
    found = []
    for part in held:
        known, copy = rounds.of(part.part.fold), copies[part.part.survivor]
        for place in places_in(part, tagged, copies):
            for one, p in word_probabilities(place.unit, calibrations[part.part.fold]):
                choice = Choice(one, p, ())
                found.append(judged_reading(choice, place, part.part.start, copy, known))
    return found


class WideSupport:
    """Asks what the blind test supports for any whole reading, proposed or not.

    Args:
        trial: the blind test; None where there was none.
        judged: every whole reading judged in it.
    """

    def __init__(self, trial: Trial | None, judged: Sequence[TrialReading]) -> None:
        self._supporter = Supporter(replace(trial, readings=tuple(judged)) if trial else None)
        self._supporter.spread = Supporter(trial).spread  # by how much texts differ, as the audit has it

    def of(self, reading: ProposedReading) -> ProposedReading:
        """Give a reading with what the blind test supports for its probability."""
        return supported(reading, self._supporter.of_reading(reading))
