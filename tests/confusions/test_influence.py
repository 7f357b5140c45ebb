"""Places to look at again: what the result hangs on comes first."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.confusions.influence import changed, headline
from fidelity.dossier import Dossier, LostText, Survivor, read_dossier
from fidelity.judge import Audit, judge, told_in_full
from fidelity.settings import Settings
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.influence import compared, corrected, headline_of, of_places

DEMO = Path(__file__).parents[2] / "demo_pairs" / "wickenby_short"
WORDS = ["stan", "weall", "duru", "hlaf", "grund", "folc", "mona", "heafod", "wudu", "fisc"]


def told(original: str, copy: str, lost: str = "mona heafod wudu") -> Audit:
    """Judge one survivor and one lost text, of which nothing but letters matters."""
    survivor = Survivor("A", read_witness(original, siglum="A"), read_witness(copy, siglum="A"))
    texts = (LostText("Z", read_witness(lost, siglum="Z")),)
    return told_in_full(judge(Dossier(Path(), "", "", NO_FOLDS, (survivor,), texts, (), (), Settings())))


def many(changes: dict[int, str]) -> tuple[str, str]:
    """Give forty lines of ten words, and the same with some words otherwise, by their number."""
    words = WORDS * 40
    written = [changes.get(at, word) for at, word in enumerate(words)]
    lines = [" ".join(one[at : at + 10]) for one in (words, written) for at in range(0, 400, 10)]
    return "\n".join(lines[:40]), "\n".join(lines[40:])


def test_two_places_that_make_a_habit_come_first() -> None:
    """He read n as u in two words, which is beyond chance: without either it is not, and both say so."""
    found = told(*many({36: "moua", 4: "gruud", 11: "weald"}))
    assert {(one.original, one.copy) for one in found.confusions if one.systematic} == {("n", "u")}
    first, *rest = found.rechecks
    both = [one for one in found.rechecks if one.confusion == "n→u"]
    assert {one.copy_words for one in both} == {"moua", "gruud"}
    assert all(one.changes == "without it it is no longer systematic" for one in both)
    assert (first.confusion, first.count, first.counted) == ("n→u", 2, True)
    assert first.weight > 3 * max(one.weight for one in rest)  # with one of them gone the other adds little


def test_the_weight_is_what_a_hand_calculation_gives() -> None:
    """Two errors in 1,840 letters; of 26 u in the survivor's copy 2 were n, and the lost text has 3 u.

    By hand: with n→u systematic, of the lost text's 14 letters 3 x 2/(24 + 2) must be expected to be n for
    u, none without it; and one error in 1,840 fewer.
    """
    original, copy = many({36: "moua", 4: "gruud"})
    found = told(original, copy, "mona heafod wudu")
    letters = sum(not x.isspace() for x in original)
    written = copy.count("u")
    (first, *_) = found.rechecks
    expected = 1000 * 2 * (2 / written) / 14 + 1000 / letters
    assert first.weight == pytest.approx(expected, rel=1e-6)


def test_what_is_unclear_may_make_a_habit() -> None:
    """One n→u is counted; another stands in a letter that its transcriber called unclear."""
    original, copy = many({36: "moua", 4: "gruud"})
    marked = original.replace("grund", "gruṇd", 1)
    survivor = Survivor(
        "A", read_witness(marked, siglum="A", profile="leiden"), read_witness(copy, siglum="A")
    )
    lost = (LostText("Z", read_witness("mona wudu", siglum="Z")),)
    found = told_in_full(judge(Dossier(Path(), "", "", NO_FOLDS, (survivor,), lost, (), (), Settings())))
    unclear = [one for one in found.rechecks if not one.counted]
    assert [one.copy_words for one in unclear] == ["gruud"]
    assert unclear[0].changes == "with it it is systematic"


def test_taking_back_is_what_a_corrected_transcript_gives() -> None:
    """The counts with one place taken back have the headline figures of a run on the corrected original."""
    original, copy = many({36: "moua", 4: "gruud", 11: "wealt"})
    found = told(original, copy)
    (variant,) = (one for one in found.variants if one.copy_words == "moua")
    rerun = headline_of(judge(corrected(found.dossier, [variant])))
    less = changed(found.counts, ("n", "u"), "A", -1, "mona")
    text = found.dossier.lost[0].copy.letters
    ours = headline(less, {x: text.count(x) for x in set(text)}, text, Settings())
    assert ours.systematic == rerun.systematic
    assert (ours.suspected, ours.errors) == pytest.approx((rerun.suspected, rerun.errors))


def test_the_places_named_first_move_more_than_any_others() -> None:
    """On the short demo, judged anew from the alignment on: more than 19 in 20 draws of as many others.

    ``python -m tests.benchmarks.influence`` makes a hundred draws, also on the long one.
    """
    first, others = compared(read_dossier(DEMO), 10, 20)
    assert sum(one < first for one in others) >= 19


def test_every_place_is_a_difference_that_is_there() -> None:
    """Each names a difference of the run, once for each confusion in it; weights never rise."""
    found = told_in_full(judge(DEMO))
    assert len(of_places(found.rechecks, found.variants)) <= len(found.rechecks)
    weights = [one.weight for one in found.rechecks]
    assert weights == sorted(weights, reverse=True)
    assert all(weight >= 0 for weight in weights)
