"""Choose, unit by unit, what is proposed, with calibrated probabilities.

Arrives: a unit's candidates and the calibration. Leaves: the readings to propose. Start reading
at ``chosen``. Used alike for the lost texts and in the blind test, so that the test tries what is
really done.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.readings.calibrate import Calibrator
from fidelity.readings.candidates import FIRST_GUESS, Candidate, Unit, log_odds
from fidelity.readings.held_out import Judged

SETTLED = 0.5  # a word more probable than not is proposed as a whole; else single letters may be
MOST_CHANGED = 0.5  # of a unit's letters; were more in doubt, another word stood there, not other letters
MOST_SUSPECTS = 2  # letters of one unit listed though unlikely; more would say: the word is another


@dataclass(frozen=True)
class Calibration:
    """Calibrators for whole words and for single letters, tempered by how they carry over.

    Attributes:
        words, letters: learned on all held-out candidates.
        words_carried, letters_carried: what became of such probabilities on a survivor that the
            calibration itself had not seen; None where no second survivor could show it.
    """

    words: Calibrator
    letters: Calibrator
    words_carried: Calibrator | None
    letters_carried: Calibrator | None

    def probability(self, one: Candidate) -> float:
        """Give the calibrated probability of a candidate, 0-1."""
        fitted, carried = (
            (self.letters, self.letters_carried) if one.single else (self.words, self.words_carried)
        )
        p = fitted.probability(one.features)
        return carried.probability([log_odds(p)]) if carried else p


@dataclass(frozen=True)
class Choice:
    """A reading to propose.

    Attributes:
        candidate: span and reading.
        probability: calibrated, 0-1.
        rivals: other readings of the unit with their calibrated probabilities, the transmitted
            one among them; they and this one sum to at most 1.
    """

    candidate: Candidate
    probability: float
    rivals: tuple[tuple[str, float], ...]


def calibration_from(judged: Sequence[Judged]) -> Calibration:
    """Learn the calibration from held-out candidates.

    In two steps: what the features say, learned on all; then how far that carries over to a
    survivor it was not learned on, seen by leaving each round out once more.
    """
    words, letters = _calibrators(judged)
    rounds = sorted({one.part.fold for one in judged})
    carried: tuple[list[tuple[float, bool]], list[tuple[float, bool]]] = ([], [])
    for fold in rounds if len(rounds) > 1 else ():
        elsewhere = _calibrators([one for one in judged if one.part.fold != fold])
        for one in judged:
            if one.part.fold == fold:
                p = elsewhere[one.candidate.single].probability(one.candidate.features)
                carried[one.candidate.single].append((log_odds(p), one.right))
    return Calibration(words, letters, _as_carried(carried[False]), _as_carried(carried[True]))


def _calibrators(judged: Sequence[Judged]) -> tuple[Calibrator, Calibrator]:
    """Learn what the features say, for whole words and for single letters.

    A reading met many times counts as the square root of its occurrences: they are not so many
    independent trials, since one unknown word misjudged is misjudged wherever it stands.
    """
    fitted = []
    for single in (False, True):
        some = [one for one in judged if one.candidate.single is single]
        kinds = Counter((one.candidate.transmitted, one.candidate.proposed) for one in some)
        weights = [kinds[one.candidate.transmitted, one.candidate.proposed] ** -0.5 for one in some]
        features = [one.candidate.features for one in some]
        fitted.append(Calibrator(features, [one.right for one in some], FIRST_GUESS, weights))
    return fitted[0], fitted[1]


def _as_carried(pairs: Sequence[tuple[float, bool]]) -> Calibrator | None:
    """Learn what became of the calibrated odds on survivors the calibration had not seen."""
    if not pairs:
        return None
    return Calibrator([(odds,) for odds, _ in pairs], [right for _, right in pairs], {0: 1.0}, squares=0)


def word_probabilities(unit: Unit, calibration: Calibration) -> list[tuple[Candidate, float]]:
    """Give the calibrated probability of each whole reading of a unit; they sum to at most 1."""
    found = [(one, calibration.probability(one)) for one in unit.words]
    total = sum(p for _, p in found)
    if total > 1:
        found = [(one, p / total) for one, p in found]
    return sorted(found, key=lambda pair: (-pair[1], pair[0].proposed))


def chosen(unit: Unit, calibration: Calibration, report_from: float) -> list[Choice]:
    """Give what is proposed for a unit, at least ``report_from`` probable.

    A whole reading where one is more probable than not; otherwise the best whole reading, and
    single letters that are more suspect than any word is settled.
    """
    words = word_probabilities(unit, calibration)
    choices = []
    if words and words[0][1] >= report_from:
        left = max(1.0 - sum(p for _, p in words), 0.0)
        rivals = [(one.proposed, p) for one, p in words[1:]] + [(words[0][0].transmitted, left)]
        choices.append(Choice(*words[0], tuple(sorted(rivals, key=lambda rival: (-rival[1], rival[0])))))
        if words[0][1] >= SETTLED:
            return choices
    settled = words[0][1] if words else 0.0
    letters = [(letter, calibration.probability(letter)) for letter in unit.letters]
    if sum(p >= SETTLED for _, p in letters) > MOST_CHANGED * len(unit.transmitted):
        return choices
    suspects = sorted((p for _, p in letters if settled < p < SETTLED), reverse=True)[:MOST_SUSPECTS]
    for letter, p in letters:
        if p >= SETTLED or (p >= report_from and p in suspects):
            choices.append(Choice(letter, p, ((letter.transmitted, 1.0 - p),)))
    return choices
