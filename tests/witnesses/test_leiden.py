"""The Leiden signs: letters without them, the state and hand of each letter."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError
from fidelity.letters import decode
from fidelity.terms import LOST_LETTER, State
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.witnesses.test_read import faults_of, places

CODES = {state: state.name[0] for state in State} | {
    State.DELETED: "D",
    State.RESTORED: "R",
    State.LOST: "L",
    State.LOST_UNKNOWN: "?",
}


def understood(text: str, profile: str = "leiden") -> tuple[str, str, str]:
    """Give letters, states (C U R S E D L) and hands (0 1) as three strings."""
    witness = read_witness(text, profile=profile)
    states = "".join(CODES[witness.state(at)] for at in range(len(witness)))
    hands = "".join(str(int(witness.hand(at) == "added")) for at in range(len(witness)))
    return decode(witness.letters), states, hands


@pytest.mark.parametrize(
    ("text", "letters", "states"),
    [
        ("moꞃ[ᵹen]", "moꞃᵹen", "CCCRRR"),
        ("a[...]b", "a▯▯▯b", "CLLLC"),
        ("a[---]b", "a▯b", "C?C"),
        ("a[– –]b", "a▯b", "C?C"),
        ("a[— —]b", "a▯b", "C?C"),
        ("a[ - - - ]b", "a▯b", "C?C"),
        ("[.]", "▯", "L"),
        ("[. .]", "▯ ▯", "LRL"),
        ("[ab..c]", "ab▯▯c", "RRLLR"),
        ("[ab ---]", "ab ▯", "RRR?"),
        ("[uel .u. niht]", "uel .u. niht", "R" * 12),
        ("(and)", "and", "EEE"),
        ("p(er)", "per", "CEE"),
        ("ạb", "ab", "UC"),
        ("ꞅ̣ꞇan", "ꞅꞇan", "UCCC"),
        ("ụ̄", "ū", "U"),
        ("⟨abc⟩d<e>", "abcde", "SSSCS"),
        ("\u2329a\u232a", "a", "S"),
        ("{abc}d", "abcd", "CCCC"),
        ("a⟦bc⟧〚d〛", "abcd", "CDDD"),
        ("a | b / c", "a | b / c", "C" * 9),
    ],
)
def test_signs(text: str, letters: str, states: str) -> None:
    """Each sign gives its letters their state and is itself no letter (Leiden conventions 1931)."""
    assert understood(text)[:2] == (letters, states)


@pytest.mark.parametrize(
    ("text", "letters", "states"),
    [
        ("[a(b)c]", "abc", "RRR"),
        ("⟦ạb⟧", "ab", "DD"),
        ("(a[b]c)", "abc", "EEE"),
        ("{a[b]}", "ab", "CR"),
        ("⟦a[..]⟧", "a▯▯", "DLL"),
        ("[a(..)b]", "a..b", "RRRR"),
    ],
)
def test_outer_sign_gives_the_state(text: str, letters: str, states: str) -> None:
    """Where one sign stands in another, the outer gives the state; what is lost is lost."""
    assert understood(text)[:2] == (letters, states)


@pytest.mark.parametrize(
    ("text", "letters", "states"),
    [
        ("a[bc]d", "abcd", "CDDC"),
        ("⟨ab⟩c<d>", "abcd", "SSCS"),
        ("{ab}c", "abc", "CCC"),
        ("⟦ab⟧(c)ḍ", "abcd", "DDEU"),
        ("a[---]b[..]", "a▯b▯▯", "C?CLL"),
        ("a[b..c]", "ab▯▯c", "CDLLD"),
    ],
)
def test_signs_of_literary_editions(text: str, letters: str, states: str) -> None:
    """There [abc] is what the editor deletes (Brill's guide); all other signs, and gaps, are as ever."""
    assert understood(text, "leiden_literary")[:2] == (letters, states)


@given(
    st.lists(
        st.sampled_from(["a", "[b]", "[b.c]", "[..]", "⟨d⟩", "{e}", "⟦f⟧", " ", "ġ", "[p. 7]"]), min_size=1
    )
)
def test_literary_text_is_written_in_documentary_signs(parts: list[str]) -> None:
    """Written back with the signs of documents, a literary text keeps its letters and their states."""
    try:
        witness = read_witness("x" + "".join(parts), profile="leiden_literary")
    except DataError:
        return  # a blank line inside signs
    assert read_witness(write_plain(witness), profile="leiden") == witness


def test_the_two_uses_differ_in_square_brackets_only() -> None:
    """The same text is restored under one profile and deleted under the other; the letters agree."""
    one, other = understood("a[b]⟨c⟩{d}", "leiden"), understood("a[b]⟨c⟩{d}", "leiden_literary")
    assert one[0] == other[0]
    assert (one[1], other[1]) == ("CRSC", "CDSC")


@pytest.mark.parametrize("text", ["beꞇonican ⸌i.⸍ x", "beꞇonican \\i./ x"])
def test_addition_above_the_line(text: str) -> None:
    """What is added above the line is kept as text and given to another hand."""
    assert understood(text) == ("beꞇonican i. x", "C" * 14, "0" * 10 + "11" + "00")
    assert read_witness(text, profile="leiden").hand_names == ("main", "added")


def test_addition_partly_restored() -> None:
    """State and hand are independent of one another."""
    assert understood("⸌a[b]⸍[c⸌d⸍]") == ("abcd", "CRRR", "1101")


def test_text_without_signs_has_no_columns() -> None:
    """Where all letters are clear and of the main hand, nothing is kept for each letter."""
    witness = read_witness("þa {lanꝺ}", profile="leiden")
    assert (witness.states, witness.hands, witness.hand_names) == (b"", b"", ("main",))


def test_profile_is_never_guessed() -> None:
    """Without the declared profile brackets and dots are what they are: letters."""
    witness = read_witness("moꞃ[ᵹen] ạ")
    assert decode(witness.letters) == "moꞃ[ᵹen] ạ"
    assert witness.states == b""


def test_line_ends_and_pages_with_signs() -> None:
    """A hyphen after a sign ends the line; the space between lines is clear; pages are pages."""
    witness = read_witness("[fol. 1r]\na[b]-\n[c]\n[d]\n[..]-\ne", profile="leiden")
    assert witness.letters == f"abc d {LOST_LETTER * 2}e"
    assert list(witness.states) == [0, 2, 2, 0, 2, 0, 6, 6, 0]
    assert witness.line_ends == ("-", "", "", "-", "")
    assert witness.labels == ("1r:1", "1r:2", "1r:3", "1r:4", "1r:5")


@pytest.mark.parametrize(
    ("text", "line_and_column", "what"),
    [
        ("a\nb[c", (2, 2), "not closed"),
        ("a\nbc]", (2, 3), "closes nothing"),
        ("(b]", (1, 3), "] cannot close ("),
        ("⟨b>", (1, 3), "> cannot close ⟨"),
        ("\\b⸍", (1, 3), "⸍ cannot close \\"),
        ("x []", (1, 3), "nothing stands between"),
        ("[a…]", (1, 3), "how many letters"),
        ("[a]̄b", (1, 3), "mark stands on the sign ]"),
    ],
)
def test_wrong_signs(text: str, line_and_column: tuple[int, int], what: str) -> None:
    """Unbalanced, wrongly nested and empty signs are reported at the sign, with a caret."""
    (fault,) = (fault for fault in faults_of(text, profile="leiden") if what in fault.what)
    assert (fault.line, fault.column) == line_and_column
    caret = str(fault).splitlines()[2]
    assert caret == " " * (4 + line_and_column[1] - 1) + "^"


def test_column_counts_letters_and_citation() -> None:
    """Columns are those of the file: letters, the citation before the tab included."""
    (fault,) = faults_of("X.1\tę̄b[c", profile="leiden", numbered=True)
    assert (fault.line, fault.column) == (1, 7)


def test_signs_are_not_carried_over_a_line_end() -> None:
    """A sign opened in one line and closed in the next is two faults, each with its place."""
    assert places(faults_of("a[b\nc]d", profile="leiden")) == [(1, 2), (2, 2)]
