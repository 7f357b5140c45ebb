"""A file that is no text is called what it is, whatever its name, with what to do."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.witnesses.not_texts import what_it_is
from fidelity.witnesses.read import read_witness
from tests.witnesses.test_read import faults_of, file_with


def packed(**parts: str) -> bytes:
    """Give a zip archive; two underscores in a name stand for a slash, one for a dot."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        for name, text in parts.items():
            member = zipfile.ZipInfo(name.replace("__", "/").replace("_", "."))  # of no time of its own
            archive.writestr(member, text)
    return data.getvalue()


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (packed(word__document_xml="<x/>"), "a Word document"),
        (packed(xl__workbook_xml="<x/>"), "a spreadsheet (xlsx)"),
        (packed(mimetype="application/vnd.oasis.opendocument.text"), "an OpenDocument text"),
        (packed(mimetype="application/vnd.oasis.opendocument.spreadsheet"), "a spreadsheet (ods)"),
        (packed(a_txt="x"), "a zip archive"),
        (packed(a_txt="x")[:40], "a damaged zip archive"),
        (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "an older office program"),
        (b"%PDF-1.7\n%\xe2\xe3", "a PDF file"),
        (b"{\\rtf1\\ansi plain}", "a rich text document"),
        (b"\xff\xd8\xff\xe0\0\x10JFIF", "an image (JPEG)"),
        (b"\x89PNG\r\n\x1a\n", "an image (PNG)"),
        (b"II*\0\x08\0\0\0", "an image (TIFF)"),
        (b"\x1f\x8b\x08\0", "a compressed file"),
        (b'<?xml version="1.0"?><TEI/>', "XML"),
        (b'\n<TEI xmlns="http://www.tei-c.org/ns/1.0"><text/></TEI>', "XML"),
        (b"\xef\xbb\xbf<!DOCTYPE html>\n<html/>", "a web page"),
        (b"  <HTML lang='en'><body>stan</body></HTML>", "a web page"),
    ],
)
def test_what_is_no_text_is_named(tmp_path: Path, data: bytes, what: str) -> None:
    """A document, an image or an archive named .txt is refused as what it is, once, with a remedy."""
    (fault,) = faults_of(file_with(tmp_path, data, "X.txt"))
    assert f"this is {what}" in fault.what or what in fault.what
    assert fault.remedy
    assert "UTF-8 text" not in fault.what


def test_the_same_where_xml_or_a_table_is_expected(tmp_path: Path) -> None:
    """The name of the file does not matter."""
    for name in ("X.xml", "X.csv", "X.tsv"):
        assert "a PDF file" in faults_of(file_with(tmp_path, b"%PDF-1.7\n", name))[0].what


@given(st.text(max_size=30))
def test_texts_are_let_in(text: str) -> None:
    """No text that begins with a letter, a page mark or a blank is taken for something else."""
    assert what_it_is(("a" + text).encode("utf-8", "replace")) is None
    assert read_witness("<abc>stan", profile="leiden").letters == "abcstan"
    assert what_it_is(f"[fol. 1r]\n{text}".encode("utf-8", "replace")) is None
