"""The figures of a blind test: precision and recall, reliability, the Brier score and its parts.

Arrives: proposals beside the truth, and what went wrong where. Leaves: figures with intervals
clustered by page and survivor, for all kinds together and kind by kind. Start reading at
``precisions``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from fidelity.terms import ALL_KINDS, Band, BrierParts, Precision, TrialReading
from fidelity.trial.interval import share_interval

LEVELS = (0.5, 0.8, 0.9)
BANDS = (0.2, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)

WrongPlaces = Mapping[str, int]  # kind of what went wrong -> at how many places; all kinds under ALL_KINDS


def right_interval(readings: Sequence[TrialReading], confidence: float) -> tuple[float, float]:
    """Give the interval of the share that was right, clustered by page and by survivor."""
    right = Counter(one.page for one in readings if one.right)
    survivors = {one.page: one.survivor for one in readings}
    return share_interval(right, Counter(one.page for one in readings), confidence, survivors)


def precisions(
    readings: Sequence[TrialReading], wrong: WrongPlaces, confidence: float, kind: str = ALL_KINDS
) -> list[Precision]:
    """Say how the proposals of at least 0.5, 0.8 and 0.9 fared.

    Args:
        readings: every proposal.
        wrong: at how many places something went wrong, by kind.
        confidence: of the intervals, 0-1.
        kind: only proposals of this kind, or ``ALL_KINDS``.
    """
    ours = _of_kind(readings, kind)
    found = []
    for level in LEVELS:
        some = [one for one in ours if one.probability >= level]
        right = [one for one in some if one.right]
        limits = right_interval(some, confidence)
        found.append(
            Precision(level, len(some), len(right), *limits, wrong.get(kind, 0), _restored(right), kind)
        )
    return found


def bands(
    readings: Sequence[TrialReading], wrong: WrongPlaces, confidence: float, kind: str = ALL_KINDS
) -> list[Band]:
    """Set what was said beside what was found, band by band; bands without proposals are left out.

    Args: as ``precisions``.
    """
    ours = _of_kind(readings, kind)
    found = []
    for low, high in pairwise(BANDS):
        some = [one for one in ours if low <= one.probability < high or one.probability == high == BANDS[-1]]
        if not some:
            continue
        said = sum(one.probability for one in some) / len(some)
        right = [one for one in some if one.right]
        limits = right_interval(some, confidence)
        share, places = len(right) / len(some), wrong.get(kind, 0)
        found.append(Band(low, high, len(some), said, share, *limits, places, _restored(right), kind))
    return found


def _of_kind(readings: Sequence[TrialReading], kind: str) -> list[TrialReading]:
    return [one for one in readings if kind in (ALL_KINDS, one.kind)]


def _restored(right: Sequence[TrialReading]) -> int:
    """Count the places restored in full: a single letter may leave others wrong."""
    return sum(not one.single for one in right)


def brier(readings: Sequence[TrialReading]) -> float | None:
    """Give the mean squared difference of probability and outcome (Brier 1950, one-class form)."""
    if not readings:
        return None
    return sum((one.probability - one.right) ** 2 for one in readings) / len(readings)


def brier_parts(
    readings: Sequence[TrialReading], kind: str = ALL_KINDS, borders: Sequence[float] = BANDS
) -> BrierParts | None:
    """Give the Brier score with the parts it is the sum of; None where nothing was proposed.

    Reliability, resolution and uncertainty: Murphy 1973, Journal of Applied Meteorology 12,
    595-600. He has so many different probabilities; where they are put together in bands, two terms
    are wanted for what differs within a band, and the sum is exact again: Stephenson, Coelho &
    Jolliffe 2008, Weather and Forecasting 23, 752-757.

    Args:
        readings: every proposal.
        kind: only proposals of this kind, or ``ALL_KINDS``.
        borders: of the bands; what lies below the first is a band too.
    """
    ours = _of_kind(readings, kind)
    score = brier(ours)
    if score is None:
        return None
    by_band: dict[int, list[TrialReading]] = {}
    for one in ours:
        by_band.setdefault(sum(one.probability >= border for border in borders[:-1]), []).append(one)
    number, right = len(ours), sum(one.right for one in ours)
    mean = right / number
    reliability = resolution = variance = covariance = 0.0
    for some in by_band.values():
        said = sum(one.probability for one in some) / len(some)
        found = sum(one.right for one in some) / len(some)
        reliability += len(some) * (said - found) ** 2
        resolution += len(some) * (found - mean) ** 2
        variance += sum((one.probability - said) ** 2 for one in some)
        covariance += 2 * sum((one.probability - said) * (one.right - found) for one in some)
    reliability, resolution, variance, covariance = (
        part / number for part in (reliability, resolution, variance, covariance)
    )
    uncertainty = mean * (1 - mean)
    return BrierParts(kind, number, right, score, reliability, resolution, uncertainty, variance, covariance)
