"""Draw what must be expected in the lost texts, and how such forecasts fared on the survivors.

Arrives: the forecasts of an audit, as ``forecast.csv`` and ``forecast_trial.csv`` have them. Leaves: two
pictures. Start reading at ``forecast_picture``. The scale is one of square roots: two errors and two hundred
find room on it, and none has its place.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import sqrt
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import Panel, Scale
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import Sheet
from fidelity.apparatus.pictures.signs import visible, width_of
from fidelity.apparatus.tables import shown, shown_in
from fidelity.terms import Forecast, Limits

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HEADLINES = ("letters", "words", "division")
WORDS = "words"
MOST_TEXTS, MOST_ROWS = 6, 45  # panels of a picture; rows that stand on one page
LABELS, NUMBERS, ROW, HEAD, FOOT = 11.2, 4.2, 1.5, 1.9, 2.2  # ems: names, numbers, a row, title, scale
THICK = 0.22  # of a row: half of a bar
ROUND = (1, 2, 5, 10, 20, 50)  # ticks are these times 1, 100, 10,000 ...
SCALE = "The scale is of square roots, so that few and many find room."

Chosen = tuple[str, tuple[Forecast, ...]]  # a lost text, or a measure, and what is drawn of it
Stroke = tuple[float, float, float, float]


def forecast_picture(forecasts: Sequence[Forecast]) -> Picture | None:
    """Draw how many errors of each kind each lost text must be expected to hold; None where none is lost."""
    texts = list(dict.fromkeys(one.text for one in forecasts))
    panels = tuple((text, _told_of(forecasts, text)) for text in texts[:MOST_TEXTS])
    if not panels:
        return None
    bare = any(one.limits is None for _, rows in panels for one in rows)
    assumed = any(one.assumed_factor is not None for _, rows in panels for one in rows)
    left_out = f" The first {MOST_TEXTS} of {len(texts)} texts." if len(texts) > MOST_TEXTS else ""
    return Picture(
        name="forecast",
        title="Errors to be expected in the lost texts",
        caption=(
            "Dots: errors to be expected; bars hold four times in five, fine strokes 19 times in 20."
            + (
                " Open dots with dotted strokes: pages are too few to tell limits; the strokes are those of a"
                " binomial forecast (95 %), as if all pages and texts were alike, and too narrow."
                if bare
                else ""
            )
            + (" Factor: as if half of his texts had so many times the rate of the rest." if assumed else "")
            + f" {SCALE}{left_out} The figures: forecast.csv"
        ),
        description=" ".join(_described(*panel) for panel in panels),
        table="forecast.csv",
        draw=partial(_draw, panels, False),
    )


def check_picture(checks: Sequence[Forecast]) -> Picture | None:
    """Draw every survivor as predicted from the others, with what it holds; None where none was."""
    known = [one for one in checks if one.measure in HEADLINES and one.limits and one.actual is not None]
    rows = known if len(known) <= MOST_ROWS else [one for one in known if one.measure == WORDS]
    if not rows:
        return None
    rows = sorted(rows, key=lambda one: -one.chances)[:MOST_ROWS]
    panels = tuple(
        (measure, tuple(one for one in rows if one.measure == measure))
        for measure in HEADLINES
        if any(one.measure == measure for one in rows)
    )
    left_out = f" {len(rows)} of {len(known)} forecasts." if len(rows) < len(known) else ""
    return Picture(
        name="forecast_trial",
        title="Every survivor predicted from the others",
        caption=(
            "Upright strokes: errors expected; bars hold four times in five, fine strokes 19 times in"
            " 20. A full dot: errors there are, within the fine stroke; an open square: outside it. To the"
            f" right: how many there are. {SCALE}{left_out} The figures: forecast_trial.csv"
        ),
        description=" ".join(_checked(*panel) for panel in panels),
        table="forecast_trial.csv",
        draw=partial(_draw, panels, True),
    )


def _told_of(forecasts: Sequence[Forecast], text: str) -> tuple[Forecast, ...]:
    """Choose what is drawn of a text: every kind, and under assumptions altered words only."""
    return tuple(
        one for one in forecasts if one.text == text and (one.assumed_factor is None or one.measure == WORDS)
    )


def _name(one: Forecast) -> str:
    """Give the kind, with what was assumed."""
    name = visible(shown_in("class", one.measure))
    return name if one.assumed_factor is None else f"{name}, factor {one.assumed_factor:g}"


def _described(text: str, rows: Sequence[Forecast]) -> str:
    """Say in words what the panel of a lost text shows."""
    told = [
        f"{_name(one)} {shown(one.expected)}"
        + (f" (80 % {one.limits.low80:,} to {one.limits.high80:,})" if one.limits else " (limits not known)")
        for one in rows
    ]
    return f"{visible(text)} must be expected to hold: {'; '.join(told)}."


def _checked(measure: str, rows: Sequence[Forecast]) -> str:
    """Say in words what the panel of a measure shows."""
    told = [
        f"{visible(one.text)} {one.actual:,} of {shown(one.expected)} expected (95 % {one.limits.low95:,} to"
        f" {one.limits.high95:,})"
        for one in rows
        if one.limits
    ]
    return f"{measure.capitalize()}: {'; '.join(told)}."


def _draw(panels: Sequence[Chosen], checked: bool, sheet: Sheet) -> Figure:
    """Draw a panel for each text, or measure, one below the other."""
    highs = [HEAD + ROW * len(rows) + FOOT for _, rows in panels]
    figure = sheet.figure(sum(highs))
    labels = [[visible(one.text, 12) if checked else _name(one) for one in rows] for _, rows in panels]
    left = min(LABELS, 1.2 + max(width_of(name) for names in labels for name in names))
    for at, ((title, rows), names) in enumerate(zip(panels, labels, strict=True)):
        top = sum(highs[:at]) + HEAD
        bare = sheet.panel(figure, left, top, sheet.ems - left - NUMBERS, ROW * len(rows))
        panel = _scaled(bare, rows)
        panel.title([visible(title) if checked else f"{visible(title)}: errors to be expected"], left - 0.6)
        panel.rows(
            names, [f"{one.actual:,}" if checked else shown(one.expected) for one in rows], NUMBERS - 0.2
        )
        _limits(panel, rows)
        (_actual if checked else _expected)(panel, rows)
    return figure


def _scaled(bare: Panel, rows: Sequence[Forecast]) -> Panel:
    """Give the panel with a scale of square roots, as far as the rows need it."""
    most = max(1, *(max(_outer(one)[1], one.expected, one.actual or 0) for one in rows))
    panel = bare.scaled(Scale(0, most * 1.04, sqrt), Scale(len(rows), 0))
    ticks, last = [0], 0.0
    for tick in (step * 100**power for power in range(6) for step in ROUND):
        if tick <= most and sqrt(tick) - last > 0.13 * sqrt(most):  # room for the number before
            ticks.append(tick)
            last = sqrt(tick)
    panel.scale_below([(tick, f"{tick:,}") for tick in ticks], guides=True)
    return panel


def _outer(one: Forecast) -> tuple[int, int]:
    """Give the outer limits that are drawn: the forecast's, or the binomial ones where it has none."""
    limits: Limits = one.limits or one.binomial
    return limits.low95, limits.high95


def _limits(panel: Panel, rows: Sequence[Forecast]) -> None:
    """Draw the limits: bars and fine strokes, dotted where the forecast has none of its own."""
    fine, broad, dotted = list[Stroke](), list[Stroke](), list[Stroke]()
    for at, one in enumerate(rows):
        y, (low, high) = at + 0.5, _outer(one)
        (fine if one.limits else dotted).append((low, y, high, y))
        if one.limits:
            broad.append((one.limits.low80, y - THICK, one.limits.high80, y + THICK))
    panel.strokes(fine)
    panel.bars(broad, above=3)
    panel.strokes(dotted, dashes=(1, 2))


def _expected(panel: Panel, rows: Sequence[Forecast]) -> None:
    """Set a dot at what must be expected, open where it has no limits of its own."""
    for full in (True, False):
        places = [(one.expected, at + 0.5) for at, one in enumerate(rows) if bool(one.limits) is full]
        panel.signs(places, "o", full)


def _actual(panel: Panel, rows: Sequence[Forecast]) -> None:
    """Draw what was expected as upright strokes, what there is as signs, full where the forecast held."""
    means = [(one.expected, at + 0.5) for at, one in enumerate(rows)]
    panel.strokes([(x, y - 0.38, x, y + 0.38) for x, y in means], width=1.6, above=4)
    for held, form in ((True, "o"), (False, "s")):
        places = [
            (one.actual or 0, at + 0.5)
            for at, one in enumerate(rows)
            if (_outer(one)[0] <= (one.actual or 0) <= _outer(one)[1]) is held
        ]
        panel.signs(places, form, full=held)
