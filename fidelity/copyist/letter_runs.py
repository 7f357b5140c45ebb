"""Runs of letters counted: how often each stands in the texts, and what is held back of it.

Arrives: texts as numbers. Leaves: for every length the discounted shares of its runs, and what each
context leaves to the next shorter one. Start reading at ``counted``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

DISCOUNT = 0.75  # where the counts give none: the usual value (Ney, Essen & Kneser 1994)
BITS = 8  # a letter's number in a key of 64 bits: up to 255 letters and "any other"


@dataclass(frozen=True)
class Order:
    """All runs of one length.

    Attributes:
        runs: the runs as numbers, ascending.
        where: for each run the index of its context, the run without its last letter.
        shares: for each run its count less the discount, as a share of its context's.
        contexts: the contexts as numbers, ascending.
        left: what each context leaves to the next shorter one, 0-1.
    """

    runs: np.ndarray
    where: np.ndarray
    shares: np.ndarray
    contexts: np.ndarray
    left: np.ndarray


def last(letters: int) -> np.uint64:
    """Give the mask that keeps so many letters at the end of a run (at most seven)."""
    return np.uint64((1 << BITS * letters) - 1)


def place(ascending: np.ndarray, wanted: np.ndarray) -> np.ndarray:
    """Give for each wanted number its index, or that of another number where it is not there."""
    return np.minimum(np.searchsorted(ascending, wanted), max(len(ascending) - 1, 0))


def counted(arrays: Sequence[np.ndarray], order: int, division: int) -> list[Order]:
    """Count the runs of every length up to ``order``, the shortest first.

    Args:
        arrays: texts as numbers, each with ``order - 1`` word divisions before it.
        order: the longest run.
        division: number of the word division. Runs of nothing else stand before every text without
            being counted; they are given, so that a context can be followed letter by letter.
    """
    longest, counts = _runs(arrays, order)
    if not len(longest):  # nothing was read: one context, which leaves everything
        none = np.zeros(0, dtype=np.uint64)
        return [Order(none, none.astype(np.int64), np.zeros(0), np.zeros(1, dtype=np.uint64), np.ones(1))]
    orders = []
    for length in range(order, 0, -1):
        margin = np.uint64(sum(division << BITS * at for at in range(length)))
        orders.append(_discounted(*_with(margin, longest, counts)))
        if length > 1:  # the next shorter order counts different letters before it
            longest, counts = np.unique(longest & last(length - 1), return_counts=True)
    return orders[::-1]


def _with(margin: np.uint64, runs: np.ndarray, counts: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Add a run that may never have been counted."""
    at = int(np.searchsorted(runs, margin))
    if at < len(runs) and runs[at] == margin:
        return runs, counts
    return np.insert(runs, at, margin), np.insert(counts, at, 0)


def _discounted(runs: np.ndarray, counts: np.ndarray) -> Order:
    """Turn the counts of one order into discounted shares and what is left for shorter runs."""
    once, twice = int((counts == 1).sum()), int((counts == 2).sum())
    discount = once / (once + 2 * twice) if once and twice else DISCOUNT
    contexts, where = np.unique(runs >> np.uint64(BITS), return_inverse=True)
    totals = np.bincount(where, weights=counts)
    different = np.bincount(where, weights=counts > 0)
    shares = np.maximum(counts - discount, 0) / totals[where]
    return Order(runs, where, shares, contexts, discount * different / totals)


def _runs(arrays: Sequence[np.ndarray], order: int) -> tuple[np.ndarray, np.ndarray]:
    """Give every run of ``order`` letters as one number, with how often it stands in the texts."""
    found = []
    for numbers in arrays:
        size = len(numbers) - order + 1
        if size <= 0:
            continue
        runs = np.zeros(size, dtype=np.uint64)
        for at in range(order):
            runs = runs << np.uint64(BITS) | numbers[at : at + size]
        found.append(runs)
    if not found:
        return np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.int64)
    return np.unique(np.concatenate(found), return_counts=True)
