"""What is let in as a text, and what is refused with its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.errors import DataError, Fault, UsageError
from fidelity.terms import Witness
from fidelity.witnesses import source_text
from fidelity.witnesses.read import read_witness


def faults_of(source: str | Path, **how: object) -> list[Fault]:
    """Read what must be refused and give the faults."""
    with pytest.raises(DataError) as caught:
        read_witness(source, **how)  # type: ignore[arg-type]
    return caught.value.faults


def places(faults: list[Fault]) -> list[tuple[int | None, int | None]]:
    """Give line and column of each fault."""
    return [(fault.line, fault.column) for fault in faults]


def file_with(folder: Path, data: bytes, name: str = "copy.txt") -> Path:
    """Write bytes to a file."""
    file = folder / name
    file.write_bytes(data)
    return file


def test_string_is_text_and_path_is_file(tmp_path: Path) -> None:
    """A string is read as text even where it looks like a path; a Path is opened."""
    file = file_with(tmp_path, b"lupus\n")
    assert read_witness(str(file)).letters == str(file)
    assert read_witness(file).letters == "lupus"
    assert read_witness(file).file == str(file)


def test_witness_is_itself() -> None:
    """A Witness is given back untouched, whatever else is asked for."""
    witness = Witness("K", "lupus")
    assert read_witness(witness, siglum="W", profile="leiden") is witness


def test_what_is_told_of_the_text_is_kept() -> None:
    """Siglum, script and language reach the Witness as given."""
    witness = read_witness("lupus", siglum="K", script="insular", language="ang")
    assert (witness.siglum, witness.script, witness.language) == ("K", "insular", "ang")


@pytest.mark.parametrize("ends", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_byte_order_mark_and_foreign_line_ends(tmp_path: Path, ends: str, mark: bytes) -> None:
    """A byte-order mark and the line ends of any system change nothing in the text."""
    file = file_with(tmp_path, mark + ends.join(["þa", "lanꝺ", ""]).encode())
    witness = read_witness(file)
    assert witness.letters == "þa lanꝺ"
    assert witness.labels == ("1", "2")


def test_latin1_is_refused_at_its_first_byte(tmp_path: Path) -> None:
    """A Latin-1 file is refused at the first wrong byte, and the encoding is named."""
    (fault,) = faults_of(file_with(tmp_path, b"lupus\r\nsel \xfe\xe6t\r\n"))
    assert (fault.line, fault.column) == (2, 5)
    assert fault.source.startswith("sel ")
    assert "Latin-1" in fault.remedy


def test_windows_1252_is_told_from_latin1(tmp_path: Path) -> None:
    """A dash at 0x96, which Latin-1 does not have, points to Windows-1252."""
    (fault,) = faults_of(file_with(tmp_path, "a – þ".encode("cp1252")))
    assert (fault.line, fault.column) == (1, 3)
    assert "Windows-1252" in fault.remedy


def test_one_wrong_byte_in_utf8_is_no_other_encoding(tmp_path: Path) -> None:
    """A single wrong byte in a file that is else UTF-8 is not taken for another encoding."""
    (fault,) = faults_of(file_with(tmp_path, "þæt ꝥ\nn".encode() + "ȳ ".encode() + b"\xff"))
    assert (fault.line, fault.column) == (2, 4)
    assert "most of the file is UTF-8" in fault.remedy


def test_column_of_wrong_byte_counts_letters(tmp_path: Path) -> None:
    """Columns are counted in letters: ę with a macron over it is one; a byte-order mark none."""
    (fault,) = faults_of(file_with(tmp_path, b"\xef\xbb\xbf" + "ę̄c".encode() + b"\xe6"))
    assert (fault.line, fault.column) == (1, 3)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf16_is_named(tmp_path: Path, encoding: str) -> None:
    """UTF-16 is recognised by its mark or by its NULs."""
    (fault,) = faults_of(file_with(tmp_path, "lupus wulf ðæt".encode(encoding)))
    assert fault.line == 1
    assert "UTF-16" in fault.remedy


@pytest.mark.parametrize(
    ("sign", "name"),
    [
        ("\0", "NUL"),
        ("\x07", "U+0007"),
        ("\x0c", "form feed"),
        ("\x85", "U+0085"),
        ("\ufffd", "U+FFFD"),
        ("\ufffc", "U+FFFC"),
        ("\ufeff", "byte-order mark"),
        ("\u2028", "U+2028"),
        ("\ud800", "U+D800"),
    ],
)
def test_what_is_no_letter_is_refused(sign: str, name: str) -> None:
    """Control characters and signs of a spoilt text are refused, each with its place."""
    (fault,) = faults_of(f"lupus\nwu{sign}lf\n")
    assert (fault.line, fault.column) == (2, 3)
    assert name in fault.what
    assert fault.remedy
    assert str(fault).splitlines()[1:3] == ["    wu�lf", "      ^"]


@pytest.mark.parametrize(
    ("text", "place"), [("a\n\u0304b", (2, 1)), ("\u0304a", (1, 1)), ("a \u0304b", (1, 3))]
)
def test_mark_without_a_letter_is_refused(text: str, place: tuple[int, int]) -> None:
    """A combining mark at the head of a line or word has no letter to stand on: a blank is none."""
    (fault,) = faults_of(text)
    assert (fault.line, fault.column) == place
    assert "U+0304" in fault.what


def test_all_faults_in_the_order_of_the_text() -> None:
    """One report holds every fault of a text, in the order of its lines."""
    faults = faults_of("a\n[b\n\x07c\nd]\n", profile="leiden")
    assert places(faults) == [(2, 1), (3, 1), (4, 2)]


def test_long_lists_of_faults_are_cut() -> None:
    """A binary file does not bury its first fault: the rest is counted."""
    faults = faults_of("\x07\n" * 1000)
    assert faults[0].line == 1
    assert len(faults) == source_text.MOST_FAULTS + 1
    assert faults[-1].what == f"and {1000 - source_text.MOST_FAULTS} more such places"
    brackets = faults_of("a]\n" * 1000, profile="leiden")
    assert brackets[-1].what == f"and {1000 - len(brackets) + 1} more faults"


@pytest.mark.parametrize("text", ["", "\n\n", " \t\n", "\ufeff", "[fol. 1r]\n\n"])
def test_empty_text_is_refused(text: str) -> None:
    """A text without a single manuscript line is no text."""
    (fault,) = faults_of(text)
    assert "no text" in fault.what


def test_missing_file_and_folder(tmp_path: Path) -> None:
    """A file that is not there, and a folder, are refused by name."""
    (missing,) = faults_of(tmp_path / "none.txt")
    assert missing.file == tmp_path / "none.txt"
    assert "no such file" in missing.what
    (folder,) = faults_of(tmp_path)
    assert "folder" in folder.what


def test_too_large_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file above the limit is refused before it is read."""
    monkeypatch.setattr(source_text, "LARGEST_FILE", 10)
    assert read_witness(file_with(tmp_path, b"ten bytes.")).letters == "ten bytes."
    (fault,) = faults_of(file_with(tmp_path, b"more than ten"))
    assert "too much for a text" in fault.what


def test_xml_of_an_unknown_kind_is_refused(tmp_path: Path) -> None:
    """An XML file of no known kind is not taken for plain text: the report says what is known."""
    (fault,) = faults_of(file_with(tmp_path, b"<p/>", "E.xml"))
    assert "<p> is not read" in fault.what and "TEI" in fault.remedy
    assert "plain text" in fault.remedy


def test_unknown_profile() -> None:
    """A profile is never guessed: an unknown one is refused with the known ones."""
    with pytest.raises(UsageError, match=r"(?s)unknown profile 'Leyden'.*plain, leiden"):
        read_witness("a", profile="Leyden")


@given(
    st.text(
        st.sampled_from('ab,"\t\n\r[]()<>⟨⸌⸍\\/.-–…ạ\u0323 {}⟦⟧\u00ad\u200d\ufeff\x07가🙂') | st.characters()
    ),
    st.sampled_from(["plain", "leiden"]),
    st.booleans(),
)
def test_any_text_is_read_or_refused_with_its_place(text: str, profile: str, numbered: bool) -> None:
    """Whatever is given becomes a Witness whose columns fit, or faults that each name a line."""
    try:
        witness = read_witness(text, profile=profile, numbered=numbered)
    except DataError as error:
        assert all(fault.line or "no text" in fault.what or "more" in fault.what for fault in error.faults)
        return
    assert len(witness.states) in (0, len(witness))
    assert len(witness.hands) in (0, len(witness))
    assert len(witness.lines) == len(witness.labels) == len(witness.pages) == len(witness.line_ends)
    assert len(set(witness.labels)) == len(witness.labels)
