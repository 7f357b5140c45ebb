"""What became of other hands' work in the survivors: one case for each thing that a copy may do."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fidelity.confusions.intervals import jeffreys
from fidelity.hands.survivors import stretches_by_hand
from fidelity.terms import Phenomenon
from fidelity.terms.hands import CHANGED, DONE, KEPT_APART, LEFT_OUT, REPRODUCED
from fidelity.witnesses.read import read_witness
from tests.hands.dossiers import hands_in, judged, survivor

BEFORE, AFTER = "on þone hwitan stan", "of þam stane suþ and eft on þa ealdan dic"
NO_ERROR = {"later_hand"}  # the one measure that counts what he copied as text


def around(middle: str) -> str:
    return f"{BEFORE} {middle} {AFTER}".replace("  ", " ")


@pytest.mark.parametrize(
    ("original", "copy", "profile", "layer", "done", "how", "same"),
    [
        ("⸌uel petra⸍", "uel petra", "plain", "added", REPRODUCED, "", True),
        ("⸌uel petra nigra⸍", "uel pctra nagra", "plain", "added", REPRODUCED, "", False),
        ("⸌uel petra⸍", "petra", "plain", "added", REPRODUCED, "", False),
        ("⸌uel petra⸍", "(uel petra)", "plain", "added", KEPT_APART, "in brackets", True),
        ("⸌uel petra⸍", "[uel petra]", "leiden", "added", KEPT_APART, "marked as restored", True),
        ("⸌uel petra⸍", "⸌uel petra⸍", "leiden", "added", KEPT_APART, "as another hand's (added)", True),
        ("⸌uel petra⸍", "", "plain", "added", LEFT_OUT, "", None),
        ("⸌uel petra⸍", "oððe clif", "plain", "added", CHANGED, "", False),
        ("⸌uel petra⸍", "oððe stanclif micel", "plain", "added", CHANGED, "", False),
        ("⟦genim⟧", "genim", "plain", "cancelled", REPRODUCED, "", True),
        ("⟦genim⟧", "", "plain", "cancelled", LEFT_OUT, "", None),
        ("⟦genim⟧", "⟦genim⟧", "leiden", "cancelled", KEPT_APART, "cancelled in the copy too", None),
        ("vi⟦c⟧ta", "victa", "plain", "cancelled", REPRODUCED, "", True),
    ],
)
def test_what_he_did(
    original: str, copy: str, profile: str, layer: str, done: str, how: str, same: bool | None
) -> None:
    """Each stretch is told for what it is and what the copy did, and none of it is an error of his."""
    one = survivor(around(original), around(copy), copy_profile=profile)
    (found,) = hands_in(one).layers
    assert (found.layer, found.done, found.how, found.same) == (layer, done, how, same)
    errors = {score.measure for score in judged(one).scores if score.errors}
    assert errors <= NO_ERROR
    assert (done == REPRODUCED) == bool(errors)


def test_an_addition_may_be_cancelled() -> None:
    """Of an addition a part may be cancelled: two stretches, each with what he did."""
    found = hands_in(survivor(around("⸌⟦uel⟧ petra⸍"), around("petra"))).layers
    assert [(one.original, one.layer, one.done) for one in found] == [
        ("uel", "added and cancelled", LEFT_OUT),
        ("petra", "added", REPRODUCED),
    ]


def test_an_addition_taken_up_elsewhere() -> None:
    """An addition that the copy has at another place is reproduced there, and that is no error of his."""
    gloss = "i. uetonica nigra"
    original = f"{BEFORE} ⸌{gloss}⸍ {AFTER} and þonne west andlang broces oþ þone ford."
    copy = f"{BEFORE} {AFTER} and þonne west andlang broces oþ þone ford. {gloss}"
    one = survivor(original, copy)
    (found,) = hands_in(one).layers
    assert {score.measure for score in judged(one).scores if score.errors} <= NO_ERROR
    assert (found.copy, found.done, found.how) == (gloss, REPRODUCED, "at another place")


def test_a_slip_beside_an_addition_still_counts() -> None:
    """Taking out an addition takes out nothing of the main hand's."""
    one = survivor(around("⸌uel petra⸍"), around("uel petra").replace("hwitan", "hwitun"))
    scores = {score.measure: score.errors for score in judged(one).scores if score.text == "all"}
    assert (scores["letters"], scores["words"], scores["later_hand"]) == (1, 1, 1)


def test_stretches_by_hand() -> None:
    """A blank of the main hand's parts two additions; a line end inside an addition does not."""
    witness = read_witness("a ⸌b⸍ ⸌c d⸍ e ⟦f⟧", profile="leiden")
    assert [(witness.letters[one.start : one.end], one.layer) for one in stretches_by_hand(witness)] == [
        ("b", "added"),
        ("c d", "added"),
        ("f", "cancelled"),
    ]
    assert stretches_by_hand(read_witness("a b c")) == []


def test_hands_are_told_apart(tmp_path: Path) -> None:
    """Two named hands that stand side by side are two stretches, counted each for itself."""
    tei = (
        '<TEI xmlns="http://www.tei-c.org/ns/1.0"><teiHeader><fileDesc><titleStmt><title>t</title></titleStmt>'
        "<publicationStmt><p>p</p></publicationStmt><sourceDesc><p>s</p></sourceDesc></fileDesc></teiHeader>"
        f'<text><body><p>{BEFORE} <add hand="#h2">uel petra</add> <add hand="#h3">id est saxum</add> {AFTER}'
        "</p></body></text></TEI>"
    )
    file = tmp_path / "original.xml"
    file.write_text(tei, encoding="utf-8")
    one = replace(survivor("a", around("uel petra")), original=read_witness(file, siglum="V"))
    found = hands_in(one)
    assert [(each.original, each.hand, each.done) for each in found.layers] == [
        ("uel petra", "h2", REPRODUCED),
        ("id est saxum", "h3", LEFT_OUT),
    ]
    hands = {(each.text, each.hand) for each in found.shares}
    assert hands == {("V", "h2"), ("V", "h3"), ("all", "")}


def test_shares() -> None:
    """Counts and limits by hand and in all: here two of three on one page, by Jeffreys' interval."""
    original = "\n".join(around(f"⸌{word}⸍") for word in ("uel petra", "i. saxum", "uel rupes"))
    copy = "\n".join(around(word) for word in ("uel petra", "", "uel rupes"))
    shares = {(one.text, one.hand, one.done): one for one in hands_in(survivor(original, copy)).shares}
    assert {key for key in shares if key[0] == "all"} == {("all", "", done) for done in DONE}
    as_text = shares["V", "added", REPRODUCED]
    assert (as_text.count, as_text.of) == (2, 3)
    assert (as_text.low, as_text.high) == pytest.approx(jeffreys(2, 3, 0.95))
    assert shares["all", "", LEFT_OUT].count == 1


def test_brackets_that_keep_an_addition_apart_are_no_stops() -> None:
    """Brackets around an addition are his sign for it; any other bracket put in is a stop put in."""
    kept = judged(survivor(around("⸌uel petra⸍"), around("(uel petra)")))
    assert kept.variants == ()
    other = judged(survivor(around("⸌uel petra⸍"), around("(uel petra)").replace("suþ", "(suþ)")))
    assert [(one.copy, one.phenomenon) for one in other.variants] == [
        ("(", Phenomenon.ADDITION),
        (")", Phenomenon.ADDITION),
    ]
