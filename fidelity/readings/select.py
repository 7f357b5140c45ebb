"""Choose, unit by unit, what is proposed, with calibrated probabilities.

Arrives: a unit's candidates and the calibration. Leaves: the readings to propose. Start reading
at ``chosen``. Used alike for the lost texts and in the blind test, so that the test tries what is
really done.
"""

from __future__ import annotations

from dataclasses import dataclass

from fidelity.readings.calibrating import SETTLED, Calibration
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.weighing import Weights, weighed, weighed_letters

MOST_CHANGED = 0.5  # of a unit's letters; were more in doubt, another word stood there, not other letters
MOST_POSSIBLE = 2  # letters of one unit listed though unlikely; more would say: the word is another


@dataclass(frozen=True)
class Choice:
    """A reading to propose, or a unit to be marked as corrupt.

    Attributes:
        candidate: span and reading; no reading where the unit is only suspect.
        probability: calibrated, 0-1: of the reading, or that the unit is corrupt.
        rivals: other readings of the unit with their calibrated probabilities, the transmitted
            one among them; they and a proposed reading sum to at most 1.
        suspect: whether the unit is corrupt more probably than not, and no reading of it is settled.
        told: what is known of the unit beside the copy, each in a clause.
        attested: whether another copy of the text has the reading.
    """

    candidate: Candidate
    probability: float
    rivals: tuple[tuple[str, float], ...]
    suspect: bool = False
    told: tuple[str, ...] = ()
    attested: bool = False


def word_probabilities(unit: Unit, calibration: Calibration) -> list[tuple[Candidate, float]]:
    """Give the calibrated probability of each whole reading of a unit; they sum to at most 1."""
    return _weights(unit, calibration)[0]


def _weights(unit: Unit, calibration: Calibration) -> tuple[list[tuple[Candidate, float]], Weights]:
    """Give all whole readings of a unit, the most probable first, and the weights of the rest."""
    words = (*unit.words, *unit.further)
    weights = weighed(unit, words, calibration)
    found = zip(words, weights.words, strict=True)
    return sorted(found, key=lambda pair: (-pair[1], pair[0].proposed)), weights


def chosen(
    unit: Unit, calibration: Calibration, report_from: float, mark_suspects: bool = True
) -> list[Choice]:
    """Give what is proposed for a unit, at least ``report_from`` probable.

    A whole reading where one is more probable than not; otherwise the single letters that are. Where
    nothing is settled, but the unit is corrupt more probably than not, it is suspect: corrupt, no
    proposal (unless such marks are not wanted). Otherwise the best whole reading, and single letters
    more probable than it, as possible.
    """
    words, weights = _weights(unit, calibration)
    if words and words[0][1] >= SETTLED:
        return [_best_word(unit, words, weights)]
    letters = list(zip(unit.letters, weighed_letters(unit, calibration), strict=True))
    if sum(p >= SETTLED for _, p in letters) > MOST_CHANGED * len(unit.transmitted):
        letters = []
    settled = [_letter(unit, *one) for one in letters if one[1] >= SETTLED]
    if mark_suspects and not settled and unit.doubt:
        corrupt = calibration.corrupt_probability(unit) if unit.beside is None else 1 - weights.transmitted
        if corrupt >= SETTLED:
            return [_suspect(unit, words, corrupt)]
    best = words[0][1] if words else 0.0
    found = [_best_word(unit, words, weights)] if best >= report_from else []
    some = sorted((p for _, p in letters if best < p < SETTLED), reverse=True)[:MOST_POSSIBLE]
    found += [_letter(unit, *one) for one in letters if one[1] >= report_from and one[1] in some]
    return found + settled


def told_by(unit: Unit) -> tuple[str, ...]:
    """Give what is known of a unit beside the copy, each in a clause."""
    return unit.beside.told if unit.beside else ()


def _letter(unit: Unit, one: Candidate, p: float) -> Choice:
    """Propose a single letter; its rival is the transmitted one."""
    return Choice(one, p, ((one.transmitted, 1.0 - p),), told=told_by(unit))


def _best_word(unit: Unit, words: list[tuple[Candidate, float]], weights: Weights) -> Choice:
    """Propose the most probable whole reading, beside the others and the transmitted one."""
    left = 1.0 - sum(p for _, p in words) if unit.beside is None else weights.transmitted
    attested = words[0][0].proposed in unit.plainly
    return Choice(*words[0], _rivals(unit, words[1:], left), told=told_by(unit), attested=attested)


def _suspect(unit: Unit, words: list[tuple[Candidate, float]], corrupt: float) -> Choice:
    """Mark a unit as corrupt; its readings share at most the probability that it is so."""
    nothing = Candidate(unit.start, unit.end, -1, unit.transmitted, "", 0.0, unit.doubt, single=False)
    scale = min(1.0, corrupt / max(sum(p for _, p in words), corrupt))
    rivals = _rivals(unit, [(one, p * scale) for one, p in words], 1.0 - corrupt)
    return Choice(nothing, corrupt, rivals, suspect=True, told=told_by(unit))


def _rivals(
    unit: Unit, words: list[tuple[Candidate, float]], transmitted: float
) -> tuple[tuple[str, float], ...]:
    """Give these readings of a unit and the transmitted one, most probable first."""
    found = [(one.proposed, p) for one, p in words] + [(unit.transmitted, max(transmitted, 0.0))]
    return tuple(sorted(found, key=lambda rival: (-rival[1], rival[0])))
