"""Draw a strip of each text with what it shares with another witness, and the stretch taken from there.

Arrives: what was found of texts and witnesses, as ``imported.csv`` and ``imported_places.csv`` have it.
Leaves: a picture. Start reading at ``imported_picture``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import Panel, Scale, ticks_to
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import Sheet
from fidelity.apparatus.pictures.signs import visible, width_of
from fidelity.terms import Locus
from fidelity.terms.imported import Imported, PeculiarLocus, Sharing, Verdict, together

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FEWEST, MOST_STRIPS = 3, 6  # readings of a witness's own that count; strips of a picture
LEFT, HEAD, HIGH, STRIP, FOOT = 3.6, 2.4, 9.0, 1.0, 2.6  # ems: scale, title, weights, the strip, its places
APART = 0.8  # ems between two places named below the strip
AIR = 1.12  # times the greatest weight


def imported_picture(found: Sequence[Imported]) -> Picture | None:
    """Draw a strip for each text and witness that has readings enough of its own; None where none has."""
    strips = [one for one in found if len(one.counted) >= FEWEST]
    if not strips:
        return None
    strips.sort(key=lambda one: one.verdict is not Verdict.IMPORTED)  # those with a stretch first
    drawn = strips[:MOST_STRIPS]
    left_out = f" The first {len(drawn)} of {len(strips)}." if len(strips) > len(drawn) else ""
    return Picture(
        name="imported",
        title="What the copies share with other witnesses",
        caption=(
            "Each strip is a text from beginning to end, with the readings that are the other witness's own."
            " Full dots above: the copy shares them; open dots below: it does not. The further from the"
            " strip, the greater the weight: how unlikely it is as a coincidence. Small crosses in the strip:"
            " places that are no evidence. Bar: the stretch best explained as taken from that witness;"
            f" fine line: how far it may reach.{left_out} The stretches: imported.csv; every place:"
            " imported_places.csv"
        ),
        description=" ".join(map(described, drawn)),
        table="imported_places.csv",
        draw=partial(_draw, tuple(drawn)),
    )


def described(one: Imported) -> str:
    """Say in words what the strip of a text and a witness shows."""
    shared = [place for place in one.counted if place.sharing is Sharing.SHARED]
    told = (
        f"{visible(one.text)} and {visible(one.siglum)}: {one.verdict}; {len(shared)} of {len(one.counted)}"
        " readings that count are shared"
    )
    if one.verdict is not Verdict.IMPORTED or one.stretch is None:
        return f"{told}."
    first, last = one.counted[one.stretch.first], one.counted[one.stretch.last]
    widest = one.stretch.widest
    stretch = f"{one.stretch.last - one.stretch.first + 1} readings stand in the stretch"
    reach = f"which may reach from {widest[0]} to {widest[1]}"
    return visible(f"{told}, {stretch} from {first.locus} to {last.last_locus}, {reach}.", 1000)


def _draw(strips: Sequence[Imported], sheet: Sheet) -> Figure:
    """Draw the strips one below the other."""
    high = HEAD + HIGH + FOOT
    figure = sheet.figure(high * len(strips))
    for at, one in enumerate(strips):
        panel = sheet.panel(figure, LEFT, at * high + HEAD, sheet.ems - LEFT - 1.0, HIGH)
        _strip(panel, one)
        panel.title([_title(one)], LEFT - 0.6)
    return figure


def _title(one: Imported) -> str:
    """Say what was found, and where the stretch begins and ends."""
    told = f"{visible(one.text)} beside {visible(one.siglum)}: {one.verdict}"
    if one.verdict is not Verdict.IMPORTED or one.stretch is None:
        return told
    first, last = one.counted[one.stretch.first].locus, one.counted[one.stretch.last].last_locus
    return f"{told}, {_cited(one, first)} to {_cited(one, last)}"


def _weight(place: PeculiarLocus) -> float:
    return together([place.coincidence])


def _strip(panel: Panel, one: Imported) -> None:
    """Draw one text and one witness: weights above and below the strip, the stretch on it."""
    most = max(map(_weight, one.counted)) * AIR
    half = most * STRIP / HIGH  # half of the strip's height, in the units of the weights
    end = max(place.copy_span[1] for place in one.places) * 1.02
    panel = panel.scaled(Scale(0, end), Scale(-most - half, most + half))
    panel.strokes([(0, side, end, side) for side in (half, -half)], width=0.8)
    for sharing, sign in ((Sharing.SHARED, 1), (Sharing.NOT_SHARED, -1)):
        tips = [
            (float(place.copy_span[0]), sign * (half + _weight(place)))
            for place in one.counted
            if place.sharing is sharing
        ]
        panel.strokes([(x, sign * half, x, y) for x, y in tips], panel.sheet.soft)
        panel.signs(tips, "o", full=sign > 0)
    panel.signs(
        [(float(place.copy_span[0]), 0.0) for place in one.places if not place.counts], "x", True, 0.4
    )
    _stretch(panel, one, half)
    _places(panel, one)
    weights = [tick for tick in ticks_to(most, 3) if tick]
    panel.scale_beside(
        [(sign * (half + weight), f"{weight:g}") for weight in weights for sign in (1, -1)], line=False
    )
    for told, side in (("shared", half), ("not", -half)):
        panel.note(told, panel.left - 0.5, panel.y(side), "right", panel.sheet.soft, 0.85)


def _stretch(panel: Panel, one: Imported, half: float) -> None:
    """Draw the stretch in the strip, with a fine line as far as it may reach."""
    if one.verdict is not Verdict.IMPORTED or one.stretch is None:
        return
    (first, last), (earliest, latest) = one.stretch.copy_span, one.stretch.widest_span
    panel.bars([(first, -half / 2, last, half / 2)], above=1)
    ends = [(x, -half * 0.8, x, half * 0.8) for x in (earliest, latest)]
    panel.strokes([(earliest, 0, latest, 0), *ends])


def _places(panel: Panel, one: Imported) -> None:
    """Name below the strip the ends of the stretch, then as many other places as there is room for."""
    span = panel.across.last
    wanted = [one.places[0], one.places[-1], *one.places]
    if one.verdict is Verdict.IMPORTED and one.stretch is not None:
        wanted = [one.counted[one.stretch.first], one.counted[one.stretch.last], *wanted]
    chosen = dict[float, str]()
    for place in wanted:
        x, label = place.copy_span[0] / span * panel.width, _cited(one, place.locus)
        if all(_apart(panel, (x, label), known) for known in chosen.items()):
            chosen[x] = label
    panel.scale_below([(x / panel.width * span, label) for x, label in chosen.items()])


def _apart(panel: Panel, *labels: tuple[float, str]) -> bool:
    """Tell whether two labels below the strip have room beside each other."""
    first, other = (panel.on_sheet(panel.left + x, label) for x, label in labels)
    return abs(first - other) >= APART + sum(width_of(label) for _, label in labels) / 2


def _cited(one: Imported, locus: Locus) -> str:
    """Give a place as the text itself cites it."""
    return visible(str(locus).removeprefix(f"{one.text} "), 10)
