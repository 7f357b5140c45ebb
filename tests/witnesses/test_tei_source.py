"""XML that is not fit to be read is refused, with the place and what to do; nothing is fetched."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest

from fidelity.errors import DataError, Fault
from fidelity.witnesses import source_text, xml_source
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.xml_source import parse_xml
from tests.witnesses.test_read import file_with

BOMB = """<?xml version="1.0"?>
<!DOCTYPE ab [
 <!ENTITY a "stan">
 <!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;">
 <!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">
]>
<ab>&c;</ab>"""


def fault_of(source: Path | str) -> Fault:
    """Give the first fault of XML that is refused; every one must have a remedy."""
    with pytest.raises(DataError) as caught:
        parse_xml(source)
    assert all(fault.remedy for fault in caught.value.faults)
    return caught.value.faults[0]


def test_entities_are_refused_where_they_are_declared() -> None:
    """A document that swells by its own entities is refused before any is expanded."""
    fault = fault_of(BOMB)
    assert (fault.line, fault.column, fault.source.strip()) == (3, 2, '<!ENTITY a "stan">')
    assert "declares entities" in fault.what


@pytest.mark.parametrize(
    "head",
    [
        '<!DOCTYPE ab [<!ENTITY secret SYSTEM "{file}">]>',
        '<!DOCTYPE ab [<!ENTITY % secret SYSTEM "{file}"> %secret;]>',
        '<!DOCTYPE ab SYSTEM "{file}">',
        '<!DOCTYPE ab PUBLIC "-//X//Y" "{file}">',
    ],
)
def test_no_other_file_is_read(tmp_path: Path, head: str) -> None:
    """A document that names another file is refused, and what stands in that file is not told."""
    secret = file_with(tmp_path, b"not to be read", "secret.txt")
    with pytest.raises(DataError) as caught:
        parse_xml(head.format(file=secret) + "\n<ab>&secret;</ab>")
    assert caught.value.faults[0].line == 1
    assert "not to be read" not in str(caught.value)


@pytest.mark.parametrize(
    ("text", "line", "column", "what"),
    [
        ("<ab>\nþū<b>x</c></ab>", 2, 7, "do not close in the order"),
        ("<ab>\nþa", 2, 3, "before all its elements are closed"),
        ("<ab>stan & æt</ab>", 1, 11, "an & stands alone"),
        ("<ab>&wynn;</ab>", 1, 5, "not known in XML"),
        ("<ab x='1' x='2'/>", 1, 1, "given twice"),
        ("<ab n=1/>", 1, 7, "not well-formed"),
        ("<ab/>stan", 1, 6, "after the end"),
        ("<x:ab/>", 1, 1, "prefix"),
        ("<ab>st &amp an</ab>", 1, 8, "an & stands alone"),
        ("<ab>st < an</ab>", 1, 8, "a < stands alone"),
        ("þa stan", 1, 1, "no XML"),
        ("", 1, 1, "no text in it"),
        ("  \n ", 2, 1, "no text in it"),
        ("<ab>a\x01b</ab>", 1, 6, "control character"),
        ("<ab>\na\ufffdb</ab>", 2, 2, "replacement character"),
        ("<ab>a <hi>\u0304</hi></ab>", 1, 11, "no letter under it"),
        ("<ab>a<lb/>\u0304</ab>", 1, 11, "no letter under it"),
        ("<ab>a<del>\u0304</del></ab>", 1, 11, "no letter under it"),
        ("<ab>a \u0323b</ab>", 1, 7, "no letter under it"),
        ("<ab>a&#1;b</ab>", 1, 6, "control character"),
    ],
)
def test_what_is_wrong_is_shown_where_it_stands(text: str, line: int, column: int, what: str) -> None:
    """XML that is not well formed is refused with line, column, the line itself, and a remedy."""
    fault = fault_of(text)
    assert what in fault.what
    assert fault.line == line
    assert fault.column is not None and abs(fault.column - column) <= 1  # parsers stop at or after it


def test_a_wrong_byte_is_shown_where_it_stands(tmp_path: Path) -> None:
    """A byte that is not in the declared encoding is reported with its place."""
    fault = fault_of(file_with(tmp_path, "<ab>\nþa st\xe6n</ab>".encode() + b"\xff", "E.xml"))
    assert (fault.line, fault.column) == (2, 13)
    assert "0xFF is not UTF-8" in fault.what
    ascii_only = b'<?xml version="1.0" encoding="us-ascii"?>\n<ab>st\xe6n</ab>'
    fault = fault_of(file_with(tmp_path, ascii_only, "E.xml"))
    assert (fault.line, fault.column) == (2, 7) and "US-ASCII" in fault.what


def test_an_unknown_encoding_is_named(tmp_path: Path) -> None:
    """An encoding that does not exist is named, where it is declared."""
    fault = fault_of(file_with(tmp_path, b'<?xml version="1.0" encoding="runes"?>\n<ab/>', "E.xml"))
    assert (fault.line, fault.column) == (1, 31) and "'runes' is not known" in fault.what


@pytest.mark.parametrize(
    "data",
    [
        '<?xml version="1.0" encoding="ISO-8859-1"?><ab>þa stæn</ab>'.encode("latin-1"),
        '<?xml version="1.0" encoding="utf-16"?><ab>þa stæn</ab>'.encode("utf-16"),
        '<?xml version="1.0"?><ab>þa stæn</ab>'.encode("utf-16-le"),
        codecs.BOM_UTF8 + '<?xml version="1.0" encoding="UTF-8"?><ab>þa stæn</ab>'.encode(),
        "<ab>þa stæn</ab>".encode(),
        b"<ab>&#xFE;a st&#230;n</ab>",
    ],
)
def test_the_declared_encoding_is_honoured(tmp_path: Path, data: bytes) -> None:
    """A byte-order mark or the XML declaration says how the bytes are letters."""
    witness, _ = read_tei(file_with(tmp_path, data, "E.xml"))
    assert witness.letters == "þa stæn"


def test_nesting_is_bounded() -> None:
    """A thousand elements inside each other are read; more are refused with their place."""
    assert read_tei("<ab>" * 1000 + "stan" + "</ab>" * 1000)[0].letters == "stan"
    for depth in (1001, 5000, 200_000):
        fault = fault_of("<ab>\n" * depth + "stan" + "</ab>" * depth)
        assert "deep" in fault.what and fault.line is not None


def test_a_huge_file_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file, or a string, above the limit is refused before it is parsed."""
    monkeypatch.setattr(source_text, "LARGEST_FILE", 10)
    monkeypatch.setattr(xml_source, "LARGEST_FILE", 10)
    assert "too much" in fault_of(file_with(tmp_path, b"<ab>stan</ab>", "E.xml")).what
    assert "too much" in fault_of("<ab>stan</ab>").what


def test_a_missing_file_is_reported(tmp_path: Path) -> None:
    """A file that is not there is named."""
    assert "no such file" in fault_of(tmp_path / "none.xml").what
