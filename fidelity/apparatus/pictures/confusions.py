"""Draw the letters taken for others: the original's letters down, the letters he wrote across.

Arrives: the confusions of an audit, as ``confusions.csv`` has them. Leaves: a picture. Start reading at
``confusions_picture``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from fidelity.apparatus.pictures.panel import HAIR, Panel, Scale
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.sheet import SCREEN, Sheet
from fidelity.apparatus.pictures.signs import letters_shown, width_of
from fidelity.terms import Confusion

if TYPE_CHECKING:
    from matplotlib.figure import Figure

FEWEST = 3  # confusions; fewer are said more quickly than drawn
MOST_A_SIDE = 40  # letters; more cannot be told apart on a page
ONCE_TOO = 20  # confusions: where fewer are systematic or seen twice, those seen once are drawn too
TOLD = 12  # confusions in the description; the table has all
TALL = 8  # rows; below more of them the letters of the columns are written again
PITCH = 1.55  # ems from row to row and least from column to column: room for three figures in a sign
MARGIN, HEAD = 0.6, 3.4  # ems beside the labels; above the rows: what the sides are, labels
NARROWEST = 24.0  # ems: of a picture of few letters the page would make large ones


def confusions_picture(confusions: Sequence[Confusion]) -> Picture | None:
    """Draw the systematic and the commonest confusions; None where there are too few."""
    chosen = drawn(confusions)
    if len(chosen) < FEWEST:
        return None
    every = len(chosen) == len(confusions)
    width = _laid_out(chosen).width * SCREEN.letter
    which = "All of them" if every else f"{len(chosen)} of {len(confusions):,}"
    return Picture(
        name="confusions",
        title="Letters taken for others",
        caption=(
            "Down: what the original had; across: what he wrote; the commonest first. The figure: how often."
            " Full: systematic, more often than chance slips explain. Open: not shown to be. ∅: nothing,"
            f" ␣: a space. {which}: confusions.csv"
        ),
        description=described(chosen, len(confusions)),
        table="confusions.csv",
        draw=partial(_draw, tuple(chosen)),
        wide=width if width > SCREEN.width else 0,
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


@dataclass(frozen=True)
class Layout:
    """Where the letters of both sides stand, in ems.

    Attributes:
        labels: the letters of a side as they are written.
        down, across: the middle of each row, and of each column, from the upper left corner.
        left: where the first column begins.
        right: where the last ends.
    """

    labels: dict[str, str]
    down: dict[str, float]
    across: dict[str, float]
    left: float
    right: float

    @property
    def floor(self) -> float:
        """Where the last row ends."""
        return HEAD + PITCH * len(self.down)

    @property
    def width(self) -> float:
        """How wide the picture must be."""
        return max(self.right + MARGIN, NARROWEST)


def _laid_out(chosen: Sequence[Confusion]) -> Layout:
    """Give each row the same room, and each column as much as its label needs."""
    rows, columns = (_by_count(chosen, side) for side in ("original", "copy"))
    labels = {one: letters_shown(one) for one in (*rows, *columns)}
    left = max(_width(labels[one]) for one in rows) + MARGIN
    middle, right = dict[str, float](), left
    for one in columns:
        width = _width(labels[one])
        middle[one] = right + width / 2
        right += width
    down = {one: HEAD + PITCH * (at + 0.5) for at, one in enumerate(rows)}
    return Layout(labels, down, middle, left, right)


def _draw(chosen: Sequence[Confusion], sheet: Sheet) -> Figure:
    """Draw a row for each letter of the original, a column for each that he wrote, a sign for each pair."""
    at = _laid_out(chosen)
    sheet = sheet.fitted(at.width)
    tall = len(at.down) > TALL
    high = at.floor + (1.8 if tall else 0.4)
    figure = sheet.figure(high)
    panel = sheet.panel(figure, 0, 0, sheet.ems, high).scaled(Scale(0, sheet.ems), Scale(high, 0))
    panel.note("down: original; across: copy", MARGIN, 1.0, "left", sheet.soft)
    guides = [(at.left, y, at.right, y) for y in at.down.values()]
    guides += [(x, HEAD, x, at.floor) for x in at.across.values()]
    panel.strokes(guides, sheet.line, HAIR, above=1)
    for one, y in at.down.items():
        panel.note(at.labels[one], at.left - MARGIN, y, "right")
    for one, x in at.across.items():
        panel.write(at.labels[one], x, HEAD - 0.4, up="baseline")
        if tall:
            panel.write(at.labels[one], x, at.floor + 1.2, up="baseline")
    _signs(panel, chosen, at)
    return figure


def _signs(panel: Panel, chosen: Sequence[Confusion], at: Layout) -> None:
    """Set a sign for each confusion, its number in it."""
    placed = [(one, at.across[one.copy], at.down[one.original]) for one in chosen]
    for full in (True, False):
        panel.signs([(x, y) for one, x, y in placed if one.systematic is full], "o", full, ems=1.4)
    for one, x, y in placed:
        colour = panel.sheet.paper if one.systematic else panel.sheet.ink
        panel.write(in_short(one.count), x, y, colour=colour, ems=0.78)


def _by_count(chosen: Sequence[Confusion], side: str) -> list[str]:
    """Give the letters of one side, those with most confusions first."""
    counts = Counter[str]()
    for one in chosen:
        counts[getattr(one, side)] += one.count
    return sorted(counts, key=lambda letters: (-counts[letters], letters))


def _width(label: str) -> float:
    """Give the room a label needs, in ems."""
    return max(PITCH, width_of(label) + MARGIN)


def in_short(number: int) -> str:
    """Give a number that fits into a sign or over a bar; the table has it in full.

    >>> in_short(744), in_short(1444), in_short(12345)
    ('744', '1.4k', '12k')
    """
    if number < 1000:
        return f"{number}"
    return f"{number / 1000:.1f}k" if number < 10_000 else f"{number / 1000:.0f}k"
