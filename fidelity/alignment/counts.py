"""Count what answered what along an alignment: the food of the letter channel.

Arrives: steps of an alignment, a stretch at a time. Leaves: ``AnswerTotals``. Start reading at
``count_answers_of``, then ``Tally``.

Steps that keep nothing and stand together are one change: rn → m may come as r left out and n
written m. A change of several letters that recurs is taken for one operation where that is the
shorter description of the copy (Rissanen 1978, Automatica 14, 465-471): what it saves each time
it is met, over its letters one by one, must outweigh what it costs to say which letters it is.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.changes import changes_in
from fidelity.alignment.channel import PRIOR_STRENGTH, AnswerTotals
from fidelity.alignment.packing import all_of, cut_short, one_number, pack, summed, unpack
from fidelity.alignment.singly import letter_by_letter
from fidelity.alignment.texts import AT_ONCE, NumberedTexts, numbered
from fidelity.terms import StepKind
from fidelity.witnesses.folds import NO_FOLDS

RECURRING = 2  # an operation of several letters is learned when it is seen twice at least
HELD_BACK = 0.5  # occurrences; as the channel does, so that a chance repetition weighs less
MOST_CHANGES = 50_000  # different changes kept in mind; a text of a million letters at 10 % noise has fewer

LONG_RUN, PART = 1 << 10, 1 << 9  # letters a kept run is cut to, and runs counted at a time: no array
# of all letters is made
SMALL = 500  # letters of an alphabet whose pairs are counted in a table at once

ALL_PAIRS = "all pairs"  # says among the chances that every pair has been counted

Array = npt.NDArray[Any]
Pair = tuple[str, str]


def count_answers_of(steps: Array, original: str, copy: str) -> AnswerTotals:
    """Count what answered what along an alignment, with operations of several letters apart.

    Args:
        steps: of an alignment, or some of them in order.
        original, copy: the two texts in letters.
    """
    tally = Tally(numbered(original, copy, NO_FOLDS))
    tally.add(np.asarray(steps, dtype=np.int64).reshape(-1, 5), alike=False)
    return tally.totals()


@dataclass
class Tally:
    """What was counted so far.

    Attributes:
        texts: the two texts as numbers.
        singles: how often each letter was answered by another, by number from 1; 0 for none.
        kept: the same for the letters that count as kept.
        changes: changes of several letters that may be operations: number -> how often.
        chances: how often some letters stand in the original; shared by the rounds.
        stretches: how often each letter stands in a stretch of the original; shared likewise.
        members: (change, step) -> how often, for the steps of one letter a side in them.
    """

    texts: NumberedTexts
    singles: Array = field(init=False)
    kept: Array = field(init=False)
    changes: tuple[Array, Array] = field(init=False)
    members: tuple[Array, Array] = field(init=False)
    chances: dict[str, int] = field(default_factory=dict)
    stretches: dict[tuple[int, int], Array] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.size = len(self.texts.letters) + 1  # numbers from 1; 0 is none
        self.singles = np.zeros((self.size, self.size), dtype=np.int64)
        self.kept = np.zeros((self.size, self.size), dtype=np.int64)
        self.changes = np.zeros((0, 2), dtype=np.int64), np.zeros(0, dtype=np.int64)
        self.members = np.zeros((0, 3), dtype=np.int64), np.zeros(0, dtype=np.int64)
        spaces = [letter.isspace() for letter in self.texts.letters]
        self.spaces = np.array([False, *spaces])

    def add(self, steps: Array, kept: Array | None = None, *, alike: bool) -> None:
        """Count the steps of a stretch.

        Args:
            steps: in order.
            kept: which of them keep letters one for one; all with as many on either side if not said.
            alike: whether letters that are kept are the same letter on either side, and the steps
                without holes between.
        """
        if kept is None:
            kept = (steps[:, 4] == StepKind.KEPT) & (steps[:, 1] - steps[:, 0] == steps[:, 3] - steps[:, 2])
        if alike:
            self._add_alike(steps, ~kept)
        else:
            self._add_kept(steps[kept])
        found = changes_in(steps, self.texts, self.spaces)
        self.singles += found.single
        self.changes = summed(self.changes, found.several)
        self.members = summed(self.members, found.members)
        if len(self.changes[1]) > MOST_CHANGES:
            self._forget_the_rare()

    def _forget_the_rare(self) -> None:
        """Count the rarest changes so far letter by letter, so that a long bad copy needs no more room."""
        often = RECURRING
        while np.count_nonzero(self.changes[1] >= often) > MOST_CHANGES // 2:
            often *= 2
        rare = self.changes[1] < often
        part = np.isin(one_number(self.members[0]), one_number(self.changes[0][rare]))
        self.changes = self.changes[0][~rare], self.changes[1][~rare]
        self._add_steps(self.singles, part)
        self.members = self.members[0][~part], self.members[1][~part]

    def _add_steps(self, table: Array, part: Array) -> None:
        """Add steps that stand in changes to a table of single steps."""
        which = self.members[0][part, 2]
        np.add.at(table, (which // self.size, which % self.size), self.members[1][part])

    def _add_alike(self, steps: Array, changed: Array) -> None:
        """Count the letters kept: all of the stretch but those in other steps."""
        if not len(steps):
            return
        letters, count = self.texts.original, self.size - 1
        stretch = int(steps[0, 0]), int(steps[-1, 1])
        if stretch not in self.stretches:
            self.stretches[stretch] = np.bincount(letters[slice(*stretch)], minlength=count)
        every = self.stretches[stretch] - np.bincount(
            letters[all_of(steps[changed, 0], steps[changed, 1])], minlength=count
        )
        at = np.arange(1, self.size)
        self.kept[at, at] += every

    def _add_kept(self, kept: Array) -> None:
        """Count the letters kept, pair by pair."""
        texts, count = self.texts, self.size - 1
        starts, starts_copy, sizes = cut_short(kept[:, 0], kept[:, 2], kept[:, 1] - kept[:, 0], LONG_RUN)
        for start in range(0, len(sizes), PART):
            part = slice(start, start + PART)
            letters = texts.original[all_of(starts[part], starts[part] + sizes[part])].astype(np.int64)
            written = texts.copy[all_of(starts_copy[part], starts_copy[part] + sizes[part])]
            pairs = letters * count + written
            if count <= SMALL:
                self.kept[1:, 1:] += np.bincount(pairs, minlength=count**2).reshape(count, count)
                continue
            which, counts = np.unique(pairs, return_counts=True)
            self.kept[which // count + 1, which % count + 1] += counts

    def letters_kept(self) -> int:
        """Give how many letters were kept, spaces apart."""
        return int(self.kept[~self.spaces].sum())

    def totals(self, share: float = 1.0) -> AnswerTotals:
        """Decide which changes are operations, and give everything counted.

        Args:
            share: which share of the original was counted, 0-1.
        """
        learned = self._operations(share)
        singles = self.singles + self.kept
        keys = [pack(pair, self.texts.letters, self.size) for pair in learned]
        known = one_number(np.array(keys, dtype=np.int64).reshape(-1, 2))
        self._add_steps(singles, ~np.isin(one_number(self.members[0]), known))
        letters = ["", *self.texts.letters]
        there, here = np.nonzero(singles)
        counted = {
            (letters[o], letters[c]): count
            for o, c, count in zip(there.tolist(), here.tolist(), singles[there, here].tolist(), strict=True)
        }
        added = {c: float(count) for (o, c), count in counted.items() if not o}
        chances = {o: math.ceil(self.chances_of(o) * share) for o, _ in learned if o}
        return AnswerTotals({pair: n for pair, n in counted.items() if pair[0]}, added, learned, chances)

    def steps(self) -> Array:
        """Give how often each letter was answered by each, a step at a time; 0 is none."""
        every = self.singles + self.kept
        self._add_steps(every, np.ones(len(self.members[1]), dtype=np.bool_))
        return every

    def chances_of(self, letters: str) -> int:
        """Give how often some letters stand in the original; of nothing, how many places there are."""
        if letters not in self.chances:
            if len(letters) == 2 and self.size <= SMALL and not self.chances.get(ALL_PAIRS):
                self._count_pairs()
            if letters not in self.chances:
                self.chances[letters] = self._count(letters) if letters else len(self.texts.original)
        return self.chances[letters]

    def _count(self, letters: str) -> int:
        """Count where some letters stand in the original, overlapping places too."""
        text, length, total = self.texts.original, len(letters), 0
        numbers = [self.texts.letters.find(letter) for letter in letters]
        for start in range(0, len(text) - length + 1 if min(numbers) >= 0 else 0, AT_ONCE):
            part = text[start : start + AT_ONCE + length - 1]
            here = part[: len(part) - length + 1] == numbers[0]
            for at in range(1, length):
                here &= part[at : len(part) - length + 1 + at] == numbers[at]
            total += int(np.count_nonzero(here))
        return total

    def _count_pairs(self) -> None:
        """Count every two letters that stand together in the original, in one pass."""
        text, count = self.texts.original, self.size - 1
        found = np.zeros(count**2, dtype=np.int64)
        for start in range(0, len(text) - 1, AT_ONCE // 8):
            part = text[start : start + AT_ONCE // 8 + 1].astype(np.int64)
            found += np.bincount(part[:-1] * count + part[1:], minlength=count**2)
        letters = self.texts.letters
        for pair in np.flatnonzero(found).tolist():
            self.chances[letters[pair // count] + letters[pair % count]] = int(found[pair])
        self.chances[ALL_PAIRS] = 1

    def prices(self) -> Callable[[str, str], float]:
        """Give the function that tells what a change costs letter by letter, in nats."""
        return letter_by_letter(self.singles + self.kept, ["", *self.texts.letters])

    def _operations(self, share: float) -> dict[Pair, float]:
        """Give the changes that are shorter told as operations, with their counts."""
        often = np.flatnonzero(self.changes[1] >= RECURRING)
        letters = ["", *self.texts.letters]
        price = self.prices()
        spelled = math.log(max(len(letters), 2))  # nats to name a letter
        learned: dict[Pair, float] = {}
        for at in often.tolist():
            numbers = unpack(self.changes[0][at].tolist(), self.size)
            pair = "".join(letters[n] for n in numbers[0]), "".join(letters[n] for n in numbers[1])
            count = int(self.changes[1][at])
            chances = self.chances_of(pair[0]) * share
            told = -math.log((count - HELD_BACK) / (max(chances, count) + PRIOR_STRENGTH + 1))
            saved = count * (price(*pair) - told)
            if saved > spelled * (len(pair[0]) + len(pair[1])):
                learned[pair] = count
        return learned
