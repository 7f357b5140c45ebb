"""What chance slips alone would give: the expectation against which habits stand out.

Arrives: ``AnswerCounts``. Leaves: the answers summed up (``Seen``), and for every wrong answer the
number that chance slips would give, for single letters (``Slips``) and longer pairs
(``longer_slips``). Start reading at ``Slips``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from itertools import combinations
from math import prod

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.intervals import PageChances, page_chances

Pair = tuple[str, str]
Shape = tuple[int, int]  # letters of the original, letters of the copy
Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
Judge = Callable[[Mask], tuple[Floats, Floats]]  # pairs left out -> expected counts, slips behind them

SINGLE = (1, 1)  # the family of single letters, answered by one letter or by none
ONE_SLIP = 1.0  # a factor is drawn towards 1 as by one slip: prior Gamma(1, 1), as wide as its mean
FITTED = 1e-6  # a step of the fit that changes no rate by more than this share is the last
MOST_STEPS = 500  # of the fit, as a stop only


class Seen:
    """The answers summed up: pairs, chances and letters."""

    def __init__(self, counts: AnswerCounts) -> None:
        self.counts = counts
        self.count: dict[Pair, int] = {pair: sum(pages.values()) for pair, pages in counts.answers.items()}
        pages = ((letters, page_chances(by_page)) for letters, by_page in counts.chances.items())
        self.pages: dict[str, PageChances] = {letters: chances for letters, chances in pages if chances.total}
        self.rows = sorted(letters for letters in self.pages if len(letters) == 1)
        self.written = sorted({letter for pair, count in self.count.items() if count for letter in pair[1]})
        self.all_chances = sum(self.pages[letter].total for letter in self.rows)
        self.written_on: dict[str, Counter[str]] = {}
        self.families: dict[Shape, list[Pair]] = {SINGLE: []}
        for pair, count in sorted(self.count.items()):
            self.written_on.setdefault(pair[1], Counter()).update(counts.answers[pair])
            if count and pair[0] in self.pages and not self.is_right(pair):
                self.families.setdefault(family_of(pair), []).append(pair)
        rows, columns = set(self.rows), {*self.written, ""}
        same = counts.right.union((letter, letter) for letter in rows)
        self.right_singles = sorted(pair for pair in same if pair[0] in rows and pair[1] in columns)

    def is_right(self, pair: Pair) -> bool:
        """Tell whether an answer is the same letter, by itself or by a declared fold."""
        return pair[0] == pair[1] or pair in self.counts.right

    def rate(self, pair: Pair) -> float:
        """Give the share of an original letter's chances that had this answer."""
        return self.count.get(pair, 0) / self.pages[pair[0]].total

    def share_of_written(self, pair: Pair) -> float:
        """Give the share of the places with these written letters where the original had those.

        Only pages are looked at where the original's letters could stand at all: an insular s is
        no rival of a Caroline r in a Latin passage.
        """
        written = self.written_on[pair[1]]
        pages = self.pages[pair[0]].by_page
        return self.count[pair] / sum(count for page, count in written.items() if pages.get(page))

    def possible(self, shape: Shape) -> int:
        """Give how many wrong pairs of a family could have been seen."""
        if shape == SINGLE:
            return len(self.rows) * (len(self.written) + 1) - len(self.right_singles)
        strings = min(len(self.rows) ** shape[0], self.all_chances)  # no more strings than places
        return max(int(strings * len(self.written) ** shape[1]), len(self.families[shape]))


def family_of(pair: Pair) -> Shape:
    """Give the family a pair is tested in: its shape, one letter for none being a single letter."""
    return SINGLE if len(pair[0]) == 1 and not pair[1] else (len(pair[0]), len(pair[1]))


class Slips:
    """Chance slips of single letters: general rate, a factor for each letter of either side."""

    def __init__(self, seen: Seen) -> None:
        pairs = seen.families[SINGLE]
        self.row_of = {letter: number for number, letter in enumerate(seen.rows)}
        self.column_of = {letter: number for number, letter in enumerate(["", *seen.written])}
        self.chances = np.array([seen.pages[letter].total for letter in seen.rows], dtype=np.float64)
        self.count = np.array([seen.count[pair] for pair in pairs], dtype=np.float64)
        places = [(self.row_of[pair[0]], self.column_of[pair[1]]) for pair in pairs + seen.right_singles]
        rows, columns = np.array(places, dtype=np.intp).reshape(-1, 2).T
        self.row, self.right_row = np.split(rows, [len(pairs)])
        self.column, self.right_column = np.split(columns, [len(pairs)])

    def fit(self, left_out: Mask) -> None:
        """Fit the factors to the slips in the open places: not right answers, not pairs left out.

        Iterative proportional fitting; only margins are summed, so a step costs as much as there
        are pairs seen, not as much as there are possible ones.
        """
        height, width = len(self.row_of), len(self.column_of)
        closed_row = np.concatenate([self.right_row, self.row[left_out]])
        closed_column = np.concatenate([self.right_column, self.column[left_out]])
        slips = np.where(left_out, 0.0, self.count)
        self.row_slips, self.slips = np.bincount(self.row, slips, height), slips.sum()
        self.column_slips = np.bincount(self.column, slips, width)
        self.places = self.chances.sum() * width - self.chances[closed_row].sum()
        self.rate = (self.slips + ONE_SLIP) / max(self.places, ONE_SLIP)
        self.column_factor = np.ones(width)
        for _ in range(MOST_STEPS):
            before = self.column_factor
            self.row_open = before.sum() - np.bincount(closed_row, before[closed_column], height)
            expected = self.rate * self.chances * self.row_open
            self.row_factor = (self.row_slips + ONE_SLIP) / (expected + ONE_SLIP)
            reach = self.chances * self.row_factor
            self.column_open = reach.sum() - np.bincount(closed_column, reach[closed_row], width)
            self.column_factor = (self.column_slips + ONE_SLIP) / (self.rate * self.column_open + ONE_SLIP)
            if (abs(self.column_factor - before) <= FITTED * before).all():
                break

    def judge(self, left_out: Mask) -> tuple[Floats, Floats]:
        """Give each pair's expected count and the slips behind it, itself left out of the margins."""
        self.fit(left_out)
        row, column = self.row, self.column
        chances = self.chances[row]
        inside = np.where(left_out, 0.0, 1.0)  # a pair left out already is in no margin
        rest = ONE_SLIP - self.count * inside
        slips, row_slips = self.slips + rest, self.row_slips[row] + rest
        column_slips = self.column_slips[column] + rest
        rate = slips / np.maximum(self.places - inside * chances, ONE_SLIP)
        row_open = np.maximum(self.row_open[row] - inside * self.column_factor[column], 0)
        column_open = np.maximum(self.column_open[column] - inside * chances * self.row_factor[row], 0)
        row_factor = row_slips / (rate * chances * row_open + ONE_SLIP)
        column_factor = column_slips / (rate * column_open + ONE_SLIP)
        expected = np.minimum(rate * row_factor * column_factor, 1) * chances
        return expected, 1 / (1 / row_slips + 1 / column_slips + 1 / slips)  # relative variances add up

    def of(self, pair: Pair) -> float:
        """Give how often, per chance, a letter slips into another."""
        row, column = self.row_of[pair[0]], self.column_of[pair[1]]
        return float(self.rate * self.row_factor[row] * self.column_factor[column])

    def share(self, letters: str) -> float:
        """Give the share of letters written by slips that are just these, one after the other."""
        all_written = float(self.column_factor[1:].sum())
        return prod(float(self.column_factor[self.column_of[letter]]) / all_written for letter in letters)


def longer_slips(seen: Seen, shape: Shape, slips: Slips) -> Judge:
    """Judge longer pairs by the other slips of their shape, or letter by letter if that is more."""
    pairs = seen.families[shape]
    count = np.array([seen.count[pair] for pair in pairs], dtype=np.float64)
    chances = np.array([seen.pages[pair[0]].total for pair in pairs], dtype=np.float64)
    of_singles = chances * np.array([_letter_by_letter(pair, seen, slips) for pair in pairs])
    written = np.array([slips.share(pair[1]) for pair in pairs]) / max(seen.all_chances, 1)

    def judge(left_out: Mask) -> tuple[Floats, Floats]:
        others = np.where(left_out, 0.0, count)
        behind = others.sum() - others + ONE_SLIP
        return np.minimum(np.maximum(of_singles, chances * written * behind), chances), behind

    return judge


def _letter_by_letter(pair: Pair, seen: Seen, slips: Slips) -> float:
    """Give how often, per chance, single letters would give a longer pair.

    Sums over the ways to drop letters and answer the rest (rn -> m: r -> m, n dropped; r dropped, n -> m).
    """
    total = 0.0
    alone = all(letter in seen.pages for letter in pair[0])
    for answered in combinations(range(len(pair[0])), len(pair[1])) if alone else ():
        written = dict(zip(answered, pair[1], strict=True))
        steps = [(letter, written.get(place, "")) for place, letter in enumerate(pair[0])]
        total += prod(max(seen.rate(step), 0.0 if seen.is_right(step) else slips.of(step)) for step in steps)
    return total
