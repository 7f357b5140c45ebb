"""What a transcriber restored, or another hand wrote, is no error and no chance of the copyist's.

Common practice (design of any collation of a copy with its exemplar): only what the scribe surely
wrote and the copyist surely saw is counted; no source.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fidelity.audit import audit, judge
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.judge import Audit
from fidelity.settings import Settings
from fidelity.terms import Cause, State, Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness


def judged(original: str, copy: str) -> Audit:
    """Judge one survivor in Leiden signs, at the end of a longer text that is copied right."""
    sound = "on þære ealdan stræte and þone hean æce oð þone ford " * 3
    first = read_witness(sound + original, siglum="E", profile="leiden", script="insular")
    second = read_witness(sound + copy, siglum="copy", profile="leiden")
    survivor = Survivor("E", first, second)
    return judge(Dossier(Path(), "", "", NO_FOLDS, (survivor,), (), (), (), Settings()))


def errors(found: Audit) -> dict[str, int]:
    return {one.measure: one.errors for one in found.scores if one.text == "E" and one.errors}


@pytest.mark.parametrize(
    ("original", "copy", "why"),
    [
        ("st[a]n", "stun", "restored"),
        ("stạn", "stun", "unclear"),
        ("st⟨a⟩n", "stun", "supplied"),
        ("st(a)n", "stun", "expanded"),
        ("st⟦a⟧n ford", "stun ford", "deleted"),
        ("st⸌a⸍n", "stun", "another hand"),
        ("[mid] ford", "mit ford", "restored"),
        ("⟦genim⟧ betonican", "betonican", "deleted"),
        ("stan", "st[u]n", "restored in the copy"),
        ("stan", "st⟨u⟩n", "supplied in the copy"),
        ("stan ford", "stan ⸌uel petra⸍ ford", "another hand in the copy"),
    ],
)
def test_differences_in_marked_letters_are_listed_and_not_counted(original: str, copy: str, why: str) -> None:
    """The difference stands in the list with its reason; no score, pattern or confusion counts it."""
    found = judged(f"{original} wæter", f"{copy} wæter")
    assert {variant.set_aside for variant in found.variants} == {why}
    assert errors(found) == {} and found.patterns == () and found.confusions == ()


def test_a_gap_of_the_original_that_the_copy_fills_is_counted_as_such() -> None:
    """What the copy supplies for lost letters is measured by itself, and is no error in letters."""
    found = judged("st[..] wæter", "stan wæter")
    assert errors(found) == {Cause.SUPPLIED: 1}


def test_a_gap_of_the_copy_is_the_copyists() -> None:
    """Where he left a gap for clear letters, he could not read them: that is counted."""
    found = judged("stanas wæter", "st[...]s wæter")
    assert errors(found)[Cause.LEFT_ILLEGIBLE] == 1


def test_a_long_skip_with_one_unclear_letter_is_counted() -> None:
    """A stretch of several words is set aside only if most of it is no evidence."""
    found = judged("on þone stạn þanon on þone ford", "on þone ford")
    assert [variant.set_aside for variant in found.variants] == [""]


def test_states_that_the_dossier_trusts_are_counted() -> None:
    """With states_as_evidence the same difference is an error again, in original and copy."""
    trusted = frozenset({State.RESTORED})
    found = judged("st[a]n", "stun").dossier.survivors[0]
    original, copy = (replace(one, trusted_states=trusted) for one in (found.original, found.copy))
    dossier = Dossier(
        Path(), "", "", NO_FOLDS, (replace(found, original=original, copy=copy),), (), (), (), Settings()
    )
    assert errors(judge(dossier))["letters"] == 1


def test_a_word_left_out_is_no_slip_in_its_letters() -> None:
    """A whole word left out counts as a word, not as its letters; one for several letters is one answer."""
    left_out = judged("on stan ford", "on ford")
    assert errors(left_out).get("letters", 0) == 0 and errors(left_out)["words"] == 1
    assert left_out.confusions == ()
    (once,) = judged("þry wæter", "thry wæter").confusions
    assert (once.original, once.copy) == ("þ", "th")


def test_nothing_is_proposed_for_letters_the_copyist_did_not_write() -> None:
    """In the copy of a lost text, restored, deleted and later letters get no proposal."""
    lines = "on þære ealdan stræte\nmid þam fæstan stane\nstod se strang man\n" * 12
    survivor = Survivor(
        "E", read_witness(lines, siglum="E"), read_witness(lines.replace("st", "rt"), siglum="E")
    )
    lost = read_witness("on rtane\nmid [rtane]\nstod ⟦rtane⟧\nse ⸌rtane⸍ man\n", siglum="X", profile="leiden")
    dossier = Dossier(
        Path(),
        "",
        "",
        NO_FOLDS,
        (survivor,),
        (LostText("X", lost),),
        (),
        (),
        replace(Settings(), report_from=0.2),
    )
    assert {reading.locus.line for reading in audit(dossier).readings} == {"1"}


def test_letters_beside_a_gap_teach_nothing() -> None:
    """What the copy has for lost letters is no letter put in: the model learns nothing from it."""
    from fidelity.alignment.align import align_witnesses
    from fidelity.copyist.tagging import tag_alignment

    original: Witness = read_witness("on [.] stane and on forda", profile="leiden")
    copy = read_witness("on xxx stane and on forda")
    tagged = tag_alignment(align_witnesses(original, copy), NO_FOLDS)
    at = copy.letters.index("xxx")
    assert not any(tagged.trusted[at : at + 3]) and "".join(tagged.tags[at : at + 3]) == "xxx"
