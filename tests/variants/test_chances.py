"""The chances of causes that have a rule of their own, counted by hand."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.terms import Cause, Witness
from fidelity.variants.chances import CHANCES, chances_by_page, chances_by_piece, total
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness


def chances(text: str | Witness) -> dict[str, int]:
    """Count the chances of every measure in a text in Leiden signs that is copied right."""
    witness = read_witness(text, siglum="O", profile="leiden") if isinstance(text, str) else text
    alignment = align_witnesses(witness, Witness("C", witness.letters))
    found = chances_by_page(alignment, [], places_of(witness), NO_FOLDS)
    return {measure: total(pages) for measure, pages in found.items()}


@pytest.mark.parametrize(
    ("cause", "text", "count"),
    [
        (Cause.NASAL_STROKE, "nyhtū on ecede", 3),  # the stroke of ū, two n over which one might be seen
        (Cause.NASAL_STROKE, "wætere", 0),
        (Cause.LATER_HAND, "on ⸌uel petra⸍ stane ⟦genim⟧ leaf ⸌and⸍", 3),  # two additions, one deletion
        (Cause.LATER_HAND, "on stane", 0),
        (Cause.SUPPLIED, "on st[..]e and [...] leaf", 2),  # two holes
        (Cause.COUPLED, "genim .ui. syx leaf and .iii. stelan", 1),  # one numeral has its word beside it
        (Cause.ANTICIPATION, "genim þas wyrte", 3),
        (Cause.INTERPOLATION, "genim þas wyrte .", 3),
        (Cause.MODERNISED, "genim þas wyrte", 3),
    ],
)
def test_chances_of_their_own(cause: Cause, text: str, count: int) -> None:
    """Each rule counts what its line in ``CHANCES`` says."""
    assert chances(text)[cause] == count


def test_every_entry_links_its_fields() -> None:
    """In a table each pair of neighbouring fields is linked."""
    table = Witness("G", "acer\thlin alnus\talor", (0, 10), ("1", "2"), ("", ""), ("", ""), fields=("a", "b"))
    assert chances(table)[Cause.COUPLED] == 2


def test_every_cause_that_is_tested_has_chances() -> None:
    """Only causes that are never given have no rule."""
    assert set(Cause) - CHANCES.keys() == {Cause.ASSIMILATION, Cause.IMPORTED}


@given(
    st.text("aþ \n\t.·⁊▯"), st.lists(st.integers(0, 40)), st.sampled_from(["letters", "words", Cause.MINIMS])
)
def test_pieces_are_counted_as_if_each_were_a_text(text: str, cuts: list[int], measure: str) -> None:
    """Counted in one go, the chances of each piece are what its rule finds in that piece alone."""
    starts = sorted({0, *(cut for cut in cuts if cut < len(text))})
    pieces = [text[start:end] for start, end in pairwise([*starts, len(text)])]
    assert chances_by_piece(measure, text, starts) == list(map(CHANCES[measure], pieces))
