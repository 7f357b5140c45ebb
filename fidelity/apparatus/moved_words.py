"""Find words that a witness has at another place near by: left out at one, added at the other.

Arrives: the places of the apparatus of one text. Leaves: for each such omission and addition the other place,
as cited. Start reading at ``moved_words``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from fidelity.apparatus.edition_text import MAIN, EditionText
from fidelity.apparatus.segments import Segment

NEAR = 12  # loci: the same word further away, a line or two, need not be the same word moved (chosen)

Moved = Mapping[tuple[int, int], str]  # first locus of a place and column of a witness -> the other place


def moved_words(edition: EditionText, places: Sequence[Segment]) -> Moved:
    """Give where witnesses have words that the copy has elsewhere.

    Args:
        edition: the witnesses.
        places: of the apparatus, in the order of the text.
    """
    found: dict[tuple[int, int], str] = {}
    waiting: defaultdict[tuple[int, str, bool], list[Segment]] = defaultdict(list)
    for place in places:
        of_copy = _words(edition, MAIN, place)
        for column in range(MAIN + 1, len(edition.letters)):
            if edition.span(column, place) is None:
                continue
            words = _words(edition, column, place)
            if bool(words) == bool(of_copy):
                continue
            added = not of_copy
            partners = waiting[column, words or of_copy, not added]
            partners[:] = [one for one in partners if place.first - one.first <= NEAR]
            if partners:
                other = partners.pop(0)
                found[place.first, column] = edition.cited(other)
                found[other.first, column] = edition.cited(place)
            else:
                waiting[column, words or of_copy, added].append(place)
    return found


def _words(edition: EditionText, column: int, place: Segment) -> str:
    """Give the words of a witness in a place; "" where it has none."""
    span = edition.span(column, place)
    return "" if span is None else edition.letters[column].witness.letters[slice(*span)].strip()
