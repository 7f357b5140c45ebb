"""Letters and words drawn in from near by, each beside what chance explains as well."""

from __future__ import annotations

import pytest

from fidelity.terms import Cause
from tests.causes.judging import causes, judged

REST = (
    "on þone hwitan stan of þam stane suþ on þa hæselræwe andlang ræwe eft on ellenford genim þas wyrte "
    "and cnuca on ecede "
    "lege on þone fot and bind mid linenum claþe gif he swelle eft do þæt ilce sona biþ sel"
)


@pytest.mark.parametrize(
    ("original", "copy", "cause", "evidence"),
    [
        ("heortes mearg", "meortes mearg", Cause.ANTICIPATION, "me as in mearg, 1 word after"),
        ("mearg heortes", "mearg meortes", Cause.PERSEVERATION, "me as in mearg, 1 word before"),
        ("fugla gryte", "grugla gryte", Cause.ANTICIPATION, "gr as in gryte, 1 word after"),
        ("wegbrædan blostman cropp", "cropp blostman cropp", Cause.ANTICIPATION, "cropp, 2 words"),
        ("cropp blostman wegbrædan", "cropp blostman cropp", Cause.PERSEVERATION, "cropp, 2 words"),
    ],
)
def test_drawn_in(original: str, copy: str, cause: Cause, evidence: str) -> None:
    """A letter, an onset, or a whole word of one near by, at the same place."""
    (one,) = judged(f"{REST} {original} {REST}", f"{REST} {copy} {REST}")
    assert one.cause is cause
    assert one.evidence.startswith(evidence) and "by chance" in one.evidence


@pytest.mark.parametrize(
    ("original", "copy"),
    [
        ("heortes garleac", "meortes garleac"),  # nothing near by begins so
        ("heortes garleac sealf hunig mearg", "meortes garleac sealf hunig mearg"),  # too far off
        ("heortes hom", "meortes hom"),  # at another place of the word
        ("heortes mearg", "eortes mearg"),  # nothing was written
    ],
)
def test_not_drawn_in(original: str, copy: str) -> None:
    """Nothing like it near by at that place, or nothing written: neither anticipation nor perseveration."""
    before = "genim þas wyrte"
    for one in judged(f"{REST} {before} {original} eft", f"{REST} {before} {copy} eft"):
        assert one.cause not in (Cause.ANTICIPATION, Cause.PERSEVERATION)


def test_what_chance_may_explain_is_a_rival_only() -> None:
    """Of, written for on two words after of, is so common a word that the cause stays open."""
    text = "of þam {} þam of þone of þas of þære eac of þisum of þa of þam of þone of þære of stane "
    (one,) = judged(f"{text.format('on')} {REST}", f"{text.format('of')} {REST}")
    assert one.cause is Cause.UNDETERMINED
    assert Cause.PERSEVERATION in causes(one)
