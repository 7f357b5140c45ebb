"""What a table is made of: rows, and the numbers in them cut so that two runs give the same bytes.

Arrives: numbers. Leaves: cells and the rate that many tables have. Start reading at ``Row``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.confusions.table import DIGITS
from fidelity.terms import LOST_LETTER, StepEvidence

Cell = str | int | float | bool | None | tuple[str, ...] | tuple[tuple[str, float], ...]
Row = dict[str, Cell]

ALL = "all"  # the "text" of a score over all survivors
GAP_SHOWN = "[…]"  # for a reader: letters that a witness has lost there
NO_CHANCE = "no chance: no evidence"
RATE = ("rate_per_1000", "low", "high")


def significant(value: float) -> float:
    """Cut a number to the significant digits that are printed.

    >>> significant(22.22222222), significant(0.05)
    (22.2222, 0.05)
    """
    return float(f"{value:.{DIGITS}g}")


def with_gaps(text: str) -> str:
    """Print text with a sign for each letter that is lost in it.

    >>> with_gaps("wæt▯")
    'wæt[…]'
    """
    return text.replace(LOST_LETTER, GAP_SHOWN)


def where_the_rest_is(number: int, shown: int, file: str, more: str = "") -> str:
    """Say how many rows are shown, and where all are.

    Args:
        number: of all rows.
        shown: how many are shown at most.
        file: that has all.
        more: what it has beside them.

    >>> where_the_rest_is(1200, 40, "copies.csv"), where_the_rest_is(3, 40, "copies.csv")
    ('The first 40 of 1,200. All of them: copies.csv', 'All of them: copies.csv')
    """
    first = f"The first {shown} of {number:,}. " if number > shown else ""
    return f"{first}All of them{more}: {file}"


def rate_cells(count: int, chances: int, low: float, high: float) -> Row:
    """Give a rate with its limits per 1,000 chances; nothing where there was no chance."""
    if not chances:
        return dict.fromkeys(RATE)
    rates = (count / chances, low, high)
    return dict(zip(RATE, (significant(1000 * rate) for rate in rates), strict=True))


def evidence_cell(evidence: Sequence[StepEvidence]) -> tuple[str, ...]:
    """Give how often each assumed operation was seen: count, chances, limits of the rate per 1,000 chances.

    >>> evidence_cell([StepEvidence("s→r", 72, 2910, 0.0196, 0.0309)])
    ('s→r 72 of 2,910 (19.6-30.9 per 1,000)',)
    >>> evidence_cell([StepEvidence("ð→d", 0, 0, 0.0, 1.0)])
    ('ð→d no chance: no evidence',)
    """
    return tuple(
        f"{one.step} {one.count:,} of {one.chances:,} ({1000 * one.low:.3g}-{1000 * one.high:.3g} per 1,000)"
        if one.chances
        else f"{one.step} {NO_CHANCE}"
        for one in evidence
    )
