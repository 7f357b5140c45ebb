"""Recognise a zip archive that is no text, and say what it is: most office documents are such archives.

Arrives: the bytes of a file that begins as an archive. Leaves: what it is and what to do with it. Start
reading at ``packed_kind``; a further kind is one more line in ``_PACKED``.
"""

from __future__ import annotations

import io
import lzma
import zipfile
import zlib

from fidelity.witnesses.not_texts import SAVE, UNPACK

DAMAGED = (  # what a zip archive raises that is damaged, locked or packed in an unknown way
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, OSError, EOFError, RuntimeError, ValueError,
)  # fmt: skip
_PACKED: tuple[tuple[str, str, str], ...] = (  # a name in the archive, what it is, what to do
    ("word/document.xml", "a Word document", SAVE),
    ("xl/workbook.xml", "a spreadsheet (xlsx)", "let its name end in .xlsx, or save it as CSV (UTF-8)"),
    ("xl/workbook.bin", "a binary spreadsheet (xlsb)", "save it as .xlsx, or as CSV (UTF-8)"),
    ("ppt/presentation.xml", "a presentation", SAVE),
)
_BY_MEDIA_TYPE: tuple[tuple[bytes, str, str], ...] = (  # what the archive calls itself, and the same
    (b"opendocument.text", "an OpenDocument text (odt)", SAVE),
    (
        b"opendocument.spreadsheet",
        "a spreadsheet (ods)",
        "let its name end in .ods, or save it as CSV (UTF-8)",
    ),
    (b"epub", "an electronic book (EPUB)", SAVE),
)
_LONGEST_MEDIA_TYPE = 100  # bytes; the longest of OpenDocument has 64


def packed_kind(data: bytes) -> tuple[str, str]:
    """Tell what a zip archive is; only its list of names and its media type are looked at."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = set(archive.namelist())
            media_type = b""
            if "mimetype" in names:
                with archive.open("mimetype") as opened:
                    media_type = opened.read(_LONGEST_MEDIA_TYPE)
    except DAMAGED:
        return "a damaged zip archive or office document", "get the file anew"
    for name, what, remedy in _PACKED:
        if name in names:
            return what, remedy
    for part, what, remedy in _BY_MEDIA_TYPE:
        if part in media_type:
            return what, remedy
    return "a zip archive", UNPACK
