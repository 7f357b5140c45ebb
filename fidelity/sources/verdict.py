"""The verdict on a copy and another witness: what the places and the tests come to, in plain words.

Arrives: the places where the witness is peculiar. Leaves: those that count, their best stretch, p-values and
the verdict. Start reading at ``tested_of``.
"""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from math import comb

import numpy as np

from fidelity.settings import Settings
from fidelity.sources.chance import fisher, p_by_coincidence, p_by_position, p_of_sharing
from fidelity.sources.scan import Best, Places, best_stretch, outside_of
from fidelity.terms.imported import PeculiarLocus, Sharing, Verdict

FEWEST = 3  # places that count; of fewer no order of them is improbable (1 in 3 at best)
FEWEST_SHARED = 2  # one agreement has no edges
SURE_THROUGHOUT = 0.05  # level of the test that more is shared than coincidence explains
SURE_STRETCH = 0.01  # level of the test by position where more is shared outside the stretch as well (chosen)


@dataclass(frozen=True)
class Tested:
    """The places that count, their best stretch, the three p-values and the verdict."""

    counted: list[PeculiarLocus]
    best: Best | None
    p_values: tuple[float | None, float | None, float | None]
    verdict: Verdict


def tested_of(places: Sequence[PeculiarLocus], settings: Settings, name: str) -> Tested:
    """Test the best stretch and give the verdict."""
    counted = [one for one in places if one.counts]
    row = Places(
        np.array([one.sharing is Sharing.SHARED for one in counted], dtype=np.bool_),
        np.array([one.coincidence for one in counted], dtype=np.float64),
        np.array([one.direction for one in counted], dtype=np.float64),
    )
    best = best_stretch(row, settings.confidence) if len(row) else None
    if len(row) < FEWEST or best is None:
        verdict = Verdict.TOO_LITTLE if len(row) < FEWEST else Verdict.NO_SIGN
        return Tested(counted, best, (None, None, None), verdict)
    rng = np.random.default_rng([settings.seed, zlib.crc32(name.encode("utf-8"))])
    by_chance, by_place = p_by_coincidence(row, best, rng), p_by_position(row, best, rng)
    throughout = p_of_sharing(row, rng)
    shared = int(row.shared.sum())
    level = 1 - settings.confidence
    if throughout <= SURE_THROUGHOUT and p_of_sharing(outside_of(row, best), rng) <= SURE_THROUGHOUT:
        needed = SURE_STRETCH  # the rival explanation is alive: sharing does not stop at the edge
    else:
        needed = level
    if by_chance <= level and by_place <= needed and shared >= FEWEST_SHARED:
        verdict = Verdict.IMPORTED
    elif throughout <= SURE_THROUGHOUT or (by_chance <= level and shared == len(row)):
        verdict = Verdict.THROUGHOUT
    elif by_chance <= level and _least_by_position(row) > level:
        verdict = Verdict.TOO_LITTLE
    else:
        verdict = Verdict.NO_SIGN
    return Tested(counted, best, (by_chance, by_place, throughout), verdict)


def _least_by_position(row: Places) -> float:
    """Give the least that the test by position can give: all that is shared stands together."""
    shared = int(row.shared.sum())
    return (len(row) - shared + 1) / comb(len(row), shared)


def fisher_of(counted: Sequence[PeculiarLocus], best: Best | None) -> float | None:
    """Give Fisher's exact test of the best stretch against what is outside; None where nothing is."""
    if best is None:
        return None
    inside, outside = [0, 0], [0, 0]
    for at, one in enumerate(counted):
        if not one.own:
            continue
        side = inside if best.first <= at <= best.last else outside
        side[one.sharing is not Sharing.SHARED] += 1
    return fisher((inside[0], inside[1]), (outside[0], outside[1])) if any(outside) else None
