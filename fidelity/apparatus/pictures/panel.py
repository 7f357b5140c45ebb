"""A panel of a picture: strokes, signs and letters at places of its scales, and the scales themselves.

Arrives: axes of matplotlib, bare. Leaves: nothing; it draws on them. Start reading at ``Panel``. What is
written outside the scales is placed in ems, the size of a letter, so that it looks alike at every size.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.signs import faces_for

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from fidelity.apparatus.pictures.sheet import Sheet

HAIR, EDGE, FINE = 0.5, 0.8, 1.1  # strokes in points: guides, edges and scales, intervals
MIDDLE = 0.3  # of a letter's size: between its foot and half its height, of small letters and large
TICK = 0.3  # ems: how long the tick of a scale is
Ticks = Sequence[tuple[float, str]]  # where each stands on the scale, and what it is called


@dataclass(frozen=True)
class Panel:
    """A part of a picture with scales of its own.

    Attributes:
        axes: of matplotlib; their limits are the ends of the scales.
        sheet: what is drawn on.
        width, height: in ems.
    """

    axes: Axes
    sheet: Sheet
    width: float
    height: float

    def limits(self, left: float, right: float, bottom: float, top: float) -> None:
        """Lay out the scales."""
        self.axes.set_xlim(left, right)
        self.axes.set_ylim(bottom, top)

    def strokes(
        self,
        pieces: Iterable[tuple[float, float, float, float]],
        colour: str = "",
        width: float = FINE,
        dashes: tuple[float, ...] = (),
        above: int = 2,
    ) -> None:
        """Draw straight strokes (x, y, x, y), all in one go: a picture of hundreds stays small."""
        xs, ys = list[float](), list[float]()
        for x0, y0, x1, y1 in pieces:
            xs += [x0, x1, float("nan")]
            ys += [y0, y1, float("nan")]
        if xs:
            self.axes.plot(
                *(xs, ys),
                color=colour or self.sheet.ink,
                linewidth=width,
                linestyle=(0, dashes) if dashes else "-",
                solid_capstyle="butt",
                clip_on=False,
                zorder=above,
            )

    def boxes(self, pieces: Iterable[tuple[float, float, float, float]], above: int = 2) -> None:
        """Draw bars (left, lower, right, upper), outlined, so that they are seen whatever their colour."""
        from matplotlib.patches import Rectangle

        for left, lower, right, upper in pieces:
            bar = Rectangle((left, lower), right - left, upper - lower, clip_on=False, zorder=above)
            bar.set(facecolor=self.sheet.line, edgecolor=self.sheet.ink, linewidth=EDGE)
            self.axes.add_patch(bar)

    def signs(self, places: Sequence[tuple[float, float]], form: str, full: bool, ems: float = 0.6) -> None:
        """Set signs of one form at places, full or open."""
        if places:
            self.axes.plot(
                *zip(*places, strict=True),
                linestyle="",
                marker=form,
                markersize=ems * self.sheet.letter,
                markerfacecolor=self.sheet.ink if full else self.sheet.paper,
                markeredgecolor=self.sheet.ink,
                markeredgewidth=FINE,
                clip_on=False,
                zorder=4,
            )

    def write(
        self,
        text: str,
        x: float,
        y: float,
        to: str = "center",
        colour: str = "",
        ems: float = 1.0,
        outside: str = "",
        up: str = "middle",
    ) -> None:
        """Write a text at a place.

        Args:
            text: made fit for pictures before (``signs.py``).
            x, y: where, on the scales; see ``outside``.
            to: which side of the text is there: "left", "center", "right".
            colour: the ink if none is given.
            ems: size of the letters.
            outside: "below" if ``y`` counts ems up from the lower edge instead, "beside" if ``x`` counts
                ems from the left edge, "corner" if both do.
            up: which height of the text is there: "middle", "baseline", "top", "bottom".
        """
        from matplotlib.transforms import offset_copy

        places = {
            "": self.axes.transData,
            "below": self.axes.get_xaxis_transform(),
            "beside": self.axes.get_yaxis_transform(),
            "corner": self.axes.transAxes,
        }
        size = ems * self.sheet.letter
        place = places[outside]
        if up == "middle":  # of the letters without their long strokes, whatever letters these are
            whole = self.axes.get_figure()
            place = offset_copy(place, whole, y=-MIDDLE * size, units="points")  # type: ignore[arg-type]
        self.axes.text(
            x / self.width if outside in ("beside", "corner") else x,
            y / self.height if outside in ("below", "corner") else y,
            text,
            transform=place,
            ha=to,
            va="baseline" if up == "middle" else up,
            color=colour or self.sheet.ink,
            size=size,
            family=faces_for(text),
            zorder=5,
        )

    def title(self, lines: Sequence[str], left: float = 0.0) -> None:
        """Write above the panel, the last line nearest; from so many ems left of its edge."""
        for at, line in enumerate(reversed(lines)):
            self.write(line, -left, self.height + 0.7 + 1.3 * at, "left", outside="corner", up="baseline")

    def scale_below(self, ticks: Ticks, name: str = "", guides: bool = False) -> None:
        """Draw the scale along the lower edge."""
        (left, right), (bottom, top) = sorted(self.axes.get_xlim()), self.axes.get_ylim()
        length = TICK * (top - bottom) / self.height
        self.strokes([(left, bottom, right, bottom)], width=EDGE)
        self.strokes([(x, bottom, x, bottom - length) for x, _ in ticks], width=EDGE)
        if guides:
            self.strokes([(x, bottom, x, top) for x, _ in ticks], self.sheet.line, HAIR, above=1)
        for x, label in ticks:
            self.write(label, x, -0.5, outside="below", up="top")
        if name:
            self.write(name, self.width / 2, -1.9, outside="corner", up="top")

    def scale_beside(self, ticks: Ticks, guides: bool = False, line: bool = True) -> None:
        """Draw the scale along the left edge."""
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        length = TICK * (right - left) / self.width
        if line:
            self.strokes([(left, bottom, left, top)], width=EDGE)
            self.strokes([(left, y, left - length, y) for y, _ in ticks], width=EDGE)
        if guides:
            self.strokes(
                [(left, y, right, y) for _, (y, _) in enumerate(ticks)], self.sheet.line, HAIR, above=1
            )
        for y, label in ticks:
            self.write(label, -0.5, y, "right", outside="beside")

    def rows(self, names: Sequence[str], numbers: Sequence[str], room: float) -> None:
        """Write the names of rows to the left, and a number of each to the right, in so many ems."""
        for at, (name, number) in enumerate(zip(names, numbers, strict=True)):
            self.write(name, -0.6, at + 0.5, "right", outside="beside")
            self.write(number, self.width + room, at + 0.5, "right", outside="beside")


def ticks_to(most: float, parts: int = 5) -> list[float]:
    """Give round numbers from 0 up to a number, about so many.

    >>> ticks_to(23), ticks_to(0.9)
    ([0.0, 5.0, 10.0, 15.0, 20.0], [0.0, 0.2, 0.4, 0.6, 0.8])
    """
    power = 10.0 ** _power(most / parts)
    step = next(power * one for one in (1, 2, 5, 10) if power * one * parts >= most)
    return [float(f"{step * at:.6g}") for at in range(int(most / step + 1e-9) + 1)]


def _power(number: float) -> int:
    from math import floor, log10

    return floor(log10(number))
