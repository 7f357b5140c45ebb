"""Tables of parallel fields, TSV and CSV."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.terms import State
from fidelity.witnesses.read import read_witness
from tests.witnesses.test_read import faults_of, file_with, places


def test_fields_are_parted_by_tabs(tmp_path: Path) -> None:
    """Each row is one entry, its fields parted by tabs, entries numbered from 1."""
    file = file_with(tmp_path, b"lemma\tgloss\nacer\thlin\n\nalnus \t\n", "G.tsv")
    witness = read_witness(file)
    assert witness.fields == ("lemma", "gloss")
    assert witness.letters == "acer\thlin alnus\t"
    assert witness.lines == (0, 10)
    assert witness.labels == ("1", "2")
    assert witness.pages == witness.line_ends == ("", "")


@pytest.mark.parametrize("name", ["locus", "entry", "n", "Locus"])
def test_citation_column_is_no_field(tmp_path: Path, name: str) -> None:
    """A column of that name cites the entries, wherever it stands."""
    file = file_with(tmp_path, f"lemma\t{name}\tgloss\nacer\tG.7\thlin\n".encode(), "G.tsv")
    witness = read_witness(file)
    assert witness.fields == ("lemma", "gloss")
    assert witness.labels == ("G.7",)
    assert witness.letters == "acer\thlin"


def test_csv_quotes(tmp_path: Path) -> None:
    """CSV cells may be quoted; TSV cells are as they stand."""
    data = b'lemma,gloss\n"acer, arbor","h""lin"\n'
    assert read_witness(file_with(tmp_path, data, "G.csv")).letters == 'acer, arbor\th"lin'
    data = b'lemma\tgloss\n"acer\thlin\n'
    assert read_witness(file_with(tmp_path, data, "G.tsv")).letters == '"acer\thlin'


def test_final_hyphen_of_an_entry_stays(tmp_path: Path) -> None:
    """An entry does not run on into the next: a hyphen at its end is a letter."""
    witness = read_witness(file_with(tmp_path, b"lemma\tgloss\nin\tun-\nad\tto\n", "G.tsv"))
    assert witness.letters == "in\tun- ad\tto"


def test_leiden_signs_in_cells(tmp_path: Path) -> None:
    """The declared profile is read in the cells of a table too."""
    file = file_with(tmp_path, b"lemma\tgloss\nsecuris\t[---]\n", "G.tsv")
    witness = read_witness(file, profile="leiden")
    assert witness.letters == "securis\t▯"
    assert witness.state(len(witness) - 1) is State.LOST_UNKNOWN
    (fault,) = faults_of(file_with(tmp_path, b"n\tlemma\tgloss\n1\ta[b\tc]\n", "G.tsv"), profile="leiden")[:1]
    assert (fault.line, fault.column) == (2, 4)


def test_every_ragged_row_is_reported(tmp_path: Path) -> None:
    """Rows with too many or too few cells are all reported by line, with what was expected."""
    file = file_with(tmp_path, b"lemma\tgloss\na\tb\nc\nd\te\tf\n", "G.tsv")
    faults = faults_of(file)
    assert places(faults) == [(3, 2), (4, 5)]
    assert [fault.file for fault in faults] == [file, file]
    assert "1 cells where the header names 2 (lemma, gloss)" in faults[0].what


def test_bad_header(tmp_path: Path) -> None:
    """Unnamed, twice named and twice citing columns are reported at their column."""
    file = file_with(tmp_path, b"lemma\t\tlemma\tn\tentry\na\tb\tc\td\te\n", "G.tsv")
    assert places(faults_of(file)) == [(1, 7), (1, 8), (1, 16)]


def test_table_needs_a_field_and_an_entry(tmp_path: Path) -> None:
    """A table with a citation column only, or with a header only, is no text."""
    assert "no field" in faults_of(file_with(tmp_path, b"locus\n1\n", "G.tsv"))[0].what
    assert "no text" in faults_of(file_with(tmp_path, b"lemma\tgloss\n", "G.tsv"))[0].what
    assert "no text" in faults_of(file_with(tmp_path, b"", "G.csv"))[0].what


def test_citations_missing_or_double(tmp_path: Path) -> None:
    """An entry that cannot be cited, or is cited like another, is reported by line."""
    faults = faults_of(file_with(tmp_path, b"n\tlemma\n1\ta\n\tb\n1\tc\n", "G.tsv"))
    assert [(fault.line, fault.what.split(" ")[0]) for fault in faults] == [(3, "this"), (4, "the")]


def test_malformed_csv(tmp_path: Path) -> None:
    """A quotation that is never closed, and a line end inside a cell, are reported by line."""
    (fault,) = faults_of(file_with(tmp_path, b'a,b\nc,d\n"e,f\n', "G.csv"))
    assert fault.line == 3
    assert "well-formed" in fault.what
    (fault,) = faults_of(file_with(tmp_path, b'a,b\n"c\nd",e\nf,g\n', "G.csv"))
    assert fault.line == 2
    assert "line end inside a cell" in fault.what


@pytest.mark.parametrize("cell", ["{a }", "{ a}", "{ }a", "a{ {} }".replace("{}", "{b }")])
def test_blanks_at_the_borders_of_fields_are_none(tmp_path: Path, cell: str) -> None:
    """Blanks at the border of a field do not count inside of braces either; marked blanks do."""
    file = file_with(tmp_path, f"lemma\tgloss\n{cell}\tx\n".encode(), "G.tsv")
    assert read_witness(file, profile="leiden").letters in ("a\tx", "a b\tx")
    file = file_with(tmp_path, b"lemma\tgloss\n[a ]\t( b)\n", "G.tsv")
    witness = read_witness(file, profile="leiden")
    assert (witness.letters, list(witness.states)) == ("a \t b", [2, 2, 0, 4, 4])


def test_one_fault_for_a_column_without_a_name(tmp_path: Path) -> None:
    """An empty cell at the header's end is told at the header, and not at every row."""
    faults = faults_of(file_with(tmp_path, b"lemma\tgloss\t\na\tb\nc\td\n", "G.tsv"))
    assert places(faults) == [(1, 13)]
    assert "no name" in faults[0].what


@pytest.mark.parametrize(
    ("name", "data", "what", "column"),
    [
        ("G.csv", b"lemma;gloss\nacer;hlin\n", "semicolons, not by commas", 6),
        ("G.csv", b"\nlemma\tgloss\nacer\thlin\n", "tabs, not by commas", 6),
        ("G.tsv", b"lemma,gloss\nacer,hlin\n", "commas, not by tabs", 6),
        ("G.tsv", b"lemma;gloss\nacer;hlin\n", "semicolons, not by tabs", 6),
    ],
)
def test_fields_parted_by_another_sign(
    tmp_path: Path, name: str, data: bytes, what: str, column: int
) -> None:
    """Programs of some countries part the fields of a .csv by semicolons; this is told, not guessed."""
    (fault,) = faults_of(file_with(tmp_path, data, name))
    assert what in fault.what
    assert (fault.column, bool(fault.source), bool(fault.remedy)) == (column, True, True)


def test_other_signs_in_cells_are_text(tmp_path: Path) -> None:
    """A semicolon in a field's name is none that parts fields, where commas do."""
    assert read_witness(file_with(tmp_path, b"lemma;x,gloss\na;b,c\n", "G.csv")).fields == (
        "lemma;x",
        "gloss",
    )


@pytest.mark.parametrize(
    ("rows", "place"),
    [
        ('n,lemma,gloss\n1,"a, ""b""",c,d\n', (2, 16)),  # the first cell too many
        ("n,lemma,gloss\n1,a\n", (2, 4)),  # where one is wanting
        ("lemma,n,gloss\na,1,b\nc,1,d\n", (3, 3)),  # the second citation
        ('lemma,n,gloss\na,1,b\n"c, d",,d\n', (3, 8)),  # no citation
        ('lemma,gloss\na,"b\tc"\n', (2, 5)),  # a tab
        ('lemma,gloss\na,"b\n', (2, 3)),  # a quotation mark never closed
        ('"a, b",c,c\nx,y,z\n', (1, 10)),  # a field named twice
    ],
)
def test_faults_have_their_column(tmp_path: Path, rows: str, place: tuple[int, int]) -> None:
    """Each fault of a table is shown at its cell, quoted cells counted as they are written."""
    faults = faults_of(file_with(tmp_path, rows.encode(), "G.csv"))
    assert places(faults) == [place]
    assert faults[0].source
