"""Put the steps of an alignment together, and say what they cost.

Arrives: the steps of stretches. Leaves: those of the whole in one table, and their cost. Start reading
at ``StepTable``, then ``cost_of``.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment import scan
from fidelity.alignment.costs import NEVER, Costs
from fidelity.alignment.packing import LONGEST
from fidelity.alignment.texts import Ints, NumberedTexts
from fidelity.terms import StepKind

COMPILED = not str(scan.__file__).endswith(".py")

Array = npt.NDArray[Any]
STEP_EVERY, GROWTH = 2, 1.5  # letters to a step in a very bad copy, and what is added where that is too few


def free_kept(steps: Ints, original: str, copy: str, free: frozenset[tuple[str, str]]) -> None:
    """Mark declared expansions as kept.

    Args:
        steps: changed in place.
        original, copy: the texts in letters.
        free: pairs of several letters that count as the same.
    """
    for at in np.flatnonzero(steps[:, 4] == StepKind.CHANGED).tolist() if free else ():
        o0, o1, c0, c1 = steps[at, :4].tolist()
        if (original[o0:o1], copy[c0:c1]) in free:
            steps[at, 4] = StepKind.KEPT


def steps_outside(steps: Array, spans: Sequence[tuple[int, int]]) -> Array:
    """Give the steps of an alignment outside some spans of the copy; long kept steps are cut there.

    What was left out of the copy at the beginning or the end of a span counts as within it.
    """
    if not spans or not len(steps):
        return steps
    borders = [-1, *(border for span in sorted(spans) for border in span), int(steps[-1, 3]) + 1]
    kept = []
    for first, last in zip(borders[::2], borders[1::2], strict=True):
        for o0, o1, c0, c1, kind in steps.tolist():
            if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
                a, b = max(c0, first), min(c1, last)
                if a < b:
                    kept.append((o0 + a - c0, o0 + b - c0, a, b, kind))
            elif first < c0 < last or first == c0 < c1 <= last:
                kept.append((o0, o1, c0, c1, kind))
    return np.array(kept, dtype=np.int32).reshape(-1, 5)


def kept_runs(steps: Array, texts: NumberedTexts, free: Collection[object]) -> npt.NDArray[np.bool_]:
    """Tell which steps keep letters one for one; a declared expansion may have as many on either side.

    Args:
        steps: in any order.
        texts: the texts as numbers.
        free: the declared expansions.
    """
    n, m = steps[:, 1] - steps[:, 0], steps[:, 3] - steps[:, 2]
    run: npt.NDArray[np.bool_] = (steps[:, 4] == StepKind.KEPT) & (n == m)
    for at in np.flatnonzero(run & (n > 1) & (n <= LONGEST)).tolist() if free else ():
        o0, o1, c0, c1 = steps[at, :4].tolist()
        run[at] = (texts.folded[texts.original[o0:o1]] == texts.folded[texts.copy[c0:c1]]).all()
    return run


class StepTable:
    """The steps of a whole alignment, a stretch at a time, without a second copy of them.

    Args:
        letters: of the longer text. Room that is never written to takes no memory.
    """

    def __init__(self, letters: int) -> None:
        self.rows = np.empty((letters // STEP_EVERY + 16, 5), dtype=np.int32)
        self.count = 0

    def add(self, steps: Ints) -> None:
        """Add the steps that follow; a kept run that goes on is joined."""
        if self.count and len(steps) and _is_run(self.rows[self.count - 1]) and _is_run(steps[0]):
            self.rows[self.count - 1, 1], self.rows[self.count - 1, 3] = steps[0, 1], steps[0, 3]
            steps = steps[1:]
        if self.count + len(steps) > len(self.rows):
            room = max(int(GROWTH * len(self.rows)), self.count + len(steps))
            self.rows.resize((room, 5), refcheck=False)
        self.rows[self.count : self.count + len(steps)] = steps
        self.count += len(steps)

    def whole(self) -> Ints:
        """Give all steps; nothing can be added afterwards."""
        self.rows.resize((self.count, 5), refcheck=False)
        self.rows.flags.writeable = False
        return self.rows


def _is_run(step: Ints) -> bool:
    """Tell whether a step keeps letters, as many as there were."""
    return bool(step[4] == StepKind.KEPT and step[1] - step[0] == step[3] - step[2])


def cost_of(steps: Array, texts: NumberedTexts, costs: Costs) -> float:
    """Add up what the steps that are no kept runs cost, each in the cheapest way that makes it.

    Args:
        steps: in any order.
        texts: the texts as numbers.
        costs: of every operation.

    Returns:
        Nats.
    """
    prices, larger = _single(steps, texts, costs)
    total = float(prices.sum())
    for o0, o1, c0, c1, _ in steps[larger].tolist():
        m, n = o1 - o0, c1 - c0
        o = tuple(texts.original[o0:o1].tolist()) if m <= 3 else ()
        c = tuple(texts.copy[c0:c1].tolist()) if n <= 3 else ()
        total += min(_listed(o, c, (m, n), costs), _other(o, c, (m, n), texts, costs, (o0, o1, c0, c1)))
    return total


def _single(steps: Array, texts: NumberedTexts, costs: Costs) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Give the costs of the steps of at most one letter a side, and which steps are larger."""
    if COMPILED:
        prices, larger = np.empty(len(steps)), np.empty(len(steps), dtype=np.bool_)
        found = scan.price_steps(
            np.ascontiguousarray(steps, dtype=np.int32).ravel(),
            texts.original.view(np.uint8),
            texts.copy.view(np.uint8),
            texts.original.itemsize,
            costs.exact.ravel(),
            costs.exact.shape[1],
            costs.gaps,
            costs.gap_open,
            NEVER,
            prices,
            larger.view(np.uint8),
        )
        return prices[:found], larger
    n, m = steps[:, 1] - steps[:, 0], steps[:, 3] - steps[:, 2]
    small = np.maximum(n, m) <= 1
    there, here, single = n[small] > 0, m[small] > 0, steps[small]
    rows, columns = np.zeros(len(single), dtype=np.int64), np.zeros(len(single), dtype=np.int64)
    rows[there] = texts.original[single[there, 0]].astype(np.int64) + 1
    columns[here] = texts.copy[single[here, 2]].astype(np.int64) + 1
    gap = np.full(len(single), NEVER)
    gap[~here] = costs.gaps[rows[~here] - 1] + costs.gap_open
    gap[~there] = costs.gaps[columns[~there] - 1] + costs.gap_open
    return np.minimum(costs.exact[rows, columns], gap), ~small


def _listed(o: tuple[int, ...], c: tuple[int, ...], sizes: tuple[int, int], costs: Costs) -> float:
    """Give the cost of an operation of several letters; ``NEVER`` where it is none."""
    if max(sizes) > 3:
        return NEVER
    row = costs.original_grams.get(o, -1) if len(o) > 1 else sum(o) + len(o)
    column = costs.copy_grams.get(c, -1) if len(c) > 1 else sum(c) + len(c)
    return float(costs.exact[row, column]) if row >= 0 and column >= 0 else NEVER


def _other(
    o: tuple[int, ...],
    c: tuple[int, ...],
    sizes: tuple[int, int],
    texts: NumberedTexts,
    costs: Costs,
    span: tuple[int, int, int, int],
) -> float:
    """Give the cost of a long gap or of an exchange; ``NEVER`` where it is neither."""
    if not sizes[1]:
        return costs.gap_open + float(costs.gaps[texts.original[span[0] : span[1]]].sum())
    if not sizes[0]:
        return costs.gap_open + float(costs.gaps[texts.copy[span[2] : span[3]]].sum())
    if sizes == (2, 2):
        there, here = texts.folded[list(o)].tolist(), texts.folded[list(c)].tolist()
        if there == here[::-1] and there[0] != there[1]:
            return costs.swap
    return NEVER
