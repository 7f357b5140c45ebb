"""Strokes, abbreviations, gaps and forms, each beside what only looks like it."""

from __future__ import annotations

import pytest

from fidelity.terms import Cause
from tests.causes.judging import causes, judged

TEXT = "genim þas wyrte and cnuca on {} mid ealdum rysle and lege on þæt sar"


@pytest.mark.parametrize(
    ("original", "copy", "evidence"),
    [
        ("nyhtū", "nyhtu", "stroke overlooked: ū→u"),
        ("nyhtu", "nyhtū", "stroke put in: u→ū"),
        ("nyhtu(m)", "nyhtu", "m was written as a stroke and is left out"),
        ("nyhtũ", "nyhtu", "stroke overlooked: ũ→u"),
    ],
)
def test_nasal_stroke(original: str, copy: str, evidence: str) -> None:
    """A stroke over a vowel stands for m or n (Delcourt 1914, p. XVIII): overlooked, or seen for nothing."""
    (one,) = judged(TEXT.format(original), TEXT.format(copy))
    assert (one.cause, one.evidence) == (Cause.NASAL_STROKE, evidence)
    assert Cause.EXPANSION not in causes(one)


@pytest.mark.parametrize(
    ("original", "copy"), [("nyhtum", "nyhtu"), ("nyhtú", "nyhtu"), ("nyhtū", "nyhte"), ("nyhtū", "nyhtun")]
)
def test_no_nasal_stroke(original: str, copy: str) -> None:
    """Without a stroke there is none to overlook; an accent is none; what is written out was seen."""
    assert all(
        Cause.NASAL_STROKE not in causes(one) for one in judged(TEXT.format(original), TEXT.format(copy))
    )


def test_marks_of_length_are_no_strokes() -> None:
    """Where the copy has none of an edition's ten macrons they were no strokes for a nasal."""
    marked = " ".join(["stān", "bāt", "hām", "gār", "tācn", "āc", "rād", "hāt", "wāt", "nāht", "hlāf"])
    found = judged(TEXT.format(marked), TEXT.format(marked.replace("ā", "a")))
    assert len(found) == 11 and all(Cause.NASAL_STROKE not in causes(one) for one in found)


def test_wrong_expansion() -> None:
    """An abbreviation written out otherwise than declared: the evidence is what the sign may stand for."""
    (one,) = judged(TEXT.format("ꝓ leafe"), TEXT.format("per leafe"), pairs=[("ꝓ", "pro")])
    assert (one.cause, one.evidence) == (Cause.EXPANSION, "ꝓ may stand for pro")


def test_a_resolved_abbreviation() -> None:
    """Letters that the transcriber resolved were an abbreviation: other letters are its expansion."""
    (one,) = judged(TEXT.format("d(omin)o"), TEXT.format("deo"))
    assert one.cause is Cause.EXPANSION and "transcriber resolved" in one.evidence
    assert Cause.EXPANSION not in causes(judged(TEXT.format("domino"), TEXT.format("deo"))[0])


def test_a_gap() -> None:
    """A gap for clear letters; what else of the word is missing beside it belongs to it."""
    (one,) = judged(TEXT.format("wæteres"), TEXT.format("wæt[...]s").replace("[...]", "[---]"))
    assert (one.cause, one.evidence) == (Cause.LEFT_ILLEGIBLE, "a gap in the copy for ere")


def test_supplied_for_lost_letters() -> None:
    """Where letters are lost the copy's stand for them."""
    (one,) = judged(TEXT.format("wæ[..]re"), TEXT.format("wætere"))
    assert (one.cause, one.evidence) == (Cause.SUPPLIED, "▯▯ lost in the original, te in the copy")


@pytest.mark.parametrize(
    ("original", "copy", "cause"),
    [
        ("ꞅtane", "stane", Cause.LETTERFORM),
        ("stane", "Stane", Cause.CAPITAL),
        ("stane.", "stane;", Cause.PUNCTUATION),
    ],
)
def test_forms_capitals_and_stops(original: str, copy: str, cause: Cause) -> None:
    """Another form of the letter, a capital, another stop: each told for what it is."""
    (one,) = judged(TEXT.format(original), TEXT.format(copy))
    assert (one.cause, one.other_causes) == (cause, ())
