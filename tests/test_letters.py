"""Letters: what takes one place, however it is told."""

from __future__ import annotations

import regex
from hypothesis import given
from hypothesis import strategies as st

from fidelity.letters import _ALONE, _NEEDS_CLUSTERS, _STAND_IN, decode, encode, is_punctuation, without_stops

MARKED = st.text(st.sampled_from("aeþſꞅę⁊.,· \n\u0304\u0323\u200d\u00ad\u1100\u1161🇬🇧👩\ufe0f\U000f0000"))


def test_letters_said_to_stand_alone_do() -> None:
    """No letter of the ranges that are passed over can join a neighbour, have a mark, or be a stand-in."""
    for first, last in _ALONE:
        letters = "".join(map(chr, range(first, last + 1)))
        assert not regex.search(_NEEDS_CLUSTERS, letters), hex(first)
        assert not _STAND_IN.search(letters)
        assert regex.findall(r"\X", letters.replace("\r\n", "")) == list(letters.replace("\r\n", ""))


@given(MARKED)
def test_each_letter_takes_one_place(text: str) -> None:
    """A text has as many places as grapheme clusters, and comes back as it was, but for NFC."""
    letters = encode(text)
    assert len(letters) == len(regex.findall(r"\X", decode(letters)))
    assert encode(decode(letters)) == letters


@given(MARKED)
def test_stops_alone_are_left_out(text: str) -> None:
    """What is left out is punctuation, and all of it."""
    letters = encode(text)
    assert without_stops(letters) == "".join(x for x in letters if not is_punctuation(x))
