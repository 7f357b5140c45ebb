"""A copyist's own signs are taken out of the letters, are on the right words, and come back exactly."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError
from fidelity.terms import MarkKind, State, Witness
from fidelity.variants.corrections import final_text
from fidelity.witnesses.his_marks import HisMarks
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.taken_out import as_written, taken_out

SIGNS = HisMarks(
    letter_unread=(".", "*"),
    some_unread=("---",),
    blanks=True,
    doubtful=("(?)", "?"),
    vouched=("[sic]", "sic"),
    line_doubtful=("q.",),
    stands_before=("?",),
)


def marks_of(text: str, profile: str = "plain", signs: HisMarks = SIGNS) -> tuple[str, list[tuple[str, str]]]:
    """Read a copy; give its letters, and of each mark its kind and the letters it is on."""
    copy = read_witness(text, siglum="X", profile=profile, his_marks=signs)
    return copy.letters, [(str(one.kind), copy.letters[one.start : one.end]) for one in copy.marks]


@pytest.mark.parametrize("profile", ["plain", "leiden"])
@pytest.mark.parametrize(
    ("text", "letters", "marks"),
    [
        ("stan? ac", "stan ac", [("doubt", "stan")]),
        ("on ?stan ac", "on stan ac", [("doubt", "stan")]),
        ("stan (?) ac", "stan ac", [("doubt", "stan")]),
        ("on ? stan ac", "on stan ac", [("doubt", "stan")]),  # the dossier says that it stands before
        ("stan (?). ac", "stan. ac", [("doubt", "stan.")]),
        ("stan sic ac", "stan ac", [("vouched", "stan")]),
        ("basic stan", "basic stan", []),  # letters of a word are no sign
        ("stan[sic] ac", "stan ac", [("vouched", "stan")]),
        ("st... ac.", "st▯▯▯ ac.", [("unread", "▯▯▯")]),  # a single stop is a stop
        ("st*n ac", "st▯n ac", [("unread", "▯")]),  # a star is no stop
        ("st---n ac", "st▯n ac", [("unread", "▯")]),
        ("stan   ac", "stan ▯ ac", [("blank", "▯")]),
        ("q. stan ac\nhnol", "stan ac hnol", [("line_doubt", "stan ac")]),
        ("stan ac q.\nhnol", "stan ac hnol", [("line_doubt", "stan ac")]),
        ("stan q. ac", "stan q. ac", []),  # not at the line's edge
        ("st..(?) ac", "st▯▯ ac", [("unread", "▯▯"), ("doubt", "st▯▯")]),
        ("la?nd-\nes ac", "landes ac", [("doubt", "landes")]),
    ],
)
def test_each_sign_is_on_its_word(
    text: str, letters: str, marks: list[tuple[str, str]], profile: str
) -> None:
    """Taken out of the letters, whatever an editor's signs of the same shape would say."""
    assert marks_of(text, profile) == (letters, marks)


def test_nothing_is_guessed() -> None:
    """Without a declaration query marks, dots and sic are letters as before, and no mark is found."""
    text = "stan? sic st...  ac (?)"
    assert read_witness(text, siglum="X").letters == text
    assert read_witness(text, siglum="X").marks == ()


def test_states_say_whether_he_counted() -> None:
    """Dots are so many letters; any other sign, and a blank, are letters of unknown number."""
    copy = read_witness("a.. b---  c", siglum="X", his_marks=SIGNS)
    assert copy.letters == "a▯▯ b▯ ▯ c"
    assert [copy.state(at) for at in (1, 2, 5, 7)] == [State.LOST] * 2 + [State.LOST_UNKNOWN] * 2


def test_unclear_letters_may_be_his_doubts() -> None:
    """Where the dossier says so, they are letters he wrote, with a doubt on their word."""
    copy = read_witness("sṭạn ac", siglum="X", profile="leiden", his_marks=HisMarks(unclear=True))
    assert (copy.letters, copy.states) == ("stan ac", b"")
    assert [(one.kind, one.start, one.end) for one in copy.marks] == [(MarkKind.DOUBT, 0, 4)]
    assert as_written(copy) == read_witness("sṭạn ac", siglum="X", profile="leiden")


def test_a_line_of_signs_alone_is_refused() -> None:
    """A line must have a letter to be cited."""
    with pytest.raises(DataError, match="nothing but a sign"):
        read_witness("stan ac\n(?)\nhnol", siglum="X", his_marks=SIGNS)


def test_marks_keep_their_words_where_he_cancelled() -> None:
    """Taking out what he cancelled moves the marks with their words."""
    read = read_witness("⟦stam⟧ stan? ac", siglum="X", profile="leiden", his_marks=SIGNS)
    copy, _ = final_text(read)
    assert [(copy.letters[one.start : one.end]) for one in copy.marks] == ["stan"]


def test_xml_loses_its_signs_too(tmp_path: Path) -> None:
    """A sign counts wherever the text comes from."""
    file = tmp_path / "x.xml"
    body = "<lb n='1'/>on st..n (?) ac"
    file.write_text(
        f'<TEI xmlns="http://www.tei-c.org/ns/1.0"><text><body><p>{body}</p></body></text></TEI>',
        encoding="utf-8",
    )
    copy = read_witness(file, his_marks=SIGNS)
    assert copy.letters == "on st▯▯n ac"
    assert as_written(copy).letters == read_witness(file).letters


PIECES = [
    "stan",
    "ac",
    "ǣ",
    "a",
    ".",
    "..",
    "?",
    " ?",
    "(?)",
    " (?)",
    "[sic]",
    " sic ",
    "---",
    "  ",
    " ",
    " q.",
    "q. ",
]


@st.composite
def marked_texts(draw: st.DrawFn) -> str:
    """Draw a few lines of words and signs, with a word in each."""
    lines = draw(st.lists(st.lists(st.sampled_from(PIECES), max_size=8), min_size=1, max_size=4))
    ends = draw(st.lists(st.sampled_from(["", "-"]), min_size=len(lines), max_size=len(lines)))
    return "\n".join("on" + "".join(line) + end for line, end in zip(lines, ends, strict=True))


@given(marked_texts())
def test_texts_with_marks_are_given_back_exactly(text: str) -> None:
    """Letters, lines and states, whatever signs stand beside each other."""
    read = read_witness(text, siglum="X")
    copy = taken_out(read, SIGNS)
    assert as_written(copy) == read
    assert len(copy.states) in (0, len(copy))
    assert all(0 <= one.start < one.end <= len(copy) for one in copy.marks)
    assert all(
        (copy.letters[at] == "▯") == (State(copy.states[at]) in (State.LOST, State.LOST_UNKNOWN))
        for at in range(len(copy.states))
    )


@given(marked_texts(), st.data())
def test_states_and_hands_come_back(text: str, data: st.DataObject) -> None:
    """Signs in letters that have a state or another hand."""
    read = read_witness(text, siglum="X")
    states = data.draw(st.binary(min_size=len(read), max_size=len(read)))
    read = replace(
        read,
        states=_any(bytes(State.CLEAR if byte % 2 else State.UNCLEAR for byte in states)),
        hands=_any(bytes(byte % 3 == 0 for byte in states)),
        hand_names=("main", "added"),
    )
    for signs in (SIGNS, replace(SIGNS, unclear=True)):
        assert as_written(taken_out(read, signs)) == read


def _any(column: bytes) -> bytes:
    return column if any(column) else b""


def test_a_witness_without_marks_is_itself() -> None:
    """Nothing is made anew where there is nothing to take out."""
    plain = Witness("X", "stan ac")
    assert taken_out(plain, SIGNS) is plain
    assert as_written(plain) is plain
