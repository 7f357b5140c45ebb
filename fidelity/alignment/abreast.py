"""Solve many windows side by side, where the loop is not compiled.

Arrives: windows as ``layout.py`` lays them out. Leaves: the steps that ``inner.py`` finds, the same
to the last letter: the same recurrence, the same order among ways that cost the same. Start reading
at ``solve_abreast``.

Cells of a window that lie on one diagonal do not depend on each other, so that one diagonal of
hundreds of windows is filled at a time by operations on whole arrays.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.costs import UNREACHED, Costs
from fidelity.alignment.layout import Layout
from fidelity.alignment.texts import Ints
from fidelity.terms import StepKind

ROOM = 4_000_000  # cells filled side by side; one byte is kept of each
GROWTH = 2.5  # windows up to so many times as large as the smallest are filled side by side; measured
DIAGONALS = 7  # an operation reaches back by no more than three letters a side
FAR = 1 << 60  # a cost that no path through a window reaches

# How a cell was reached is kept below its cost in one number, so that the smaller number is the
# cheaper way, and of ways that cost the same the one that ``inner.py`` would take.
BITS = 5
ANSWER, OMIT, OMISSION, ADD, ADDITION, SEVERAL, SWAP = 0, 1, 2, 3, 4, 5, 31
OMISSION_GOES_ON, ADDITION_GOES_ON = 32, 64

Array = npt.NDArray[Any]


@dataclass(frozen=True, eq=False)
class Group:
    """Windows of about one size: a column each, filled up to the size of the largest.

    Attributes:
        rows, columns: letters of the largest window on either side.
        grams: for 1 to 3 letters, the number of the gram that ends at each place of the original.
        copy_grams: the same for the copy.
        folded, copy_folded: letters that count as equal by one number.
        gaps, copy_gaps: cost of each letter in a long gap.
    """

    rows: int
    columns: int
    grams: Array
    copy_grams: Array
    folded: Array
    copy_folded: Array
    gaps: Array
    copy_gaps: Array


def solve_abreast(
    layout: Layout, shapes: npt.NDArray[np.int64], grams: tuple[Ints, Ints], costs: Costs
) -> Ints:
    """Give the paths of least cost through windows, in no particular order.

    Args:
        layout: the windows' letters.
        shapes: which windows, as in ``inner.solve``; none with a band.
        grams: gram numbers of either side.
        costs: of every operation.
    """
    found = [np.zeros((0, 5), dtype=np.int64)]
    for members in _groups(shapes):
        group = _gathered(layout, members, grams, costs)
        found.append(_walked(_filled(group, costs), group, members, costs))
    return np.concatenate(found).astype(np.int32)


def _groups(shapes: npt.NDArray[np.int64]) -> Iterator[npt.NDArray[np.int64]]:
    """Give windows of about one size together, as many as there is room for."""
    largest = shapes[:, 2:4].max(axis=1)
    order = np.argsort(largest, kind="stable")
    sizes = largest[order]
    start = 0
    while start < len(order):
        end = int(np.searchsorted(sizes, max(int(sizes[start] * GROWTH), int(sizes[start]) + 3), "right"))
        rows, columns = shapes[order[start:end], 2:4].max(axis=0).tolist()
        end = min(end, start + max(ROOM // ((rows + columns + 1) * (rows + 1)), 1))
        yield shapes[order[start:end]]
        start = end


def _gathered(
    layout: Layout, members: npt.NDArray[np.int64], grams: tuple[Ints, Ints], costs: Costs
) -> Group:
    """Bring the letters of a group of windows into columns; what lies beyond a window's end is not used."""
    rows, columns = members[:, 2:4].max(axis=0).tolist()
    at = np.minimum(members[:, 0] + np.arange(rows + 1)[:, None], len(layout.original_letters) - 1)
    at_copy = np.minimum(members[:, 1] + np.arange(columns + 1)[:, None], len(layout.copy_letters) - 1)
    there, here = grams[0][:, at], grams[1][:, at_copy]
    for size in (2, 3):  # a gram must lie inside the window
        there[size - 1, :size] = here[size - 1, :size] = -1
    for side, length in ((there, members[:, 2]), (here, members[:, 3])):
        side[1:, np.arange(side.shape[1])[:, None] > length] = -1
    gaps = costs.whole_gaps << BITS
    return Group(
        rows,
        columns,
        there,
        here,
        layout.original_folded[at],
        layout.copy_folded[at_copy],
        gaps[layout.original_letters[at]],
        gaps[layout.copy_letters[at_copy]],
    )


@dataclass(frozen=True, eq=False)
class Field:
    """The costs of a group's cells, a diagonal at a time, as far back as an operation reaches.

    Attributes:
        best: the least cost of each cell, by diagonal modulo ``DIAGONALS``; a row for each row of the
            windows, a column for each window.
        omission, addition: the same for a long gap that is open.
        back: for each diagonal, row and window how the cell was reached.
    """

    best: list[Array]
    omission: Array
    addition: Array
    back: Array


def _filled(group: Group, costs: Costs) -> Array:
    """Fill the windows diagonal by diagonal; give how each cell was reached."""
    shape = group.folded.shape
    last = group.rows + group.columns
    best = [np.full(shape, FAR) for _ in range(DIAGONALS)]
    back = np.zeros((last + 1, *shape), dtype=np.uint8)
    field = Field(best, np.full(shape, FAR), np.full(shape, FAR), back)
    best[0][0] = 0
    table = np.where(costs.table == UNREACHED, FAR, costs.table << BITS)
    single, written = group.grams[0], group.copy_grams[0][::-1]
    omitted, added = table[single, 0] + OMIT, table[0, written] + ADD
    flat, row = table.ravel(), single * np.int64(table.shape[1])
    gaps, gap_open = (group.gaps, group.copy_gaps[::-1]), costs.whole_gap_open << BITS
    jumps = _jumps(group, table, costs)
    for d in range(1, last + 1):
        now = best[d % DIAGONALS]
        now.fill(FAR)
        turned = group.columns - d  # the copy's letters run backward along a diagonal
        first, end = max(0, d - group.columns), min(d, group.rows) + 1
        here = slice(max(first, 1), end)
        if end > here.start:
            _leave_out(field, d, here, omitted, gaps[0], gap_open)
        both = slice(here.start, min(end, d))
        if both.stop > both.start:
            cells = row[both] + written[turned + both.start : turned + both.stop]
            answer = best[(d - 2) % DIAGONALS][both.start - 1 : both.stop - 1] + flat[cells]
            np.minimum(now[both], answer, out=now[both])
        there = slice(first, min(end, d))
        if there.stop > there.start:
            _put_in(field, d, there, slice(turned + first, turned + there.stop), added, gaps[1], gap_open)
        for at, window, m, n, price in jumps.get(d, ()):
            reached = best[(d - m - n) % DIAGONALS][at - m, window] + price
            now[at, window] = np.minimum(now[at, window], reached)
        back[d] |= (now & 31).astype(np.uint8)
        now &= ~31
    return back


def _leave_out(field: Field, d: int, here: slice, prices: Array, gaps: Array, gap_open: int) -> None:
    """Leave a letter out, or begin or carry on a long gap."""
    before = field.best[(d - 1) % DIAGONALS][here.start - 1 : here.stop - 1]
    gap, carried = before + gap_open, field.omission[here.start - 1 : here.stop - 1]
    field.back[d][here] = (carried < gap) * np.uint8(OMISSION_GOES_ON)
    np.minimum(gap, carried, out=gap)
    gap += gaps[here]
    field.omission[here] = gap
    np.minimum(before + prices[here], gap + OMISSION, out=field.best[d % DIAGONALS][here])


def _put_in(
    field: Field, d: int, there: slice, copy: slice, prices: Array, gaps: Array, gap_open: int
) -> None:
    """Put a letter in, or begin or carry on a long gap."""
    before, now = field.best[(d - 1) % DIAGONALS][there], field.best[d % DIAGONALS][there]
    np.minimum(now, before + prices[copy], out=now)
    gap, carried = before + gap_open, field.addition[there]
    field.back[d][there] |= (carried < gap) * np.uint8(ADDITION_GOES_ON)
    np.minimum(gap, carried, out=gap)
    gap += gaps[copy]
    field.addition[there] = gap
    np.minimum(now, gap + ADDITION, out=now)


Jump = tuple[Array, Array, int, int, Array]  # rows, windows, letters of either side, price with way


def _jumps(group: Group, table: Array, costs: Costs) -> dict[int, list[Jump]]:
    """Find where operations of several letters and exchanges can end, by diagonal."""
    found: dict[int, list[Jump]] = {}
    everywhere = np.zeros_like(group.grams[0]), np.zeros_like(group.copy_grams[0])
    for number, (m, n) in enumerate(costs.lengths.tolist()):
        grams = group.grams[m - 1] if m else everywhere[0]
        copy_grams = group.copy_grams[n - 1] if n else everywhere[1]
        here, there = np.nonzero(grams >= 0), np.nonzero(copy_grams >= 0)
        one, other = _meetings(here[1], there[1])
        window, i, j = here[1][one], here[0][one], there[0][other]
        price = table[grams[i, window], copy_grams[j, window]]
        listed = (price < FAR) & (i >= m) & (j >= n)
        _by_diagonal(found, window[listed], i[listed], j[listed], (m, n), price[listed] + SEVERAL + number)
    folded, copy_folded = group.folded + np.int64(1), group.copy_folded + np.int64(1)  # a border is -1
    most = 1 + max(int(folded.max()), int(copy_folded.max()))
    i, window = np.nonzero(folded[2:] != folded[1:-1])
    j, window_copy = np.nonzero(copy_folded[2:] != copy_folded[1:-1])
    i, j = i + 2, j + 2
    keys = (window * most + folded[i, window]) * most + folded[i - 1, window]
    copy_keys = (window_copy * most + copy_folded[j - 1, window_copy]) * most + copy_folded[j, window_copy]
    one, other = _meetings(keys, copy_keys)
    swap = np.full(len(one), (costs.whole_swap << BITS) + SWAP)
    _by_diagonal(found, window[one], i[one], j[other], (2, 2), swap)
    return found


def _meetings(keys: Array, others: Array) -> tuple[Array, Array]:
    """Give every pair of places at which two lists have the same key."""
    order = np.argsort(others, kind="stable")
    first = np.searchsorted(others[order], keys, "left")
    count = np.searchsorted(others[order], keys, "right") - first
    one = np.repeat(np.arange(len(keys)), count)
    within = np.arange(len(one)) - np.repeat(np.cumsum(count) - count, count)
    return one, order[np.repeat(first, count) + within]


def _by_diagonal(
    found: dict[int, list[Jump]], window: Array, i: Array, j: Array, lengths: tuple[int, int], price: Array
) -> None:
    """Enter where an operation can end under the diagonal it ends on."""
    order = np.argsort(i + j, kind="stable")
    borders = np.flatnonzero(np.diff((i + j)[order])) + 1
    for part in np.split(order, borders) if len(order) else ():
        diagonal = int(i[part[0]] + j[part[0]])
        found.setdefault(diagonal, []).append((i[part], window[part], *lengths, price[part]))


def _walked(back: Array, group: Group, members: npt.NDArray[np.int64], costs: Costs) -> Array:
    """Walk all windows back at once and give their steps, each window's in order."""
    letters = np.zeros((2, 32), dtype=np.int64)  # of either side, by way
    letters[:, [ANSWER, OMIT, OMISSION, ADD, ADDITION, SWAP]] = [[1, 1, 1, 0, 0, 2], [1, 0, 0, 1, 1, 2]]
    letters[:, SEVERAL : SEVERAL + len(costs.lengths)] = costs.lengths.T
    i, j = members[:, 2].copy(), members[:, 3].copy()
    window = np.flatnonzero(i + j)
    gap = np.zeros(len(i), dtype=np.int64)  # the gap a window is in, 0 for none
    rows = []
    while len(window):
        there, here = i[window], j[window]
        code = back[there + here, there, window].astype(np.int64)
        inside = gap[window]
        way = np.where(inside, inside, code & 31)
        onward = (way == OMISSION) & (code & OMISSION_GOES_ON > 0)
        onward |= (way == ADDITION) & (code & ADDITION_GOES_ON > 0)
        gap[window] = np.where(onward, way, 0)
        kept = (way == ANSWER) & (group.folded[there, window] == group.copy_folded[here, window])
        m, n = letters[:, way]
        rows.append(np.stack((window, there - m, there, here - n, here, kept, inside > 0), axis=1))
        i[window], j[window] = there - m, here - n
        window = window[i[window] + j[window] > 0]
    return _as_steps(np.concatenate(rows[::-1]), members) if rows else np.zeros((0, 5), dtype=np.int64)


def _as_steps(single: Array, members: npt.NDArray[np.int64]) -> Array:
    """Join single letters kept, or of one gap, to steps, and count their places in the texts.

    Args:
        single: window, original start and end, copy start and end, whether kept, whether the next goes
            on with the same gap; the last of each window first among those of its window.
        members: the windows.
    """
    single = single[np.argsort(single[:, 0], kind="stable")]
    same = single[1:, 0] == single[:-1, 0]
    joined = same & ((single[1:, 5] & single[:-1, 5] > 0) | (single[:-1, 6] > 0))
    first = np.flatnonzero(np.append(True, ~joined))
    last = np.append(first[1:], len(single)) - 1
    o0, o1, c0, c1 = single[first, 1], single[last, 2], single[first, 3], single[last, 4]
    kind = np.where(np.maximum(o1 - o0, c1 - c0) > 3, int(StepKind.SKIPPED), int(StepKind.CHANGED))
    kind[single[first, 5] > 0] = int(StepKind.KEPT)
    there, here = members[single[first, 0], 5], members[single[first, 0], 6]
    return np.stack((there + o0, there + o1, here + c0, here + c1, kind), axis=1)
