"""Lists out of sequence and out of order; lists in no order are left alone."""

from __future__ import annotations

import random

from hypothesis import given
from hypothesis import strategies as st

from fidelity.variants.lists import alphabetical, fits, out_of_order, out_of_sequence

WORDS = ["acer", "alnus", "ardea", "baculus", "corylus", "falx", "fornax", "malleus", "nimbus", "pirus"]


@given(st.integers(1, 50), st.integers(5, 40))
def test_a_sequence_has_no_misfit(first: int, size: int) -> None:
    """Whatever it begins with, a sequence is in sequence."""
    assert out_of_sequence(range(first, first + size)) == []


@given(st.integers(6, 30), st.data())
def test_one_number_wrong_is_found(size: int, data: st.DataObject) -> None:
    """A number inside that is another is found, and the one wanted is named."""
    at = data.draw(st.integers(1, size - 2))
    wrong = data.draw(st.integers(1, 99).filter(lambda one: one != at + 1))
    numbers = [*range(1, at + 1), wrong, *range(at + 2, size + 1)]
    assert (at, str(at + 1)) in [(one.at, one.low) for one in out_of_sequence(numbers)]


def test_jumps_are_no_misfits() -> None:
    """A list that leaves numbers out, goes back or counts otherwise is not corrected."""
    for numbers in ([1, 2, 3, 7, 8, 9], [1, 2, 1, 2, 1, 2], [3, 3, 3, 4, 4, 4], [10, 20, 30, 40, 50, 60]):
        assert out_of_sequence(numbers) == []


def test_one_entry_out_of_order() -> None:
    """The entry that breaks the order is found with its neighbours; by how many letters, too."""
    listed = [*WORDS[:4], "uespa", *WORDS[4:]]
    misfits, level = out_of_order(listed)
    assert [(listed[one.at], one.low, one.high) for one in misfits] == [("uespa", "baculus", "corylus")]
    assert level == 100
    assert fits("bespa", misfits[0], level) and not fits("aespa", misfits[0], level)


def test_order_by_first_letter_only() -> None:
    """A list ordered by its first letters alone has no misfit for its second letters."""
    listed = ["alnus", "acer", "beta", "baculus", "corylus", "cera", "furca", "falx", "malleus"]
    assert out_of_order(listed) == ([], 1)


def test_lists_in_no_order_are_left_alone() -> None:
    """Of 1,000 lists of ten words in random order none is taken to be in order (reckoned: 2 in 100,000)."""
    drawn = random.Random(1)
    assert not any(out_of_order(drawn.sample(WORDS, len(WORDS)))[1] > 1 for _ in range(1000))
    assert out_of_order(WORDS[:5]) == ([], 0)  # too short to tell


def test_letters_that_count_as_one() -> None:
    """U and v, i and j, þ and ð; thorn stands after t and before u."""
    assert alphabetical("uespa") == alphabetical("vespa")
    assert sorted(["þurh", "tun", "ut", "ðæt"], key=alphabetical) == ["tun", "ðæt", "þurh", "ut"]
