"""Put steps that were found apart into the order of the texts.

Arrives: steps of some windows, steps of others, what is kept between. Leaves: one list. Start reading
at ``in_order``, then ``joined``. The compiled loop writes its steps in order and needs none of this.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fidelity.alignment.texts import Ints
from fidelity.terms import StepKind


def in_order(first: Ints, second: Ints) -> Ints:
    """Put the steps of two lists, either of them in order, into one."""
    keys, others = first[:, 0] + first[:, 2], second[:, 0] + second[:, 2]  # every step moves on
    rows = np.empty((len(first) + len(second), 5), dtype=np.int32)
    rows[np.arange(len(first)) + np.searchsorted(others, keys)] = first
    rows[np.arange(len(second)) + np.searchsorted(keys, others)] = second
    return rows


def joined(steps: Ints, shapes: npt.NDArray[np.int64]) -> Ints:
    """Put the steps of windows and the letters kept between them in order, kept runs joined.

    Args:
        steps: of all windows, in order.
        shapes: the windows, as in ``inner.solve``.
    """
    ends, starts = shapes[:-1, 5:7] + shapes[:-1, 2:4], shapes[1:, 5:7]
    kept = np.zeros(len(ends), dtype=np.int64)  # StepKind.KEPT
    runs = np.stack((ends[:, 0], starts[:, 0], ends[:, 1], starts[:, 1], kept), axis=1)
    rows = in_order(steps, runs.astype(np.int32))
    if not len(rows):
        return rows
    is_kept = rows[:, 4] == StepKind.KEPT
    first = np.flatnonzero(np.concatenate(([True], ~(is_kept[1:] & is_kept[:-1]))))
    last = np.append(first[1:], len(rows)) - 1
    found = rows[first]
    found[:, 1], found[:, 3] = rows[last, 1], rows[last, 3]
    return found
