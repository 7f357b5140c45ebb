"""Choose, unit by unit, what is proposed, with calibrated probabilities.

Arrives: a unit's candidates and the calibration. Leaves: the readings to propose. Start reading
at ``chosen``. Used alike for the lost texts and in the blind test, so that the test tries what is
really done.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fidelity.readings.calibrate import Calibrator
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.features import FIRST_GUESS, log_odds
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


class Calibrating:
    """Learns the calibration from held-out candidates, with any rounds of them left out.

    Args:
        judged: every candidate that was held out, with its truth.
    """

    def __init__(self, judged: Sequence[Judged]) -> None:
        self.rounds = sorted({one.part.fold for one in judged})
        self._some = [
            _Some([one for one in judged if one.candidate.single is single]) for single in (False, True)
        ]
        self._known: dict[tuple[bool, frozenset[int]], Calibrator] = {}

    def without(self, fold: int | None = None) -> Calibration:
        """Give the calibration learned on all rounds, or on all but one.

        In two steps: what the features say, learned on all; then how far that carries over to a
        survivor it was not learned on, seen by leaving each round out once more.
        """
        out = frozenset(() if fold is None else (fold,))
        words, letters = (self._fitted(single, out) for single in (False, True))
        return Calibration(words, letters, self._carried(False, out), self._carried(True, out))

    def _fitted(self, single: bool, out: frozenset[int]) -> Calibrator:
        """Learn what the features say, some rounds left out."""
        known = self._known.get((single, out))
        if known is None:
            known = self._known[single, out] = self._some[single].fitted(out)
        return known

    def _carried(self, single: bool, out: frozenset[int]) -> Calibrator | None:
        """Learn what became of the calibrated odds on survivors the calibration had not seen."""
        rounds = [fold for fold in self.rounds if fold not in out]
        if len(rounds) < 2:
            return None
        pairs: list[tuple[float, bool]] = []
        for fold in rounds:
            features, right = self._some[single].of(fold)
            if len(right):
                found = self._fitted(single, out | {fold}).probabilities(features).tolist()
                pairs += zip(map(log_odds, found), right.tolist(), strict=True)
        if not pairs:
            return None
        return Calibrator(
            [(odds,) for odds, _ in pairs], [right for _, right in pairs], {0: 1.0}, squares=False
        )


class _Some:
    """Held-out candidates of one sort, whole words or single letters, as arrays.

    A reading met many times counts as the square root of its occurrences: they are not so many
    independent trials, since one unknown word misjudged is misjudged wherever it stands.
    """

    def __init__(self, judged: Sequence[Judged]) -> None:
        width = len(judged[0].candidate.features) if judged else 0
        self.features = np.array([one.candidate.features for one in judged], dtype=float).reshape(-1, width)
        self.right = np.array([one.right for one in judged], dtype=bool)
        self.folds = np.array([one.part.fold for one in judged], dtype=np.int64)
        kinds: dict[tuple[str, str], int] = {}
        self.kinds = np.array(
            [
                kinds.setdefault((one.candidate.transmitted, one.candidate.proposed), len(kinds))
                for one in judged
            ],
            dtype=np.int64,
        )

    def of(self, fold: int) -> tuple[np.ndarray, np.ndarray]:
        """Give features and outcomes of one round."""
        here = self.folds == fold
        return self.features[here], self.right[here]

    def fitted(self, out: frozenset[int]) -> Calibrator:
        """Learn from all rounds but some."""
        here = ~np.isin(self.folds, sorted(out))
        kinds = self.kinds[here]
        weights = np.bincount(kinds)[kinds] ** -0.5 if len(kinds) else kinds
        return Calibrator(self.features[here], self.right[here], FIRST_GUESS, weights)


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
