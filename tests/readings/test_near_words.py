"""Known words near an unknown one: by strokes, joined, parted, and a letter or two away."""

from __future__ import annotations

from collections import Counter
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.copyist.model import Model, learn
from fidelity.copyist.tagging import Tagged
from fidelity.readings.near_words import LONG, MINIMS, MOST, SHORTEST, NearWords, strokes

SAYINGS = [
    "of þam clife on þa greatan ac",
    "of þære ac ofer þone feld",
    "on hiuna mynster and on huma ham",
    "wulfstanes beorh and wulfgares beorh",
    "se min feld and se nim feld",
]


@cache
def near() -> NearWords:
    """Know the words of a few boundaries; the copyist was seen to make no slip at all."""
    seen = [Tagged(line, tuple(line), (True,) * len(line)) for line in SAYINGS]
    return NearWords(learn(seen, SAYINGS))


def known() -> Model:
    return near().model


def counted(word: str) -> int:
    """Count the strokes of a word, however they stand together."""
    return sum(MINIMS.get(letter, 0) for letter in word)


@given(st.text("iınumaeh", max_size=12))
def test_strokes_are_counted_and_the_rest_is_kept(word: str) -> None:
    """Written as strokes a word has as many of them, and its other letters in their order."""
    written = strokes(word)
    assert "".join(letter for letter in written if not letter.isdigit()) == "".join(
        letter for letter in word if letter not in MINIMS
    )
    runs = "".join(letter if letter.isdigit() else " " for letter in written).split()
    assert sum(map(int, runs)) == counted(word)


@given(st.text("iınum", min_size=1, max_size=6), st.text("iınum", min_size=1, max_size=6))
def test_words_of_as_many_strokes_look_alike(one: str, other: str) -> None:
    """Two runs of minims are the same exactly where they have as many strokes."""
    assert (strokes(f"h{one}a") == strokes(f"h{other}a")) == (counted(one) == counted(other))


def test_a_word_of_as_many_strokes_is_near() -> None:
    """However many letters it is away: *hinua*, unknown, may be *huma* or *hiuna*."""
    assert set(near().of("hinua", "on")) == {"huma", "hiuna"}
    assert strokes("hinua") == strokes("huma") == strokes("hiuna")


def test_two_words_may_be_one() -> None:
    """What was parted is joined, if that makes a known word; *felda* is none."""
    assert near().of("gre atan", "þa") == ["greatan"]
    assert near().of("feld a", "þone") == []


def test_one_word_may_be_two() -> None:
    """What was joined is parted, if both halves are known words."""
    assert "þone feld" in near().of("þonefeld", "ofer")
    assert near().of("þonexeld", "ofer") == []


@pytest.mark.parametrize(
    ("written", "word"), [("clise", "clife"), ("felb", "feld"), ("wulfstares", "wulfstanes")]
)
def test_a_letter_away(written: str, word: str) -> None:
    """The known word one letter away is given, though he was never seen to make that slip."""
    assert near().of(written, "þam") == [word]


def test_a_longer_word_may_have_two_wrong_letters() -> None:
    """Two letters away is near for a word of eight letters, too far for a shorter one."""
    assert near().of("wulfstoves", "") == ["wulfstanes"]
    assert len("wulfstoves") >= LONG > len("clust")
    assert near().of("clust", "") == []


def test_short_words_have_too_many_neighbours() -> None:
    """Of a word shorter than four letters nothing is near but what has as many strokes."""
    assert Levenshtein.distance("xc", "ac") == 1
    assert len("xc") < SHORTEST
    assert near().of("xc", "on") == []
    assert set(near().of("mui", "se")) <= {"min", "nim"}


def test_known_words_are_left_alone() -> None:
    """Where all the words of a reading are known, nothing is near; nor for nothing, nor for three words."""
    for transmitted in ("clife", "on ac", "", " ", "xx yy zz"):
        assert near().of(transmitted, "þam") == []
    assert all(near().of(word, "of") == [] for word in known().words.counts)


@given(
    st.sampled_from(sorted(Counter(" ".join(SAYINGS).split()))), st.integers(0, 9), st.sampled_from("xvfnu")
)
def test_what_is_near_is_known_and_something_else(word: str, at: int, letter: str) -> None:
    """At most two readings, all of known words, none the transmitted one, the same when asked again."""
    written = word[: at % len(word)] + letter + word[at % len(word) + 1 :]
    found = near().of(written, "of")
    assert len(found) <= MOST
    assert written not in found
    assert all(part in known().words for reading in found for part in reading.split())
    assert near().of(written, "of") == found
