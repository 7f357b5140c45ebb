"""What an alignment leaves unpaired, and where such stretches of the two texts might be the same.

Arrives: the steps of an alignment. Leaves: the stretches left out and put in, and runs of equal
letters from which a likeness can be followed. Start reading at ``unpaired_stretches`` and
``seeds_between``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from fidelity.terms import StepKind

Span = tuple[int, int]
Seed = tuple[int, int, int]  # original start, copy start, letters

SHORTEST = 3  # letters; less is taken for slips
ISLAND = 3  # letters kept between two changes that are probably kept by chance only (chosen)
NEARBY = 200  # letters, about five manuscript lines: within, every pair of gaps is compared
NEIGHBOURS = 2  # gaps on either side that one is compared with
LONGEST_NEARBY = 400  # letters of a gap compared in that way; longer ones share a long seed
SEEDS = ((12, 1), (6, 2))  # letters, and how many such runs must fit together: 7 letters at least
PART = 100_000  # steps looked at together
MOST_PLACES = 8  # of a run in what is unpaired; a commoner one tells nothing
MOST_RIVALS = 3  # stretches of the copy with which one of the original is compared


@dataclass(frozen=True)
class Stretches:
    """Unpaired stretches of one text, in order.

    Attributes:
        starts, ends: their offsets.
        opposite: where in the other text each stands in the alignment.
        gaps: whether nothing, or little, stands opposite.
    """

    starts: np.ndarray
    ends: np.ndarray
    opposite: np.ndarray
    gaps: np.ndarray

    def span(self, number: int) -> Span:
        """Give the offsets of one."""
        return int(self.starts[number]), int(self.ends[number])


def unpaired_stretches(steps: np.ndarray) -> tuple[Stretches, Stretches]:
    """Give what is left out or changed altogether in the original, and the same in the copy.

    The steps are gone through in parts, so that little memory is needed beside them.
    """
    sides = zip(*(_unpaired(steps[start:end]) for start, end in _parts(steps)), strict=True)
    left_out, put_in = (
        Stretches(*(np.concatenate(columns) for columns in zip(*map(_columns, side), strict=True)))
        for side in sides
    )
    return left_out, put_in


def _columns(part: Stretches) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    return part.starts, part.ends, part.opposite, part.gaps


def _parts(steps: np.ndarray) -> Iterator[Span]:
    """Cut the steps where enough letters are kept that no stretch goes on over them."""
    start = 0
    while start < len(steps):
        end = min(start + PART, len(steps))
        while end < len(steps):
            o0, o1, _, _, kind = steps[end - 1].tolist()
            if kind == StepKind.KEPT and o1 - o0 > ISLAND:
                break
            end += 1
        yield start, end
        start = end
    if not len(steps):
        yield 0, 0


def _unpaired(steps: np.ndarray) -> tuple[Stretches, Stretches]:
    """Give the unpaired stretches of a part of the steps."""
    apart = np.concatenate(([0], steps[:, 4] != StepKind.KEPT, [0])).astype(np.int8)
    edges = np.flatnonzero(np.diff(apart))
    first, last = edges[0::2], edges[1::2] - 1
    bounds = np.stack([steps[first, 0], steps[last, 1], steps[first, 2], steps[last, 3]], axis=1)
    sizes = np.stack([bounds[:, 1] - bounds[:, 0], bounds[:, 3] - bounds[:, 2]], axis=1)
    if not len(bounds):
        return _none(), _none()
    kept = bounds[1:, 0] - bounds[:-1, 1]
    largest = sizes.max(axis=1)
    one_sided = (sizes[:-1] == 0) & (sizes[1:, ::-1] == 0)  # left out here, put in there: two matters
    parted = (kept > ISLAND) | (kept >= np.minimum(largest[1:], largest[:-1])) | one_sided.any(axis=1)
    begins = np.concatenate(([0], np.flatnonzero(parted) + 1))
    ends = np.concatenate((begins[1:], [len(bounds)])) - 1
    unpaired = np.add.reduceat(sizes, begins, axis=0)
    spans = np.stack([bounds[begins, 0], bounds[ends, 1], bounds[begins, 2], bounds[ends, 3]], axis=1)
    return _stretches(spans, unpaired), _stretches(spans[:, [2, 3, 0, 1]], unpaired[:, ::-1])


def _none() -> Stretches:
    nothing = np.zeros(0, dtype=np.int64)
    return Stretches(nothing, nothing, nothing, nothing.astype(bool))


def _stretches(spans: np.ndarray, unpaired: np.ndarray) -> Stretches:
    """Keep the stretches with enough letters on the first side."""
    enough = unpaired[:, 0] >= SHORTEST
    spans, unpaired = spans[enough], unpaired[enough]
    gaps = unpaired[:, 0] - unpaired[:, 1] >= SHORTEST
    return Stretches(spans[:, 0], spans[:, 1], spans[:, 2], gaps)


def without(stretches: Stretches, taken: Sequence[Span]) -> Stretches:
    """Cut spans out of stretches."""
    rows: list[tuple[int, int, int, bool]] = []
    left = sorted(taken, reverse=True)
    for start, end, opposite, gap in zip(
        stretches.starts.tolist(),
        stretches.ends.tolist(),
        stretches.opposite.tolist(),
        stretches.gaps.tolist(),
        strict=True,
    ):
        while left and left[-1][0] < end:
            cut = left.pop()
            rows.append((start, cut[0], opposite, gap))
            start = cut[1]
        rows.append((start, end, opposite, gap))
    kept = [row for row in rows if row[1] - row[0] >= SHORTEST]
    starts, ends, opposite_places, gaps = (
        (np.array(column) for column in zip(*kept, strict=True)) if kept else ([],) * 4
    )
    return Stretches(
        np.array(starts, dtype=np.int64),
        np.array(ends, dtype=np.int64),
        np.array(opposite_places, dtype=np.int64),
        np.array(gaps, dtype=bool),
    )


def seeds_between(
    left_out: Stretches, put_in: Stretches, original: str, copy: str
) -> Iterator[tuple[int, int, Seed]]:
    """Give pairs of stretches that may be the same, each with a run of equal letters.

    Args:
        left_out, put_in: the stretches.
        original, copy: the two texts, folded.
    """
    if not len(left_out.starts) or not len(put_in.starts):
        return
    done: set[tuple[int, int]] = set()
    for length, hits in SEEDS:
        for first, second, at, at_copy in _common_runs(left_out, put_in, original, copy, length, hits):
            if (first, second) not in done and original[at : at + length] == copy[at_copy : at_copy + length]:
                done.add((first, second))
                yield first, second, (at, at_copy, length)
    for first, second in _nearby(left_out, put_in):
        (o0, o1), (c0, c1) = left_out.span(first), put_in.span(second)
        if (first, second) not in done and max(o1 - o0, c1 - c0) <= LONGEST_NEARBY:
            from difflib import SequenceMatcher  # seldom needed

            match = SequenceMatcher(None, original[o0:o1], copy[c0:c1], autojunk=False).find_longest_match()
            if match.size >= SHORTEST:
                yield first, second, (o0 + match.a, c0 + match.b, match.size)


def _nearby(left_out: Stretches, put_in: Stretches) -> Iterator[tuple[int, int]]:
    """Give the pairs of gaps that stand near each other."""
    gaps, gaps_copy = np.flatnonzero(left_out.gaps), np.flatnonzero(put_in.gaps)
    ranks = np.searchsorted(put_in.starts[gaps_copy], left_out.opposite[gaps])
    for shift in range(-NEIGHBOURS, NEIGHBOURS):
        inside = (ranks + shift >= 0) & (ranks + shift < len(gaps_copy))
        first, second = gaps[inside], gaps_copy[ranks[inside] + shift]
        near = np.abs(put_in.starts[second] - left_out.opposite[first]) <= NEARBY
        yield from zip(first[near].tolist(), second[near].tolist(), strict=True)


def _common_runs(
    left_out: Stretches, put_in: Stretches, original: str, copy: str, length: int, hits: int
) -> Iterator[tuple[int, int, int, int]]:
    """Give for each stretch left out those put in that share most with it, and where."""
    runs, at, number = _runs(left_out, original, length)
    runs_copy, at_copy, number_copy = _runs(put_in, copy, length)
    order, order_copy = np.argsort(runs, kind="stable"), np.argsort(runs_copy, kind="stable")
    low = np.searchsorted(runs_copy[order_copy], runs, side="left")
    count = np.searchsorted(runs_copy[order_copy], runs, side="right") - low
    own = np.searchsorted(runs[order], runs, side="right") - np.searchsorted(runs[order], runs, side="left")
    count[(count > MOST_PLACES) | (own > MOST_PLACES)] = 0
    first = np.repeat(np.arange(len(runs)), count)
    within = np.arange(len(first)) - np.repeat(np.cumsum(count) - count, count)
    second = order_copy[low[first] + within]
    if not len(first):
        return
    keys = np.stack([number[first], number_copy[second], at_copy[second] - at[first]], axis=1)
    keys, place, found = np.unique(keys, axis=0, return_index=True, return_counts=True)
    best = np.lexsort((-found, keys[:, 0]))
    used: dict[int, list[int]] = {}
    for one in best[found[best] >= hits].tolist():
        rivals = used.setdefault(int(keys[one, 0]), [])
        if len(rivals) < MOST_RIVALS and keys[one, 1] not in rivals:
            rivals.append(int(keys[one, 1]))
            yield (
                int(keys[one, 0]),
                int(keys[one, 1]),
                int(at[first[place[one]]]),
                int(at_copy[second[place[one]]]),
            )


def _runs(stretches: Stretches, text: str, length: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Give a number for each run of letters inside the stretches, its place, and its stretch."""
    sizes = stretches.ends - stretches.starts
    letters = "".join(
        text[start:end] for start, end in zip(stretches.starts.tolist(), stretches.ends.tolist(), strict=True)
    )
    codes = np.frombuffer(letters.encode("utf-32-le", "surrogatepass"), dtype=np.uint32).astype(np.uint64)
    number = np.repeat(np.arange(len(sizes)), sizes)
    places = np.arange(len(codes)) + np.repeat(stretches.starts - (np.cumsum(sizes) - sizes), sizes)
    total = max(len(codes) - length + 1, 0)
    runs = np.zeros(total, dtype=np.uint64)
    for shift in range(length):  # a polynomial of the letters, modulo 2**64 (Karp & Rabin 1987)
        runs = runs * np.uint64(0x9E3779B97F4A7C15) + codes[shift : shift + total]
    whole = number[:total] == number[length - 1 :][:total] if total else np.zeros(0, dtype=bool)
    return runs[whole], places[:total][whole], number[:total][whole]
