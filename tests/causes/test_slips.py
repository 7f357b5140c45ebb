"""Minims, confusions, modern forms, other words and words put in, each beside what only looks like it."""

from __future__ import annotations

import pytest

from fidelity.terms import Cause
from tests.causes.judging import causes, judged

TEXT = "genim þas wyrte and cnuca on {} mid ealdum rysle and lege on þæt sar"


@pytest.mark.parametrize(
    ("original", "copy", "evidence"),
    [
        ("nimbus", "minbus", "nim→min: 6 strokes"),
        ("animus", "anmus", "nim→nm: 6 and 5 strokes"),  # a stroke lost within the run
        ("munus", "niunus", "m→ni: 3 strokes"),
        ("eall", "eill", ""),  # a is no minim
        ("feld", "field", ""),  # nothing beside it to be miscounted
        ("minimum", "minium", ""),  # two strokes short
    ],
)
def test_minims(original: str, copy: str, evidence: str) -> None:
    """Runs of minims with as many strokes, or one more or less (trade practice), and no others."""
    found = judged(TEXT.format(original), TEXT.format(copy))
    told = [one.evidence for one in found if one.cause is Cause.MINIMS]
    assert told == ([evidence] if evidence else [])


def test_confusions_in_print() -> None:
    """A confusion in print for the script is cited; in another script it is unknown."""
    (one,) = judged(TEXT.format("ꞃuban"), TEXT.format("nuban"), script="insular")
    assert one.cause is Cause.LETTER_CONFUSION and "vHMML" in one.evidence
    assert judged(TEXT.format("hat"), TEXT.format("hac"))[0].cause is Cause.UNDETERMINED


def test_letters_side_by_side() -> None:
    """Of two letters changed together one known confusion is enough.

    osamarum for Gramarum: Lindsay 1896, Introduction to Latin Textual Emendation, p. 87.
    """
    (one,) = judged("Gramarum", "osamarum", script="caroline")
    assert (one.cause, one.original) == (Cause.LETTER_CONFUSION, "Gr")
    assert one.evidence.startswith("r→s in print: Lindsay")


def test_letters_exchanged_over_others() -> None:
    """Two letters that change places with a letter between them are a metathesis."""
    (one,) = judged(TEXT.format("galan"), TEXT.format("lagan"))
    assert (one.cause, one.original, one.copy) == (Cause.METATHESIS, "gal", "lag")


def test_modernised_only_by_a_table() -> None:
    """Niht written night is modernised where the table has it, and has no cause where there is none."""
    known = {"niht": ["night", "nicht"]}
    (one,) = judged(TEXT.format("niht."), TEXT.format("night."), modern=known)
    assert (one.cause, one.evidence) == (Cause.MODERNISED, "night is a later form of niht")
    (other,) = judged(TEXT.format("niht."), TEXT.format("night."))
    assert Cause.MODERNISED not in causes(other)
    (slip,) = judged(TEXT.format("niht."), TEXT.format("nighht."), modern=known)
    assert Cause.MODERNISED not in causes(slip)


def test_another_word() -> None:
    """Another word altogether, or several letters changed to a known word; one letter leaves it open."""
    (one,) = judged(TEXT.format("wætere"), TEXT.format("ecede"))
    assert one.cause is Cause.WORD_SUBSTITUTION
    (near,) = judged(TEXT.format("fotum"), TEXT.format("foton"), words=["foton"])
    assert (near.cause, near.evidence) == (Cause.WORD_SUBSTITUTION, "foton is a word of the originals")
    (slip,) = judged(TEXT.format("wætere"), TEXT.format("wæteþe"), words=["wæteþe"])
    assert (slip.cause, slip.other_causes) == (Cause.UNDETERMINED, (Cause.WORD_SUBSTITUTION,))


def test_words_put_in() -> None:
    """A whole word put in for no other reason is an interpolation; letters put in are none."""
    (one,) = judged(TEXT.format("wætere"), TEXT.format("hatum wætere"))
    assert (one.cause, one.evidence) == (Cause.INTERPOLATION, "hatum put in")
    (letters,) = judged(TEXT.format("wætere"), TEXT.format("wæstere"))
    assert Cause.INTERPOLATION not in causes(letters)
    (twice,) = judged(TEXT.format("wætere"), TEXT.format("wætere wætere"))
    assert (twice.cause, twice.other_causes[-1]) == (Cause.DITTOGRAPHY, Cause.INTERPOLATION)


def test_evidence_of_a_skip() -> None:
    """The evidence of an eye-skip is what is alike, and on which side."""
    (one,) = judged(
        "of þam clife on þa greatan ac of þære ac ofer þone feld",
        "of þam clife on þa greatan ac ofer þone feld",
    )
    assert one.cause is Cause.EYE_SKIP and ": ac" in one.evidence
