"""Draw how he fared as he went on: the rate page by page, text by text.

Arrives: the course of an audit, as ``page_rates.csv`` and ``drift.csv`` have it. Leaves: a picture. Start
reading at ``drift_picture``.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import ceil
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import Panel, Scale, ticks_to
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import Sheet
from fidelity.apparatus.pictures.signs import visible, width_of
from fidelity.apparatus.tables import shown
from fidelity.confusions.drift import Course
from fidelity.terms import Drift, PageRate

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MEASURE = "letters"  # of the three measures the one with most chances on a page
FEWEST_PAGES, MOST_TEXTS = 4, 6  # fewer pages show no course; more texts would fill a page of their own
HIGH, LINE, LEFT, FOOT = 8.0, 1.3, 3.4, 2.2  # ems: a panel, a line above it, the scale, the names of pages
BEFORE = 0.6  # ems: before what is written above a panel
WIDEST = 2.0  # times the highest rate: intervals that reach further, of pages with few chances, are cut off
TICKS = 5  # pages named below a panel; on a telephone there is room for no more

Course_ = tuple[str, tuple[PageRate, ...], tuple[str, ...]]  # a text, its pages, what the tests say


def drift_picture(course: Course, confidence: float) -> Picture | None:
    """Draw the rate of every page; None where no text has pages enough.

    Args:
        course: pages and tests.
        confidence: of the intervals, 0-1.
    """
    pages: dict[str, list[PageRate]] = {}
    for page in course.pages:
        if page.measure == MEASURE and page.chances:
            pages.setdefault(page.text, []).append(page)
    texts = sorted(
        (text for text in pages if len(pages[text]) >= FEWEST_PAGES), key=lambda one: -len(pages[one])
    )
    if not texts:
        return None
    tests = [one for one in course.drifts if one.what == MEASURE]
    panels = [(text, tuple(pages[text]), _tested(tests, text)) for text in texts[:MOST_TEXTS]]
    left_out = f" The {MOST_TEXTS} longest of {len(texts)} texts." if len(texts) > MOST_TEXTS else ""
    return Picture(
        name="drift",
        title="His errors page by page",
        caption=(
            f"Dots: wrong letters per 1,000 on each page; strokes: {confidence:.0%} interval, with an"
            " arrowhead where it reaches beyond the picture; dashed: the whole text. Over each text what the"
            f" tests along its pages say.{left_out} Every page: page_rates.csv; every test: drift.csv"
        ),
        description=" ".join(map(_described, panels)),
        table="page_rates.csv",
        draw=partial(_draw, tuple(panels)),
    )


def _tested(tests: Sequence[Drift], text: str) -> tuple[str, ...]:
    """Say what the tests along the pages of a text found."""
    told = []
    for one in tests:
        if one.text == text and one.along == "pages":
            kind = "trend" if "trend" in one.test else "break"
            where = f" {one.where}" if one.found and kind == "break" else ""
            told.append(f"{kind}{where}: {'found' if one.found else 'not found'} (q {shown(one.q_value)})")
    return tuple(told)


def _rate(pages: Sequence[PageRate]) -> float:
    return 1000 * sum(one.errors for one in pages) / sum(one.chances for one in pages)


def _described(panel: Course_) -> str:
    """Say in words what the panel of a text shows."""
    text, pages, tested = panel
    ranked = sorted(pages, key=lambda one: one.errors / one.chances)
    least, most = (
        (visible(one.page), shown(1000 * one.errors / one.chances)) for one in (ranked[0], ranked[-1])
    )
    return (
        f"{visible(text)}, {len(pages)} pages: {shown(_rate(pages))} wrong letters per 1,000 in all, from"
        f" {least[1]} ({least[0]}) to {most[1]} ({most[0]}). {'; '.join(tested) or 'Not tested'}."
    )


def _draw(panels: Sequence[Course_], sheet: Sheet) -> Figure:
    """Draw a panel for each text, one below the other."""
    heads = [
        [f"{visible(text)}: wrong letters per 1,000", *_lines(tested, sheet)] for text, _, tested in panels
    ]
    highs = [0.6 + LINE * len(head) + HIGH + FOOT for head in heads]
    figure = sheet.figure(sum(highs))
    for at, ((_, pages, _), head) in enumerate(zip(panels, heads, strict=True)):
        top = sum(highs[:at]) + 0.6 + LINE * len(head)
        panel = sheet.panel(figure, LEFT, top, sheet.ems - LEFT - 0.8, HIGH)
        _course(panel, pages)
        panel.title(head, LEFT - BEFORE)
    return figure


def _course(panel: Panel, pages: Sequence[PageRate]) -> None:
    """Draw the pages of one text."""
    rates = [1000 * one.errors / one.chances for one in pages]
    highest = max(1000 * one.high for one in pages)
    top = min(highest, WIDEST * max(rates)) if max(rates) else highest
    panel = panel.scaled(Scale(-0.7, len(pages) - 0.3), Scale(0, top * 1.04))
    step = max(1, ceil(len(pages) / TICKS))
    panel.scale_below([(at, visible(pages[at].page, 8)) for at in range(0, len(pages), step)])
    panel.scale_beside([(tick, f"{tick:,g}") for tick in ticks_to(top)])
    mean = _rate(pages)
    panel.strokes([(-0.7, mean, len(pages) - 0.3, mean)], dashes=(5, 3))
    panel.strokes(
        [(at, 1000 * one.low, at, min(1000 * one.high, top)) for at, one in enumerate(pages)],
        panel.sheet.soft,
        above=3,
    )
    panel.signs(list(enumerate(rates)), "o", full=True, ems=0.5)
    cut = [(float(at), top) for at, one in enumerate(pages) if 1000 * one.high > top]
    panel.signs(cut, "^", full=False, ems=0.45)


def _lines(tested: Sequence[str], sheet: Sheet) -> list[str]:
    """Part what the tests say into lines that the sheet has room for."""
    told = "; ".join(tested)
    return [told] if width_of(told) < sheet.ems - 2 * BEFORE else list(tested)
