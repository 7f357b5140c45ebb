"""The sheet a picture is drawn on: how wide, how large the letters, which inks; for screen or for print.

Arrives: nothing. Leaves: empty figures of matplotlib, set up alike on every machine. Start reading at
``Sheet``; ``SCREEN`` and ``PRINT`` are the two there are. Lengths are in points; what is to grow with the
letters is given in ems, the size of a letter.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from threading import Lock
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import FINE, Panel
from fidelity.apparatus.pictures.signs import FACES, font_files

if TYPE_CHECKING:
    from matplotlib.figure import Figure

POINTS_PER_INCH = 72.0
PRINT_WIDTH = 160 / 25.4 * POINTS_PER_INCH  # 160 mm, the text of an A4 page with usual margins

_LOCK = Lock()  # matplotlib keeps its settings in one place for all threads


@dataclass(frozen=True)
class Sheet:
    """What a picture is drawn on.

    Attributes:
        width: in points. What needs more room may make the figure wider (``may_grow``), or smaller letters.
        letter: size of a letter in points: one em.
        may_grow: whether a figure may be wider; the page lets the reader move it, paper does not.
        ink, soft, line, paper: colours of what is to be read, of notes, of guides, and of the ground.
    """

    width: float
    letter: float
    may_grow: bool
    ink: str
    soft: str
    line: str
    paper: str

    @property
    def ems(self) -> float:
        """Width in ems."""
        return self.width / self.letter

    def fitted(self, ems: float) -> Sheet:
        """Give a sheet as wide as so many ems ask for; where it may not grow, with smaller letters."""
        if self.may_grow or ems <= self.ems:
            return replace(self, width=ems * self.letter)
        return replace(self, letter=self.width / ems)

    def figure(self, ems_high: float) -> Figure:
        """Give an empty figure of the sheet's width and so many ems of height."""
        from matplotlib.figure import Figure

        size = self.width / POINTS_PER_INCH, ems_high * self.letter / POINTS_PER_INCH
        return Figure(figsize=size, facecolor="none" if self.may_grow else self.paper)

    def panel(self, figure: Figure, left: float, top: float, width: float, height: float) -> Panel:
        """Set a panel at so many ems from the left and the upper edge; of width and height in ems."""
        from matplotlib.transforms import Affine2D

        across, down = (float(side) * POINTS_PER_INCH / self.letter for side in figure.get_size_inches())
        place = Affine2D().scale(1 / across, -1 / down).translate(0, 1) + figure.transFigure
        return Panel(figure, place, self, left, top, width, height)


# 360 points across: on a telephone held upright a point is then a pixel, and letters of 12.5 can be read.
# The inks stand for colours of the page, which ``inline.py`` puts in their places.
SCREEN = Sheet(360, 12.5, True, ink="#010101", soft="#020202", line="#030303", paper="#050505")
PRINT = Sheet(PRINT_WIDTH, 9, False, ink="#000000", soft="#333333", line="#bbbbbb", paper="#ffffff")


@cache
def _faces_known() -> None:
    """Tell matplotlib of our faces, once, under names that no font of the machine has."""
    from matplotlib.font_manager import fontManager, ttfFontProperty
    from matplotlib.ft2font import FT2Font

    for name, file in zip(FACES, font_files(), strict=True):
        fontManager.ttflist.append(replace(ttfFontProperty(FT2Font(str(file))), name=name))


@contextmanager
def drawing_on(sheet: Sheet) -> Iterator[None]:
    """Have everything within drawn alike on every machine, whatever its own settings of matplotlib are."""
    import matplotlib

    _faces_known()
    with _LOCK, matplotlib.rc_context():
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_settings(sheet))  # type: ignore[arg-type]
        yield


def _settings(sheet: Sheet) -> dict[str, object]:
    """Give what is to be otherwise than matplotlib has it."""
    return {
        "text.color": sheet.ink,
        "font.size": sheet.letter,
        "font.family": [FACES[0]],
        "text.parse_math": False,  # "$" in a text is a "$"
        "text.hinting": "none",
        "lines.linewidth": FINE,
        "svg.hashsalt": "fidelity",  # else names inside the file are drawn by lot
        "pdf.fonttype": 42,
        "savefig.facecolor": "auto",
    }
