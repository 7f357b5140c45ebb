"""The copyist's own corrections: two observations, what he wrote first and what he let stand.

Trade practice: a cancelled reading and the final one are counted apart; no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import Dossier, Survivor
from fidelity.judge import Audit, judge
from fidelity.settings import Settings
from fidelity.terms import Cause, Phenomenon
from fidelity.variants.corrections import final_text
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

SOUND = "on þære ealdan stræte and þone hean æce oð þone ford "


def judged(original: str, copy: str) -> Audit:
    """Judge one survivor in Leiden signs, between words that are copied right."""
    texts = [f"{SOUND}{middle} mid linenum claþe gif he swelle eft" for middle in (original, copy)]
    first, second = (read_witness(text, siglum="E", profile="leiden") for text in texts)
    return judge(Dossier(Path(), "", "", NO_FOLDS, (Survivor("E", first, second),), (), (), (), Settings()))


def errors(found: Audit) -> dict[str, int]:
    return {one.measure: one.errors for one in found.scores if one.text == "E"}


@pytest.mark.parametrize(
    ("copy", "first", "written"),
    [
        ("⟦rtane⟧ stane", "s", "r"),  # a word cancelled and written anew
        ("⟦r⟧stane", "s", "r"),  # a letter
        ("⟦rta⟧ stane", "s", "r"),  # a beginning
        ("⟦r⟧⸌s⸍tane", "s", "r"),  # mended above the line
        ("⟦stone⟧ stane", "a", "o"),
        ("sta⟦m⟧ne", "n", "m"),
    ],
)
def test_a_slip_that_he_mended(copy: str, first: str, written: str) -> None:
    """The final text is right; the first writing has the slip in its place, with phenomenon and locus."""
    found = judged("stane", copy)
    assert found.variants == ()
    (one,) = found.mended
    assert (one.original, one.copy, one.phenomenon) == (first, written, Phenomenon.SUBSTITUTION)
    assert one.corrected and str(one.locus) == "E 1.12"
    counted = errors(found)
    assert (counted["letters"], counted["letters_before_correction"]) == (0, 1)
    assert (counted["words"], counted["words_before_correction"]) == (0, 1)


def test_words_written_twice_and_cancelled() -> None:
    """A repetition that he noticed has its cause like any other."""
    found = judged("of þam stane suþ", "of þam ⟦of þam⟧ stane suþ")
    (one,) = found.mended
    assert (one.cause, found.variants) == (Cause.DITTOGRAPHY, ())


def test_a_right_reading_mended_to_a_wrong_one() -> None:
    """What he let stand is what he is judged by: stane first, then rtane, is an error and no mending."""
    found = judged("stane", "⟦s⟧rtane")
    (one,) = found.variants
    assert (one.original, one.copy, found.mended) == ("s", "r", ())
    assert errors(found)["letters"] == 1


def test_no_corrections_no_second_observation() -> None:
    """Without a cancelled reading there is one observation and no further measure."""
    found = judged("stane", "rtane")
    assert found.mended == () and "letters_before_correction" not in errors(found)


def test_final_text_keeps_lines_and_words() -> None:
    """Lines, hands and words stay in place when cancelled letters are taken out."""
    copy = read_witness("on ⟦rtan⟧ stan\nmid ⟦m⟧\nforda ⸌uel⸍ ⟦x⟧a\n", profile="leiden")
    final, corrections = final_text(copy)
    assert [final.text_of_line(line) for line in range(3)] == ["on stan", "mid", "forda uel a"]
    assert [one.cancelled.strip() for one in corrections] == ["rtan", "m", "x"]
    assert [final.hand(at) for at in range(len(final)) if final.letters[at] == "u"] == ["added"]
    plain = read_witness("on stan")
    assert final_text(plain) == (plain, ())


def test_what_he_wrote_first_is_judged_by_itself() -> None:
    """A wrong letter mended to another wrong one: what drew in the second says nothing of the first."""
    found = judged("wong rud stane", "wong rud ⟦k⟧rtane")
    (left,) = found.variants
    (mended,) = found.mended
    assert (left.copy, left.cause) == ("r", Cause.PERSEVERATION)
    assert (mended.copy, mended.cause) == ("k", Cause.UNDETERMINED)
    assert Cause.PERSEVERATION not in mended.other_causes
