"""Look up what the original has where something was held out.

Arrives: held-out units and the survivors' copies with their truth. Leaves: places, pages, distances.
Start reading at ``places_in``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged, with_words_beside
from fidelity.readings.candidates import Unit
from fidelity.readings.held_out import HeldOut
from fidelity.terms import Locus, Witness

Edit = tuple[int, int, str]  # span of the copy, and what is put there


class Place(NamedTuple):
    """A held-out unit that can be judged.

    Attributes:
        unit: with its candidates; its offsets count from the part's beginning.
        start, end: its span in the survivor's copy.
        truth: what the original has.
        survivor, page: where it stands; the page with the survivor's id, or where the copy has no
            pages the number of the round: what was left out together is then the cluster.
        wider: the truth with words that he left out beside the unit, where another copy names readings.
    """

    unit: Unit
    start: int
    end: int
    truth: str
    survivor: str
    page: str
    wider: frozenset[str] = frozenset()

    @property
    def wrong(self) -> bool:
        """Whether the copy differs from the original there."""
        return self.truth != self.unit.transmitted


def places_in(
    part: HeldOut, tagged: Sequence[Tagged], copies: Sequence[tuple[str, Witness]]
) -> Iterator[Place]:
    """Give the units of a held-out part whose every letter is trusted.

    Args:
        part: what was held out.
        tagged: the survivors' copies with the truth.
        copies: for each survivor its id and its copy, to cite places.
    """
    stretch, offset = tagged[part.part.survivor], part.part.start
    survivor, witness = copies[part.part.survivor]
    for unit in part.units:
        start, end = unit.start + offset, unit.end + offset
        if all(stretch.trusted[start:end]):
            page = witness.pages[witness.line_of(start)] or f"({part.part.fold + 1})"
            wider = with_words_beside(stretch, start, end) if unit.plainly else frozenset[str]()
            truth = stretch.original(start, end)
            yield Place(unit, start, end, truth, survivor, f"{survivor} {page}", wider)


def locus_of(copy: tuple[str, Witness], offset: int) -> Locus:
    """Cite a place of a survivor's copy."""
    text, witness = copy
    locus = witness.locus(offset)
    return Locus(text, locus.line, locus.word)


def distance_after(stretch: Tagged, start: int, end: int, edits: Sequence[Edit]) -> int:
    """Give the edit distance from the original once edits are put in; of those that overlap the first."""
    pieces, at = [], start
    for first, last, text in sorted(edits):
        if first < at:
            continue
        pieces += [stretch.copied[at:first], text]
        at = last
    pieces.append(stretch.copied[at:end])
    return int(Levenshtein.distance("".join(pieces), stretch.original(start, end)))
