"""Recognise a file that is no text, and say what it is and what to do with it.

Arrives: the bytes of a file. Leaves: what it is and the remedy, or None. Start reading at
``what_it_is``; a further kind is one more line in ``_KINDS``, or in ``_PACKED`` of
``not_texts_packed.py``.

Files say what they are in their first bytes, whatever their name. The signatures are those of the
formats' own specifications (RFC 2083 for PNG, ISO 32000 for PDF, APPNOTE 4.3.7 for zip); from memory.
"""

from __future__ import annotations

SAVE = "save it as plain text (UTF-8) and name that file"
_TYPE = "type the text, one line for each line of the manuscript, and name that file"
UNPACK = "unpack it and name the file in it"

_KINDS: tuple[tuple[bytes, str, str], ...] = (  # first bytes, what it is, what to do
    (b"%PDF-", "a PDF file", "copy its text into a plain text file (UTF-8) and compare it with the pages"),
    (b"{\\rtf", "a rich text document (RTF)", SAVE),
    (
        b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1",
        "a document of an older office program, or one locked by a password",
        "open it, take the password away, and save it as plain text (UTF-8), a table as CSV (UTF-8)",
    ),
    (b"\xff\xd8\xff", "an image (JPEG)", _TYPE),
    (b"\x89PNG\r\n", "an image (PNG)", _TYPE),
    (b"II*\0", "an image (TIFF)", _TYPE),
    (b"MM\0*", "an image (TIFF)", _TYPE),
    (b"GIF8", "an image (GIF)", _TYPE),
    (b"\0\0\0\x0cjP  ", "an image (JPEG 2000)", _TYPE),
    (b"\x1f\x8b\x08", "a compressed file (gzip)", UNPACK),
    (b"7z\xbc\xaf\x27\x1c", "an archive (7z)", UNPACK),
    (b"Rar!\x1a\x07", "an archive (RAR)", UNPACK),
)
_ZIP = (b"PK\x03\x04", b"PK\x05\x06")


def what_it_is(data: bytes) -> tuple[str, str] | None:
    """Tell what a file is that is no text, and what to do; None for what may be text.

    >>> what_it_is(b"%PDF-1.7")[0], what_it_is("þa lanꝺ".encode())
    ('a PDF file', None)
    """
    if data.startswith(_ZIP):
        from fidelity.witnesses.not_texts_packed import packed_kind  # slow to import

        return packed_kind(data)
    for first, name, remedy in _KINDS:
        if data.startswith(first):
            return name, remedy
    return None
