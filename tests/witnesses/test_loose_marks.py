"""Marks that a tag parts from their letter, as editors write a stroke that is a sign of abbreviation."""

from __future__ import annotations

import pytest

from fidelity.errors import DataError
from fidelity.letters import decode, encode
from fidelity.witnesses.loose_marks import CARRIER, join_loose_marks
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_write import write_tei


@pytest.mark.parametrize(
    ("text", "letters", "states"),
    [
        ("d<am>\u0304</am>e", "d\u0304e", []),
        ("<unclear>d</unclear>n<hi>\u0304e</hi>", "dn\u0304e", [1, 0, 0]),
        ("<choice><abbr>d<am>\u0304</am></abbr><expan>d<ex>e</ex></expan></choice>", "de", [0, 4]),
        ("n<choice><am>\u0304</am><ex>er</ex></choice>", "ner", [0, 4, 4]),
        ("<expan>d<am>\u0304</am><ex>omi</ex>ne</expan>", "domine", [0, 4, 4, 4, 0, 0]),
        ("u<am>\u0304</am> e<am>\u0328\u0304</am>", "ū ę\u0304", []),
    ],
)
def test_mark_belongs_to_the_letter_before_the_tag(text: str, letters: str, states: list[int]) -> None:
    """A mark right after a start tag is the letter's before it, in its state; unread, it is nothing."""
    witness, _ = read_tei(f"<text><body><ab>{text}</ab></body></text>")
    assert (decode(witness.letters), list(witness.states)) == (letters, states)
    assert len(witness) == len(encode(letters))
    again, _ = read_tei(write_tei(witness))
    assert again == witness


@pytest.mark.parametrize(
    "text",
    [
        "<am>\u0304</am>",
        "d <am>\u0304</am>",
        "d<lb/>\u0304",
        "d<del>\u0304</del>",
        "d<add>\u0304</add>",
        "d\n<am>\u0304e</am>",
    ],
)
def test_mark_without_a_letter_stays_a_fault(text: str) -> None:
    """No letter right before, or an element that gives its letters a state or hand of their own."""
    with pytest.raises(DataError, match="no letter under it"):
        read_tei(f"<text><body><ab>{text}</ab></body></text>")


def test_mark_after_what_is_not_read_is_a_fault() -> None:
    """The letter before the tag may stand in a side of a choice that is not read."""
    text = "<choice><sic>d</sic><orig>x</orig></choice><hi>\u0304</hi>"
    assert decode(read_tei(f"<ab>{text}</ab>")[0].letters) == "d\u0304"
    text = "<choice><am>d</am><ex>\n</ex></choice><hi>\u0304</hi>"
    with pytest.raises(DataError, match="no letter under it"):
        read_tei(f"<ab>{text}</ab>")


def test_marks_are_put_to_the_last_letter() -> None:
    """Pieces without letters are passed over; a blank is no letter."""
    pieces = ["x", encode("e"), "", encode(CARRIER + "\u0304") + "f", " ", encode(CARRIER + "\u0301")]
    missing: list[str] = []
    join_loose_marks(pieces, 1, missing.append)
    assert (decode("".join(pieces)), missing) == ("xēf ", ["\u0301"])
