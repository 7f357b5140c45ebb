"""What the alignment's programme is measured against: other channels, and a naive programme.

Arrives: two short texts. Leaves: the least cost of leading one into the other, found the slow and
plain way. Start reading at ``least_cost``.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from fidelity.alignment.channel import GAP_OPEN, SWAP_COST, gap_costs
from fidelity.alignment.costs import costs_from
from fidelity.alignment.layout import lay_out
from fidelity.alignment.texts import numbered
from fidelity.alignment.windows import solve_windows
from fidelity.terms import StepKind
from fidelity.witnesses.folds import NO_FOLDS

Costs = Mapping[tuple[str, str], float]
Path = list[tuple[int, int, int, int]]  # original start, original end, copy start, copy end

NEVER = 1e6  # nats; so dear that no least path takes it


@dataclass(frozen=True)
class ListedChannel:
    """A channel whose every cost is given, with the face of ``LetterChannel``.

    Attributes:
        original_letters, copy_letters: the letters of either side.
        singles: costs of one letter for one, for none, and of none for one.
        longer: costs of operations with more than one letter on a side.
    """

    original_letters: list[str]
    copy_letters: list[str]
    singles: Costs
    longer: Costs = field(default_factory=dict)

    def several(self) -> dict[tuple[str, str], float]:
        """Give the costs of operations with more than one letter on a side."""
        return dict(self.longer)

    def costs(self) -> npt.NDArray[np.float64]:
        """Give the costs of operations of at most one letter a side, the last row and column for none."""
        rows, columns = [*self.original_letters, ""], [*self.copy_letters, ""]
        return np.array([[self.singles.get((o, c), NEVER) for c in columns] for o in rows])

    def cost(self, original: str, written: str) -> float:
        """Give the cost of one operation; infinite where it is not listed."""
        return self.singles.get((original, written), self.longer.get((original, written), math.inf))


def unit_channel(original: str, copy: str, substitution: float = 1.0) -> ListedChannel:
    """Give the channel in which every letter wrong, left out or put in costs the same."""
    letters, written = sorted(set(original)), sorted(set(copy))
    singles = {(o, c): 0.0 if o == c else substitution for o in letters for c in written}
    singles |= {(o, ""): 1.0 for o in letters} | {("", c): 1.0 for c in written}
    return ListedChannel(letters, written, singles)


def random_channel(original: str, copy: str, seed: int) -> ListedChannel:
    """Give a channel with costs drawn at random, and a dozen operations of up to three letters."""
    draw = random.Random(seed)
    letters, written = sorted(set(original)), sorted(set(copy))
    pairs = [(o, c) for o in ["", *letters] for c in ["", *written] if o or c]
    singles = {(o, c): draw.uniform(0, 0.5) if o == c else draw.uniform(0.5, 4) for o, c in pairs}
    longer = {}
    for _ in range(12):
        m, n = draw.choice([(0, 2), (0, 3), (1, 2), (1, 3), (2, 0), (2, 1), (2, 2), (3, 1), (3, 2), (3, 3)])
        pair = _stretch(original, m, draw), _stretch(copy, n, draw)
        if max(map(len, pair)) > 1:
            longer[pair] = draw.uniform(0.1, 3)
    return ListedChannel(letters, written, singles, longer)


def _stretch(text: str, length: int, draw: random.Random) -> str:
    """Cut a stretch out of a text at random; shorter where the text is."""
    start = draw.randint(0, max(len(text) - length, 0))
    return text[start : start + length]


_now = {"gap_open": GAP_OPEN, "swap": SWAP_COST}


@contextmanager
def costs_of(gap_open: float, swap: float) -> Iterator[None]:
    """Let long gaps and exchanges cost what the test says."""
    before = dict(_now)
    _now.update(gap_open=gap_open, swap=swap)
    try:
        yield
    finally:
        _now.update(before)


def solved(original: str, copy: str, channel: ListedChannel) -> Path:
    """Give the path that the programme under test finds through the whole of two texts, letter by letter."""
    texts = numbered(original, copy, NO_FOLDS)
    window = np.array([[0, len(original), 0, len(copy)]])
    costs = costs_from(channel, texts.letters, _now["gap_open"], _now["swap"])
    path: Path = []
    layout = lay_out(texts.original, texts.copy, texts.folded, window)
    for o0, o1, c0, c1, kind in solve_windows(layout, costs).tolist():
        if kind == StepKind.KEPT:
            path += [(o, o + 1, c, c + 1) for o, c in zip(range(o0, o1), range(c0, c1), strict=True)]
        else:
            path.append((o0, o1, c0, c1))
    return path


def path_cost(path: Path, original: str, copy: str, channel: ListedChannel) -> float:
    """Add up what a path costs, each step in the cheapest way that makes it."""
    total = 0.0
    for o0, o1, c0, c1 in path:
        o, c = original[o0:o1], copy[c0:c1]
        ways = [channel.cost(o, c), _gap(o, c), _swap(o, c)]
        total += min(ways)
    return total


def _gap(original: str, copy: str) -> float:
    """Give the cost of a long gap; infinite where both sides have letters."""
    if original and copy:
        return math.inf
    return _now["gap_open"] + sum(gap_costs(original + copy))


def _swap(original: str, copy: str) -> float:
    """Give the cost of an exchange of neighbours; infinite where these letters are none."""
    swapped = len(original) == len(copy) == 2 and original == copy[::-1] and original != copy
    return _now["swap"] if swapped else math.inf


def least_cost(original: str, copy: str, channel: ListedChannel) -> float:
    """Give the least cost of leading one text into the other, cell by cell and with every step tried.

    Wagner & Fischer 1974 with operations of up to three letters a side, exchanges, and gaps of any
    length; no band, no arrays, no short cut for the gaps.
    """
    best: dict[tuple[int, int], float] = {(0, 0): 0.0}
    for i in range(len(original) + 1):
        for j in range(len(copy) + 1):
            if (i, j) == (0, 0):
                continue
            ways = []
            for m in range(min(i, 3) + 1):
                for n in range(min(j, 3) + 1):
                    o, c = original[i - m : i], copy[j - n : j]
                    if m + n:
                        ways.append(best[i - m, j - n] + min(channel.cost(o, c), _swap(o, c)))
            ways += [best[k, j] + _gap(original[k:i], "") for k in range(i)]
            ways += [best[i, k] + _gap("", copy[k:j]) for k in range(j)]
            best[i, j] = min(ways)
    return best[len(original), len(copy)]
