"""What the copy makes of later hands, cancelled letters and what the transcriber put back."""

from __future__ import annotations

import pytest

from fidelity.terms import Cause, Phenomenon, Variant
from fidelity.variants.layers import CANCELLED, LATER, NEVER_WRITTEN, RESTORED, stretches_of
from fidelity.witnesses.read import read_witness
from tests.causes.judging import judged as judged_texts

BEFORE, AFTER = "on þone hwitan stan", "of þam stane suþ"


def judged(original: str, copy: str) -> list[Variant]:
    """Judge a place in Leiden signs between words that are copied right."""
    first, second = (f"{BEFORE} {middle} {AFTER}".replace("  ", " ") for middle in (original, copy))
    return judged_texts(first, second)


@pytest.mark.parametrize(
    ("original", "copy", "phenomenon", "evidence"),
    [
        ("⸌uel petra⸍", "uel petra", Phenomenon.ADDITION, "by another hand (added), copied as text"),
        ("⸌uel petra⸍", "", Phenomenon.OMISSION, "by another hand (added), left out"),
        ("⟦genim⟧", "genim", Phenomenon.ADDITION, "cancelled in the original, copied as text"),
        ("⟦genim⟧", "", Phenomenon.OMISSION, "cancelled in the original, left out"),
        ("vi⟦c⟧ta", "victa", Phenomenon.ADDITION, "cancelled in the original, copied as text"),
        ("vi⟦c⟧ta", "vita", Phenomenon.OMISSION, "cancelled in the original, left out"),
    ],
)
def test_later_hand(original: str, copy: str, phenomenon: Phenomenon, evidence: str) -> None:
    """The difference disappears when the original is read with, or without, another hand's work.

    vita and victa: an expunction dot overlooked, Lindsay (ed.) 1924, Palaeographia Latina III, p. 65.
    """
    (one,) = judged(original, copy)
    assert (one.cause, one.phenomenon, one.evidence) == (Cause.LATER_HAND, phenomenon, evidence)
    assert one.makes_word is None


@pytest.mark.parametrize("marked", ["⸌uel petra⸍", "⟦genim⟧"])
def test_kept_apart(marked: str) -> None:
    """What the copy marks as the original does is no difference."""
    assert judged(marked, marked) == []


def test_a_slip_in_a_later_hands_words_is_told_for_itself() -> None:
    """An addition copied as text with one letter wrong is both: an addition copied, and a slip."""
    found = judged("⸌uel petra nigra⸍", "uel petra nagra")
    assert [(one.cause, one.original, one.copy) for one in found] == [
        (Cause.LATER_HAND, "", "uel petra nagra"),
        (Cause.UNDETERMINED, "i", "a"),
    ]


def test_restored_letters_are_supplied() -> None:
    """Where the transcriber put lost letters back, the copy that has them had them otherwise."""
    (one,) = judged("mor[gen] neahta", "morgen neahta")
    assert (one.cause, one.original, one.copy) == (Cause.SUPPLIED, "gen", "gen")
    (left,) = judged("mor[gen] neahta", "mor neahta")
    assert left.cause is Cause.LEFT_ILLEGIBLE


def test_what_the_manuscript_never_had() -> None:
    """Letters that the transcriber alone supplied: left out no difference, written an addition."""
    assert judged("st<a>n", "stn") == []
    (one,) = judged("st<a>n", "stan")
    assert (one.cause, one.phenomenon) == (Cause.SUPPLIED, Phenomenon.ADDITION)


def test_an_addition_copied_in_part() -> None:
    """What he took of an addition is copied as text, what he did not is left out: neither is an error."""
    found = judged("⸌⟦uel⟧ petra⸍", "petra")
    assert {one.cause for one in found} == {Cause.LATER_HAND}
    assert {one.cause for one in judged("⸌uel petra⸍", "petra")} == {Cause.LATER_HAND}


def test_brackets_keep_apart() -> None:
    """What a copy in plain text sets in brackets is kept apart, and the brackets are no stops put in."""
    original = read_witness(f"{BEFORE} ⸌uel petra⸍ {AFTER}", profile="leiden")
    copy = read_witness(f"{BEFORE} (uel petra) {AFTER}")
    assert judged_texts(original, copy) == []


def test_stretches() -> None:
    """Neighbouring letters of one layer are one stretch, white space at its ends left out."""
    witness = read_witness("a ⸌uel b⸍ c⟦d⟧ [ef] <g>h", profile="leiden")
    assert [(witness.letters[one.start : one.end], one.layer) for one in stretches_of(witness)] == [
        ("uel b", LATER),
        ("d", CANCELLED),
        ("ef", RESTORED),
        ("g", NEVER_WRITTEN),
    ]
    assert stretches_of(read_witness("a b c")) == []
