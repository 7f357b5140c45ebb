"""Draw the reliability of the blind test: what was said against what was found.

Arrives: the bands of a blind test, as ``trial_bands.csv`` has them. Leaves: a picture of all proposals, and
one of those kinds of which there are enough. Start reading at ``reliability_pictures``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.confusions import in_short
from fidelity.apparatus.pictures.panel import Panel, Scale
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import Sheet
from fidelity.apparatus.pictures.signs import visible
from fidelity.apparatus.tables import shown
from fidelity.terms import Band, Trial

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DRAWN_FROM = 20  # proposals; a picture of fewer shows intervals from top to bottom and nothing else
LEFT, HEAD, FOOT, BARS, BELOW = 2.8, 1.9, 3.6, 3.4, 0.6  # ems: scale, title, ticks and name, bars, below them
WIDEST = 24.0  # ems of the square; larger it shows no more
TOLD = (
    "On the dashed line a dot is right as often as was said; below it too much was said, above it too little."
    " Strokes: intervals. An open square: the interval does not hold what was said. Bars: how many proposals."
)


def reliability_pictures(trial: Trial) -> list[Picture]:
    """Draw all proposals together, and those of each kind of which there are enough."""
    pictures = [_all(trial.bands)] if trial.bands else []
    kinds = dict.fromkeys(band.kind for band in trial.kind_bands)
    groups = tuple(
        (kind, ours)
        for kind in kinds
        for ours in [tuple(band for band in trial.kind_bands if band.kind == kind)]
        if sum(band.proposals for band in ours) >= DRAWN_FROM
    )
    if groups and len(kinds) > 1:
        pictures.append(_by_kind(groups))
    return pictures


def _all(bands: Sequence[Band]) -> Picture:
    return Picture(
        name="reliability",
        title="All proposals: what was said and what was found",
        caption=f"All proposals. {TOLD} The figures: trial_bands.csv",
        description=described(bands),
        table="trial_bands.csv",
        draw=partial(_draw_one, tuple(bands)),
    )


def _by_kind(groups: Sequence[tuple[str, tuple[Band, ...]]]) -> Picture:
    return Picture(
        name="reliability_by_kind",
        title="Kind by kind: what was said and what was found",
        caption=(
            f"The same, kind by kind, where there were {DRAWN_FROM} proposals or more. The figures:"
            " trial_bands.csv"
        ),
        description=" ".join(f"{visible(kind)}: {described(bands)}" for kind, bands in groups),
        table="trial_bands.csv",
        draw=partial(_draw_kinds, tuple(groups)),
    )


def described(bands: Iterable[Band]) -> str:
    """Say in words what the picture shows."""
    told = [
        f"said {shown(band.said)}, found {shown(band.found)} ({shown(band.found_low)} to"
        f" {shown(band.found_high)}) of {band.proposals:,} proposals"
        for band in bands
    ]
    return f"{'; '.join(told)}." if told else "There was no proposal."


def borne_out(band: Band) -> bool:
    """Tell whether the interval of what was found holds the mean of what was said."""
    return band.found_low <= band.said <= band.found_high


def _draw_one(bands: Sequence[Band], sheet: Sheet) -> Figure:
    """Draw one square as wide as the sheet, its bars below."""
    side = min(sheet.ems - LEFT - 1.0, WIDEST)
    figure = sheet.figure(HEAD + side + FOOT + BARS + BELOW)
    panel = sheet.panel(figure, LEFT, HEAD, side, side)
    _square(panel, bands, 6, "probability said")
    panel.title(["share found right"], LEFT - 1.0)
    _bars(sheet.panel(figure, LEFT, HEAD + side + FOOT, side, BARS), bands)
    return figure


def _draw_kinds(groups: Sequence[tuple[str, tuple[Band, ...]]], sheet: Sheet) -> Figure:
    """Draw a small square for each kind, side by side."""
    beside = 2 if sheet.may_grow else 3
    wide = sheet.ems / beside
    side = wide - LEFT - 0.8
    high = HEAD + 1.4 + side + FOOT + BARS + BELOW
    figure = sheet.figure(high * -(-len(groups) // beside))
    for at, (kind, bands) in enumerate(groups):
        left, top = LEFT + wide * (at % beside), HEAD + 1.4 + high * (at // beside)
        panel = sheet.panel(figure, left, top, side, side)
        _square(panel, bands, 3, "said")
        panel.title([visible(kind), "found"], LEFT - 1.0)
        _bars(sheet.panel(figure, left, top + side + FOOT, side, BARS), bands)
    return figure


def _square(panel: Panel, bands: Sequence[Band], ticks: int, name: str) -> None:
    """Draw what was said (across) against what was found (up), with intervals."""
    scale = [(tick / (ticks - 1), f"{tick / (ticks - 1):g}") for tick in range(ticks)]
    panel.scale_below(scale, name, guides=True)
    panel.scale_beside(scale, guides=True)
    panel.strokes([(0, 0, 1, 1)], dashes=(5, 4))
    panel.strokes([(one.said, one.found_low, one.said, one.found_high) for one in bands], above=3)
    for held, form in ((True, "o"), (False, "s")):
        places = [(one.said, one.found) for one in bands if borne_out(one) is held]
        panel.signs(places, form, full=held, ems=0.62)


def _bars(panel: Panel, bands: Sequence[Band]) -> None:
    """Draw how many proposals each band has."""
    most = max(one.proposals for one in bands)
    panel = panel.scaled(Scale(0, 1), Scale(0, most * BARS / (BARS - 1.1)))
    panel.scale_below([])
    panel.bars((one.low, 0, one.high, one.proposals) for one in bands)
    for one in bands:
        middle = (one.low + one.high) / 2
        panel.write(in_short(one.proposals), middle, one.proposals, ems=0.85, up="bottom")
