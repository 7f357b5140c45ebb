"""Which hand of a TEI text is the main one, where its header says so and where it does not."""

from __future__ import annotations

import pytest

from fidelity.terms import Witness
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_write import write_tei

UNDECLARED = 'no handNote has scope "sole" or "major"'


def read(notes: str, text: str) -> tuple[Witness, tuple[str, ...]]:
    """Read a text whose header has these handNotes."""
    header = f"<teiHeader><profileDesc><handNotes>{notes}</handNotes></profileDesc></teiHeader>"
    return read_tei(
        f'<TEI xmlns="http://www.tei-c.org/ns/1.0">{header}<text><body><ab>{text}</ab></body></text></TEI>'
    )


A, B = '<handNote xml:id="a"/>', '<handNote xml:id="b"/>'


@pytest.mark.parametrize(
    ("notes", "text", "names", "hands"),
    [
        ("", "<lb/><handShift new='#a'/>stan", ("a",), ""),
        ("", "st<handShift new='#a'/>anas", ("a", "main"), "110000"),
        ("", "stan<handShift new='#a'/>as", ("main", "a"), "000011"),
        (A, "<handShift new='#a'/>stan", ("a",), ""),
        (B + A, "<handShift new='#a'/>stan<handShift new='#b'/>as", ("a", "b"), "000011"),
        (A + B, "<handShift new='#a'/>st<handShift new='#b'/>anas", ("b", "a"), "110000"),
        (A + B, "stan<handShift new='#b'/>as", ("a", "b"), "000011"),  # whom else could the first be?
        (A + B, "st<handShift new='#b'/>anas", ("b", "a"), "110000"),
        (A, "st<add hand='#a'>anas</add>", ("main", "a"), "001111"),
        (A, "st<add>anas</add>", ("a", "added"), "001111"),
        (A, "st<del hand='#a'>an</del>", ("main", "a"), ""),
        ("", "<seg hand='#a'>stan</seg> <seg hand='#a'>stan</seg>", ("a",), ""),
        ("", "<note hand='#g'>stanas</note>st", ("main", "g"), "11111100"),
        ('<handNote xml:id="a" scope="minor"/>' + B, "st<handShift new='#a'/>anas", ("b", "a"), "001111"),
        (A + '<handNote xml:id="b" scope="sole"/>', "<handShift new='#a'/>stan", ("b", "a"), "1111"),
        (A + '<handNote xml:id="b" n="main"/>', "<handShift new='#a'/>stan", ("main", "a"), "1111"),
    ],
)
def test_main_hand(notes: str, text: str, names: tuple[str, ...], hands: str) -> None:
    """Where it is not declared, the main hand writes most; who only adds or deletes is not the main hand.

    What is written back declares it, so that it is read the same, without a note.
    """
    witness, _ = read(notes, text)
    assert (witness.hand_names, "".join(map(str, witness.hands))) == (names, hands)
    assert read_tei(write_tei(witness)) == (witness, ())


def test_line_ends_are_nobodys() -> None:
    """The blank that stands for a line's end is no letter of whoever wrote there."""
    witness, _ = read("", "st<lb/>an<lb/><handShift new='#a'/>anasas<lb/>s")
    assert (witness.letters, list(witness.hands)) == ("st an anasas s", [1, 1, 0, 1, 1, 0, *[0] * 8])


@pytest.mark.parametrize(
    ("notes", "text", "note"),
    [
        ("", "stan<add hand='#b'>as</add>", None),
        ('<handNote xml:id="a" scope="major"/>', "stan", None),
        ("", "<handShift new='#a'/>stan", f"main hand taken to be a: {UNDECLARED}"),
        ("", "s<handShift new='#a'/>ta", f"main hand taken to be a, who writes most letters: {UNDECLARED}"),
        (A, "stan", f"main hand taken to be a: {UNDECLARED}"),
    ],
)
def test_undeclared_main_hand_is_told(notes: str, text: str, note: str | None) -> None:
    """A note says who is taken for the main hand, unless it is declared or there is only one."""
    assert read(notes, text)[1] == ((note,) if note else ())
