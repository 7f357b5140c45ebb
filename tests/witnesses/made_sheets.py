"""Spreadsheets made for the tests: .xlsx by openpyxl, .ods by hand."""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from pathlib import Path
from xml.sax.saxutils import escape

import openpyxl

_OFFICE = "urn:oasis:names:tc:opendocument:xmlns"
_MEDIA_TYPE = "application/vnd.oasis.opendocument.spreadsheet"


def xlsx(file: Path, rows: Sequence[Sequence[object]]) -> Path:
    """Write rows into an .xlsx file as a program for spreadsheets does."""
    book = openpyxl.Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(list(row))
    book.save(file)
    return file


def ods(file: Path, rows: Sequence[Sequence[object]], *more: str) -> Path:
    """Write rows into an .ods file, with further rows and tables as XML."""
    body = "".join(f"<table:table-row>{''.join(map(ods_cell, row))}</table:table-row>" for row in rows)
    return ods_of_xml(file, f'<table:table table:name="glosses">{body}{"".join(more)}</table:table>')


def ods_cell(value: object) -> str:
    """Give a cell of an .ods file; blanks in a row are written out, as the format has it."""
    if value is None:
        return "<table:table-cell/>"
    if isinstance(value, (int, float)):
        return (
            f'<table:table-cell office:value-type="float" office:value="{value}">'
            f"<text:p>{value}</text:p></table:table-cell>"
        )
    text = escape(str(value)).replace("  ", ' <text:s text:c="1"/>')
    return f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>'


def ods_of_xml(file: Path, tables: str, manifest: str = "") -> Path:
    """Write tables, as XML, into an .ods file."""
    names = " ".join(
        f'xmlns:{name}="{_OFFICE}:{name}:1.0"' for name in ("office", "table", "text", "manifest")
    )
    content = f"<office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body>"
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", _MEDIA_TYPE)
        archive.writestr(
            "META-INF/manifest.xml", f"<manifest:manifest {names}>{manifest}</manifest:manifest>"
        )
        archive.writestr(
            "content.xml", f"<office:document-content {names}>{content}</office:document-content>"
        )
    return file
