"""Put the letters of windows one after another, as the programme reads them.

Arrives: two stretches of text as numbers, windows in them. Leaves: a ``Layout``. Start reading at
``lay_out``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.anchors import put_together
from fidelity.alignment.texts import Ints

FULL_CELLS = 4_000_000  # beyond, the programme is done in a band (one byte a cell is kept)
BAND_CELLS = 4_000_000  # cells of the widest band
HALF_BAND = 64  # letters; no band is narrower

Windows = npt.NDArray[np.int64]  # rows: original start and end, copy start and end


@dataclass(frozen=True, eq=False)
class Layout:
    """Windows put one after another, as the programme reads them.

    Attributes:
        shapes: seven numbers a window, as ``inner.solve`` describes them.
        original_letters, copy_letters: numbers of the letters, -1 before each window.
        original_folded, copy_folded: the same, letters that count as equal by one number.
    """

    shapes: npt.NDArray[np.int64]
    original_letters: Ints
    copy_letters: Ints
    original_folded: Ints
    copy_folded: Ints

    @property
    def nbytes(self) -> int:
        """How many bytes the letters and shapes take; folded letters may be the letters themselves."""
        arrays = (
            self.shapes,
            self.original_letters,
            self.copy_letters,
            self.original_folded,
            self.copy_folded,
        )
        return sum({id(array): array.nbytes for array in arrays}.values())


def lay_out(original: npt.NDArray[Any], copy: npt.NDArray[Any], folded: Ints, windows: Windows) -> Layout:
    """Put the letters of windows one after another.

    Args:
        original, copy: the texts as numbers of letters.
        folded: for each letter a number that is the same for letters that count as equal.
        windows: what is to be solved.
    """
    sides = []
    starts = []
    lookup = np.append(folded, np.int32(-1))  # for the border, whose number is -1
    plain = bool((folded == np.arange(len(folded))).all())
    for text, at in ((original, 0), (copy, 2)):
        places, _, first = put_together(windows[:, at], windows[:, at + 1])
        letters = text[places].astype(np.int32) if len(text) else np.zeros(len(places), dtype=np.int32)
        letters[first - 1] = -1
        sides.append((letters, letters if plain else lookup[letters]))
        starts.append(first - 1)
    n, m = windows[:, 1] - windows[:, 0], windows[:, 3] - windows[:, 2]
    shapes = np.zeros((len(windows), 7), dtype=np.int64)
    for column, numbers in enumerate((*starts, n, m)):
        shapes[:, column] = numbers
    for at in np.flatnonzero((n + 1) * (m + 1) > FULL_CELLS).tolist():
        shapes[at, 4] = _half_band(int(n[at]), int(m[at]))
    shapes[:, 5], shapes[:, 6] = windows[:, 0], windows[:, 2]
    return Layout(shapes, sides[0][0], sides[1][0], sides[0][1], sides[1][1])


def _half_band(n: int, m: int) -> int:
    """Give the columns to either side of the diagonal that are filled; 0 for all."""
    if not n:
        return 0
    half = max(BAND_CELLS // (2 * (n + 1)), HALF_BAND)
    return half if 2 * half < m else 0
