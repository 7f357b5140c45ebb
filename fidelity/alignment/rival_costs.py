"""What the ways through a stretch cost, the stretch itself not being asked.

Arrives: an alignment and what its costs were learned from. Leaves: the cost of single operations,
and all ways through a short stretch that cost the same. Start reading at ``RivalCosts``, then
``ways_as_good``.

The letter channel learns from the alignment it gave: an answer met once, in this place, would be
cheaper here than its equals for no other reason than having been chosen. So the answers of the
stretch are taken out of the counts before its ways are compared.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import exp, inf, log

from fidelity.alignment.align import count_answers_of, free_pairs
from fidelity.alignment.channel import (
    GAP_OPEN,
    PRIOR_STRENGTH,
    SWAP_COST,
    AnswerTotals,
    LetterChannel,
    gap_costs,
)
from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import Folds

Pair = tuple[str, str]
Step = tuple[int, int, int, int]  # original start and end, copy start and end
Row = tuple[int, int, int, int, int]  # the same, and StepKind
Into = tuple[int, int, float]  # letters of the original, letters of the copy, cost in nats

AS_GOOD = 1e-6  # nats: costs are sums of a few logarithms, equal or not; this allows for rounding
MOST_WAYS = 50  # ways through a stretch that are compared; hardly any has more


class RivalCosts:
    """The costs an alignment was made with, less what single stretches taught them.

    Args:
        alignment: of the two texts.
        folds: letterforms counted as equal.
    """

    def __init__(self, alignment: Alignment, folds: Folds) -> None:
        original, copy = alignment.original.letters, alignment.copy.letters
        totals = alignment.counted
        if not isinstance(totals, AnswerTotals):
            totals = count_answers_of(alignment.steps, original, copy)
        free = free_pairs(folds, copy)
        self.fold = folds.fold
        self.free = frozenset(free)
        self.channel = LetterChannel(set(original), set(copy), folds.same, totals, free)
        self.several = self.channel.several()
        self.cheapest_several = min(self.several.values(), default=inf)
        self.lengths = sorted({(len(o), len(c)) for o, c in self.several})
        self._counts: dict[Pair, float] = {**totals.singles, **{("", w): n for w, n in totals.added.items()}}
        self._seen = Counter[str]()
        for (letters, _), count in (*totals.singles.items(), *totals.several.items()):
            for letter in letters:
                self._seen[letter] += count  # type: ignore[assignment]  # a sample counts in fractions
        self._known: dict[Pair, float] = {}

    def taught_by(self, rows: Sequence[Row], original: str, copy: str) -> Counter[Pair]:
        """Count the answers of single letters that a stretch gave to the costs."""
        taught: Counter[Pair] = Counter()
        change: list[Pair] = []
        for o0, o1, c0, c1, kind in (*rows, (0, 0, 0, 0, StepKind.KEPT)):
            if kind == StepKind.CHANGED:
                change.append((original[o0:o1], copy[c0:c1]))
                continue
            whole = "".join(o for o, _ in change), "".join(c for _, c in change)
            if whole not in self.several:
                taught.update(pair for pair in change if max(map(len, pair)) == 1)
            change = []
        return taught

    def single(self, original: str, written: str, taught: Counter[Pair]) -> float:
        """Give the cost in nats of one letter for one, for none, or of none for one."""
        pair = original, written
        cost = self._known.get(pair)
        if cost is None:
            cost = self._known[pair] = self.channel.cost(original, written)
        if pair not in taught:
            return cost
        whole = (self._seen[original] if original else self.channel.letters_seen) + PRIOR_STRENGTH
        guessed = whole * exp(-cost) - self._counts.get(pair, 0.0)
        return -log((guessed + max(self._counts.get(pair, 0.0) - taught[pair], 0.0)) / whole)

    def outof(self, stretch: Stretch, i: int, j: int, most: float = inf) -> Iterator[Into]:
        """Give the operations that begin at two places of a stretch: letters used, and cost, up to a cost."""
        original, copy, taught = stretch.original, stretch.copy, stretch.taught
        more, more_copy = len(original) - i, len(copy) - j
        if more and more_copy:
            yield 1, 1, self.single(original[i], copy[j], taught)
        if more:
            yield 1, 0, self.single(original[i], "", taught)
        if more_copy:
            yield 0, 1, self.single("", copy[j], taught)
        for m, n in self.lengths if most >= self.cheapest_several else ():
            if m <= more and n <= more_copy:
                cost = self.several.get((original[i : i + m], copy[j : j + n]))
                if cost is not None:
                    yield m, n, cost
        if most < min(GAP_OPEN, SWAP_COST):
            return
        for length in range(2, stretch.longest_gap + 1):
            if length <= more:
                yield length, 0, GAP_OPEN + sum(gap_costs(original[i : i + length]))
            if length <= more_copy:
                yield 0, length, GAP_OPEN + sum(gap_costs(copy[j : j + length]))
        if more > 1 and more_copy > 1:
            last, last_copy = self.fold(original[i : i + 2]), self.fold(copy[j : j + 2])
            if last == last_copy[::-1] != last_copy:
                yield 2, 2, SWAP_COST

    def cheapest_gap(self, stretch: Stretch) -> float:
        """Give the least that an operation costs that has more letters on one side than on the other."""
        left_out = (self.single(letter, "", stretch.taught) for letter in set(stretch.original))
        put_in = (self.single("", letter, stretch.taught) for letter in set(stretch.copy))
        return min(*left_out, *put_in, GAP_OPEN, self.cheapest_several)

    def cost_of(self, steps: Sequence[Step], stretch: Stretch) -> float:
        """Add up what a way through a stretch costs, each step in the cheapest way that makes it."""
        return sum(
            min((cost for m, n, cost in self.outof(stretch, a, c) if (m, n) == (b - a, d - c)), default=inf)
            for a, b, c, d in steps
        )


@dataclass(frozen=True)
class Stretch:
    """What is tried in every way.

    Attributes:
        original, copy: its letters.
        taught: answers that it gave to the costs, which are left out.
        longest_gap: letters of the longest gap that is tried.
    """

    original: str
    copy: str
    taught: Counter[Pair]
    longest_gap: int


def ways_as_good(stretch: Stretch, given: Sequence[Step], costs: RivalCosts) -> list[tuple[Step, ...]]:
    """Give every way through a stretch that costs what the given one does, up to ``MOST_WAYS``.

    Places that cannot be reached at that cost are not gone on from, which leaves few.
    """
    most = costs.cost_of(given, stretch)
    apart = len(stretch.original) - len(stretch.copy)
    gap = costs.cheapest_gap(stretch)
    least: dict[tuple[int, int], float] = {(0, 0): 0.0}
    into: dict[tuple[int, int], list[Into]] = {}
    for i in range(len(stretch.original) + 1):
        for j in range(len(stretch.copy) + 1):
            here = least.get((i, j), inf)
            if here > most + AS_GOOD:
                continue
            for m, n, cost in costs.outof(stretch, i, j, most + AS_GOOD - here):
                still_apart = apart - (i + m) + (j + n)
                if here + cost + (gap if still_apart else 0.0) <= most + AS_GOOD:
                    place = i + m, j + n
                    least[place] = min(least.get(place, inf), here + cost)
                    into.setdefault(place, []).append((m, n, cost))
    ways: list[tuple[Step, ...]] = []
    waiting: list[tuple[int, int, float, tuple[Step, ...]]] = [
        (len(stretch.original), len(stretch.copy), 0.0, ())
    ]
    while waiting and len(ways) < MOST_WAYS:
        i, j, rest, way = waiting.pop()
        if not i and not j and rest >= most - AS_GOOD:
            ways.append(way)
        for m, n, cost in into.get((i, j), ()):
            if least[i - m, j - n] + cost + rest <= most + AS_GOOD:
                waiting.append((i - m, j - n, rest + cost, ((i - m, i, j - n, j), *way)))
    return ways
