"""How far probabilities learned on some survivors carry over to one they were not learned on.

Arrives: log odds as they were said of held-out candidates by a calibration that had not seen their
survivor, and which of these were right. Leaves: a ``Carried``, which says what such odds are worth.

The log odds are taken to be worth as much as they say unless the held-out candidates speak against it:
a logistic regression on them, held firmly to slope 1 and constant 0. Above some odds the slope may be
another: for single letters above even odds (on print more was right than was said there, and less below),
for whole readings above nine in ten (some errors nobody can see, and no evidence makes quite sure).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fidelity.readings.calibrate import Floats, fitted, no_more_than_supported

# In candidates of even odds, times four. A hundredth of it for the constant and a tenth for the slope let two
# dozen letters of a plain copy double what was said of others (of eight copyists' letters .24 was said, .15
# found); 50 was no better than 20.
FIRMNESS = 20.0
BREAK_FIRMNESS = 10.0  # of what the slope is more or less above the break


class Carried:
    """P(right | log odds said), learned on survivors that the calibration had not seen.

    Args:
        odds: log odds of each held-out candidate, as said.
        right: for each whether it was right.
        break_at: log odds above which the slope may be another; None for nowhere.
    """

    def __init__(
        self,
        odds: Sequence[float] | Floats,
        right: Sequence[bool] | NDArray[np.bool_],
        break_at: float | None,
    ):
        self.break_at = break_at
        table, y = self._table(np.asarray(odds, dtype=float)), np.asarray(right, dtype=float)
        width = table.shape[1]
        as_said = np.zeros(width)
        as_said[1] = 1.0
        firmness = np.array([FIRMNESS, FIRMNESS, BREAK_FIRMNESS][:width])
        self.coefficients = fitted(table, y, as_said, np.ones(len(y)), firmness)
        self.believed = np.sort(self._raw(table))

    def _table(self, odds: Floats) -> Floats:
        columns = [np.ones(len(odds)), odds]
        if self.break_at is not None:
            columns.append(np.maximum(odds - self.break_at, 0.0))
        return np.column_stack(columns)

    def _raw(self, table: Floats) -> Floats:
        return np.asarray(1 / (1 + np.exp(-(table @ self.coefficients))))

    def probability(self, odds: float) -> float:
        """Give what such log odds are worth, 0-1; never more than what was held out can support."""
        return float(no_more_than_supported(self._raw(self._table(np.array([odds]))), self.believed)[0])
