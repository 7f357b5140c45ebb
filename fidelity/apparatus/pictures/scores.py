"""Draw the score card: how often each kind of thing went wrong, with intervals.

Arrives: the scores of an audit, as ``scores.csv`` has them. Leaves: a picture. Start reading at
``scores_picture``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import ceil, floor, log10
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import ALL
from fidelity.apparatus.pictures.panel import Scale, ticks_to
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import Sheet
from fidelity.apparatus.pictures.signs import visible
from fidelity.apparatus.tables import shown, shown_in
from fidelity.terms import Score

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FEWEST = 3  # kinds with a rate; the table says fewer as well
ORDERS_APART = 30  # times the least rate: from there a plain scale would press most rates onto its edge
LEAST = 0.001  # per 1,000: a scale of tens that began lower would be all room and no rates
NAME = "errors per 1,000 chances"
LABELS, COUNTS, ROW, FOOT = 11.2, 4.2, 1.5, 3.4  # ems: names, numbers of errors, a row, the scale


def scores_picture(scores: Sequence[Score], confidence: float) -> Picture | None:
    """Draw every kind's rate over all survivors; None where hardly any is known.

    Args:
        scores: the score card.
        confidence: of the intervals, 0-1.
    """
    rows = [one for one in scores if one.text == ALL and one.chances]
    if len(rows) < FEWEST or not any(one.errors for one in rows):
        return None
    return Picture(
        name="scores",
        title="How often each kind of thing went wrong",
        caption=(
            f"Dots: errors per 1,000 chances; strokes: {confidence:.0%} interval; to the right: how many"
            f" errors. A triangle stands for what was never seen, at the upper limit of its rate."
            f"{' Each step of the scale is ten times the one before.' if _far_apart(rows) else ''}"
            " Each kind has chances of its own. The row “all” of each kind: scores.csv"
        ),
        description=described(rows),
        table="scores.csv",
        draw=partial(_draw, tuple(rows)),
    )


def described(rows: Sequence[Score]) -> str:
    """Say in words what the picture shows."""
    seen = [
        f"{_name(one)} {shown(1000 * one.errors / one.chances)} ({shown(1000 * one.low)} to"
        f" {shown(1000 * one.high)})"
        for one in rows
        if one.errors
    ]
    never = [f"{_name(one)} at most {shown(1000 * one.high)}" for one in rows if not one.errors]
    told = f"Errors per 1,000 chances, with their intervals: {'; '.join(seen)}."
    return f"{told} Never seen: {'; '.join(never)}." if never else told


def _name(one: Score) -> str:
    return visible(shown_in("measure", one.measure))


def _far_apart(rows: Sequence[Score]) -> bool:
    rates = [one.errors / one.chances for one in rows if one.errors]
    return max(rates) > ORDERS_APART * min(rates)


def _draw(rows: Sequence[Score], sheet: Sheet) -> Figure:
    """Draw a row for each kind: its name, rate and interval on one scale, and how many errors."""
    high = len(rows) * ROW
    figure = sheet.figure(high + FOOT + 0.3)
    across, ticks = _scale(rows)
    bare = sheet.panel(figure, LABELS, 0.3, sheet.ems - LABELS - COUNTS, high)
    panel = bare.scaled(across, Scale(len(rows), 0))
    panel.scale_below([(tick, f"{tick:,g}") for tick in ticks], NAME, guides=True)
    placed = [(at + 0.5, one) for at, one in enumerate(rows)]
    panel.strokes(_interval(one, y, across.first) for y, one in placed)
    panel.signs([(1000 * one.errors / one.chances, y) for y, one in placed if one.errors], "o", full=True)
    panel.signs([(1000 * one.high, y) for y, one in placed if not one.errors], "<", full=False)
    panel.rows([_name(one) for one in rows], [f"{one.errors:,}" for one in rows], COUNTS - 0.2)
    return figure


def _scale(rows: Sequence[Score]) -> tuple[Scale, list[float]]:
    """Give the scale with its ticks, by powers of ten where the rates lie far apart."""
    most = max(1000 * one.high for one in rows) * 1.05
    if not _far_apart(rows):
        return Scale(0, most), ticks_to(most)
    least = min(1000 * (one.low if one.errors else one.high) for one in rows)
    least = max(least, LEAST) * 0.8
    powers = range(ceil(log10(least)), floor(log10(most)) + 1)
    return Scale(least, most, log10), [10.0**power for power in powers]


def _interval(one: Score, y: float, edge: float) -> tuple[float, float, float, float]:
    """Give the stroke of an interval; of what was never seen from the edge."""
    return max(1000 * one.low, edge) if one.errors else edge, y, 1000 * one.high, y
