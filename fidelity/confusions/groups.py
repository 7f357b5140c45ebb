"""One confusion under all values of one circumstance, as the pooling of rates needs it.

Arrives: ``Seats``. Leaves: ``Group``s. Start reading at ``group_of``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.circumstances import PairSeats, Seats
from fidelity.confusions.surroundings import Pair

Floats = NDArray[np.float64]

RATES_ABOVE = 9  # points at which the rate above is looked at, evenly in its log-odds ...
REACH = 3.5  # ... and so many standard deviations to either side of the likeliest


@dataclass(frozen=True)
class Group:
    """One confusion under the values of one circumstance.

    Attributes:
        pair: the confusion, in letters.
        values: of the circumstance.
        count, chances: of each value.
        effect: by how much pages that differ make each value's chances worth less.
        factor: by how much the rate above differs for each value, since it stands at certain places.
    """

    pair: Pair
    values: tuple[str, ...]
    count: Floats
    chances: Floats
    effect: Floats
    factor: Floats

    @property
    def rate(self) -> float:
        """Give the rate above: over all values."""
        return float(self.count.sum() / self.chances.sum())

    def above(self) -> tuple[Floats, Floats]:
        """Give the rates above that are possible, and the logarithms of their prior weights."""
        share = (self.count.sum() + 0.5) / (self.chances.sum() + 1)
        known = share * (1 - share) * self.chances.sum() / self.effect.max()
        odds = np.log(share / (1 - share)) + np.linspace(-REACH, REACH, RATES_ABOVE) / np.sqrt(known)
        rates = 1 / (1 + np.exp(-odds))
        return rates, (np.log(rates) + np.log1p(-rates)) / 2  # Jeffreys' prior, of the log-odds


def group_of(pair: Pair, by: Seats, at_place: Mapping[str, float] | None, clustered: float) -> Group | None:
    """Put together what was counted under one circumstance; None where it has a single value."""
    values = sorted(value for value, chances in by.chances.items() if chances)
    if len(values) < 2 or not sum(by.count.values()):
        return None
    count = np.array([by.count[value] for value in values], dtype=np.float64)
    chances = np.array([by.chances[value] for value in values], dtype=np.float64)
    share = (count.sum() + 0.5) / (chances.sum() + 1)
    effect = 1 + clustered * share * (1 - share) * chances  # Kish 1965
    return Group(pair, tuple(values), count, chances, effect, _factors(values, by, at_place))


def _factors(values: Sequence[str], by: Seats, at_place: Mapping[str, float] | None) -> Floats:
    """Give for each value the rate of the places it stands at over the rate of all places.

    The rates at places are drawn towards the rate of all themselves, so that a place with few chances
    says little, and the place nothing where confusions do not depend on it.
    """
    if not at_place:
        return np.ones(len(values))
    expected = np.zeros(len(values))
    for place, (_, chances) in by.at_place.items():
        if chances:
            expected += at_place[place] * np.array([chances[value] for value in values])
    every = np.array([by.chances[value] for value in values])
    return np.asarray(expected / every * (every.sum() / expected.sum()), dtype=np.float64)


def clustering(seats: PairSeats) -> float:
    """Give the share of squares of the pages' chances: 1 / the effective number of pages."""
    pages: Counter[tuple[str, ...]] = Counter()
    for (text, (page, script, _)), unit in seats.units.items():  # two languages of one page share its luck
        pages[text, page, script] += unit.chances.total()
    total = pages.total()
    return sum(chances * chances for chances in pages.values()) / total**2 if total else 1.0
