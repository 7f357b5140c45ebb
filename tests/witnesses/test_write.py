"""What is written can be read again and gives an equal Witness."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.witnesses.test_read import file_with

MARKED = "[fol. 12r]\nþa lanꝺ-\nᵹemæꞃa\n[p. xii]\nꞇo ellenꝼoꞃꝺa\n"
PLAIN_LINES = st.lists(
    st.sampled_from(["[fol. 1r]", "[p. 7]", "[page ix]", "", "a-"]) | st.text("aþꞅū⁊.-¬ \t[]", max_size=6),
    min_size=1,
    max_size=8,
)
SIGNED_LETTERS = "aþ.- –…/ạṣū"
SIGNED = st.recursive(
    st.text(SIGNED_LETTERS, min_size=1, max_size=4)
    | st.sampled_from(
        [
            "[...]",
            "[---]",
            "[a..]",
            "p. 7",
            "[c. 3]",
            "[..3..]",
            "(vac. 2)",
            "(vacat)",
            "vac.",
            "`a´",
            "[[þ]]",
            "12",
        ]
    ),
    lambda inner: st.builds(
        lambda signs, parts: signs[0] + "".join(parts) + signs[1],
        st.sampled_from(["[]", "()", "⟨⟩", "<>", "{}", "⟦⟧", "⸌⸍", "\\/"]),
        st.lists(inner, min_size=1, max_size=3),
    ),
    max_leaves=8,
)


def test_the_extent_of_what_is_lost_comes_back() -> None:
    """Three letters lost and nobody knows how many are told apart when they are written back."""
    text = "a[...]b[---]c[---][.]\n"
    assert write_plain(read_witness(text, profile="leiden")) == text


def test_plain_text_comes_back_as_it_was() -> None:
    """Page marks, lines and line-end marks of a plain text come back letter for letter."""
    assert write_plain(read_witness(MARKED)) == MARKED


@given(PLAIN_LINES)
def test_plain_round_trip(lines: list[str]) -> None:
    """Whatever plain text is read, what is written gives the same Witness."""
    try:
        witness = read_witness("\n".join(lines), siglum="X")
    except DataError:
        return  # a page marked twice, or no text at all
    assert read_witness(write_plain(witness), siglum="X") == witness


@given(
    st.lists(
        st.tuples(st.text("ab.1:", min_size=1), st.text("aþ- ")), min_size=1, unique_by=lambda row: row[0]
    )
)
def test_numbered_round_trip(rows: list[tuple[str, str]]) -> None:
    """A text with its own citations is written with them, unless they are the plain count."""
    if not any(text.strip() for _, text in rows):
        return
    witness = read_witness("\n".join(f"{label}\t{text}" for label, text in rows), numbered=True)
    counted = witness.labels == tuple(str(number + 1) for number in range(len(witness.labels)))
    assert read_witness(write_plain(witness), numbered=not counted) == witness


@given(st.lists(st.lists(SIGNED, min_size=1, max_size=4).map("".join), min_size=1, max_size=3))
def test_leiden_round_trip(lines: list[str]) -> None:
    """Whatever Leiden signs are read, what is written gives the same letters, states and hands."""
    try:
        witness = read_witness("\n".join(lines), profile="leiden")
    except DataError:
        return  # e.g. "…" directly inside [ ], or a stroke that closes nothing
    again = read_witness(write_plain(witness), profile="leiden")
    assert again == witness


@given(
    st.lists(
        st.tuples(*[st.lists(SIGNED, max_size=3).map("".join)] * 2).filter(
            lambda row: any(map(str.strip, row))
        ),
        min_size=1,
        max_size=3,
    )
)
def test_leiden_round_trip_of_tables(rows: list[tuple[str, str]]) -> None:
    """Whatever Leiden signs stand in the cells of a table, writing it gives the same table."""
    with TemporaryDirectory() as made:
        table = "lemma\tgloss\n" + "".join(f"{lemma}\t{gloss}\n" for lemma, gloss in rows)
        file = file_with(Path(made), table.encode(), "G.tsv")
        try:
            witness = read_witness(file, profile="leiden")
        except DataError:
            return  # e.g. a sign open at the end of a field
        file.write_text(write_plain(witness), encoding="utf-8")
        assert read_witness(file, profile="leiden") == witness


@pytest.mark.parametrize(
    "text", ["[(.)]", "[a(..)b]", "[(---)]", "[a.][.b]", "[p.][ (7)]", "⸌[..]⸍", "[⸌.⸍]", "ṩ"]
)
def test_leiden_round_trip_of_ambiguous_signs(text: str) -> None:
    """Real dots and dashes among restored letters are not written so that they read as lost."""
    witness = read_witness(text, profile="leiden")
    assert read_witness(write_plain(witness), profile="leiden") == witness


def test_table_round_trip(tmp_path: Path) -> None:
    """Parallel fields are written as a table with a citation column."""
    witness = read_witness(
        file_with(tmp_path, b'lemma,gloss\nacer,"h,lin"\n"a b",[..]c\n', "G.csv"), profile="leiden"
    )
    written = write_plain(witness)
    assert written == "locus\tlemma\tgloss\n1\tacer\th,lin\n2\ta b\t[..]c\n"
    file = file_with(tmp_path, written.encode(), "G.tsv")
    again = read_witness(file, profile="leiden")
    assert (again.letters, again.states, again.labels, again.fields) == (
        witness.letters,
        witness.states,
        witness.labels,
        witness.fields,
    )


@pytest.mark.parametrize("text", ["[f][ol. 1r] x", "[p][. 3] stan", "[f][12r]"])
def test_restored_letters_are_not_written_as_a_page_mark(text: str) -> None:
    """Nor so that they begin like one, which would be refused."""
    witness = read_witness(
        text.replace("1r", "(1)r").replace("3", "(3)").replace("12", "(12)"), profile="leiden"
    )
    assert read_witness(write_plain(witness), profile="leiden") == witness
