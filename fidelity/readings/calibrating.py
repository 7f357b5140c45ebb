"""Learn, from what was held out, how probable whole readings, single letters and corrupt units are.

Arrives: held-out parts with their truth. Leaves: a ``Calibration``, learned on all of them or on all but one
round. Start reading at ``Calibrating.without``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fidelity.readings.calibrate import Calibrator, Experience, Floats
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.experience import LETTERS, UNITS, WORDS
from fidelity.readings.features import DOUBT_GUESS, FIRST_GUESS, log_odds
from fidelity.readings.held_out import HeldOut, Part


class Sort(Enum):
    """What is asked: is this whole reading right, this letter, is this unit corrupt."""

    WORD = "word"
    LETTER = "letter"
    UNIT = "unit"


GUESSES = {Sort.WORD: FIRST_GUESS, Sort.LETTER: FIRST_GUESS, Sort.UNIT: DOUBT_GUESS}
EXPERIENCES: dict[Sort, Experience | None] = {Sort.WORD: WORDS, Sort.LETTER: LETTERS, Sort.UNIT: UNITS}


@dataclass(frozen=True)
class Calibration:
    """Calibrators for each sort of question, tempered by how they carry over.

    Attributes:
        fitted: learned on all held-out candidates.
        carried: what became of such probabilities on a survivor that the calibration itself had
            not seen; None where no second survivor could show it.
    """

    fitted: dict[Sort, Calibrator]
    carried: dict[Sort, Calibrator | None]

    def probability(self, one: Candidate) -> float:
        """Give the calibrated probability of a candidate, 0-1."""
        return self._of(Sort.LETTER if one.single else Sort.WORD, one.features)

    def corrupt_probability(self, unit: Unit) -> float:
        """Give the calibrated probability that a unit is corrupt, 0-1."""
        return self._of(Sort.UNIT, unit.doubt)

    def _of(self, sort: Sort, features: Sequence[float]) -> float:
        p = self.fitted[sort].probability(features)
        carried = self.carried[sort]
        return carried.probability([log_odds(p)]) if carried else p


class Calibrating:
    """Learns the calibration from held-out parts, with any round of them left out.

    Args:
        held: the parts, with every candidate's truth.
        experiences: what other copyists taught, for each sort of question.
    """

    def __init__(
        self, held: Sequence[HeldOut], experiences: dict[Sort, Experience | None] | None = None
    ) -> None:
        self.rounds = sorted({one.part.fold for one in held})
        self._experiences = EXPERIENCES if experiences is None else experiences
        self._some = {sort: Judgements.of(held, sort) for sort in Sort}
        self._known: dict[tuple[Sort, frozenset[int]], Calibrator] = {}

    def without(self, fold: int | None = None) -> Calibration:
        """Give the calibration learned on all rounds, or on all but one.

        In two steps: what the features say, learned on all; then how far that carries over to a
        survivor it was not learned on, seen by leaving each round out once more.
        """
        out = frozenset(() if fold is None else (fold,))
        return Calibration(
            {sort: self._fitted(sort, out) for sort in Sort},
            {sort: self._carried(sort, out) for sort in Sort},
        )

    def _fitted(self, sort: Sort, out: frozenset[int]) -> Calibrator:
        """Learn what the features say, some rounds left out; each such thing is learned once."""
        known = self._known.get((sort, out))
        if known is None:
            some = self._some[sort].without(out)
            known = Calibrator(
                some.features, some.right, GUESSES[sort], some.weights, self._experiences.get(sort)
            )
            self._known[sort, out] = known
        return known

    def _carried(self, sort: Sort, out: frozenset[int]) -> Calibrator | None:
        """Learn what became of the calibrated odds on survivors the calibration had not seen."""
        rounds = [fold for fold in self.rounds if fold not in out]
        if len(rounds) < 2:
            return None
        odds: list[tuple[float]] = []
        right: list[bool] = []
        for fold in rounds:
            some = self._some[sort].only(fold)
            if len(some.right):
                found = self._fitted(sort, out | {fold}).probabilities(some.features)
                odds += [(log_odds(p),) for p in found.tolist()]
                right += some.right.tolist()
        return Calibrator(odds, right, {0: 1.0}, bent=False) if odds else None


@dataclass(frozen=True)
class Judgements:
    """Answers to one sort of question with their truth, as arrays.

    Attributes:
        features: one row for each.
        right: whether the answer was yes.
        folds: the round each was held out in.
        kinds: the same number for the same readings.
    """

    features: Floats
    right: NDArray[np.bool_]
    folds: NDArray[np.int64]
    kinds: NDArray[np.int64]

    @classmethod
    def of(cls, held: Sequence[HeldOut], sort: Sort) -> Judgements:
        """Collect what was held out."""
        rows = [row for one in held for row in _rows(one, sort)]
        numbers: dict[tuple[str, str], int] = {}
        width = len(rows[0][0]) if rows else 0
        return cls(
            np.array([features for features, _, _, _ in rows], dtype=float).reshape(len(rows), width),
            np.array([right for _, right, _, _ in rows], dtype=bool),
            np.array([part.fold for _, _, part, _ in rows], dtype=np.int64),
            np.array([numbers.setdefault(kind, len(numbers)) for _, _, _, kind in rows], dtype=np.int64),
        )

    @cached_property
    def weights(self) -> Floats:
        """How much each counts: a reading met many times counts as the square root of its occurrences.

        They are not so many independent trials, since one unknown word misjudged is misjudged wherever
        it stands.
        """
        if not len(self.kinds):
            return np.zeros(0)
        return np.asarray(np.bincount(self.kinds)[self.kinds] ** -0.5)

    def without(self, out: frozenset[int]) -> Judgements:
        """Leave some rounds out."""
        return self._where(~np.isin(self.folds, sorted(out)))

    def only(self, fold: int) -> Judgements:
        """Give those of one round."""
        return self._where(self.folds == fold)

    def _where(self, here: NDArray[np.bool_]) -> Judgements:
        return Judgements(self.features[here], self.right[here], self.folds[here], self.kinds[here])


def _rows(one: HeldOut, sort: Sort) -> list[tuple[tuple[float, ...], bool, Part, tuple[str, str]]]:
    """Give features, truth, part and reading of all of one sort that was held out together."""
    if sort is Sort.UNIT:
        return [(unit.doubt, wrong, one.part, (unit.transmitted, "")) for unit, wrong in one.doubted]
    return [
        (
            judged.candidate.features,
            judged.right,
            one.part,
            (judged.candidate.transmitted, judged.candidate.proposed),
        )
        for judged in one.judged
        if judged.candidate.single is (sort is Sort.LETTER)
    ]
