"""What a table is made of: rows, and the numbers in them cut so that two runs give the same bytes.

Arrives: numbers. Leaves: cells and the rate that many tables have. Start reading at ``Row``.
"""

from __future__ import annotations

from fidelity.confusions.table import DIGITS

Cell = str | int | float | bool | None | tuple[str, ...] | tuple[tuple[str, float], ...]
Row = dict[str, Cell]

ALL = "all"  # the "text" of a score over all survivors
RATE = ("rate_per_1000", "low", "high")


def significant(value: float) -> float:
    """Cut a number to the significant digits that are printed.

    >>> significant(22.22222222), significant(0.05)
    (22.2222, 0.05)
    """
    return float(f"{value:.{DIGITS}g}")


def rate_cells(count: int, chances: int, low: float, high: float) -> Row:
    """Give a rate with its limits per 1,000 chances; nothing where there was no chance."""
    if not chances:
        return dict.fromkeys(RATE)
    rates = (count / chances, low, high)
    return dict(zip(RATE, (significant(1000 * rate) for rate in rates), strict=True))
