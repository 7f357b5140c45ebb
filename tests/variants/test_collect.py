"""Variants: every difference once, cut at its letters, and what happened by definition."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.errors import UnrelatedTextsError
from fidelity.letters import decode, encode
from fidelity.terms import LOST_LETTER, Alignment, Phenomenon, StepKind, Variant, Witness
from fidelity.variants.cells import changed_cells
from fidelity.variants.collect import collect, phenomenon_of
from fidelity.witnesses.folds import NO_FOLDS, Folds

FOLDS = Folds({"ꞅ": "s"}, (("⁊", "and"), ("ꝥ", "þæt"), ("ᵹƀ", "gebod")))
TEXT = "of þam clife on þa greatan ac and þære ofer ꞅtane beorh genim mid rudan ⁊ ꝥ ᵹƀ min nim"
WORDS = TEXT.split()


def collected(original: str, copy: str, folds: Folds = NO_FOLDS) -> list[Variant]:
    """Align two strings and collect their differences."""
    return collect(aligned(original, copy, folds), "O", folds)


def aligned(original: str, copy: str, folds: Folds = NO_FOLDS) -> Alignment:
    """Align two strings."""
    return align_witnesses(Witness("O", encode(original)), Witness("C", encode(copy)), folds)


@st.composite
def copies(draw: st.DrawFn) -> Alignment | None:
    """Draw some words, and a copy with words moved, lost, doubled or replaced and letters changed."""
    words = draw(st.lists(st.sampled_from(WORDS), min_size=1, max_size=14))
    copy = list(words)
    for _ in range(draw(st.integers(0, 3))):
        at, to = (draw(st.integers(0, len(copy) - 1)) for _ in range(2))
        kind = draw(st.sampled_from(["move", "lose", "double", "replace"]))
        moved = copy.pop(at) if kind in ("move", "lose") else copy[at]
        if kind != "lose" or not copy:
            copy.insert(to, draw(st.sampled_from(WORDS)) if kind == "replace" else moved)
    text = " ".join(copy)
    for _ in range(draw(st.integers(0, 4))):
        at = draw(st.integers(0, len(text)))
        text = text[:at] + draw(st.text("abemnrstæ. ", max_size=2)) + text[at + draw(st.integers(0, 2)) :]
    if draw(st.booleans()):
        text = text.replace("⁊", "and").replace("ꝥ", "þæt").replace("ᵹƀ", "gebod")
    try:
        return aligned(" ".join(words), text, FOLDS)
    except UnrelatedTextsError:
        return None


@settings(deadline=None, max_examples=200)
@given(copies())
def test_variants_are_what_they_say(alignment: Alignment | None) -> None:
    """Each is cut from both texts at its spans, stands in its words, and is made of its answers."""
    if alignment is None:
        return
    original, copy = alignment.original.letters, alignment.copy.letters
    variants = collect(alignment, "O", FOLDS, first_number=7)
    assert [one.number for one in variants] == list(range(7, 7 + len(variants)))
    for one in variants:
        gone, come = original[slice(*one.original_span)], copy[slice(*one.copy_span)]
        assert (one.original, one.copy) == (decode(gone), decode(come))
        assert one.original in one.original_words
        assert one.copy in one.copy_words
        assert "".join(o for o, _ in one.pairs) == gone
        assert "".join(c for _, c in one.pairs) == come
        assert one.moved or not FOLDS.same(gone, come)
        assert one.locus.text == "O"
    starts = [one.original_span[0] for one in variants]
    assert starts == sorted(starts)


@settings(deadline=None, max_examples=200)
@given(copies())
def test_every_step_that_keeps_nothing_is_in_a_variant(alignment: Alignment | None) -> None:
    """No difference is lost: each changed or skipped stretch lies within a variant, if it is one.

    What was moved is told apart from its neighbours: there each letter lies in a variant.
    """
    if alignment is None:
        return
    original, copy = alignment.original.letters, alignment.copy.letters
    variants = collect(alignment, "O", FOLDS)
    spans = [(one.original_span, one.copy_span) for one in variants]
    told = {at for (a, b), _ in spans for at in range(a, b)}
    told_copy = {at for _, (a, b) in spans for at in range(a, b)}
    expanded = [
        (at, at + len(sign))
        for sign, _ in FOLDS.expansions
        for at in range(len(original))
        if original.startswith(sign, at)
    ]
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        if kind == StepKind.KEPT:
            continue
        held = any(a <= o0 and o1 <= b and c <= c0 and c1 <= d for (a, b), (c, d) in spans)
        if alignment.moved:
            held = held or (told.issuperset(range(o0, o1)) and told_copy.issuperset(range(c0, c1)))
        whole = any(a <= o0 <= o1 <= b for a, b in expanded)  # part of a sign that was written out
        assert held or whole, (original[o0:o1], copy[c0:c1])


@settings(deadline=None, max_examples=50)
@given(st.lists(st.sampled_from(WORDS), max_size=12).map(" ".join))
def test_a_text_against_itself(text: str) -> None:
    """A copy without a slip has no variants, nor has one that only writes out declared signs."""
    assert collected(text, text) == []
    written = text.replace("⁊", "and").replace("ꝥ", "þæt").replace("ꞅ", "s")
    assert collected(text, written, FOLDS) == []


LETTERS = st.text("abꞅs⁊ " + LOST_LETTER, max_size=6)


@given(LETTERS, LETTERS)
def test_what_happened_by_definition(original: str, copy: str) -> None:
    """Division: the same letters. Omission, addition: none left on one side. Transposition: reordered."""
    folded, folded_copy = FOLDS.fold(original), FOLDS.fold(copy)
    found = phenomenon_of(original, copy, FOLDS)
    bare, bare_copy = "".join(folded.split()), "".join(folded_copy.split())
    seen, seen_copy = bare.replace(LOST_LETTER, ""), bare_copy.replace(LOST_LETTER, "")
    if bare == bare_copy:
        assert found is Phenomenon.DIVISION
    elif found is Phenomenon.OMISSION:
        assert not bare_copy.strip(LOST_LETTER)
    elif found is Phenomenon.ADDITION:
        assert not bare.strip(LOST_LETTER) and bare_copy
    elif found is Phenomenon.TRANSPOSITION:
        assert sorted(folded) == sorted(folded_copy)
    else:
        assert seen
        assert seen_copy
        assert sorted(folded) != sorted(folded_copy)


@pytest.mark.parametrize(
    ("original", "copy", "phenomenon"),
    [
        ("landgemæra", "land gemæra", Phenomenon.DIVISION),
        ("halgan mere", "halganmere", Phenomenon.DIVISION),
        ("wyrttruman", "wyrtruman", Phenomenon.OMISSION),
        ("feld", "field", Phenomenon.ADDITION),
        ("claþe", "calþe", Phenomenon.TRANSPOSITION),
        ("stelan", "rtelan", Phenomenon.SUBSTITUTION),
        ("nimbus", "minbus", Phenomenon.SUBSTITUTION),  # the same strokes parted otherwise, nothing moved
    ],
)
def test_the_five_phenomena(original: str, copy: str, phenomenon: Phenomenon) -> None:
    """One of each, in one word."""
    [variant] = collected(f"on þone {original} stan", f"on þone {copy} stan")
    assert variant.phenomenon is phenomenon


def test_a_word_may_hold_several_events() -> None:
    """Two slips apart are two variants, neighbours are one, a division beside a slip is two."""
    assert [(one.original, one.copy) for one in collected("on smyre mid", "on rmyne mid")] == [
        ("s", "r"),
        ("r", "n"),
    ]
    assert [(one.original, one.copy) for one in collected("on hwostan mid", "on hworcan mid")] == [
        ("st", "rc")
    ]
    found = collected("on þa hæselræwe andlang", "on þa hærel ræwe andlang")
    assert [(one.original, one.copy) for one in found] == [("s", "r"), ("", " ")]
    assert {one.original_words for one in found} == {"hæselræwe"}
    assert {one.copy_words for one in found} == {"hærel ræwe"}


def test_another_word_is_one_event() -> None:
    """A word of which less than half is kept was replaced; its letters are no misreadings."""
    [variant] = collected("lege on þone fot and bind", "lege on þone earm and bind")
    assert variant.replaced
    assert (variant.original, variant.copy) == ("fot", "earm")
    [variant] = collected("on wulfes beorh. and", "on wulfes beaxa. and")  # two letters of five kept
    assert variant.replaced
    assert (variant.original, variant.copy) == ("beorh", "beaxa")
    assert not any(one.replaced for one in collected("on wulfes clife. and", "on wulfes cliþa. and"))
    assert not any(one.replaced for one in collected("on smyre mid", "on rmyne mid"))


def test_words_in_another_order_are_one_event() -> None:
    """Words moved are one transposition, not one omission and one addition."""
    [variant] = collected("cnuca on strangum ecede and smyre", "cnuca on ecede strangum and smyre")
    assert variant.phenomenon is Phenomenon.TRANSPOSITION
    assert sorted(variant.original.split()) == sorted(variant.copy.split()) == ["ecede", "strangum"]


def test_variants_do_not_overlap() -> None:
    """Each letter of the original belongs to one variant at most, also where words were moved."""
    spans = sorted(
        one.original_span
        for one in collected(
            "of þam clife wulfstanes greatan þam on þa ealdan mylne",
            "of þam clife þam wlfstanes greaatn on þa ealdan mylne",
        )
    )
    assert all(end <= start for (_, end), (start, _) in pairwise(spans))


def test_a_gap_in_the_copy() -> None:
    """Where the copy marks that it could not read, letters were left out, not taken for others."""
    [variant] = collected("securis æx", f"securis {LOST_LETTER}")
    assert variant.phenomenon is Phenomenon.OMISSION
    assert variant.copy == LOST_LETTER


def test_cells_are_cut_at_kept_divisions() -> None:
    """A cell is a word and the word that answers it, or more where a division was not kept."""
    cells = list(changed_cells(aligned("on þa hæselræwe of smyre", "on þa hærel ræwe of rmyne")))
    original, copy = "on þa hæselræwe of smyre", "on þa hærel ræwe of rmyne"
    assert [original[one.original_start : one.original_end] for one in cells] == ["hæselræwe", "smyre"]
    assert [copy[one.copy_start : one.copy_end] for one in cells] == ["hærel ræwe", "rmyne"]


@settings(deadline=None, max_examples=100)
@given(copies())
def test_cells_stand_in_order(alignment: Alignment | None) -> None:
    """Cells do not overlap, and their steps join to their spans."""
    if alignment is None:
        return
    at, at_copy = 0, 0
    for cell in changed_cells(alignment):
        assert cell.original_start >= at
        assert cell.copy_start >= at_copy
        assert (cell.steps[0][0], cell.steps[0][2]) == (cell.original_start, cell.copy_start)
        assert (cell.steps[-1][1], cell.steps[-1][3]) == (cell.original_end, cell.copy_end)
        assert any(step[4] != StepKind.KEPT for step in cell.steps)
        at, at_copy = cell.original_end, cell.copy_end
