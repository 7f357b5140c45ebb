"""The one letter channel: what it costs that the copyist answered these letters by those.

Arrives: counts of what answered what. Leaves: costs in nats (-log probability, given the
original) for every operation of up to three letters a side. Start reading at ``LetterChannel``.

P(written | original) = (n(original, written) + K * P0(written | original)) / (n(original) + K),
a Dirichlet prior around a flat guess P0 that knows only classes (letter, space, punctuation) and
how often this copyist errs at all. The idea of learning the costs from the alignments they give
is Ristad & Yianilos 1998 (IEEE PAMI 20, 522-532).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
import numpy.typing as npt

from fidelity.letters import is_punctuation

PRIOR_STRENGTH = 4.0  # K: how many letters the flat guess is worth; a few, so that habits show soon
FIRST_SLIP_RATE = 0.05  # assumed before anything is counted; between the careful and the careless
SLIP_RATE_BOUNDS = (0.002, 0.4)  # no copyist is taken for perfect, none for random
OMITTED_SHARE, ADDED_SHARE = 0.25, 0.15  # of slips; the rest are substitutions (chosen, not measured)
ACROSS_CLASSES = 0.02  # a letter for a space or a stop is that much rarer than for a letter
OTHER_CASE = 0.5  # share of a letter's slips that are the same letter in the other case
GAP_OPEN = 8.0  # nats: one long gap in about 3,000 letters (chosen; a skip is rare)
GAP_EXTEND = 1.0  # nats a letter: dense slips are read as slips, a skip of a line still costs less (chosen)
FIELD_BORDER = 30.0  # nats more for leaving out a border between fields alone: entries answer each other
GAP_BORDER = 14.0  # nats more for a border inside a long gap. Where two entries have nothing in common, the
# border between their fields costs two gaps more, 16 nats, and a letter or two is shared by chance; left out
# and put in it costs 28. From 14 on (10, 12, 14, 17 tried on tables of short invented words) two entries
# replaced outright still answer each other; two exchanged are not smeared over each other with any of these
SWAP_COST = 7.0  # nats: one exchange of neighbours in about 1,000 letters (chosen)


@dataclass(frozen=True)
class AnswerTotals:
    """What was counted on one alignment, the channel's only food.

    Attributes:
        singles: (original letter, written letter or "") -> how often; right answers included.
        added: letters written for nothing.
        several: (original letters, written letters), more than one on a side -> how often.
        several_chances: original letters of ``several`` -> how often they stand in the original.
    """

    singles: Mapping[tuple[str, str], float]
    added: Mapping[str, float]
    several: Mapping[tuple[str, str], float] = field(default_factory=dict)
    several_chances: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class LetterTable:
    """What the flat guess has to know of each pair of letters, worked out once for many channels.

    Attributes:
        original_letters, copy_letters: the letters of either side, sorted.
        same: row for an original's letter, column for the copy's: whether they count as the same.
        weight: what the pair weighs among the substitutions of its row.
        other_case: whether the two are the same letter in the other case, or the same.
        border: whether either is a border between fields.
    """

    original_letters: list[str]
    copy_letters: list[str]
    same: npt.NDArray[np.bool_]
    weight: npt.NDArray[np.float64]
    other_case: npt.NDArray[np.bool_]
    border: npt.NDArray[np.bool_]

    @cached_property
    def forms(self) -> npt.NDArray[np.int64]:
        """How many letters of the copy count as the same as each letter of the original; at least 1."""
        forms: npt.NDArray[np.int64] = np.maximum(self.same.sum(axis=1), 1)
        return forms

    @cached_property
    def equal(self) -> frozenset[tuple[str, str]]:
        """The pairs of letters that count as the same."""
        rows, columns = np.nonzero(self.same)
        pairs = zip(rows.tolist(), columns.tolist(), strict=True)
        return frozenset((self.original_letters[row], self.copy_letters[column]) for row, column in pairs)

    @cached_property
    def places(self) -> tuple[dict[str, int], dict[str, int]]:
        """The row of each letter of the original, the column of each of the copy."""
        return (
            {letter: at for at, letter in enumerate(self.original_letters)},
            {letter: at for at, letter in enumerate(self.copy_letters)},
        )


def letter_table(
    original_letters: Iterable[str],
    copy_letters: Iterable[str],
    same: Callable[[str, str], bool] | npt.NDArray[np.bool_],
) -> LetterTable:
    """Work out what the flat guess has to know of each pair of letters.

    Args:
        original_letters, copy_letters: the letters that occur on either side.
        same: tells whether two letters count as the same; or that for all of them, in order.
    """
    rows, columns = sorted(set(original_letters)), sorted(set(copy_letters))
    shape = (len(rows), len(columns))
    if callable(same):
        same = np.array([[same(o, w) for w in columns] for o in rows], dtype=np.bool_)
    equal = same.reshape(shape)
    classes = [np.array([letter_class(letter) for letter in side]) for side in (rows, columns)]
    small = [np.array([letter.lower() for letter in side]) for side in (rows, columns)]
    tab = [np.array([letter == "\t" for letter in side], dtype=np.bool_) for side in (rows, columns)]
    weight = np.where(classes[0][:, None] == classes[1][None, :], 1.0, ACROSS_CLASSES).reshape(shape)
    other_case = (small[0][:, None] == small[1][None, :]).reshape(shape)
    return LetterTable(rows, columns, equal, weight, other_case, tab[0][:, None] | tab[1][None, :])


def letter_class(letter: str) -> str:
    """Give the class that the flat guess knows: space, punctuation or letter."""
    if not letter or letter.isspace():
        return "space"
    return "punctuation" if is_punctuation(letter) else "letter"


class LetterChannel:
    """Costs of every operation between an original and this copyist's copy.

    Args:
        original_letters, copy_letters: the letters that occur on either side.
        same: tells whether two letters count as the same (equal, or by a declared fold).
        totals: what was counted so far; None for the flat first guess.
        free: pairs of several letters that count as the same (declared expansions).
        letters: the table of the same letters and ``same``, where it is at hand.
    """

    def __init__(
        self,
        original_letters: Iterable[str],
        copy_letters: Iterable[str],
        same: Callable[[str, str], bool],
        totals: AnswerTotals | None = None,
        free: Iterable[tuple[str, str]] = (),
        letters: LetterTable | None = None,
    ) -> None:
        self.letters = letters or letter_table(original_letters, copy_letters, same)
        self.original_letters, self.copy_letters = self.letters.original_letters, self.letters.copy_letters
        self.same = same
        self.free = tuple(free)
        self.totals = totals or AnswerTotals({}, {})
        self._seen = Counter[str]()
        wrong = 0.0
        equal, (rows, columns) = self.letters.equal, self.letters.places
        for (original, written), count in self.totals.singles.items():
            self._seen[original] += count  # type: ignore[assignment]
            known = original in rows and (not written or written in columns)
            if (original, written) not in equal and (known or not same(original, written)):
                wrong += count
        wrong += sum(self.totals.added.values()) + sum(self.totals.several.values())
        self.letters_seen = sum(self._seen.values())
        rate = (wrong + FIRST_SLIP_RATE * 20) / (self.letters_seen + 20)  # 20 letters' worth of caution
        low, high = SLIP_RATE_BOUNDS
        self.slip_rate = min(max(rate, low), high)
        for (original, _), count in self.totals.several.items():
            for letter in original:  # answered with its neighbours: a chance all the same
                self._seen[letter] += count  # type: ignore[assignment]
        self._forms: dict[str, int] = dict(
            zip(self.original_letters, self.letters.forms.tolist(), strict=True)
        )
        self._spread = {kind: self._class_total(kind) for kind in ("space", "punctuation", "letter")}

    def _class_total(self, kind: str) -> float:
        """Add up the weights that the flat guess gives to all letters he might have written."""
        total = sum(1.0 if letter_class(w) == kind else ACROSS_CLASSES for w in self.copy_letters)
        return max(total, 1.0)

    def guess(self, original: str, written: str) -> float:
        """Give P0(written | original), the flat guess; written may be "" (left out)."""
        slip = self.slip_rate
        if self.same(original, written):
            return (1 - slip) / self._forms.get(original, 1)
        if "\t" in (original, written):
            return slip * math.exp(-FIELD_BORDER)
        if not written:
            return slip * OMITTED_SHARE
        kind = letter_class(original)
        weight = 1.0 if letter_class(written) == kind else ACROSS_CLASSES
        share = slip * (1 - OMITTED_SHARE - ADDED_SHARE) * weight / self._spread[kind]
        if written.lower() == original.lower():
            return share + slip * OTHER_CASE * ADDED_SHARE
        return share

    def probability(self, original: str, written: str) -> float:
        """Give P(written | original) for one letter of the original; written "" is left out."""
        count = self.totals.singles.get((original, written), 0.0)
        guess = self.guess(original, written)
        return (count + PRIOR_STRENGTH * guess) / (self._seen[original] + PRIOR_STRENGTH)

    def added_probability(self, written: str) -> float:
        """Give the probability that this letter was added at a place of the original."""
        kind = letter_class(written)
        guess = self.slip_rate * ADDED_SHARE / self._spread[kind]
        if written == "\t":
            guess = self.slip_rate * math.exp(-FIELD_BORDER)
        count = self.totals.added.get(written, 0.0)
        return (count + PRIOR_STRENGTH * guess) / (self.letters_seen + PRIOR_STRENGTH)

    def costs(self) -> npt.NDArray[np.float64]:
        """Give the cost of every operation of at most one letter a side, in nats, as one table.

        Returns:
            A row for each letter of the original and a last one for none, a column for each letter
            of the copy and a last one for none; what ``cost`` gives, all at once.
        """
        rows, columns = self.letters.places
        table = np.zeros((len(rows) + 1, len(columns) + 1))
        table[:-1, :-1] = self._guesses()
        for o, row in rows.items():
            table[row, -1] = self.guess(o, "")
        table *= PRIOR_STRENGTH
        for (o, w), count in self.totals.singles.items():
            if o in rows and (not w or w in columns):
                table[rows[o], columns[w] if w else -1] += count
        seen = np.array([self._seen[o] for o in self.original_letters], dtype=np.float64)
        table[:-1] /= (seen + PRIOR_STRENGTH)[:, None]
        table[-1, -1] = 1.0
        for w, column in columns.items():
            table[-1, column] = self.added_probability(w)
        costs: npt.NDArray[np.float64] = -np.log(table)
        return costs

    def _guesses(self) -> npt.NDArray[np.float64]:
        """Give P0 for every letter of the original and every letter of the copy."""
        slip, known = self.slip_rate, self.letters
        spread = np.array([self._spread[letter_class(o)] for o in self.original_letters])
        share = slip * (1 - OMITTED_SHARE - ADDED_SHARE) * known.weight / spread[:, None]
        share = np.where(known.other_case, share + slip * OTHER_CASE * ADDED_SHARE, share)
        share = np.where(known.border, slip * math.exp(-FIELD_BORDER), share)
        return np.where(known.same, ((1 - slip) / known.forms)[:, None], share)

    def several(self) -> dict[tuple[str, str], float]:
        """Give the cost of each operation of more than one letter on a side, in nats."""
        costs = {pair: -math.log(1 - self.slip_rate) for pair in self.free}
        for (original, written), count in self.totals.several.items():
            chances = self.totals.several_chances.get(original, 0) if original else self.letters_seen
            # half an occurrence is held back, so that what was seen once is not taken for a habit
            share = max(count - 0.5, 0.25) / (max(chances, count) + PRIOR_STRENGTH + 1)
            costs.setdefault((original, written), -math.log(share))
        return costs

    def cost(self, original: str, written: str) -> float:
        """Give the cost in nats of answering these letters by those (either may be "")."""
        if len(original) == 1 and len(written) <= 1:
            return -math.log(self.probability(original, written))
        if not original and len(written) == 1:
            return -math.log(self.added_probability(written))
        return self.several().get((original, written), math.inf)


def gap_costs(letters: str) -> list[float]:
    """Give what each letter of a text costs inside a long gap, in nats."""
    return [GAP_EXTEND + GAP_BORDER if letter == "\t" else GAP_EXTEND for letter in letters]
