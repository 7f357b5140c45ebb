"""Recognise windows in which one letter surely answers one, so that they need not be weighed.

Arrives: windows as ``layout.py`` lays them out. Leaves: the steps of those whose straight path is
proved to be the only one of least cost. Start reading at ``straight_paths``.

Most windows hold one letter written for another. In a window of as many letters on either side, in
which no operation of several letters can apply, any other path leaves a letter out and puts one in.
It costs at least the cheapest of both, and for every other letter the least that letter can cost;
where the straight path costs less, there is no better, nor one as good.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment import scan
from fidelity.alignment.costs import Costs
from fidelity.alignment.layout import Layout
from fidelity.alignment.texts import Ints

Array = npt.NDArray[Any]
COMPILED = not str(scan.__file__).endswith(".py")


def straight_paths(
    layout: Layout, shapes: npt.NDArray[np.int64], grams: tuple[Ints, Ints], costs: Costs
) -> tuple[npt.NDArray[np.bool_], Ints]:
    """Find the windows whose straight path is the only one of least cost.

    Args:
        layout: the windows' letters.
        shapes: the windows, as in ``inner.solve``; none is empty.
        grams: gram numbers of either side.
        costs: of every operation.

    Returns:
        Which windows they are, and their steps in order.
    """
    proved = shapes[:, 2] == shapes[:, 3]
    even = np.flatnonzero(proved)
    if not len(even):
        return proved, np.zeros((0, 5), dtype=np.int32)
    sizes = shapes[even, 2]
    borders = np.cumsum(sizes) - sizes
    within = np.arange(int(sizes.sum())) - np.repeat(borders, sizes)
    at = np.repeat(shapes[even, 0] + 1, sizes) + within
    at_copy = np.repeat(shapes[even, 1] + 1, sizes) + within
    changed = layout.original_folded[at] != layout.copy_folded[at_copy]
    sure = _sure(at, at_copy, within, changed, borders, grams, costs)
    proved[even[~sure]] = False
    chosen = np.repeat(sure, sizes)
    return proved, _steps(
        np.repeat(shapes[even, 5], sizes)[chosen] + within[chosen],
        np.repeat(shapes[even, 6], sizes)[chosen] + within[chosen],
        changed[chosen],
        within[chosen] == 0,
    )


def _sure(
    at: Array,
    at_copy: Array,
    within: Array,
    changed: Array,
    borders: Array,
    grams: tuple[Ints, Ints],
    costs: Costs,
) -> npt.NDArray[np.bool_]:
    """Tell for each window whether its straight path costs less than any other can."""
    several = np.zeros(len(at), dtype=np.bool_)
    for side, places in ((grams[0], at), (grams[1], at_copy)):
        for size in (2, 3) if len(costs.lengths) else ():
            several |= (side[size - 1, places] >= 0) & (within >= size - 1)
    several[1:] |= changed[1:] & changed[:-1] & (within[1:] > 0)  # may be an exchange of neighbours
    letters, written = grams[0][0, at], grams[1][0, at_copy]
    least, omitted, added = bounds(costs)
    straight = np.add.reduceat(costs.table[letters, written] - least[letters], borders)
    other = np.minimum.reduceat(omitted[letters], borders) + np.minimum.reduceat(added[written], borders)
    free = ~np.logical_or.reduceat(several, borders)
    sure: npt.NDArray[np.bool_] = (straight < other) & free
    return sure


def bounds(costs: Costs) -> tuple[Array, Array, Array]:
    """Give what a path costs at least, by letter from 1.

    Returns:
        The least that a letter of the original costs in any path; what it costs more than that to
        leave it out; what it costs to put a letter of the copy in.
    """
    count = len(costs.gaps) + 1
    gaps = np.append(0, costs.whole_gaps[:-1])
    least = np.minimum(costs.table[:count, :count].min(axis=1), np.minimum(gaps, costs.whole_swap // 2))
    omitted = np.minimum(costs.table[:count, 0], costs.whole_gap_open + gaps) - least
    return least, omitted, np.minimum(costs.table[0, :count], costs.whole_gap_open + gaps)


def proved_paths(
    layout: Layout, shapes: npt.NDArray[np.int64], grams: tuple[Ints, Ints], costs: Costs
) -> Ints:
    """Tell of each window where the only gap of its path is, -1 where that is not proved.

    Where the loop is not compiled none is looked at: ``straight_paths`` has gone before.

    Args:
        layout, shapes, grams, costs: as in ``straight_paths``.
    """
    proved = np.full(len(shapes), -1, dtype=np.int32)
    if COMPILED:
        scan.prove_paths(
            shapes.ravel(),
            len(shapes),
            grams[0].ravel(),
            grams[1].ravel(),
            len(layout.original_letters),
            len(layout.copy_letters),
            layout.original_folded,
            layout.copy_folded,
            costs.table.ravel(),
            costs.table.shape[1],
            len(costs.lengths) > 0,
            *bounds(costs),
            proved,
        )
    return proved


def _steps(start: Array, start_copy: Array, changed: Array, begins: Array) -> Ints:
    """Give the steps of straight paths: letters kept one for one are one step."""
    if not len(start):
        return np.zeros((0, 5), dtype=np.int32)
    apart = begins | changed
    apart[1:] |= changed[:-1]
    first = np.flatnonzero(apart)
    last = np.append(first[1:], len(start)) - 1
    ends, ends_copy = start[last] + 1, start_copy[last] + 1
    rows = np.stack((start[first], ends, start_copy[first], ends_copy, changed[first]), axis=1)
    return rows.astype(np.int32)
