"""Several copies of one text: three texts at a time, from what the other was made, and what it is worth."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from math import comb
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import tag_alignment, with_words_beside
from fidelity.dossier import Dossier, LostText, OtherWitness, Survivor
from fidelity.readings.copies_beside import CopiesBeside
from fidelity.readings.copies_compared import compare_copies, how_they_stand
from fidelity.readings.copies_seen import CopiesSeen, copies_seen
from fidelity.readings.copies_worth import Worth, worth_of
from fidelity.readings.copy_of_copy import Dependence, dependence, sum_of_trials
from fidelity.readings.three_texts import answers_in, stretches_of
from fidelity.settings import Settings
from fidelity.terms import Witness
from fidelity.terms.copies import Beside, MadeFrom
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

WORDS = st.lists(st.text("abcm", min_size=1, max_size=5), min_size=1, max_size=8)
ORIGINAL = "se wulf was on þam wudu and he sang lange"
FIRST = "se pulf was on þam wudu and he song lange"
OTHER = "se wulf was on þan wudu and he song lange"


def as_text(words: list[str]) -> str:
    return " ".join(words)


@settings(max_examples=60, deadline=None)
@given(WORDS, WORDS, WORDS)
def test_stretches_hold_all_letters_of_all_texts(one: list[str], two: list[str], three: list[str]) -> None:
    """Put together, with the blanks between them, the stretches are the three texts."""
    original, first, other = (Witness("E", as_text(words)) for words in (one, two, three))
    to_original = answers_in(align_witnesses(original, first), from_copy=True)
    to_other = answers_in(align_witnesses(first, other))
    found = list(stretches_of(first.letters, to_other, to_original))
    for text, spans in (
        (original, [one.original for one in found]),
        (first, [one.first for one in found]),
        (other, [one.other for one in found]),
    ):
        assert spans[0][0] == 0
        assert spans[-1][1] == len(text)
        assert all(before[1] + 1 == after[0] for before, after in pairwise(spans))
        assert " ".join(text.letters[slice(*span)] for span in spans) == text.letters


def test_words_put_in_belong_to_the_word_beside_them() -> None:
    """What the other copy has more before a word, or after it, is part of what answers that word."""
    found = answers_in(align_witnesses(Witness("E", "of cyning"), Witness("E", "of þam cyning")))
    assert found.span(3, 9) in {(3, 13), (7, 13)}
    assert found.span(0, 2) in {(0, 2), (0, 6)}
    assert found.span(0, 9) == (0, 13)


@pytest.mark.parametrize(
    ("first", "other", "what"),
    [
        ("wulf", "wulf", None),
        ("pulf", "pulf", Beside.BOTH_ALIKE),
        ("pulf", "wulf", Beside.FIRST_WRONG),
        ("wulf", "pulf", Beside.OTHER_WRONG),
        ("pulf", "wolf", Beside.BOTH_OTHERWISE),
    ],
)
def test_how_three_texts_stand(first: str, other: str, what: Beside | None) -> None:
    """Each of the five ways in which two copies and their original may stand."""
    assert how_they_stand("wulf", first, other) is what


def test_the_number_of_coincidences() -> None:
    """With equal chances the sum of trials is the binomial distribution; it always sums to 1."""
    found = sum_of_trials([0.2] * 6)
    assert found == pytest.approx([comb(6, k) * 0.2**k * 0.8 ** (6 - k) for k in range(7)])
    assert math.fsum(sum_of_trials([0.1, 0.9, 0.35])) == pytest.approx(1.0)


def test_habits_prove_no_dependence() -> None:
    """Ten errors that he makes nine times in ten are shared by chance; ten rare ones are not."""
    habit, rare = dependence([0.9] * 10, 9), dependence([0.01] * 10, 9)
    assert habit.made_from is not MadeFrom.FIRST
    assert habit.expected == pytest.approx(9.0)
    assert rare.made_from is MadeFrom.FIRST
    assert rare.p_value == pytest.approx(10 * 0.05**9 * 0.95 + 0.05**10)  # no chance is held below .05


def test_too_few_errors_decide_nothing() -> None:
    """Of three errors none shared: no copy of a copy is excluded. Of twenty, one is."""
    assert dependence([0.05] * 3, 0).made_from is MadeFrom.UNDECIDED
    assert dependence([0.05] * 20, 0).made_from is MadeFrom.ORIGINAL
    assert dependence([], 0).made_from is MadeFrom.UNDECIDED


def worth(made_from: MadeFrom, by: str = "") -> Worth:
    """A copy that mends .4 of the errors and slips in .02 of the words; .9 of all words are read right."""

    def written(original: str, copied: str) -> float:
        return 0.9 if original == copied else 0.001

    found = Dependence(10, 5, 0.5, 0.0, made_from)
    return Worth(by, found, 0.4, 0.02, 0.05, written, written, 100, 20, 8, 10)


def test_made_from_the_first_by_hand() -> None:
    """He read pulf. Slip: .02 x .001 / (1 - .9). Mended: .4, or left as it was and slipped by chance."""
    slip = 0.02 * 0.001 / 0.1
    one = worth(MadeFrom.FIRST)
    assert one.log_likelihood("pulf", "pulf", "wulf") == pytest.approx(math.log(slip))
    assert one.log_likelihood("wulf", "pulf", "wulf") == pytest.approx(math.log(0.4 + 0.6 * slip))
    assert one.log_likelihood("full", "pulf", "wulf") == pytest.approx(math.log(0.6 * slip))
    assert one.log_likelihood(None, "pulf", "wulf") == pytest.approx(math.log(0.6 * slip))
    assert one.log_likelihood("pulf", "pulf", "pulf") == pytest.approx(math.log(0.98))
    assert one.log_likelihood("wulf", "pulf", "pulf") == pytest.approx(math.log(0.6 * 0.98))


def test_made_anew_by_hand() -> None:
    """He read the original: right .9 of the time; the same error again at least .05 of the time."""
    one = worth(MadeFrom.ORIGINAL)
    assert one.log_likelihood("wulf", "pulf", "wulf") == pytest.approx(math.log(0.9))
    assert one.log_likelihood("pulf", "pulf", "wulf") == pytest.approx(math.log(0.001))
    assert one.log_likelihood("pulf", "pulf", "pulf") == pytest.approx(math.log(0.9))
    assert one.log_likelihood("wulf", "pulf", "pulf") == pytest.approx(math.log(0.05))
    assert one.log_likelihood(None, "pulf", "wulf") == pytest.approx(math.log(0.001))


def test_undecided_is_half_of_either() -> None:
    """Where it is undecided from what it was made, both count half."""
    ways = [
        worth(made).log_likelihood("wulf", "pulf", "wulf") for made in (MadeFrom.FIRST, MadeFrom.ORIGINAL)
    ]
    both = worth(MadeFrom.UNDECIDED).log_likelihood("wulf", "pulf", "wulf")
    assert math.exp(both) == pytest.approx(sum(map(math.exp, ways)) / 2)


def test_another_s_copy_of_the_first_copy_is_no_evidence() -> None:
    """A transcript that shares the first copy's errors beyond chance has no vote; his own fair copy has."""
    assert not worth(MadeFrom.FIRST, "K").is_evidence
    assert worth(MadeFrom.ORIGINAL, "K").is_evidence
    assert worth(MadeFrom.FIRST).is_evidence


def dossier(*others: str, lost: str = "", lost_other: str = "", by: str = "") -> Dossier:
    """A dossier of one survivor (or one for each other copy), and a lost text where one is given."""
    survivors = tuple(
        Survivor(f"E{at}", read_witness(ORIGINAL, siglum=f"E{at}"), read_witness(FIRST, siglum=f"E{at}"))
        for at in range(len(others))
    )
    read = [
        replace(read_witness(text, siglum=by or f"E{at}"), file="fair.txt") for at, text in enumerate(others)
    ]
    witnesses: tuple[OtherWitness, ...] = ()
    if by:
        witnesses = tuple(OtherWitness(f"E{at}", one, from_original=True) for at, one in enumerate(read))
    else:
        survivors = tuple(
            replace(one, other_copies=(other,)) for one, other in zip(survivors, read, strict=True)
        )
    lost_texts = (
        (LostText("X", read_witness(lost, siglum="X"), (read_witness(lost_other, siglum="X"),)),)
        if lost
        else ()
    )
    return Dossier(Path(), "he", "", NO_FOLDS, survivors, lost_texts, witnesses, (), Settings())


def test_places_and_rates_by_hand() -> None:
    """Wulf is mended, song stays, þam is spoilt: one mended of two, one slip in nine words not mended."""
    of = dossier(OTHER)
    alignments = [align_witnesses(one.original, one.copy) for one in of.survivors]
    seen = copies_seen(of, alignments, ()).found
    assert [(str(one.locus), one.original, one.first, one.other, str(one.what)) for one in seen.places] == [
        ("E0 1.2", "wulf", "pulf", "wulf", "first wrong, other right"),
        ("E0 1.5", "þam", "þam", "þan", "first right, other wrong"),
        ("E0 1.9", "sang", "song", "song", "both wrong alike"),
    ]
    rates = {one.measure: (one.count, one.chances) for one in seen.rates if one.text == "E0"}
    assert rates["errors of the eye (first copy)"] == (2, 10)
    assert rates["errors of the other copy"] == (2, 10)
    assert rates["errors of the first copy mended in the other"] == (1, 2)
    assert rates["errors of the first copy shared by the other"] == (1, 2)
    assert rates["the copies differ, the other is right"] == (1, 2)
    assert "undecided" in seen.notes[0]


def test_a_copy_of_a_copy_is_told() -> None:
    """Eight errors, six of them shared: the other was made from the first; the pen has its own rate."""
    original = "se wulf was on þam wudu and he sang lange of þone dim mor siþþan"
    first = "se pulf wos on þan wuðu ond ne sang lange of þone dym mor sippan"
    other = "se wulf was on þan wuðu ond ne sang lang of þone dym mor sippan"
    of = dossier(other)
    survivor = replace(
        of.survivors[0], original=read_witness(original, siglum="E"), copy=read_witness(first, siglum="E")
    )
    of = replace(of, survivors=(survivor,))
    seen = copies_seen(of, [align_witnesses(survivor.original, survivor.copy)], ()).found
    shared = next(one for one in seen.rates if one.made_from and one.text == "all")
    assert (shared.count, shared.chances, shared.made_from) == (6, 8, MadeFrom.FIRST)
    slips = next(one for one in seen.rates if one.measure.startswith("slips") and one.text == "all")
    assert (slips.count, slips.chances) == (1, 13)
    assert any(one.measure == "eye: a→o" and one.count == 2 for one in seen.rates)
    assert "made from the first copy" in seen.notes[0]


def test_a_round_is_not_told_what_is_left_out() -> None:
    """Rates of a round come from the other survivors alone; the priors as the docstring has them."""
    of = dossier(OTHER, OTHER, FIRST)
    alignments = [align_witnesses(one.original, one.copy) for one in of.survivors]
    beside = CopiesBeside(compare_copies(of, alignments, ()), alignments, NO_FOLDS)
    whole, part = beside.worth(("", 1)), beside.worth(("", 1), [(0, 0, len(FIRST))])
    assert (whole.dependence.errors, part.dependence.errors) == (6, 4)
    assert whole.mended == pytest.approx((2 + 1) / (6 + 2))
    assert part.mended == pytest.approx((1 + 1) / (4 + 2))
    assert part.slips == pytest.approx((1 + 10 * 4.5 / 21) / (20 - 1 + 10))


def test_a_lost_text_is_asked_word_by_word() -> None:
    """The other copy names its own word where it differs, and none where it does not."""
    of = dossier(OTHER, OTHER, lost=FIRST, lost_other=ORIGINAL)
    alignments = [align_witnesses(one.original, one.copy) for one in of.survivors]
    beside = CopiesBeside(compare_copies(of, alignments, ()), alignments, NO_FOLDS).lost("X")
    assert beside is not None
    there, same = beside.at(3, 7), beside.at(0, 2)
    assert there is not None
    assert same is not None
    assert there.further == ("wulf",)
    assert "has wulf; where the two differ in the survivors it is right 2 of 4 times" in there.told[0]
    assert same.further == ()
    assert there.log_likelihood("wulf") > there.log_likelihood("pulf")
    assert same.log_likelihood("se") > same.log_likelihood("sæ")


def test_another_man_s_transcript_is_worth_what_he_shows() -> None:
    """Another who copied the survivors right is trusted; who shares our man's errors is no evidence."""
    good = dossier(*[ORIGINAL] * 8, by="K")
    bad = dossier(*[FIRST] * 8, by="K")
    for of, is_evidence in ((good, True), (bad, False)):
        alignments = [align_witnesses(one.original, one.copy) for one in of.survivors]
        beside = CopiesBeside(compare_copies(of, alignments, ()), alignments, NO_FOLDS)
        assert (beside.survivor(0, ()) is not None) is is_evidence
        notes = copies_seen(of, alignments, ()).found.notes
        assert notes[0].endswith("is no evidence") is not is_evidence


def test_nothing_where_there_are_no_other_copies() -> None:
    """A dossier without other copies has nothing to tell of them."""
    of = replace(dossier(OTHER), survivors=(Survivor("E", Witness("E", ORIGINAL), Witness("E", FIRST)),))
    seen = copies_seen(of, [align_witnesses(Witness("E", ORIGINAL), Witness("E", FIRST))], ())
    assert seen == CopiesSeen()


def test_words_left_out_hang_on_the_blanks_beside() -> None:
    """Words he left out are right where another copy has them, before the word, after it, or both."""
    original, copy = Witness("E", "he com þa to cyninge"), Witness("E", "he com cyninge")
    tagged = tag_alignment(align_witnesses(original, copy), NO_FOLDS)
    at = copy.letters.index("cyninge")
    found = with_words_beside(tagged, at, len(copy.letters)) | with_words_beside(tagged, 3, 6)
    assert {"þa to cyninge", "com þa to"} <= found | {tagged.original(3, 6)}
    assert with_words_beside(tagged, 0, 2) == frozenset()


def test_worth_without_any_survivor() -> None:
    """Where no survivor has such a copy, the priors alone hold, and nothing is decided."""

    def written(original: str, copied: str) -> float:
        return float(original == copied)

    found = worth_of("", [], written, written, 0.01)
    assert found.dependence.made_from is MadeFrom.UNDECIDED
    assert found.mended == 0.5
    assert found.slips == pytest.approx(0.05)
    assert "no survivor shows" in found.in_words("fair.txt", "pulf", "wulf")
