"""Draw what was said and what was found: a picture that stands inside the page.

Arrives: the bands of a blind test. Leaves: SVG, in the colours of the page around it. Start reading
at ``reliability_picture``. It says nothing by colour: a full dot bears out what was said, an open
square does not; the numbers are in the table beside it and, for those who hear the page, in its
description.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from xml.sax.saxutils import quoteattr

from markupsafe import Markup

from fidelity.apparatus.tables import shown
from fidelity.terms import Band

# In units of the drawing; 360 across, so that letters of 13 can be read on a telephone held upright.
WIDTH, LEFT, SIDE = 360, 46, 300  # the picture, what is left of the square, the square itself
TOP, BELOW = 10, 62  # above the square; between it and the bars: ticks and the name of the axis
BARS, FOOT = 64, 8  # the highest bar; below them
LETTER = 13
DOT, CAP = 4.5, 5  # half the size of a dot, half the width of an interval's ends
HEIGHT = TOP + SIDE + BELOW + BARS + FOOT
TICKS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)


def reliability_picture(title: str, bands: Sequence[Band], name: str) -> Markup:
    """Draw what was said (across) against what was found (up), with intervals and numbers.

    Args:
        title: what proposals these are.
        bands: what was said and found, band by band.
        name: by which the title and the description are found in the page; used once in it.
    """
    floor = TOP + SIDE + BELOW + BARS
    most = max((band.proposals for band in bands), default=1)
    parts = [
        f'<svg class="picture" viewBox="0 0 {WIDTH} {HEIGHT}" role="img"'
        f' aria-labelledby="{name}-title {name}-desc">',
        Markup('<title id="{0}-title">{1}</title><desc id="{0}-desc">{2}</desc>').format(
            name, title, described(bands)
        ),
        *_axes(),
        *(line for band in bands for line in _point(band)),
        _line(_x(0), floor, _x(1), floor),
        *(line for band in bands for line in _bar(band, most, floor)),
        _upright("proposals", floor - BARS / 2),
        "</svg>",
    ]
    return Markup("\n".join(parts))  # noqa: S704 -- made here, of numbers and of what is escaped above


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


def _x(share: float) -> float:
    return LEFT + SIDE * share


def _y(share: float) -> float:
    return TOP + SIDE * (1 - share)


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _line(x0: float, y0: float, x1: float, y1: float, style: str = "") -> str:
    ends = zip(("x1", "y1", "x2", "y2"), map(_number, (x0, y0, x1, y1)), strict=True)
    return f"<line {' '.join(f'{name}={quoteattr(value)}' for name, value in ends)}{style}/>"


def _text(letters: str, x: float, y: float, anchor: str = "middle") -> str:
    return f'<text x="{_number(x)}" y="{_number(y)}" text-anchor="{anchor}">{letters}</text>'


def _upright(letters: str, y: float) -> str:
    """Write beside an axis, from below upwards."""
    place = f"translate({LETTER} {_number(y)}) rotate(-90)"
    return f'<text transform="{place}" text-anchor="middle">{letters}</text>'


def _axes() -> list[str]:
    """Draw the square, its ticks and names, and the line on which what was said is what was found."""
    faint, dashed = ' class="faint"', ' stroke-dasharray="5 4"'
    lines = [f'<rect x="{LEFT}" y="{TOP}" width="{SIDE}" height="{SIDE}" fill="none"/>']
    for tick in TICKS:
        if 0 < tick < 1:
            lines += [_line(_x(tick), _y(0), _x(tick), _y(1), faint)]
            lines += [_line(_x(0), _y(tick), _x(1), _y(tick), faint)]
        lines.append(_text(f"{tick:g}", _x(tick), _y(0) + LETTER + 4))
        lines.append(_text(f"{tick:g}", LEFT - 6, _y(tick) + LETTER / 3, "end"))
    lines.append(_line(_x(0), _y(0), _x(1), _y(1), dashed))
    lines.append(_text("probability said", _x(0.5), _y(0) + 2 * LETTER + 8))
    return [*lines, _upright("share found right", _y(0.5))]


def _point(band: Band) -> list[str]:
    """Draw what was found in a band, with its interval."""
    x, y, low, high = _x(band.said), _y(band.found), _y(band.found_low), _y(band.found_high)
    lines = [_line(x, low, x, high), *(_line(x - CAP, end, x + CAP, end) for end in (low, high))]
    if borne_out(band):
        return [*lines, f'<circle class="dot" cx="{_number(x)}" cy="{_number(y)}" r="{DOT}"/>']
    place = f'x="{_number(x - DOT)}" y="{_number(y - DOT)}" width="{2 * DOT:g}" height="{2 * DOT:g}"'
    return [*lines, f'<rect class="open" {place}/>']


def _bar(band: Band, most: int, floor: float) -> list[str]:
    """Draw how many proposals a band has."""
    height = (BARS - LETTER - 4) * band.proposals / most
    x0, x1 = _x(band.low) + 1, _x(band.high) - 1
    size = f'width="{_number(x1 - x0)}" height="{_number(height)}"'
    bar = f'<rect class="bar" x="{_number(x0)}" y="{_number(floor - height)}" {size}/>'
    return [bar, _text(_in_short(band.proposals), (x0 + x1) / 2, floor - height - 4)]


def _in_short(number: int) -> str:
    """Give a number that fits over a bar; the table has it in full.

    >>> _in_short(1444), _in_short(12345)
    ('1444', '12.3k')
    """
    return f"{number}" if number < 10_000 else f"{number / 1000:.3g}k"
