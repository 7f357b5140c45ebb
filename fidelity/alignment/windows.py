"""Solve the weighted programme in one window between anchors.

Arrives: two texts, the channel's costs, a window. Leaves: the path of least cost through the
window. Start reading at ``WindowSolver.solve``; the loop itself is in ``inner.py``.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from fidelity.alignment import inner
from fidelity.alignment.channel import GAP_OPEN, SWAP_COST, LetterChannel, gap_costs

Path = list[tuple[int, int, int, int]]  # original start, original end, copy start, copy end

FULL_CELLS = 4_000_000  # beyond, the programme is done in a band (one byte a cell is kept)
BAND_CELLS = 16_000_000  # cells of the widest band
COMPILED = not str(inner.__file__).endswith(".py")


def _plain(array: np.ndarray) -> Any:
    """Give an array in the form the loop reads fastest: as it is compiled, a list interpreted."""
    return array if COMPILED else array.tolist()


class WindowSolver:
    """Holds two texts as numbers and solves window after window under the learned costs.

    Args:
        original, copy: the two texts in graphic letters.
        folded_original, folded_copy: the same with the declared folds applied.
    """

    def __init__(self, original: str, copy: str, folded_original: str, folded_copy: str) -> None:
        self.original, self.copy = original, copy
        folded = {letter: number for number, letter in enumerate(sorted(set(folded_original + folded_copy)))}
        self.folded_original = _numbers(folded_original, folded)
        self.folded_copy = _numbers(folded_copy, folded)
        self.original_gaps = np.array([0.0, *gap_costs(original)])
        self.copy_gaps = np.array([0.0, *gap_costs(copy)])

    def learn(self, channel: LetterChannel) -> None:
        """Take over the channel's costs: gram numbers for both texts and the table of costs."""
        several = channel.several()
        originals = ["", *channel.original_letters, *sorted({o for o, _ in several if len(o) > 1})]
        copies = ["", *channel.copy_letters, *sorted({c for _, c in several if len(c) > 1})]
        row_of = {gram: number for number, gram in enumerate(originals)}
        column_of = {gram: number for number, gram in enumerate(copies)}
        table = np.full((len(originals), len(copies)), inner.INFINITE)
        for o in channel.original_letters:
            for c in ("", *channel.copy_letters):
                table[row_of[o], column_of[c]] = channel.cost(o, c)
        for c in channel.copy_letters:
            table[0, column_of[c]] = channel.cost("", c)
        for (o, c), cost in several.items():
            if o in row_of and c in column_of:
                table[row_of[o], column_of[c]] = cost
        self.columns = len(copies)
        self.table = _plain(table.ravel())
        self.original_grams = _grams(self.original, row_of)
        self.copy_grams = _grams(self.copy, column_of)
        lengths = sorted({(len(o), len(c)) for o, c in several} - {(1, 1), (1, 0), (0, 1)})
        self.multi_count = len(lengths)
        self.multi_originals = _plain(np.array([m for m, _ in lengths] or [0], dtype=np.int32))
        self.multi_copies = _plain(np.array([n for _, n in lengths] or [0], dtype=np.int32))

    def solve(self, window: tuple[int, int, int, int]) -> Path:
        """Give the path of least cost through a window, in order."""
        o0, o1, c0, c1 = window
        n, m = o1 - o0, c1 - c0
        if not n and not m:
            return []
        lows, width = _band(n, m)
        rows = np.empty(4 * width) if COMPILED else [0.0] * (4 * width)
        omissions = np.empty(width) if COMPILED else [0.0] * width
        back = bytearray((n + 1) * width)
        inner.fill(
            _window_of(self.original_grams, o0, n),
            _window_of(self.copy_grams, c0, m),
            _window_of(self.folded_original[None, :], o0, n),
            _window_of(self.folded_copy[None, :], c0, m),
            n,
            m,
            self.table,
            self.columns,
            self.multi_originals,
            self.multi_copies,
            self.multi_count,
            GAP_OPEN,
            _window_of(self.original_gaps[None, :], o0, n),
            _window_of(self.copy_gaps[None, :], c0, m),
            SWAP_COST,
            _plain(lows),
            width,
            rows,
            omissions,
            back,
        )
        flat = inner.walk(back, _plain(lows), width, n, m)
        return [
            (flat[at] + o0, flat[at + 1] + o0, flat[at + 2] + c0, flat[at + 3] + c0)
            for at in range(len(flat) - 4, -1, -4)
        ]


def _numbers(text: str, number_of: dict[str, int]) -> np.ndarray:
    """Put letters into numbers; place 0 is left free, so that letter i stands at i + 1."""
    return np.array([0, *map(number_of.__getitem__, text)], dtype=np.int32)


def _grams(text: str, number_of: dict[str, int]) -> np.ndarray:
    """Give for each place the number of the 1, 2 and 3 letters that end there, -1 for none."""
    grams = np.full((3, len(text) + 1), -1, dtype=np.int32)
    grams[0] = _numbers(text, number_of)
    for gram, number in number_of.items():
        if len(gram) < 2:
            continue
        at = text.find(gram)
        while at >= 0:
            grams[len(gram) - 1, at + len(gram)] = number
            at = text.find(gram, at + 1)
    return grams


def _window_of(grams: np.ndarray, start: int, length: int) -> Any:
    """Cut a window out of the numbers of a text, in the form the loop reads."""
    return _plain(np.ascontiguousarray(grams[:, start : start + length + 1]).ravel())


def _band(n: int, m: int) -> tuple[np.ndarray, int]:
    """Give the first column of each row and the width of the band (the whole, where it is small)."""
    if (n + 1) * (m + 1) <= FULL_CELLS:
        return np.zeros(n + 1, dtype=np.intp), m + 1
    half = max(BAND_CELLS // (2 * (n + 1)), 64)
    width = min(2 * half + 1, m + 1)
    middle = np.arange(n + 1, dtype=np.int64) * m // n
    return np.clip(middle - half, 0, m + 1 - width).astype(np.intp), width
