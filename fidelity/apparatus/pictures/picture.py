"""One picture: what it is called, what it says in words, and how it is drawn, for the page and for print.

Arrives: a drawing, as a function that draws on a sheet. Leaves: an element of the page, and files. Start
reading at ``Picture``.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.sheet import PRINT, SCREEN, Sheet, drawing_on

if TYPE_CHECKING:
    from markupsafe import Markup
    from matplotlib.figure import Figure

DOTS_PER_INCH = 300  # what printers of books ask for
FOLDER = "pictures"


@dataclass(frozen=True)
class Picture:
    """A picture of what was found; every number drawn in it stands in a table.

    Attributes:
        name: of its files, and of its place in the page.
        title: what it is, in a few words.
        caption: how to read it: what its forms mean.
        description: what it shows, with the numbers that matter, for those who do not see it.
        table: name of the CSV file whose rows it draws.
        draw: draws it on a sheet.
        wide: what it asks for in pixels, where a telephone has no room for it and the reader must be able
            to move it; 0 where it has.
    """

    name: str
    title: str
    caption: str
    description: str
    table: str
    draw: Callable[[Sheet], Figure] = field(repr=False, compare=False)
    wide: float = 0

    def inline(self) -> Markup:
        """Give the picture as an element of the page, in the page's colours and letters."""
        from fidelity.apparatus.pictures.inline import fitted_in

        with drawing_on(SCREEN):
            svg = _saved(self.draw(SCREEN), "svg", as_text=True)
        return fitted_in(svg, f"picture-{self.name}", self.title, self.description)

    def files(self) -> Mapping[str, bytes]:
        """Give the files for print by name: SVG and PDF with their letters in them, PNG of 300 dpi."""
        with drawing_on(PRINT):
            figure = self.draw(PRINT)
            saved = {f"{self.name}.{kind}": _saved(figure, kind) for kind in ("svg", "pdf")}
            return saved | {f"{self.name}.png": _in_dots(figure)}


def _saved(figure: Figure, kind: str, as_text: bool = False) -> bytes:
    """Save a figure as SVG or PDF; the same figure gives the same bytes, on whatever day."""
    import matplotlib

    written = io.BytesIO()
    undated = {"Date" if kind == "svg" else "CreationDate": None}
    with matplotlib.rc_context({"svg.fonttype": "none" if as_text else "path"}):
        figure.savefig(written, format=kind, metadata=undated)
    return written.getvalue()


def _in_dots(figure: Figure) -> bytes:
    """Save a figure as PNG, in greys: a quarter of what colours would take, in time and room."""
    import numpy as np
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from PIL import Image

    figure.set_dpi(DOTS_PER_INCH)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()  # type: ignore[no-untyped-call]
    colours = np.asarray(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
    grey = np.ascontiguousarray(colours[..., 0])  # all three colours are alike
    written = io.BytesIO()
    Image.fromarray(grey).save(written, "PNG", dpi=(DOTS_PER_INCH, DOTS_PER_INCH))
    return written.getvalue()
