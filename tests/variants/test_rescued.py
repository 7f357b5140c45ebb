"""What the survivor has lost and the copy keeps."""

from __future__ import annotations

from fidelity.alignment.align import align_witnesses
from fidelity.terms import Rescued
from fidelity.variants.rescued import rescued
from fidelity.witnesses.folds import NO_FOLDS, Folds
from fidelity.witnesses.read import read_witness


def kept(original: str, copy: str, folds: Folds = NO_FOLDS) -> list[Rescued]:
    first = read_witness(original, siglum="A", profile="leiden")
    return rescued(align_witnesses(first, read_witness(copy, siglum="A"), folds), "A", folds)


def test_lost_letters_are_supplied_by_the_copy() -> None:
    """Three letters gone within a word: the copy has them, and nothing was restored to compare."""
    (one,) = kept("of þam st[...]cwealde ofer", "of þam streacwealde ofer")
    assert (one.copy, one.state, one.agrees) == ("rea", "lost", None)
    assert str(one.locus) == "A 1.3"


def test_whole_words_that_are_lost_are_supplied() -> None:
    """However the transcriber says how much is lost, the copy's word is what is kept."""
    for gap in ("[......]", "[c. 6]", "[---]"):
        (one,) = kept(f"he wæs on {gap} bure and þær", "he wæs on cessor bure and þær")
        assert (one.copy, one.state, one.agrees) == ("cessor", "lost", None)


def test_a_restoration_is_compared() -> None:
    """What the transcriber restored is what the copy has, or it is not; declared folds count as equal."""
    agreed, differs = kept("he [wæs] on [bure] þa", "he wæs on byre þa")
    assert (agreed.original, agreed.copy, agreed.state, agreed.agrees) == ("wæs", "wæs", "restored", True)
    assert (differs.copy, differs.agrees) == ("byre", False)
    (folded,) = kept("he [wæꞅ] on", "he wæs on", Folds({"ꞅ": "s"}))
    assert folded.agrees is True


def test_words_lost_one_after_another_are_one_stretch() -> None:
    """Blanks between lost words do not part them."""
    (one,) = kept("he wæs [on þam] bure", "he wæs on þam bure")
    assert one.copy == "on þam"


def test_nothing_lost_nothing_rescued() -> None:
    """A clear original gives none, nor does a gap of which the copy has nothing either."""
    assert kept("he wæs on bure", "he wes on bure") == []
    assert kept("he wæs [on] bure", "he wæs bure") == []
