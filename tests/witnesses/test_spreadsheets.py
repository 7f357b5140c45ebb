"""Spreadsheets are read as the tables that are in them, or refused cell by cell."""

from __future__ import annotations

import csv
import datetime
import re
import zipfile
from collections.abc import Sequence
from pathlib import Path
from tempfile import TemporaryDirectory

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from python_calamine import CalamineWorkbook

from fidelity.errors import DataError
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.look_alikes import notes_on_files
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.sheet_cells import LARGEST_PART, Cell, cell_name
from tests.witnesses.made_sheets import ods, ods_of_xml, xlsx
from tests.witnesses.test_read import faults_of

ROWS: Sequence[Sequence[object]] = [
    ["n", "lemma", "gloss"],
    [3, "acer, arbor", "hlin"],
    [],
    ["S.4", "nyhtu\u0304  ꞅꞇan", "<&>"],
    [5, 7.5, None],
]
CELLS = (
    st.text("aþꞅū⁊ ,\"'&<_x", max_size=6) | st.integers(-(10**6), 10**6) | st.sampled_from([0.5, 0.1, 2.0])
)


def csv_of(file: Path, rows: Sequence[Sequence[object]]) -> Path:
    with file.open("w", encoding="utf-8", newline="") as opened:
        csv.writer(opened).writerows(rows)
    return file


def without_file(witness: Witness) -> dict[str, object]:
    return {key: value for key, value in vars(witness).items() if key != "file"}


def test_the_same_witness_from_csv_xlsx_and_ods(tmp_path: Path) -> None:
    """One table gives one witness, in whatever kind of file it is kept; 3.0 reads as 3."""
    from_csv = read_witness(csv_of(tmp_path / "G.csv", ROWS))
    assert from_csv.labels == ("3", "S.4", "5")
    assert from_csv.fields == ("lemma", "gloss")
    assert without_file(read_witness(xlsx(tmp_path / "G.xlsx", ROWS))) == without_file(from_csv)
    assert without_file(read_witness(ods(tmp_path / "G.ods", ROWS))) == without_file(from_csv)


@given(st.lists(st.tuples(CELLS, CELLS), min_size=1, max_size=4))
def test_any_table_reads_alike(rows: list[tuple[object, object]]) -> None:
    """Whatever stands in the cells, .xlsx and .ods give what CSV gives."""
    table = [("lemma", "gloss"), *(tuple(str(x) if isinstance(x, str) else x for x in row) for row in rows)]
    plain = [[f"{x:.15g}" if isinstance(x, float) else x for x in row] for row in table]
    with TemporaryDirectory() as made:
        folder = Path(made)
        try:
            expected = without_file(read_witness(csv_of(folder / "G.csv", plain)))
        except DataError as error:
            expected = {"fault": error.faults[0].what}
        for file in (xlsx(folder / "G.xlsx", table), ods(folder / "G.ods", table)):
            try:
                found = without_file(read_witness(file))
            except DataError as error:
                found = {"fault": error.faults[0].what}
            assert found == expected


def test_another_reader_finds_the_same_cells(tmp_path: Path) -> None:
    """What a library for spreadsheets reads from the files is what is read here."""
    for file in (xlsx(tmp_path / "G.xlsx", ROWS), ods(tmp_path / "G.ods", ROWS)):
        with CalamineWorkbook.from_path(file) as book:
            seen = book.get_sheet_by_index(0).to_python()
        cells = [[f"{x:.15g}" if isinstance(x, float) else str(x) for x in row] for row in seen if any(row)]
        witness = read_witness(file)
        labels, texts = zip(*((label, "\t".join(rest)) for label, *rest in cells[1:]), strict=True)
        assert witness.labels == labels
        assert tuple(map(witness.text_of_line, range(3))) == tuple(
            text.replace("u\u0304", "ū") for text in texts
        )


def test_cells_that_are_no_text_are_named(tmp_path: Path) -> None:
    """Dates, truth values, errors, formulas without a result, merged cells, line ends: each by its cell.

    Spreadsheets turn text that looks like a date into one (Ziemann, Eren & El-Osta 2016, Genome
    Biology 17:177, on names of genes; from memory).
    """
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in (
        ["lemma", "gloss"],
        [datetime.date(1931, 10, 23), True],
        ["=1+1", "#N/A"],
        ["a\nb", "c"],
        ["d", None],
    ):
        sheet.append(row)
    sheet.merge_cells("A5:B5")
    book.save(tmp_path / "G.xlsx")
    faults = faults_of(tmp_path / "G.xlsx")
    found = [(fault.line, *fault.what.split(" ")[1:4]) for fault in faults]
    assert found == [
        (2, "A2", "holds", "a"),
        (2, "B2", "holds", "the"),
        (3, "A3", "holds", "a"),
        (3, "B3", "holds", "the"),
        (4, "A4", "has", "a"),
        (5, "A5", "is", "merged"),
    ]
    assert "date" in faults[0].what and "TRUE" in faults[1].what and "#N/A" in faults[3].what
    assert all(fault.remedy for fault in faults)


def test_the_same_in_ods(tmp_path: Path) -> None:
    """The like holds for an .ods file."""
    cells = (
        '<table:table-cell office:value-type="date" office:date-value="1931-10-23"><text:p>x</text:p>',
        '<table:table-cell office:value-type="boolean"><text:p>TRUE</text:p>',
        '<table:table-cell table:formula="of:=A1"/><table:table-cell>',
        '<table:table-cell table:formula="of:=1/0" office:value-type="string"><text:p>#DIV/0!</text:p>',
        '<table:table-cell table:number-columns-spanned="2" office:value-type="string"><text:p>m</text:p>',
        '<table:table-cell office:value-type="string"><text:p>a<text:tab/>b</text:p>',
    )
    row = f"<table:table-row>{'</table:table-cell>'.join(cells)}</table:table-cell></table:table-row>"
    faults = faults_of(ods(tmp_path / "G.ods", [list("abcdefg")], row))
    assert [fault.what.split(" ")[1] for fault in faults] == ["A2", "B2", "C2", "E2", "F2", "G2"]


def test_formulas_give_their_saved_result(tmp_path: Path) -> None:
    """A formula is read as its result as last saved."""
    cell = (
        '<table:table-cell table:formula="of:=[.A2]" office:value-type="string"><text:p>hlin</text:p>'
        "</table:table-cell>"
    )
    file = ods(tmp_path / "G.ods", [["gloss"]], f"<table:table-row>{cell}</table:table-row>")
    assert read_witness(file).letters == "hlin"
    book = xlsx(tmp_path / "made.xlsx", [["gloss"], ["=A9"]])
    with zipfile.ZipFile(book) as old, zipfile.ZipFile(tmp_path / "G.xlsx", "w") as new:
        for name in old.namelist():
            data = old.read(name).replace(
                b'<c r="A2"><f>A9</f><v /></c>', b'<c r="A2" t="str"><f>A9</f><v>hlin</v></c>'
            )
            data = data.replace(
                b'<c r="A2"><f>A9</f><v></v></c>', b'<c r="A2" t="str"><f>A9</f><v>hlin</v></c>'
            )
            new.writestr(name, data)
    assert read_witness(tmp_path / "G.xlsx").letters == "hlin"


def test_faults_of_the_table_name_the_cell(tmp_path: Path) -> None:
    """What is wrong in the table is told by its cell, the row being the line."""
    rows: list[list[object]] = [["n", "lemma", "gloss"], [1, "a]b", "c"], [], [1, "d", "e", "f"]]
    faults = faults_of(xlsx(tmp_path / "G.xlsx", rows), profile="leiden")
    assert [(fault.line, fault.what.split(":")[0]) for fault in faults] == [(2, "cell B2"), (4, "cell D4")]


def test_several_sheets_are_not_chosen_from(tmp_path: Path) -> None:
    """Text in two sheets is a fault that names both; an empty second sheet is none."""
    book = openpyxl.load_workbook(xlsx(tmp_path / "G.xlsx", ROWS))
    other = book.create_sheet("remarks")
    book.save(tmp_path / "G.xlsx")
    assert len(read_witness(tmp_path / "G.xlsx").labels) == 3
    other["B7"] = "x"
    other.sheet_state = "hidden"
    book.save(tmp_path / "G.xlsx")
    (fault,) = faults_of(tmp_path / "G.xlsx")
    assert re.search(r"2 sheets have text: .*, remarks \(hidden\)", fault.what)


def test_a_cell_far_outside_is_told_and_costs_nothing(tmp_path: Path) -> None:
    """A single cell in the last row and column, or millions repeated, end in a fault."""
    book = openpyxl.load_workbook(xlsx(tmp_path / "G.xlsx", ROWS))
    assert book.active is not None
    book.active["XFD1048576"] = "x"
    book.save(tmp_path / "G.xlsx")
    (fault,) = faults_of(tmp_path / "G.xlsx")
    assert fault.what.startswith("cell XFD1048576 stands far outside")
    many = (
        '<table:table-row table:number-rows-repeated="1000000"><table:table-cell '
        'table:number-columns-repeated="16000" office:value-type="string"><text:p>x</text:p>'
        "</table:table-cell></table:table-row>"
    )
    assert "filled" in faults_of(ods(tmp_path / "G.ods", [["a"]], many))[0].what
    empty = '<table:table-row table:number-rows-repeated="1048000"><table:table-cell/></table:table-row>'
    assert len(read_witness(ods(tmp_path / "G.ods", ROWS, empty)).labels) == 3


def test_bombs_locks_and_damage_are_refused(tmp_path: Path) -> None:
    """What unpacks to too much, is locked, cut off, no spreadsheet, or declares entities is refused."""
    file = ods_of_xml(tmp_path / "G.ods", " " * (LARGEST_PART + 1))
    assert file.stat().st_size < LARGEST_PART / 100
    assert "unpacks to more than" in faults_of(file)[0].what
    locked = ods_of_xml(tmp_path / "G.ods", "", "<manifest:encryption-data/>")
    assert "locked" in faults_of(locked)[0].what
    whole = xlsx(tmp_path / "G.xlsx", ROWS).read_bytes()
    for data in (
        whole[: len(whole) // 2],
        b"",
        b"junk",
        whole.replace(b"xl/workbook.xml", b"xl/workbook.xmI"),
    ):
        (tmp_path / "G.xlsx").write_bytes(data)
        assert "damaged" in faults_of(tmp_path / "G.xlsx")[0].what
    (tmp_path / "G.xlsx").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))
    assert "password" in faults_of(tmp_path / "G.xlsx")[0].what
    with zipfile.ZipFile(tmp_path / "G.ods", "w") as archive:
        archive.writestr("content.xml", '<!DOCTYPE x [<!ENTITY a "b">]><x>&a;</x>')
    assert "damaged" in faults_of(tmp_path / "G.ods")[0].what


@pytest.mark.parametrize(("column", "name"), [(1, "A9"), (26, "Z9"), (27, "AA9"), (16384, "XFD9")])
def test_cells_are_named_as_in_spreadsheets(column: int, name: str) -> None:
    """Columns count A to Z, then AA; the last is XFD (16,384)."""
    assert cell_name(Cell(9, column)) == name


def test_notes_on_letters_name_the_cell(tmp_path: Path) -> None:
    """A look-alike or a private letter in a spreadsheet is told with its cell."""
    xlsx(tmp_path / "G.xlsx", [["lemma", "gloss"], ["acer", "hl\u0456n"], ["\ue8b7", "x"]])
    notes = notes_on_files(tmp_path, ["G.xlsx"], NO_FOLDS)
    assert [note.split(": ")[0] for note in notes] == ["G.xlsx, cell B2", "G.xlsx, cell A3"]


def test_a_spreadsheet_of_another_kind_than_its_name(tmp_path: Path) -> None:
    """It is not called damaged: what it is, and what its name should be, is told."""
    rows = [["lemma", "gloss"], ["acer", "hlin"]]
    for made, name, kind in ((xlsx, "G.ods", "(xlsx)"), (ods, "G.xlsx", "(ods)")):
        file = made(tmp_path / f"made{Path(name).suffix}", rows).rename(tmp_path / name)
        (fault,) = faults_of(file)
        assert kind in fault.what and "damaged" not in fault.what
        assert "let its name end in" in fault.remedy
