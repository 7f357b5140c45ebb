"""Numerals and what they may have been misread from: counted by hand, and by brute force over minims."""

from __future__ import annotations

from itertools import product

import pytest

from fidelity.variants.numeral_slips import misread_from, numerals_in
from fidelity.variants.numerals import value_of_numeral


@pytest.mark.parametrize(
    ("text", "values"),
    [
        ("genim .iii. þry croppas .iu. feower leaf", [3, 4]),
        ("mid þam ic did and .u. leaf", [5]),  # mid, ic, did have only signs of numerals, but no stops
        ("xii twelf niht and xii niht", [12]),  # without stops only with its word
        (".i. uetonica .l. uel .i. an leaf", [1]),  # "that is", "or"; with its word it is a numeral
        ("1. acer 2 alnus 12.5 x12", [1, 2]),
        (".iic. leaf .xu; niht", []),  # no scribe writes the one; the other has no stop after it
    ],
)
def test_numerals_of_a_text(text: str, values: list[int]) -> None:
    """A numeral stands between stops, or before its word, or is in figures; other words are none."""
    assert [one.value for one in numerals_in(text)] == values


def test_word_of_a_numeral() -> None:
    """The number word right after a numeral belongs to it, whatever it is worth."""
    (one,) = numerals_in("nim .iu. fif leaf")
    assert (one.span, one.word_span, one.value, one.word_value) == ((4, 8), (9, 12), 4, 5)
    assert one.has_word and one.whole == (4, 12)


@pytest.mark.parametrize(
    ("numeral", "others"),
    [
        (".iu.", [".iii.", ".ui."]),
        (".u.", [".ii."]),
        (".uiiii.", []),  # six strokes: uuu, uuii … are no numerals
        (".iiii.", [".uii."]),
        (".xu.", [".xii."]),
        ("vi", ["iv", "iii"]),  # v where the numeral has v
        (".c.", []),
        ("12", []),
    ],
)
def test_minims_parted_otherwise(numeral: str, others: list[str]) -> None:
    """As many strokes, another value, and written as a scribe would."""
    assert sorted(misread_from(numeral, ())) == sorted(others)


def test_minims_by_brute_force() -> None:
    """Of all strings of i and u with the strokes of .uii. only .iiii. is a numeral of another value."""
    strokes = {"i": 1, "u": 2}
    every = ("".join(signs) for size in range(1, 5) for signs in product("iu", repeat=size))
    alike = [one for one in every if sum(strokes[sign] for sign in one) == 4]
    assert set(alike) == {"uii", "iui", "iiu", "uu", "iiii"}
    assert misread_from(".uii.", ()) == [".iiii."]


def test_his_own_operations() -> None:
    """What he was seen to write for another sign is undone at one place; letters beside are no signs."""
    assert misread_from(".x.", {("u", "x"), ("s", "r"), ("", "x"), ("m", "x")}) == [".u."]
    assert value_of_numeral(misread_from(".xx.", {("u", "x")})[0]) == 15
