"""Items 7 to 10 of the scenario: word division, consistency, numerals, the forecast."""

from __future__ import annotations

import pytest

import fidelity
from fidelity.apparatus.cautions import cautions
from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.summary import summary
from fidelity.terms import Cause, Forecast, Phenomenon
from tests.scenario.laid_out import KEY, SHORT, audited, planted

FEVER = """
[[rule]]
from = "lencten adle"
to = "lenctenadle"
reason = "as fotadle"
by = "E. Ditor"
"""
DIVISIONS = ("land gemæra", "hærel ræwe.", "Halganmere", "neaht nestig", "em micel.")
FOLDS = ("insular", "wynn", "tironian_and", "thaet", "latin_signs")


# 7: word division


def test_item_7_divisions_are_never_letter_errors() -> None:
    """The five are divisions, all there are; no row of the table of confusions has a blank in it."""
    found = audited()
    divided = [one for one in found.variants if one.phenomenon is Phenomenon.DIVISION]
    assert sorted(one.copy_words for one in divided) == sorted(DIVISIONS)
    assert {(score.errors, score.measure) for score in found.scores if score.text == "all"} >= {
        (5, "division")
    }
    assert not any(" " in one.original + one.copy for one in found.confusions)
    counted = {str(place): f"{one.original}→{one.copy}" for one in found.confusions for place in one.loci}
    places = {str(one.locus) for one in divided}
    assert {place: counted[place] for place in places & counted.keys()} == {"E 8.3": "ꞅ→r"}  # hærel


def test_item_7_lencten_adle_only_by_an_editors_rule() -> None:
    """Two words in X and C: nothing joins them, until an editor says that it goes as fotadle does."""
    for one in audited().readings:
        assert "lenctenadle" not in one.proposed
    ruled = audited("KW", FEVER)
    (place,) = [one for one in ruled.rule_places if one.undone.startswith("lenctenadle")]
    assert (str(place.locus), place.by) == ("X 11.2", "E. Ditor: as fotadle")
    assert "lenctenadle" not in {one.proposed for one in ruled.readings}


# 8: consistency


def test_item_8_every_other_place_of_an_adopted_reading_is_listed() -> None:
    """wær → wæs adopted at X 1.2: fægran, hærfeste, hwær and ær are listed, each with decision and reason."""
    found = audited("KW", "", "wæs")
    places = {one.word: one for one in found.rule_places if one.by and one.rule == "s→r"}
    assert places["wær"].decided == "adopted"
    for word in ("fægran", "hærfeste", "hwær", "ær"):
        assert places[word].why and places[word].by == "E. Ditor: the verb asks for it"
    assert places["ær"].why == "is a known word, and would be none"  # X 10, sound
    letters = found.dossier.lost[0].copy.letters
    assert sum(one.by != "" and one.rule == "s→r" for one in found.rule_places) == letters.count("r")
    rows = [row for row in TABLES["consistency_places"].rows(found) if row["by"]]
    assert {str(row["locus"]) for row in rows} >= {"X 1.2", "X 3.4", "X 4.6", "X 7.5", "X 10.5"}


def test_item_8_thaene_is_listed_by_its_own_rule() -> None:
    """þæne has no r left to read as s: it is asked after by r→n, with what was decided and why."""
    found = audited("KW", "", "wæs")
    (one,) = [one for one in found.readings if str(one.locus) == "X 6.6"]
    assert (one.transmitted, one.proposed, one.steps) == ("þæne", "þære", ("r→n",))
    assert one.parallels and one.counterexamples and one.alternatives
    (rule,) = [one for one in found.rules if one.rule == "r→n" and not one.where]
    assert rule.proposed >= 1 and rule.right == 5
    assert rule.places == found.dossier.lost[0].copy.letters.count("n")


# 9: numerals


def test_item_9_numerals_are_a_class_of_invisible_error() -> None:
    """E 2 .u. → .ii., five hides made two by minims alone: no sense betrays it, and that is stated."""
    found = audited()
    (one,) = [one for one in found.variants if str(one.locus) == "E 2.6"]
    assert (one.original_words, one.copy_words, one.cause) == (".u.", ".ii.", Cause.MINIMS)
    numerals = found.parallels.numerals
    assert numerals is not None
    assert (numerals.numerals, numerals.misread) == (6, 2)  # and B 1
    assert "E 2.6 .u. → .ii." in numerals.misread_at
    assert (numerals.lost, numerals.open, numerals.alone) == (4, 3, 1)
    assert any("wrong numerals and names" in one and "cannot be seen" in one for one in cautions(found))
    told = "".join(summary(found)["parallels"]["in_short"])  # type: ignore[index]
    assert "Nothing in the copy shows which of them are wrong" in told


# 10: the forecast


def of_x(measure: str) -> list[Forecast]:
    """Give the forecasts of one measure for X: the plain one, then those under an assumption."""
    return [one for one in audited().outlook.forecasts if (one.text, one.measure) == ("X", measure)]


def kinds() -> dict[str, int]:
    """Count what was planted in X by kind, inside X 8-10 and outside."""
    found = dict.fromkeys(("letter", "coupled", "from K", "letter inside"), 0)
    for row in planted("X"):
        inside = row["locus"] in ("X.8", "X.9", "X.10")
        if row["category"].startswith("CONTAMINATION"):
            found["from K"] += 1
        elif row["category"].startswith("coupled"):
            found["coupled"] += 1
        else:
            found["letter inside" if inside else "letter"] += 1
    return found


def test_item_10_forecast_of_x_covers_what_was_planted() -> None:
    """12 letter errors and 2 coupled outside the block, 4 from K and 2 of his own inside: in the limits."""
    assert kinds() == {"letter": 12, "coupled": 2, "from K": 4, "letter inside": 2}
    own = kinds()["letter"] + kinds()["letter inside"]
    for measure, number in (("letter_confusion", own), ("coupled", kinds()["coupled"])):
        plain = of_x(measure)[0].binomial
        assert plain.low80 <= number <= plain.high80


@pytest.mark.parametrize("measure", ["letters", "words"])
def test_item_10_forecast_covers_what_the_original_shows(measure: str) -> None:
    """Measured on X's original, every forecast of wrong letters and of altered words holds its number."""
    with_original = fidelity.compare(KEY / "X_original.txt", SHORT / "X" / "copy.txt", folds=FOLDS)
    (number,) = [one.errors for one in with_original.scores if (one.text, one.measure) == ("all", measure)]
    plain, *assumed = of_x(measure)
    assert plain.binomial.low80 <= number <= plain.binomial.high80
    limits = [one.limits for one in assumed]
    assert len(limits) >= 3
    assert all(one is not None and one.low80 <= number <= one.high80 for one in limits)


def test_item_10_no_limits_are_claimed_from_five_pages() -> None:
    """How much his texts differ so few pages cannot tell: without an assumption no limits."""
    assert all(
        one.limits is None and "5 pages are too few" in one.basis
        for one in (of_x("letters")[0], of_x("words")[0])
    )


@pytest.mark.parametrize("measure", ["letters", "letter_confusion"])
def test_item_10_two_survivors_predict_the_third(measure: str) -> None:
    """Each survivor's number is within the limits forecast from the other two, four times in five."""
    checks = [one for one in audited().outlook.checks if one.measure == measure]
    assert [(one.text, one.survivors) for one in checks] == [("E", 2), ("B", 2), ("G", 2)]
    assert all(one.binomial.low80 <= (one.actual or 0) <= one.binomial.high80 for one in checks)
