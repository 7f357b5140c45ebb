"""What was moved is one event, wherever it stands in the copy, and its letters are counted nowhere else."""

from __future__ import annotations

from functools import cache

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.causes.decide import decide
from fidelity.causes.facts import Facts
from fidelity.confusions.count import count_answers
from fidelity.confusions.scores import errors_by_page
from fidelity.copyist.tagging import tag_alignment
from fidelity.letters import decode
from fidelity.terms import Alignment, Cause, Phenomenon, StepKind, Variant
from fidelity.variants.chances import offered_text
from fidelity.variants.collect import collect
from fidelity.variants.moves import NEARBY, blocks_of, steps_without_moved
from fidelity.variants.places import places_of
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

LINES = (
    "ærest of ellenforda up andlang streames on þæt reade clif",
    "of þam clife to þære greatan ac ofer wulfstanes feld",
    "þonne be þam fulan broce oþ þa ealdan mylne westweard",
    "swa suþ be hæselræwe þæt hit cymþ eft to ellenforda",
    "and seo wudulæs gebyreþ þærto swa hit ær þeowode",
)


def aligned(original: str, copy: str) -> Alignment:
    """Align two texts with their lines."""
    return align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))


def lines(*numbers: int) -> str:
    """Give some of the lines, one for each line of the manuscript."""
    return "\n".join(LINES[number] for number in numbers)


def collected(alignment: Alignment) -> list[Variant]:
    """Collect the differences."""
    return collect(alignment, "E", NO_FOLDS)


def test_a_line_moved_to_the_end() -> None:
    """One transposition: where it stood in the original, where it now stands in the copy."""
    [variant] = collected(aligned(lines(0, 1, 2, 3, 4), lines(0, 2, 3, 4, 1)))
    assert variant.moved
    assert variant.phenomenon is Phenomenon.TRANSPOSITION
    assert variant.original.strip() == variant.copy.strip() == LINES[1]
    assert (str(variant.locus), str(variant.last_locus)) == ("E 2.1", "E 2.10")
    assert (str(variant.copy_locus), str(variant.copy_last_locus)) == ("C 5.1", "C 5.10")
    assert (variant.original_words.strip(), variant.copy_words.strip()) == (LINES[1], LINES[1])


def test_words_that_changed_places_are_shown_together() -> None:
    """A word moved over its neighbour is told with the neighbour, as a reader sees it."""
    [variant] = collected(aligned("cnuca on strangum ecede and smyre", "cnuca on ecede strangum and smyre"))
    assert (variant.original.strip(), variant.copy.strip()) == ("strangum ecede", "ecede strangum")
    assert variant.moved


def test_a_change_between_is_told_for_itself() -> None:
    """Where the word that was moved over has a slip, the move and the slip are two events."""
    original, copy = "cnuca on strangum wearmum ecede and", "cnuca on ecede strangum wearnum and"
    told = {(one.original.strip(), one.copy.strip(), one.moved) for one in collected(aligned(original, copy))}
    assert told == {("m", "n", False), ("ecede", "ecede", True)}


def test_what_was_left_out_beside_it() -> None:
    """Of a gap that holds a moved line and one that is lost, only the lost one is an omission."""
    found = collected(aligned(lines(0, 1, 2, 3, 4), lines(0, 3, 4, 1)))
    told = sorted((one.original.strip(), str(one.phenomenon)) for one in found)
    assert told == [(LINES[1], "transposition"), (LINES[2], "omission")]
    lost = next(one for one in found if one.phenomenon is Phenomenon.OMISSION)
    assert (str(lost.locus), str(lost.last_locus)) == ("E 3.1", "E 3.10")


def test_matter_in_one_text_only_is_a_block_with_its_place() -> None:
    """A preface is one addition, cited from its first to its last word in the copy."""
    preface = "se biscop het writan þas boc on þam geare þe he forþferde"
    [variant] = collected(aligned(lines(0, 1, 2, 3, 4), preface + "\n" + lines(0, 1, 2, 3, 4)))
    assert variant.phenomenon is Phenomenon.ADDITION
    assert (str(variant.copy_locus), str(variant.copy_last_locus)) == ("C 1.1", "C 1.12")


@cache
def moved() -> Alignment:
    """Give a text whose second line stands last in the copy, with a slip in it."""
    return aligned(lines(0, 1, 2, 3, 4), lines(0, 2, 3, 4) + "\n" + LINES[1].replace("greatan", "gneatan"))


def test_steps_without_the_block_tell_nothing_of_it() -> None:
    """No step that is left has a letter of the block, and all other letters are there."""
    original, copy = moved().original.letters, moved().copy.letters
    [(o0, o1, c0, c1)] = blocks_of(moved())
    rows = steps_without_moved(moved())
    left = "".join(original[a:b] for a, b, _, _, _ in rows)
    left_copy = "".join(copy[c:d] for _, _, c, d, _ in rows)
    assert left == original[:o0] + original[o1:]
    assert left_copy == copy[:c0] + copy[c1:]
    assert all(original[a:b] == copy[c:d] for a, b, c, d, kind in rows if kind == StepKind.KEPT)


def test_letters_of_a_block_are_no_chances() -> None:
    """They are neither answers nor chances, and the slip in them is no confusion and no wrong letter."""
    facts = Facts(moved(), NO_FOLDS, places_of(moved().original))
    variants = decide(collected(moved()), {"E": facts})
    [one] = variants
    assert one.cause is Cause.METATHESIS
    counts = count_answers({"E": moved()}, variants, {"E": facts.places})
    kept = "".join(LINES[number] for number in (0, 2, 3, 4)).replace(" ", "")
    assert {letter: sum(pages.values()) for letter, pages in counts.chances.items()} == {
        letter: kept.count(letter) for letter in set(kept)
    }
    assert all(original == written for original, written in counts.answers)
    assert "greatan" not in offered_text(moved(), with_skips=True)
    errors = errors_by_page(variants, facts.places)
    assert sum(errors["letters"].values()) == 0
    assert sum(errors[Cause.METATHESIS].values()) == sum(errors["words"].values()) == 1


def test_a_block_teaches_nothing_but_is_tagged() -> None:
    """Its letters have the original's letters as tags, and are not trusted."""
    tagged = tag_alignment(moved(), NO_FOLDS)
    start, end = moved().moved[0].copy_span
    assert tagged.original(start, end) == LINES[1]
    assert not any(tagged.trusted[start:end])
    place = tagged.copied.index(" þonne be þam")
    assert not tagged.trusted[place - 1] and tagged.trusted[place - 2]


@pytest.mark.parametrize("order", [(1, 0, 2, 3, 4), (0, 1, 3, 2, 4), (4, 0, 1, 2, 3), (2, 3, 0, 1, 4)])
def test_every_letter_is_told_once(order: tuple[int, ...]) -> None:
    """Whichever line is thought to have moved, the letters in variants and those kept are all there are."""
    alignment = aligned(lines(0, 1, 2, 3, 4), lines(*order))
    variants = collected(alignment)
    assert all(one.moved for one in variants)
    told = [at for one in variants for at in range(*one.original_span)]
    assert len(told) == len(set(told))
    kept = {at for a, b, _, _, kind in steps_without_moved(alignment) if kind == 0 for at in range(a, b)}
    assert set(range(len(alignment.original))) <= kept | set(told)


def test_words_moved_far_are_told_apart() -> None:
    """Beyond the reach of two lines what was moved over is not part of the event."""
    assert len(lines(2, 3)) > NEARBY
    [variant] = collected(aligned(lines(0, 1, 2, 3, 4), lines(0, 2, 3, 1, 4)))
    assert decode(variant.original).strip() == LINES[1]


RECIPES = (
    "Wiþ heafodece genim betonican syx leaf and rudan",
    "Wiþ toþece genim piper and ceow on þære healfe",
    "Wiþ lungenadle genim marubian and hunig on ealaþ",
    "Wiþ eagna miste genim finoles wos and dryp on þæt eage",
    "Wiþ fotadle genim heortes mearg and wegbrædan",
)


@pytest.mark.parametrize("order", [(2, 0, 3, 4, 1), (1, 3, 0, 2, 4), (2, 3, 1, 4, 0), (4, 2, 3, 0, 1)])
@pytest.mark.parametrize("reverse", [False, True], ids=["from the original", "in the copy"])
def test_neighbours_that_both_move_leave_nothing_behind(order: tuple[int, ...], reverse: bool) -> None:
    """Two neighbouring passages moved to different places leave no blank behind, taken for words joined."""
    texts = "\n".join(RECIPES), "\n".join(RECIPES[number] for number in order)
    alignment = aligned(*(texts[::-1] if reverse else texts))
    assert {one.phenomenon for one in collected(alignment)} == {Phenomenon.TRANSPOSITION}
    told = [at for one in blocks_of(alignment) for at in range(*one[:2])]
    assert len(told) == len(set(told))  # the blank between two is in one of them only
