"""Learn, from what was held out, how probable whole readings, single letters and corrupt units are.

Arrives: held-out parts with their truth. Leaves: a ``Calibration``, learned on all of them or on all but one
round. Start reading at ``Calibrating.without``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import Enum
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fidelity.readings.calibrate import Calibrator, Experience, Floats
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.carried import Carried
from fidelity.readings.experience import LETTERS, UNITS, WORDS
from fidelity.readings.features import DOUBT_GUESS, FIRST_GUESS, log_odds
from fidelity.readings.held_out import HeldOut
from fidelity.readings.weighing import named_probability


class Sort(Enum):
    """What is asked: is this whole reading right, this letter, is this unit corrupt."""

    WORD = "word"
    LETTER = "letter"
    UNIT = "unit"


GUESSES = {Sort.WORD: FIRST_GUESS, Sort.LETTER: FIRST_GUESS, Sort.UNIT: DOUBT_GUESS}
# Standard deviation, in log odds, by which texts differ in how often the same is right of which the same is
# said. On the learning halves of two real copies, whole readings said to be right at 0.9 or more were in the
# blind test right as often as said with 0.5, in halves taken for lost with 0.3 or less.
TEXT_SPREAD = 0.4
SETTLED = 0.5  # a word more probable than not is proposed as a whole; else single letters may be
# Log odds above which what carries over may be another share (``carried.py``). Blind, on the learning halves
# of two real copies and parts of them, whole readings said to be .958 were right in .943 without it, said to
# be .945 in .944 with it (texts taken to differ by 0.5).
BREAKS = {Sort.WORD: log_odds(0.9), Sort.LETTER: log_odds(SETTLED)}
ALMOST = 1e-12  # nearer to impossible or sure no probability comes
EXPERIENCES: dict[Sort, Experience | None] = {Sort.WORD: WORDS, Sort.LETTER: LETTERS, Sort.UNIT: UNITS}


@dataclass(frozen=True)
class Calibration:
    """Calibrators for each sort of question, tempered by how they carry over.

    Attributes:
        fitted: learned on all held-out candidates.
        carried: what became of such probabilities on a survivor that the calibration itself had
            not seen; None where no second survivor could show it.
        unsuspected: share of the units wrong against which nothing speaks, 0-1.
        heard: what became of the readings that something known beside the copies named, once it was heard;
            None where nothing named any.
    """

    fitted: dict[Sort, Calibrator]
    carried: dict[Sort, Carried | None]
    unsuspected: float = 0.0
    heard: Carried | None = None

    def probability(self, one: Candidate) -> float:
        """Give the calibrated probability of a whole reading, 0-1."""
        return self._of(Sort.WORD, one.features)

    def letter_probabilities(self, unit: Unit) -> list[float]:
        """Give the calibrated probability of each single letter that may be proposed in a unit, 0-1."""
        best = self._best_word(unit)
        return [self._of(Sort.LETTER, (*one.features, best)) for one in unit.letters]

    def corrupt_probability(self, unit: Unit) -> float:
        """Give the calibrated probability that a unit is corrupt, 0-1."""
        return self._of(Sort.UNIT, (*unit.doubt, self._best_word(unit)))

    def _best_word(self, unit: Unit) -> float:
        """Give the log odds of the most probable whole reading, by what the features say."""
        if not unit.words:
            return log_odds(0.0)
        features = np.array([one.features for one in unit.words])
        return log_odds(float(self.fitted[Sort.WORD].probabilities(features).max()))

    def _of(self, sort: Sort, features: Sequence[float]) -> float:
        p = self.fitted[sort].probability(features)
        carried = self.carried[sort]
        return allowing_for_texts(carried.probability(log_odds(p)) if carried else p)


def allowing_for_texts(p: float, spread: float = TEXT_SPREAD) -> float:
    """Give a probability that allows for a text that is unlike those it was learned from.

    The mean of 1 / (1 + exp(-x)) where x is normal around the log odds with this standard deviation, by the
    approximation of MacKay (1992, Neural Computation 4, 720-736): the log odds divided by the root of
    1 + pi / 8 times the variance.

    >>> round(allowing_for_texts(0.5), 3), round(allowing_for_texts(0.95, spread=0.7), 3)
    (0.5, 0.937)
    """
    p = min(max(p, ALMOST), 1 - ALMOST)
    odds = math.log(p / (1 - p)) / math.sqrt(1 + math.pi / 8 * spread**2)
    return 1 / (1 + math.exp(-odds))


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
        self._units = 1 + max((int(some.units.max(initial=-1)) for some in self._some.values()), default=-1)
        self._named = [(one.part.fold, one.named) for one in held]
        self._unsuspected = [(one.part.fold, *one.unsuspected) for one in held]
        self._best_by: dict[frozenset[int], Floats] = {}
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
            self._wrong_unsuspected(out),
            self._heard(out),
        )

    def _heard(self, out: frozenset[int]) -> Carried | None:
        """Learn what readings named by something beside the copies are worth, on rounds not learned from."""
        rounds = [fold for fold in self.rounds if fold not in out]
        odds, right = list[float](), list[bool]()
        for fold in rounds if len(rounds) > 1 else ():
            named = [pair for part, pairs in self._named if part == fold for pair in pairs]
            if named:
                without = out | {fold}
                fitted = {sort: self._fitted(sort, without) for sort in Sort}
                blind = Calibration(fitted, dict.fromkeys(Sort), self._wrong_unsuspected(without))
                odds += [log_odds(named_probability(unit, blind)) for unit, _ in named]
                right += [is_right for _, is_right in named]
        return Carried(odds, right, None) if odds else None

    def _wrong_unsuspected(self, out: frozenset[int]) -> float:
        """Give the share of units wrong against which nothing speaks: the mean of Jeffreys' posterior."""
        some = [(units, wrong) for fold, units, wrong in self._unsuspected if fold not in out]
        return (sum(wrong for _, wrong in some) + 0.5) / (sum(units for units, _ in some) + 1)

    def _fitted(self, sort: Sort, out: frozenset[int]) -> Calibrator:
        """Learn what the features say, some rounds left out; each such thing is learned once."""
        known = self._known.get((sort, out))
        if known is None:
            some = self.asked(sort, out)
            known = Calibrator(
                some.features, some.right, GUESSES[sort], some.weights, self._experiences.get(sort)
            )
            self._known[sort, out] = known
        return known

    def asked(self, sort: Sort, out: frozenset[int], of: int | None = None) -> Judgements:
        """Give what is asked of the rounds that are not left out, or of one that is.

        Of single letters, and whether a unit is corrupt, is only asked where no whole reading is settled:
        where one is, its letters are right far more often. How probable the best one is counts among
        their features: a letter beside a word that is nearly settled is another matter than one beside none.
        """
        some = self._some[sort]
        here = ~np.isin(some.folds, sorted(out)) if of is None else some.folds == of
        if sort is Sort.WORD or not len(some.right):
            return some.where(here)
        best = self._best_words(out)[some.units]
        return some.beside(best).where(here & (best < log_odds(SETTLED)))

    def _best_words(self, out: frozenset[int]) -> Floats:
        """Give for each unit the log odds of its best whole reading, by what the other rounds teach."""
        known = self._best_by.get(out)
        if known is None:
            words = self._some[Sort.WORD]
            best = np.zeros(self._units)
            if len(words.right):
                np.maximum.at(best, words.units, self._fitted(Sort.WORD, out).probabilities(words.features))
            known = self._best_by[out] = np.array([log_odds(p) for p in best.tolist()])
        return known

    def _carried(self, sort: Sort, out: frozenset[int]) -> Carried | None:
        """Learn what became of the calibrated odds on survivors the calibration had not seen."""
        rounds = [fold for fold in self.rounds if fold not in out]
        if len(rounds) < 2:
            return None
        odds: list[float] = []
        right: list[bool] = []
        for fold in rounds:
            some = self.asked(sort, out | {fold}, of=fold)
            if len(some.right):
                found = self._fitted(sort, out | {fold}).probabilities(some.features)
                odds += [log_odds(p) for p in found.tolist()]
                right += some.right.tolist()
        return Carried(odds, right, BREAKS.get(sort)) if odds else None


@dataclass(frozen=True)
class Judgements:
    """Answers to one sort of question with their truth, as arrays.

    Attributes:
        features: one row for each.
        right: whether the answer was yes.
        folds: the round each was held out in.
        kinds: the same number for the same readings.
        units: the same number for what is asked of the same unit.
    """

    features: Floats
    right: NDArray[np.bool_]
    folds: NDArray[np.int64]
    kinds: NDArray[np.int64]
    units: NDArray[np.int64]

    @classmethod
    def of(cls, held: Sequence[HeldOut], sort: Sort) -> Judgements:
        """Collect what was held out."""
        before = np.cumsum([0, *(len(one.units) for one in held)]).tolist()
        rows = [row for one, first in zip(held, before, strict=False) for row in _rows(one, sort, first)]
        numbers: dict[tuple[str, str], int] = {}
        width = len(rows[0].features) if rows else 0
        return cls(
            np.array([row.features for row in rows], dtype=float).reshape(len(rows), width),
            np.array([row.right for row in rows], dtype=bool),
            np.array([row.fold for row in rows], dtype=np.int64),
            np.array([numbers.setdefault(row.kind, len(numbers)) for row in rows], dtype=np.int64),
            np.array([row.unit for row in rows], dtype=np.int64),
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

    def beside(self, column: Floats) -> Judgements:
        """Give them with one more feature."""
        return replace(self, features=np.column_stack([self.features, column]))

    def where(self, here: NDArray[np.bool_]) -> Judgements:
        """Give some of them."""
        features, right, folds = self.features[here], self.right[here], self.folds[here]
        return Judgements(features, right, folds, self.kinds[here], self.units[here])


class _Row(NamedTuple):
    """One answer with its truth."""

    features: tuple[float, ...]
    right: bool
    fold: int
    kind: tuple[str, str]
    unit: int


def _rows(one: HeldOut, sort: Sort, first: int) -> list[_Row]:
    """Give the answers of one sort of what was held out together; its units are numbered from ``first``."""
    fold = one.part.fold
    if sort is Sort.UNIT:
        number = {unit.start: first + at for at, unit in enumerate(one.units)}
        return [
            _Row(unit.doubt, wrong, fold, (unit.transmitted, ""), number[unit.start])
            for unit, wrong in one.doubted
        ]
    some = [(judged.candidate, judged.right) for judged in one.judged]
    return [
        _Row(reading.features, right, fold, (reading.transmitted, reading.proposed), first + reading.unit)
        for reading, right in some
        if reading.single is (sort is Sort.LETTER)
    ]
