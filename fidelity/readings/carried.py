"""How far probabilities learned on some survivors carry over to one they were not learned on.

Arrives: log odds as they were said of held-out candidates by a calibration that had not seen their
survivor, and which of these were right. Leaves: a ``Carried``, which says what such odds are worth.

The log odds are taken to be worth as much as they say unless the held-out candidates speak against it:
a logistic regression on them, held firmly to slope 1 and constant 0. For single letters the slope may be
another above even odds: on print more was right than was said there, and less below.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fidelity.readings.calibrate import ABOUT, Floats, fitted, most_that_can_be_said

# In candidates of even odds, times four. A hundredth of it for the constant and a tenth for the slope let two
# dozen letters of a plain copy double what was said of others (of eight copyists' letters .24 was said, .15
# found); 50 was no better than 20.
FIRMNESS = 20.0


class Carried:
    """P(right | log odds said), learned on survivors that the calibration had not seen.

    Args:
        odds: log odds of each held-out candidate, as said.
        right: for each whether it was right.
        breaks: whether the slope may be another above even odds.
    """

    def __init__(
        self, odds: Sequence[float] | Floats, right: Sequence[bool] | NDArray[np.bool_], breaks: bool
    ):
        self.breaks = breaks
        table, y = self._table(np.asarray(odds, dtype=float)), np.asarray(right, dtype=float)
        width = table.shape[1]
        as_said = np.zeros(width)
        as_said[1] = 1.0
        self.coefficients = fitted(table, y, as_said, np.ones(len(y)), np.full(width, FIRMNESS))
        self.believed = np.sort(self._raw(table))

    def _table(self, odds: Floats) -> Floats:
        columns = [np.ones(len(odds)), odds]
        return np.column_stack([*columns, np.maximum(odds, 0.0)] if self.breaks else columns)

    def _raw(self, table: Floats) -> Floats:
        return np.asarray(1 / (1 + np.exp(-(table @ self.coefficients))))

    def probability(self, odds: float) -> float:
        """Give what such log odds are worth, 0-1; never more than what was held out can support."""
        raw = self._raw(self._table(np.array([odds])))
        as_much = len(self.believed) - np.searchsorted(self.believed, raw - ABOUT)
        return float(np.minimum(raw, most_that_can_be_said(as_much))[0])
