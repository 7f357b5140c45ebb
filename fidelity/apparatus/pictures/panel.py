"""A panel of a picture: strokes, bars, signs and letters at places of its scales, and the scales themselves.

Arrives: an empty figure of matplotlib. Leaves: nothing; it draws on it. Start reading at ``Panel``.
Everything is set directly on the figure, in ems, the size of a letter: axes of matplotlib take more time than
all that stands on them, and a picture looks alike at every size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from math import floor, log10
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.signs import faces_for, width_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure
    from matplotlib.transforms import Transform

    from fidelity.apparatus.pictures.sheet import Sheet

HAIR, EDGE, FINE = 0.5, 0.8, 1.1  # strokes in points: guides, edges and scales, intervals
TICK = 0.3  # ems: how long the tick of a scale is
EDGE_FREE = 0.2  # ems: between a label and the edge of the picture, as at the right of the numbers of rows
# Where a place lies in a letter, in its size from its foot up: half the height of letters without long
# strokes, small and large; the top of large ones; the end of long strokes below.
HEIGHTS = {"middle": 0.3, "baseline": 0.0, "top": 0.72, "bottom": -0.22}

Places = Sequence[tuple[float, float]]
Pieces = Iterable[tuple[float, float, float, float]]
Ticks = Sequence[tuple[float, str]]  # where each stands on the scale, and what it is called


@dataclass(frozen=True)
class Scale:
    """A scale from one end of a panel to the other.

    Attributes:
        first, last: the numbers at its ends.
        by: what of a number is drawn: itself, its square root, its logarithm.
    """

    first: float
    last: float
    by: Callable[[float], float] = float

    def share(self, number: float) -> float:
        """Give how far along the scale a number stands, 0 at its beginning and 1 at its end.

        >>> Scale(1, 100, log10).share(10)
        0.5
        """
        low, high = self.by(self.first), self.by(self.last)
        return (self.by(number) - low) / (high - low)


@dataclass(frozen=True)
class Panel:
    """A part of a picture with scales of its own.

    Attributes:
        figure: of matplotlib.
        place: turns ems from the upper left corner of the figure into places on it.
        sheet: what is drawn on.
        left, top, width, height: of the panel, in ems.
        across, up: its scales, from left to right and from below.
    """

    figure: Figure
    place: Transform
    sheet: Sheet
    left: float
    top: float
    width: float
    height: float
    across: Scale = Scale(0, 1)
    up: Scale = Scale(0, 1)

    def scaled(self, across: Scale, up: Scale) -> Panel:
        """Give the panel with other scales."""
        return replace(self, across=across, up=up)

    def x(self, number: float) -> float:
        """Give where a number stands, in ems from the left edge of the figure."""
        return self.left + self.width * self.across.share(number)

    def y(self, number: float) -> float:
        """Give where a number stands, in ems from the upper edge of the figure."""
        return self.top + self.height * (1 - self.up.share(number))

    def strokes(
        self,
        pieces: Pieces,
        colour: str = "",
        width: float = FINE,
        dashes: Sequence[float] = (),
        above: int = 2,
    ) -> None:
        """Draw straight strokes (x, y, x, y)."""
        placed = ((self.x(x0), self.y(y0), self.x(x1), self.y(y1)) for x0, y0, x1, y1 in pieces)
        self._strokes(placed, colour, width, dashes, above)

    def _strokes(
        self,
        pieces: Pieces,
        colour: str = "",
        width: float = EDGE,
        dashes: Sequence[float] = (),
        above: int = 2,
    ) -> None:
        """Draw strokes given in ems, all in one go: a picture of hundreds stays small."""
        from matplotlib.lines import Line2D

        xs, ys = list[float](), list[float]()
        for x0, y0, x1, y1 in pieces:
            xs += [x0, x1, float("nan")]
            ys += [y0, y1, float("nan")]
        if xs:
            line = Line2D(xs, ys, color=colour or self.sheet.ink, linewidth=width, zorder=above)
            line.set_linestyle((0, tuple(dashes)) if dashes else "-")
            line.set(solid_capstyle="butt", transform=self.place)
            self.figure.add_artist(line)

    def bars(self, pieces: Pieces, above: int = 2) -> None:
        """Draw bars (left, lower, right, upper), outlined, so that they are seen whatever their colour."""
        from matplotlib.patches import Rectangle

        for left, lower, right, upper in pieces:
            corner, other = (self.x(left), self.y(lower)), (self.x(right), self.y(upper))
            bar = Rectangle(corner, other[0] - corner[0], other[1] - corner[1], zorder=above)
            bar.set(facecolor=self.sheet.line, edgecolor=self.sheet.ink, linewidth=EDGE)
            bar.set_transform(self.place)
            self.figure.add_artist(bar)

    def signs(self, places: Places, form: str, full: bool, ems: float = 0.6) -> None:
        """Set signs of one form at places, full or open."""
        from matplotlib.lines import Line2D

        if places:
            xs, ys = [self.x(x) for x, _ in places], [self.y(y) for _, y in places]
            line = Line2D(xs, ys, linestyle="", marker=form, markersize=ems * self.sheet.letter, zorder=4)
            line.set(markeredgecolor=self.sheet.ink, markeredgewidth=FINE, transform=self.place)
            line.set_markerfacecolor(self.sheet.ink if full else self.sheet.paper)
            self.figure.add_artist(line)

    def write(
        self, text: str, x: float, y: float, colour: str = "", ems: float = 1.0, up: str = "middle"
    ) -> None:
        """Write a text made fit by ``signs.py`` at a place of the scales; for ``up`` see ``HEIGHTS``."""
        self.note(text, self.x(x), self.y(y), "center", colour, ems, up)

    def note(
        self,
        text: str,
        x: float,
        y: float,
        to: str = "center",
        colour: str = "",
        ems: float = 1.0,
        up: str = "middle",
    ) -> None:
        """Write a text at a place given in ems; its left, its middle or its right stands there."""
        self.figure.text(
            *(x, y + HEIGHTS[up] * ems, text),
            transform=self.place,
            ha=to,
            color=colour or self.sheet.ink,
            size=ems * self.sheet.letter,
            family=faces_for(text),
            zorder=5,
        )

    def title(self, lines: Sequence[str], before: float = 0.0) -> None:
        """Write above the panel, the last line nearest, from so many ems before its left edge."""
        for at, line in enumerate(reversed(lines)):
            self.note(line, self.left - before, self.top - 0.7 - 1.3 * at, "left", up="baseline")

    def on_sheet(self, x: float, label: str) -> float:
        """Give where the middle of a label that is to stand at ``x`` must be for none of it to be cut off."""
        half = width_of(label) / 2 + EDGE_FREE
        return max(half, min(x, self.sheet.ems - half))

    def scale_below(self, ticks: Ticks, name: str = "", guides: bool = False) -> None:
        """Draw the scale along the lower edge."""
        floor, right = self.top + self.height, self.left + self.width
        at = [(self.x(number), label) for number, label in ticks]
        self._strokes([(self.left, floor, right, floor), *((x, floor, x, floor + TICK) for x, _ in at)])
        if guides:
            self._strokes([(x, floor, x, self.top) for x, _ in at], self.sheet.line, HAIR, above=1)
        for x, label in at:
            self.note(label, self.on_sheet(x, label), floor + 0.5, up="top")
        if name:
            self.note(name, (self.left + right) / 2, floor + 1.9, up="top")

    def scale_beside(self, ticks: Ticks, guides: bool = False, line: bool = True) -> None:
        """Draw the scale along the left edge."""
        at = [(self.y(number), label) for number, label in ticks]
        if line:
            edge = self.left, self.top, self.left, self.top + self.height
            self._strokes([edge, *((self.left, y, self.left - TICK, y) for y, _ in at)])
        if guides:
            right = self.left + self.width
            self._strokes([(self.left, y, right, y) for y, _ in at], self.sheet.line, HAIR, above=1)
        for y, label in at:
            self.note(label, self.left - 0.5, y, "right")

    def rows(self, names: Sequence[str], numbers: Sequence[str], room: float) -> None:
        """Write the names of rows to the left, and a number of each to the right, in so many ems."""
        for at, (name, number) in enumerate(zip(names, numbers, strict=True)):
            self.note(name, self.left - 0.6, self.y(at + 0.5), "right")
            self.note(number, self.left + self.width + room, self.y(at + 0.5), "right")


def ticks_to(most: float, parts: int = 5) -> list[float]:
    """Give round numbers from 0 up to a number, about so many.

    >>> ticks_to(23), ticks_to(0.9)
    ([0.0, 5.0, 10.0, 15.0, 20.0], [0.0, 0.2, 0.4, 0.6, 0.8])
    """
    power = 10.0 ** floor(log10(most / parts))
    step = next(power * one for one in (1, 2, 5, 10) if power * one * parts >= most)
    return [float(f"{step * at:.6g}") for at in range(int(most / step + 1e-9) + 1)]
