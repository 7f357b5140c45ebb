"""Stated totals: those that hold, those contradicted, and what would mend them, reckoned by hand."""

from __future__ import annotations

import pytest

from fidelity.variants.numeral_slips import numerals_in
from fidelity.variants.totals import Total, total_words, totals_in


def totals(text: str, **more: object) -> list[Total]:
    return list(totals_in(text, numerals_in(text), total_words(), (), **more))  # type: ignore[arg-type]


RECIPE = "genim wermodes .iii. þry croppas and feferfugean {} leaf. þæt synd ealra .uiiii. nigon. seoþ"


def test_a_total_that_holds() -> None:
    """Three and six are nine."""
    (one,) = totals(RECIPE.format(".ui. syx"))
    assert [part.value for part in one.holds] == [3, 6] and one.mends == ()


def test_a_total_that_is_contradicted() -> None:
    """Three and four are not nine; with .ui. for .iu. they are, and nothing else of three strokes helps."""
    (one,) = totals(RECIPE.format(".iu. feower"))
    assert one.holds == ()
    assert [(mend.numeral.value, mend.reading, mend.value) for mend in one.mends] == [(4, ".ui.", 6)]


def test_the_total_itself_may_be_wrong() -> None:
    """.ii. and .ii. with a total of seven: .iiii. has the strokes of .uii., so has .u. those of .ii."""
    (one,) = totals("nim .ii. twa leaf and .ii. twa stelan ealra .uii. seofon")
    told = {(mend.numeral.value, mend.reading) for mend in one.mends}
    assert told == {(2, ".u."), (7, ".iiii.")}


@pytest.mark.parametrize(
    "text",
    [
        "nim .iii. leaf ealra .uii. seofon",  # one part is no sum
        "ealra haligra mæssedæg .iii. leaf and .iii. leaf",  # "of all saints"
        "nim .iii. leaf and .iii. leaf and ealra þara wyrta gelice. do .u. fif",  # no number follows
        "ealra .uii. seofon",
    ],
)
def test_nothing_to_test(text: str) -> None:
    """Without two parts, or without a number, nothing is tested."""
    assert totals(text) == []


def test_only_the_last_numerals_need_add_up() -> None:
    """What stands before in other connections is passed over; what an earlier total added is not added."""
    (one,) = totals(".x. tyn niht nim .iii. þry leaf and .ui. syx leaf ealra .uiiii. nigon")
    assert [part.value for part in one.holds] == [3, 6]
    text = ".iii. þry and .ui. syx ealra .uiiii. nigon. nim .ii. twa and .iii. þry leaf ealra .u. fif"
    assert [[part.value for part in one.holds] for one in totals(text)] == [[3, 6], [2, 3]]


def test_several_words_announce_a_total() -> None:
    """Together and in their order; stops among them are passed over."""
    text = ".iii. þry leaf and .ui. syx leaf; In all, .uiiii. nigon and in .x. all"
    found = list(totals_in(text, numerals_in(text), ("in all",), ()))
    assert [(one.numeral.value, [part.value for part in one.holds]) for one in found] == [(9, [3, 6])]
    assert text[slice(*found[0].span)] == "In all, .uiiii. nigon"


def test_entries_of_a_table_bound_it() -> None:
    """The parts are not looked for in another entry."""
    text = ".iii. þry leaf and .ui. syx leaf ealra .uiiii. nigon"
    assert totals(text, bounds=(0,)) and not totals(text, bounds=(0, 19))
