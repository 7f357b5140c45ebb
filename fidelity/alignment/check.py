"""Check an alignment against the full programme, and tell how much dearer it is.

Arrives: an alignment. Leaves: an ``AlignmentCheck``. Start reading at ``check_alignment``.

The aligner weighs only what lies between its anchors. Here stretches drawn at random are weighed
whole, without anchors and without a band, under the same costs: the gap is what the anchors cost.
"""

from __future__ import annotations

import random
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.alignment.align import Pair
from fidelity.alignment.channel import AnswerTotals
from fidelity.alignment.costs import Costs, costs_from
from fidelity.alignment.layout import FULL_CELLS, lay_out
from fidelity.alignment.steps import cost_of, kept_runs
from fidelity.alignment.windows import solve_windows
from fidelity.errors import DataError
from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import NO_FOLDS, Folds

SAMPLES = 20  # stretches; with 1,000 letters each a few seconds at most
LETTERS = 1_000  # letters of the original a stretch; longer than any window at 5 % noise
NO_DIFFERENCE = 1e-5  # nats; the programme reckons in whole numbers, so that ways as good differ by less

Steps = npt.NDArray[np.int64]


@dataclass(frozen=True)
class AlignmentCheck:
    """What was found in stretches aligned in full.

    Attributes:
        stretches: how many were looked at.
        letters: letters of the original in them, blanks apart.
        cost: what the alignment costs there, in nats.
        least: what the best alignment costs there.
        worst: offsets in the original of the stretch with the largest excess; None where there is none.
        worst_excess: its excess, in nats.
    """

    stretches: int
    letters: int
    cost: float
    least: float
    worst: tuple[int, int] | None
    worst_excess: float

    @property
    def excess(self) -> float:
        """By what share the alignment costs more than the best, 0 where it does not."""
        return (self.cost - self.least) / self.least if self.worst is not None and self.least else 0.0

    @property
    def excess_nats(self) -> float:
        """By how much the alignment costs more than the best, in nats."""
        return self.cost - self.least if self.worst is not None else 0.0


def check_alignment(
    alignment: Alignment,
    folds: Folds = NO_FOLDS,
    *,
    samples: int = SAMPLES,
    letters: int = LETTERS,
    seed: int = 1,
) -> AlignmentCheck:
    """Align stretches of an alignment in full, and compare what they cost.

    Args:
        alignment: made by ``align_witnesses``.
        folds: those it was made with.
        samples: stretches to draw; where the text has no more than so many, all of it is looked at.
        letters: letters of the original a stretch, about; it begins and ends inside kept letters.
        seed: the same seed draws the same stretches.

    Raises:
        DataError: it is not known what costs the alignment was made with.
    """
    if alignment.counted is not None and not isinstance(alignment.counted, AnswerTotals):
        raise DataError("this alignment was not made here", remedy="align the two texts again")
    pair = Pair(alignment.original, alignment.copy, folds)
    costs = costs_from(pair.channel(alignment.counted), pair.texts.letters)
    total = least = worst_excess = 0.0
    looked_at, worst = 0, None
    stretches = _stretches(alignment, samples, letters, seed)
    for steps in stretches:
        here, best = (
            cost_of_steps(steps, pair, costs),
            cost_of_steps(in_full(steps, pair, costs), pair, costs),
        )
        total, least = total + here, least + best
        start, end = int(steps[0, 0]), int(steps[-1, 1])
        looked_at += sum(not letter.isspace() for letter in alignment.original.letters[start:end])
        if here - best > max(worst_excess, NO_DIFFERENCE):
            worst, worst_excess = (start, end), here - best
    return AlignmentCheck(len(stretches), looked_at, total, least, worst, worst_excess)


def _stretches(alignment: Alignment, samples: int, letters: int, seed: int) -> list[Steps]:
    """Draw stretches, each as its steps, those at the ends cut."""
    steps = alignment.steps
    if not len(steps):
        return []
    whole = len(alignment.original)
    parts = max(whole // max(letters, 1), 1)
    chosen = range(parts)
    if parts > samples:
        chosen = sorted(random.Random(seed).sample(range(parts), samples))  # type: ignore[assignment]  # noqa: S311
    kept = np.flatnonzero((steps[:, 4] == StepKind.KEPT) & (steps[:, 1] - steps[:, 0] > 1))
    found = []
    for part in chosen:
        start = _kept_place(steps, kept, whole * part // parts)
        end = _kept_place(steps, kept, whole * (part + 1) // parts)
        first = 0 if part == 0 or start is None else start[0]
        last = len(steps) - 1 if part + 1 == parts or end is None else end[0]
        if first > last:
            continue
        inside = steps[first : last + 1].astype(np.int64)
        if part + 1 < parts and end is not None:
            inside[-1, [1, 3]] += end[1] - inside[-1, 1]
        if part and start is not None:
            inside[0, [0, 2]] += start[1] - inside[0, 0]
        spans = inside[-1, 1] - inside[0, 0], inside[-1, 3] - inside[0, 2]
        if (spans[0] + 1) * (spans[1] + 1) <= FULL_CELLS and max(spans) > 0:
            found.append(inside)
    return found


def _kept_place(
    steps: npt.NDArray[np.int32], kept: npt.NDArray[np.int64], offset: int
) -> tuple[int, int] | None:
    """Give the kept step at or after an offset, and the middle of it; None where there is none."""
    at = int(np.searchsorted(steps[kept, 1], offset))
    if at == len(kept):
        return None
    step = int(kept[at])
    if steps[step, 1] - steps[step, 0] != steps[step, 3] - steps[step, 2]:
        return None
    return step, int((steps[step, 0] + steps[step, 1]) // 2)


def in_full(steps: Steps, pair: Pair, costs: Costs) -> Steps:
    """Align what the steps cover in full."""
    window = np.array([[steps[0, 0], steps[-1, 1], steps[0, 2], steps[-1, 3]]])
    layout = lay_out(pair.texts.original, pair.texts.copy, pair.texts.folded, window)
    return solve_windows(layout, costs).astype(np.int64)


def cost_of_steps(steps: Steps, pair: Pair, costs: Costs) -> float:
    """Give what steps cost, kept runs letter by letter."""
    run = kept_runs(steps, pair.texts, pair.free)
    total = cost_of(steps[~run], pair.texts, costs)
    for o0, o1, c0, c1, _ in steps[run].tolist():
        rows = pair.texts.original[o0:o1].astype(np.int64) + 1
        total += float(costs.exact[rows, pair.texts.copy[c0:c1].astype(np.int64) + 1].sum())
    return total
