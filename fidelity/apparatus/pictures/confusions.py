"""Draw the letters taken for others: the original's letters down, the letters he wrote across.

Arrives: the confusions of an audit, as ``confusions.csv`` has them. Leaves: a picture. Start reading at
``confusions_picture``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import HAIR, Panel
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import POINTS_PER_INCH, Sheet
from fidelity.apparatus.pictures.signs import letters_shown
from fidelity.terms import Confusion

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FEWEST = 3  # confusions; fewer are said more quickly than drawn
MOST_A_SIDE = 40  # letters; more cannot be told apart on a page
ONCE_TOO = 20  # confusions: where fewer are systematic or seen twice, those seen once are drawn too
TOLD = 12  # confusions in the description; the table has all
TALL = 8  # rows; below more of them the letters of the columns are written again
PITCH = 1.55  # ems from row to row and least from column to column: room for three figures in a sign
LETTER = 0.62  # ems: how wide a letter of a label is taken to be; Cardo's letters are .45 to .6
MARGIN, HEAD = 0.6, 3.4  # ems beside the labels; above the rows: what the sides are, labels


def confusions_picture(confusions: Sequence[Confusion]) -> Picture | None:
    """Draw the systematic and the commonest confusions; None where there are too few."""
    chosen = drawn(confusions)
    if len(chosen) < FEWEST:
        return None
    every = len(chosen) == len(confusions)
    which = "All of them" if every else f"{len(chosen)} of {len(confusions):,}"
    return Picture(
        name="confusions",
        title="Letters taken for others",
        caption=(
            "Down: what the original had; across: what he wrote; the commonest first. The figure is how often."
            " Full: systematic, more often than chance slips explain. Open: not shown to be. ∅: nothing,"
            f" ␣: a space. {which}: confusions.csv"
        ),
        description=described(chosen, len(confusions)),
        table="confusions.csv",
        draw=partial(_draw, tuple(chosen)),
    )


def drawn(confusions: Sequence[Confusion]) -> list[Confusion]:
    """Choose what is drawn: systematic ones first, then by count, as long as both sides have room."""
    ranked = sorted(confusions, key=lambda one: (not one.systematic, -one.count))
    often = [one for one in ranked if one.systematic or one.count > 1]
    chosen, rows, columns = list[Confusion](), set[str](), set[str]()
    for one in often if len(often) >= ONCE_TOO else ranked:
        if max(len(rows | {one.original}), len(columns | {one.copy})) <= MOST_A_SIDE:
            chosen.append(one)
            rows.add(one.original)
            columns.add(one.copy)
    return chosen


def described(chosen: Sequence[Confusion], every: int) -> str:
    """Say in words what the picture shows."""
    systematic = sum(one.systematic for one in chosen)
    first = sorted(chosen, key=lambda one: -one.count)[:TOLD]
    told = "; ".join(
        f"{letters_shown(one.copy)} for {letters_shown(one.original)} {one.count:,} times in"
        f" {one.chances:,} chances" + (", systematic" if one.systematic else "")
        for one in first
    )
    rest = f" The commonest: {told}." if len(chosen) > len(first) else f" {told}."
    return f"{len(chosen)} of {every:,} confusions, {systematic} of them systematic.{rest}"


def _draw(chosen: Sequence[Confusion], sheet: Sheet) -> Figure:
    """Draw a row for each letter of the original, a column for each that he wrote, a sign for each pair."""
    rows, columns = (_by_count(chosen, side) for side in ("original", "copy"))
    labels = {one: letters_shown(one) for one in (*rows, *columns)}
    left = max(_width(labels[one]) for one in rows)
    across = left
    middle = {}
    for one in columns:
        width = max(PITCH, _width(labels[one]))
        middle[one] = across + width / 2
        across += width
    sheet = sheet.fitted(max(across + left, 24.0))
    down = {one: HEAD + PITCH * (at + 0.5) for at, one in enumerate(rows)}
    floor = HEAD + PITCH * len(rows)
    figure = sheet.figure(floor + (1.8 if len(rows) > TALL else 0.4))
    high = figure.get_figheight() * POINTS_PER_INCH / sheet.letter
    panel = sheet.panel(figure, 0, 0, sheet.ems, high)
    panel.limits(0, sheet.ems, high, 0)
    panel.write("down: original; across: copy", MARGIN, 1.0, "left", sheet.soft)
    guides = [(left, y, across, y) for y in down.values()]
    guides += [(x, HEAD, x, floor) for x in middle.values()]
    panel.strokes(guides, sheet.line, HAIR, above=1)
    for one, y in down.items():
        panel.write(labels[one], left - MARGIN, y, "right")
    for one, x in middle.items():
        panel.write(labels[one], x, HEAD - 0.4, up="baseline")
        if len(rows) > TALL:
            panel.write(labels[one], x, floor + 1.2, up="baseline")
    _signs(panel, chosen, middle, down)
    return figure


def _signs(
    panel: Panel, chosen: Sequence[Confusion], across: Mapping[str, float], down: Mapping[str, float]
) -> None:
    """Set a sign for each confusion, its number in it."""
    for full in (True, False):
        places = [(across[one.copy], down[one.original]) for one in chosen if one.systematic is full]
        panel.signs(places, "o", full, ems=1.4)
    for one in chosen:
        colour = panel.sheet.paper if one.systematic else panel.sheet.ink
        panel.write(in_short(one.count), across[one.copy], down[one.original], colour=colour, ems=0.78)


def _by_count(chosen: Sequence[Confusion], side: str) -> list[str]:
    """Give the letters of one side, those with most confusions first."""
    counts = Counter[str]()
    for one in chosen:
        counts[getattr(one, side)] += one.count
    return sorted(counts, key=lambda letters: (-counts[letters], letters))


def _width(label: str) -> float:
    """Give the room a label needs, in ems."""
    return LETTER * len(label) + 2 * MARGIN if len(label) > 2 else PITCH  # noqa: PLR2004 -- two find room


def in_short(number: int) -> str:
    """Give a number that fits into a sign or over a bar; the table has it in full.

    >>> in_short(744), in_short(1444), in_short(12345)
    ('744', '1.4k', '12k')
    """
    if number < 1000:
        return f"{number}"
    return f"{number / 1000:.1f}k" if number < 10_000 else f"{number / 1000:.0f}k"
