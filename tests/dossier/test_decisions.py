"""The table of the editor's decisions: how it is read, and what is said where it is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import Dossier, read_dossier
from fidelity.dossier.decision_rows import rows_of
from fidelity.dossier.word_places import WordPlace, nearest_words, stand_at, words_at
from fidelity.errors import DataError
from fidelity.terms import Witness
from fidelity.terms.decisions import Decision, Ruling
from fidelity.witnesses.read import read_witness

TOML = """[copyist]
name = "Erasmus Wickenby"
[[survivor]]
id = "E"
original = "original.txt"
copy = "copy.txt"
[[lost]]
id = "X"
copy = "lost.txt"
"""
HEAD = "text,locus,transmitted,original,decision,value,reason,who,when\n"


def lay_out(folder: Path, table: str) -> Path:
    """Lay out a dossier of three short texts with this table."""
    (folder / "dossier.toml").write_text(TOML, encoding="utf-8")
    (folder / "original.txt").write_text("[fol. 1r]\non stræte and on dæge\n", encoding="utf-8")
    (folder / "copy.txt").write_text("[fol. 1r]\non stnæte and on dæge\n", encoding="utf-8")
    (folder / "lost.txt").write_text("[fol. 3v]\nIc wær on fyre\nfæste ge-\nboren\n", encoding="utf-8")
    (folder / "decisions.csv").write_bytes(table.encode("utf-8"))
    return folder


def read(folder: Path, table: str) -> Dossier:
    return read_dossier(lay_out(folder, table))


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_what_spreadsheets_write_is_read(tmp_path: Path, mark: str, line_end: str, delimiter: str) -> None:
    """Commas, semicolons or tabs, with or without a byte-order mark, whatever the line ends."""
    head = HEAD.strip().replace(",", delimiter)
    reason = f'"so; the, sense{delimiter} ""as it is"""'
    row = delimiter.join(["X", "X 3v:1.2", "wær", "", "adopted", "wæs", reason, "Me", "2024-03-31"])
    found = read(tmp_path, mark + line_end.join([head, row, ""])).decisions
    told = f'so; the, sense{delimiter} "as it is"'
    assert found == (
        Decision("X", "3v:1.2", Ruling.ADOPTED, "wær", "", "wæs", told, "Me", "2024-03-31", line=2),
    )


def test_columns_may_be_moved_added_and_left_out(tmp_path: Path) -> None:
    """The columns are found by name; remarks and empty lines hold no decision."""
    table = "# mine\nwhen,colour,decision,text,locus,transmitted\n\n2024-03-31,red,kept,X,3v:1.2,wær\n"
    (found,) = read(tmp_path, table).decisions
    assert (found.locus, found.ruling, found.transmitted, found.line) == ("3v:1.2", Ruling.KEPT, "wær", 4)


@pytest.mark.parametrize(
    ("row", "line", "column", "what", "remedy"),
    [
        ("Y,3v:1.2,wær,,kept,,,,2024-03-31", 2, 1, "there is no text Y", "did you mean"),
        ("X,3v:1.2,wær,,adoptd,,,,2024-03-31", 2, 15, "adoptd is no decision", "did you mean adopted?"),
        ("X,4v:1.2,wær,,kept,,,,2024-03-31", 2, 3, "X has no place 4v:1.2", "did you mean 3v:1.1?"),
        ("E,1r:1.2,stnæte,stræte,cause,eyeskip,,,2024-03-31", 2, 30, "eyeskip is no cause", "eye_skip?"),
        ("X,3v:1.2,wær,,kept,,,,3/31/2024", 2, 23, "3/31/2024 is no date", "did you mean 2024-03-31?"),
        ("X,3v:1.2,wær,,not_his,,,,2024-03-31", 2, 15, "X is a lost text", "adopted, kept, open, crux"),
        ("E,1r:1.2,a,b,adopted,x,,,2024-03-31", 2, 14, "E is a survivor", "pair, not_his, cause"),
        ("X,3v:1.2,wær,,adopted,,,,2024-03-31", 2, 23, "adopted without a value", "the reading"),
        ("X,3v:1.2,wær,,kept,wæs,,,2024-03-31", 2, 20, "kept has no value", "only pair, cause, adopted"),
        ("X,3v:1.2,wær,,kept,,,,2024-03-31,more", 2, 1, "10 cells, but 9 columns", "quotation marks"),
        ('X,3v:1.2,"wær,,kept,,,,2024-03-31', 2, 1, "a quotation mark is opened", "quotation marks"),
        ('X,3v:1.2,wær,,kept,,"a\nb",Me,4.13.2024', 3, 7, "4.13.2024 is no date", "2024-04-13"),
    ],
)
def test_a_fault_is_told_with_its_place(
    tmp_path: Path, row: str, line: int, column: int, what: str, remedy: str
) -> None:
    """File, line and column of what is wrong, and the nearest that would be right."""
    with pytest.raises(DataError) as raised:
        read(tmp_path, HEAD + row + "\n")
    (fault,) = raised.value.faults
    assert (fault.file, fault.line, fault.column) == (tmp_path / "decisions.csv", line, column)
    assert what in fault.what
    assert remedy in fault.remedy


def test_a_missing_column_is_told(tmp_path: Path) -> None:
    """A column named otherwise is asked for by its name, with the nearest there is."""
    with pytest.raises(DataError, match="no column locus") as raised:
        read(tmp_path, HEAD.replace("locus", "loci") + "X,3v:1.2,wær,,kept,,,,2024-03-31\n")
    assert "did you mean loci?" in raised.value.faults[0].remedy


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """One report for the whole table."""
    with pytest.raises(DataError) as raised:
        read(tmp_path, HEAD + "X,9r:1.2,wær,,kep,,,,now\nY,1,a,,kept,,,,2024-03-31\n")
    assert len(raised.value.faults) == 4


def test_a_word_that_is_no_longer_there_is_no_fault(tmp_path: Path) -> None:
    """A line that has become shorter makes a decision stale, not the dossier faulty."""
    (found,) = read(tmp_path, HEAD + "X,3v:1.9,wær,,kept,,,,2024-03-31\n").decisions
    assert found.locus == "3v:1.9"


def test_the_table_is_among_the_inputs(tmp_path: Path) -> None:
    """What was decided is told with its digest, like every file read."""
    assert "decisions.csv" in dict(read(tmp_path, HEAD).inputs)


LOST = "[fol. 3v]\nIc wær on fyre\nfæste ge-\nboren on ġe\u0304\n"


@pytest.mark.parametrize(
    ("cited", "locus", "words"),
    [
        ("3v:1.2", "3v:1.2", "wær"),
        ("X 3v:1.2", "3v:1.2", "wær"),
        ("3v:1.2-3v:1.3", "3v:1.2-3v:1.3", "wær on"),
        ("3v:1.2-3", "3v:1.2-3v:1.3", "wær on"),
        ("3v:1.4–2.1", "3v:1.4-3v:2.1", "fyre fæste"),
        ("3v:2.2", "3v:2.2", "geboren"),
        ("3v:1", "3v:1.1-3v:1.4", "Ic wær on fyre"),
    ],
)
def test_places_are_found_as_they_are_printed(cited: str, locus: str, words: str) -> None:
    """With or without the text's id, one word, several, or a line; a word that runs on is whole."""
    witness = read_witness(LOST, siglum="X")
    found = words_at(witness, "X", cited)
    assert isinstance(found, WordPlace)
    assert found.locus == locus
    assert " ".join(witness.letters[slice(*found.span)].split()) == words


@pytest.mark.parametrize("cited", ["3v:9.1", "3v:1.0", "3v:1.3-3v:1.2", "", "wær"])
def test_no_such_place(cited: str) -> None:
    """What is no place of the text is not taken for one."""
    assert words_at(read_witness(LOST, siglum="X"), "X", cited) is None


def test_words_stand_or_do_not() -> None:
    """Several words may be named by the place of the first; other letters are other words."""
    witness = read_witness(LOST, siglum="X")
    place = words_at(witness, "X", "3v:1.4")
    assert isinstance(place, WordPlace)
    longer = stand_at(witness, place, "fyre  fæste geboren")
    assert longer is not None
    assert longer.locus == "3v:1.4-3v:3.1"
    assert stand_at(witness, place, "fyre fæste on") is None
    assert stand_at(witness, place, "fyr") is None


def test_the_nearest_words_are_whole_words() -> None:
    """Of several the nearest; letters within a word are none."""
    witness = Witness("E", "on dæge and on niht onfon")
    assert nearest_words(witness, "on", 0, 100) == (0, 2)
    assert nearest_words(witness, "on", 14, 100) == (12, 14)
    assert nearest_words(witness, "fon", 14, 100) is None


def test_lines_are_kept_as_they_are() -> None:
    """What was read is written again, remarks, strange quotation marks and unknown columns too."""
    text = '\ufeff# mine; "x\ntext;locus;"decision";;mood\r\nX;"3;1";kept;;"a\nb"\r\n\r\n;;;\nX;"o"o\r\n'
    found = rows_of(text)
    assert found.text().replace("\r\n", "\n") == text.replace("\r\n", "\n")
    added = found.with_record({"text": "Y", "locus": "1;2", "who": 'M "e"'})
    assert added.text().split("\r\n")[-2] == 'Y;"1;2";;;;"M ""e"""'
    assert added.names == ("text", "locus", "decision", "", "mood", "who")
