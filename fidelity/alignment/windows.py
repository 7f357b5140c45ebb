"""Solve the weighted programme in the windows between anchors.

Arrives: windows (``layout.py``), costs. Leaves: the steps of the paths of
least cost through the windows. Start reading at ``solve_windows``; the loop itself is in ``inner.py``,
and where that is not compiled many windows are solved side by side by ``abreast.py``.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment import inner
from fidelity.alignment.costs import Costs, gram_numbers
from fidelity.alignment.layout import Layout
from fidelity.alignment.order import in_order, joined
from fidelity.alignment.straight import proved_paths, straight_paths
from fidelity.alignment.texts import Ints
from fidelity.terms import StepKind

MOST_CELLS = 40_000_000  # cells of a band; two stretches larger still have nothing in common
FEW_CELLS = 3_000  # cells; below, arrays cost more than they save where the loop is not compiled
COMPILED = not str(inner.__file__).endswith(".py")


def solve_windows(layout: Layout, costs: Costs, *, kept_between: bool = False) -> Ints:
    """Give the paths of least cost through windows.

    Args:
        layout: the windows.
        costs: of every operation.
        kept_between: whether the letters between one window and the next are kept, and given too.

    Returns:
        Five numbers a step, in order: original start and end, copy start and end, ``StepKind``.
        Letters kept one for one are one step, within a window or with those between.
    """
    count = len(costs.gaps)
    grams = (
        gram_numbers(layout.original_letters, costs.original_grams, count),
        gram_numbers(layout.copy_letters, costs.copy_grams, count),
    )
    if COMPILED:
        return _one_by_one(layout, layout.shapes, grams, costs, kept_between=kept_between)
    steps = _apart(layout, grams, costs)
    return joined(steps, layout.shapes) if kept_between else steps


def _apart(layout: Layout, grams: tuple[Ints, Ints], costs: Costs) -> Ints:
    """Solve windows, each in the way that arrays do best; give the steps in order."""
    shapes = layout.shapes[layout.shapes[:, 2] + layout.shapes[:, 3] > 0]
    if not len(shapes):
        return np.zeros((0, 5), dtype=np.int32)
    straight, found = straight_paths(layout, shapes, grams, costs)
    shapes = shapes[~straight]
    cells = _cells(shapes)
    far = (cells > MOST_CELLS) & (shapes[:, 2] > 0) & (shapes[:, 3] > 0)
    if far.any():
        found = in_order(found, _unanswered(shapes[far]))
    return in_order(found, _solve(layout, shapes[~far], cells[~far], grams, costs))


def _cells(shapes: npt.NDArray[np.int64]) -> npt.NDArray[np.int64]:
    """Give how many cells of each window are filled."""
    width = np.where(shapes[:, 4] > 0, 2 * shapes[:, 4] + 1, shapes[:, 3] + 1)
    cells: npt.NDArray[np.int64] = (shapes[:, 2] + 1) * width
    return cells


def _unanswered(shapes: npt.NDArray[np.int64]) -> Ints:
    """Give windows too large to have anything in common: one left out, the other put in."""
    n, m, first, first_copy = shapes[:, 2], shapes[:, 3], shapes[:, 5], shapes[:, 6]
    kind = np.full(len(shapes), int(StepKind.SKIPPED))
    out = np.stack((first, first + n, first_copy, first_copy, kind), axis=1).astype(np.int32)
    put_in = np.stack((first + n, first + n, first_copy, first_copy + m, kind), axis=1).astype(np.int32)
    return in_order(out, put_in)


def _solve(
    layout: Layout,
    shapes: npt.NDArray[np.int64],
    cells: npt.NDArray[np.int64],
    grams: tuple[Ints, Ints],
    costs: Costs,
) -> Ints:
    """Solve windows by the loop, or many side by side."""
    if cells.sum() <= FEW_CELLS:
        return _one_by_one(layout, shapes, grams, costs)
    flat = shapes[:, 4] == 0
    flat &= shapes[:, 2] < 8 * (shapes[:, 3] + 1)  # side by side, a tall window wastes most of its room
    from fidelity.alignment.abreast import solve_abreast  # not needed where the loop is compiled

    found = solve_abreast(layout, shapes[flat], grams, costs)
    found = found[np.argsort(found[:, 0] + found[:, 2], kind="stable")]
    if flat.all():
        return found
    return in_order(found, _one_by_one(layout, shapes[~flat], grams, costs))


def _one_by_one(
    layout: Layout,
    shapes: npt.NDArray[np.int64],
    grams: tuple[Ints, Ints],
    costs: Costs,
    *,
    kept_between: bool = False,
) -> Ints:
    """Solve one window after another."""
    if not len(shapes):
        return np.zeros((0, 5), dtype=np.int32)
    gaps = costs.whole_gaps
    size = int(shapes[:, 3].max()) + 1
    cells = _cells(shapes)
    room = int(shapes[:, 2:4].sum()) + len(shapes)
    steps = _form(np.empty(5 * room, dtype=np.int32))
    first = inner.solve(
        _form(shapes.ravel()),
        len(shapes),
        _form(proved_paths(layout, shapes, grams, costs)),
        MOST_CELLS,
        kept_between,
        _form(grams[0].ravel()),
        _form(grams[1].ravel()),
        len(layout.original_letters),
        len(layout.copy_letters),
        _form(layout.original_folded),
        _form(layout.copy_folded),
        _form(costs.table.ravel()),
        costs.table.shape[1],
        _form(np.ascontiguousarray(costs.lengths[:, 0])),
        _form(np.ascontiguousarray(costs.lengths[:, 1])),
        len(costs.lengths),
        costs.whole_gap_open,
        _form(gaps[layout.original_letters]),
        _form(gaps[layout.copy_letters]),
        costs.whole_swap,
        _form(np.empty(4 * size, dtype=np.int64)),
        _form(np.empty(size, dtype=np.int64)),
        bytearray(int(cells[cells <= MOST_CELLS].max(initial=size))),
        _form(np.empty(3 * len(costs.lengths) + 3, dtype=np.int64)),
        steps,
        room,
    )
    return np.array(steps[5 * first :], dtype=np.int32).reshape(-1, 5)


def _form(array: npt.NDArray[Any]) -> Any:
    """Give an array in the form the loop reads fastest: as it is compiled, a list interpreted."""
    return array if COMPILED else array.tolist()
