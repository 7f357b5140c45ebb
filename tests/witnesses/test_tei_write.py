"""What is written as TEI is valid, and gives an equal Witness when it is read again."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, groupby

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError
from fidelity.letters import encode
from fidelity.terms import LOST_LETTER, State, Witness
from fidelity.witnesses.plain import LINE_END_MARKS
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_write import write_tei

LETTERS = [*'aþꞅ⁊.-¬ \t&<"]\ue5dc\u00a0', encode("u\u0304"), encode("e\u0328\u0304")]
HANDS = ("main", "the glossator", "added")


@st.composite
def witnesses(draw: st.DrawFn) -> Witness:
    """Give a witness of a few lines, with letters in every state and hand."""
    names = HANDS[: draw(st.integers(1, 3))]
    states = st.sampled_from([state for state in State if state not in (State.LOST, State.LOST_UNKNOWN)])
    letter = st.tuples(st.sampled_from(LETTERS), states, st.integers(0, len(names) - 1))
    lost = st.tuples(
        st.just(LOST_LETTER),
        st.sampled_from([State.LOST, State.LOST_UNKNOWN]),
        st.integers(0, len(names) - 1),
    )
    marked = draw(st.booleans())
    clear = st.tuples(st.sampled_from(LETTERS), st.just(State.CLEAR), st.just(0))
    one = letter | lost if marked else clear
    rows = draw(st.lists(st.lists(one, min_size=1, max_size=8), min_size=1, max_size=6))
    ends = [draw(st.sampled_from(["", *LINE_END_MARKS])) for _ in rows]
    pages = draw(st.sampled_from([[""], ["12r"], ["", "xii"], ["1r", "1v"]]))
    page_of = sorted(draw(st.integers(0, len(pages) - 1)) for _ in rows)
    numbers = draw(
        st.lists(st.text("ab1:. ", max_size=3), min_size=len(rows), max_size=len(rows), unique=True)
    )
    for row, end in zip(rows[:-1], ends, strict=False):
        if not end:
            row.append((" ", State.CLEAR, 0))
    flat = [each for row in rows for each in row]
    state_bytes, hand_bytes = bytes(each[1] for each in flat), bytes(each[2] for each in flat)
    return Witness(
        siglum=draw(st.sampled_from(["", "B", "a&b"])),
        letters="".join(each[0] for each in flat),
        lines=tuple(accumulate(map(len, rows[:-1]), initial=0)),
        labels=tuple(numbers),
        pages=tuple(pages[at] for at in page_of),
        line_ends=tuple(ends),
        states=state_bytes if any(state_bytes) else b"",
        hands=hand_bytes if any(hand_bytes) else b"",
        hand_names=names,
        script=draw(st.sampled_from(["", "insular"])),
        language=draw(st.sampled_from(["", "ang"])),
    )


@given(witnesses())
def test_tei_round_trip(witness: Witness) -> None:
    """Whatever a Witness holds, what is written as TEI gives an equal Witness."""
    written = write_tei(witness)
    again, notes = read_tei(written)
    assert again == witness and notes == ()
    assert write_tei(again) == written


NAMES = """
    p lb pb cb w pc unclear gap supplied damage add del subst hi abbr am ex expan choice sic corr
    seg note space head l row cell table handShift app rdg lem restore wonder"""
ATTRIBUTES = [
    "",
    ' n="3"',
    ' break="no"',
    ' hand="#x"',
    ' new="#y"',
    ' quantity="2" unit="chars"',
    ' part="I"',
]
ELEMENTS = st.recursive(
    st.text("aþ -\n", max_size=4) | st.sampled_from(["a<am>\u0304</am>", "<hi>\u0304</hi>"]),
    lambda inner: st.builds(
        lambda name, said, parts: f"<{name}{said}>{''.join(parts)}</{name}>",
        st.sampled_from(NAMES.split()),
        st.sampled_from(ATTRIBUTES),
        st.lists(inner, max_size=3),
    ),
    max_leaves=15,
)


@given(st.lists(ELEMENTS, max_size=4).map("".join))
def test_elements_in_any_order_give_a_whole_witness(text: str) -> None:
    """Whatever stands inside what, each letter has its state and hand, and all is written and read again."""
    try:
        witness, _ = read_tei(f"<text>a{text}</text>")
    except DataError as error:
        assert error.faults[0].remedy
        return
    assert len(witness.lines) == len(witness.labels) == len(witness.pages) == len(witness.line_ends)
    assert len(witness.states) in (0, len(witness)) and len(witness.hands) in (0, len(witness))
    assert read_tei(write_tei(witness))[0] == witness


def test_numbers_of_lines_join_their_page() -> None:
    """A counted text is written with its folios and numbers, and reads as the plain text does."""
    witness = read_witness("[fol. 12r]\nþa lanꝺ-\nᵹemæꞃa\n[fol. 12v]\nꞇo ellenꝼoꞃꝺa\n")
    written = write_tei(witness)
    assert '<pb n="12r"/>\n<lb n="1"/>þa lanꝺ-\n<lb n="2" break="no"/>ᵹemæꞃa\n<pb n="12v"/>' in written
    assert read_tei(written)[0] == witness


def test_parallel_fields_round_trip() -> None:
    """A table of parallel fields is written as a TEI table and comes back with its fields."""
    glosses = Witness(
        "G", "acer\th lin  ▯ b\t\u00e6", (0, 11), ("7", "9"), ("", ""), ("", ""), fields=("lemma", "gloss"),
        states=bytes([0, 0, 0, 0, 0, 4, 4, 4, 4, 4, 0, 0, 6, 0, 0, 0, 0]),
    )  # fmt: skip
    assert read_tei(write_tei(glosses))[0] == glosses


def test_a_document_of_others_is_stable_once_read() -> None:
    """TEI of another make, read and written and read again, gives the same text."""
    text = (
        "<text><body><pb n='3v'/><p><lb/>Heꞃ <w>ꞅƿu<lb/>ꞇelað</w> <choice><abbr>ꝥ</abbr><expan>þæt</expan>"
        "</choice> <subst><del>a</del><add>o</add></subst>n<gap extent='4 letters'/></p><p>eft</p></body>"
        "</text>"
    )
    witness, _ = read_tei(text)
    assert read_tei(write_tei(witness))[0] == witness


def test_states_are_written_as_the_elements_that_mean_them() -> None:
    """Each state is written as the element of the Guidelines for it."""
    states = [State.UNCLEAR, State.RESTORED, State.SUPPLIED, State.EXPANDED, State.DELETED, State.LOST]
    witness = Witness("", "abcde" + LOST_LETTER, states=bytes(states))
    written = write_tei(witness)
    assert (
        '<unclear>a</unclear><supplied reason="lost">b</supplied><supplied reason="omitted">c</supplied>'
        '<ex>d</ex><del>e</del><gap reason="lost" quantity="1" unit="chars"/>' in written
    )
    assert [key for key, _ in groupby(read_tei(written)[0].states)] == states


def test_the_file_is_not_written() -> None:
    """Where a text was read from is not part of what is written."""
    witness = replace(read_witness("stan"), file="B.txt")
    assert read_tei(write_tei(witness))[0] == replace(witness, file="")


@pytest.mark.parametrize("label", ["12r:4", "4", "12v:4", "12r:", ""])
def test_any_citation_comes_back(label: str) -> None:
    """A citation that does not begin with its page is written whole."""
    witness = Witness("", "stan", labels=(label,), pages=("12r",))
    assert read_tei(write_tei(witness))[0] == witness
