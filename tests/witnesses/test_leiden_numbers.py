"""Numbers of lost letters and measured spaces, as editions of papyri have them (from memory)."""

from __future__ import annotations

import pytest

from fidelity.letters import decode
from fidelity.terms import State
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.witnesses.test_read import faults_of


@pytest.mark.parametrize("profile", ["leiden", "leiden_literary"])
@pytest.mark.parametrize(
    "sign",
    ["[c. 4]", "[ca. 4]", "[c.4]", "[ca 4]", "[±4]", "[+4+]", "[..4..]", "[. . 4 . .]", "[- 4 -]", "[....]"],
)
def test_so_many_letters_are_lost(sign: str, profile: str) -> None:
    """A number alone in [ ], marked as one, is so many lost letters in either profile."""
    witness = read_witness(f"st{sign}n", profile=profile)
    assert (witness.letters, list(witness.states)) == ("st▯▯▯▯n", [0, 0, *[State.LOST] * 4, 0])


@pytest.mark.parametrize(
    ("text", "letters"),
    [
        ("a (vac. 3) b", "a   b"),
        ("a(vac. 2)b", "a  b"),
        ("a (vac.) b", "a b"),
        ("a (vacat) b", "a b"),
        ("a (vac. c. 3) b", "a   b"),
        ("[st](vac. 2)an", "st  an"),
    ],
)
def test_space_left_in_the_manuscript(text: str, letters: str) -> None:
    """A space is as many blanks as it says, in place of those written around it."""
    witness = read_witness(text, profile="leiden")
    assert witness.letters == letters
    assert read_witness(write_plain(witness), profile="leiden" if witness.states else "plain") == witness


@pytest.mark.parametrize(
    ("text", "column"),
    [
        ("[12r]", 2), ("st[4]", 4), ("[c. 3-4]", 5), ("[ab 3]", 5), ("[±ab]", 2),
        ("[a(b) 3]", 7), ("a (vac. x)", 4),
    ],
)  # fmt: skip
def test_other_numbers_are_refused(text: str, column: int) -> None:
    """A number that does not plainly count lost letters is never read as restored letters."""
    (fault,) = faults_of(text, profile="leiden")
    assert (fault.line, fault.column) == (1, column)
    assert fault.remedy


@pytest.mark.parametrize("text", ["[ab. cd.]", "[c.]", "[c. d]", "[a.] (vac)ca", "[(12)r]", "(vaccam)"])
def test_restored_text_stays(text: str) -> None:
    """Full stops, words that begin alike, and numbers in round brackets are letters, and stay so."""
    witness = read_witness(text, profile="leiden")
    assert decode(witness.letters) == text.translate(str.maketrans("", "", "[]()"))
    assert read_witness(write_plain(witness), profile="leiden") == witness


def test_words_written_out_are_no_space() -> None:
    """Letters written out that would read as a space are written so that they do not."""
    witness = read_witness("(v)(acat) (va)(c.)", profile="leiden")
    assert witness.letters == "vacat vac."
    assert read_witness(write_plain(witness), profile="leiden") == witness


@pytest.mark.parametrize(
    ("text", "letters", "states", "hands"),
    [
        ("st[[a]]n", "stan", [0, 0, 5, 0], []),
        ("[s[[t]]a]n", "stan", [2, 5, 2, 0], []),
        ("[s⟦t⟧a]n", "stan", [2, 5, 2, 0], []),
        ("(s⟦t⟧)an", "stan", [4, 5, 0, 0], []),
        ("[[a]b]", "ab", [2, 2], []),
        ("st`ꞅel´", "stꞅel", [], [0, 0, 1, 1, 1]),
    ],
)
def test_signs_as_typed(text: str, letters: str, states: list[int], hands: list[int]) -> None:
    """[[a]] is cancelled, `a´ added; what is cancelled is so in whatever sign it stands."""
    witness = read_witness(text, profile="leiden")
    assert (witness.letters, list(witness.states), list(witness.hands)) == (letters, states, hands)


def test_empty_double_brackets_are_a_fault() -> None:
    """Nothing stands in them, so nothing can have been cancelled."""
    assert "nothing stands between" in faults_of("a[[]]", profile="leiden")[0].what
