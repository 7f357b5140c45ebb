"""Let a text in, or say exactly where it is not fit to be one.

Arrives: a file, or a string. Leaves: the text in letters with "\\n" for every line end, and the
faults found in it. Start reading at ``text_of_file``, then ``letters_of``.

Strict on purpose: a wrongly decoded byte or an invisible sign would count as the copyist's error.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterable
from pathlib import Path

from fidelity.errors import DataError, Fault
from fidelity.letters import encode, stand_alone
from fidelity.witnesses.not_texts import what_it_is

XML_ENDINGS = frozenset({".xml", ".tei"})  # of the names of files that hold XML
SHEET_ENDINGS = frozenset({".xlsx", ".xlsm", ".ods"})  # of those that hold spreadsheets
LARGEST_FILE = 200_000_000  # bytes; ten million letters, the largest text planned for, take 40 MB at most
MOST_FAULTS = 20  # shown of one kind in one text; a binary file would otherwise bury the first
UTF16_NULS = 0.2  # share of NUL bytes; Latin letters in UTF-16 have one half, a stray NUL next to none

_HEAD = rb"(?:\xef\xbb\xbf)?\s{0,100}"  # of a file; <abc> alone may be what an editor supplied
_XML = re.compile(_HEAD + rb"<(?:\?xml\s|(?:\w+:)?(?:TEI|PcGts|alto)\s[^>]{0,500}\bxmlns)")
_HTML = re.compile(_HEAD + rb"<(?:!doctype\s|html[\s>])", re.IGNORECASE)
_UTF8_SEQUENCE = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
_BEYOND_ASCII = bytes(range(0x80, 0x100))
_NOT_A_LETTER = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # control characters, tab and line ends excepted
    "\u2028\u2029\ud800-\udfff\ufeff\ufff9-\uffff]"
)
_LONE_MARK = r"(?<!\S)\p{M}"  # at the beginning of a line or field, or after a blank
_NAMES = {
    "\0": ("a NUL character", "the file seems not to be plain text: save it as UTF-8 text"),
    "\x0c": ("a form feed", "mark a new page on a line of its own, as [fol. 12r]"),
    "\u2028": ("a line separator (U+2028)", "put an ordinary line end"),
    "\u2029": ("a paragraph separator (U+2029)", "put an ordinary line end"),
    "\ufeff": ("a byte-order mark inside the text", "delete it; files were perhaps joined here"),
    "\ufffc": ("an object replacement character (U+FFFC)", "type what the picture or object showed"),
    "\ufffd": (
        "a replacement character (U+FFFD): a letter was lost in an earlier conversion",
        "restore the letter from the manuscript or from the file before conversion",
    ),
}


def text_of_file(file: Path) -> str:
    """Read a UTF-8 file strictly; a byte-order mark at its head is dropped.

    Raises:
        DataError: missing, unreadable, too large; no text but a document of an office program, an
            image or XML, which is named; or not UTF-8: with line and column of the first wrong byte
            and what the encoding looks like.
    """
    data = _bytes_of(file)
    if _XML.match(data):
        remedy = "give its file a name that ends in .xml"
        raise DataError("this is XML, not plain text", file=file, remedy=remedy)
    if _HTML.match(data):
        remedy = "open it in a browser, copy the text, and save that as plain text (UTF-8)"
        raise DataError("this is a web page (HTML), not plain text", file=file, remedy=remedy)
    nuls = data.count(0, 0, 4096)
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise _not_utf8(data, 0, file, _save_as("UTF-16"))
    if nuls > UTF16_NULS * min(len(data), 4096):
        raise _not_utf8(data, data.index(0), file, _save_as("UTF-16"))
    try:
        return data.decode("utf-8").removeprefix("\ufeff")
    except UnicodeDecodeError as error:
        raise _not_utf8(data, error.start, file, _likely_encoding(data)) from None


def letters_of(text: str, file: Path | None, faults: list[Fault]) -> str:
    """Put a text into letters, every line end "\\n"; what is no letter is added to the faults.

    Args:
        text: any string.
        file: where it comes from, for the faults.
        faults: is added to.

    >>> found = []
    >>> letters_of("stan\\r\\nst\\ufffdn", None, found)
    'stan\\nst�n'
    >>> found[0].line, found[0].column
    (2, 3)
    """
    text = _line_ends(text.removeprefix("\ufeff"))
    unfit = [found.start() for found in _NOT_A_LETTER.finditer(text)]
    for at, (line, column, row) in zip(unfit, _places(text, unfit), strict=False):
        what, remedy = _NAMES.get(text[at], (f"a control character (U+{ord(text[at]):04X})", "delete it"))
        faults.append(Fault(what, file, line, column, _NOT_A_LETTER.sub("\ufffd", row), remedy))
    lone = _lone_marks(text)
    for at, (line, column, row) in zip(lone, _places(text, lone), strict=False):
        what = f"a mark (U+{ord(text[at]):04X}) with no letter under it"
        faults.append(Fault(what, file, line, column, row, "put the letter it belongs to before it"))
    more = max(len(unfit) - MOST_FAULTS, 0) + max(len(lone) - MOST_FAULTS, 0)
    if more:
        faults.append(Fault(f"and {more} more such places", file))
    return encode(text)


def _lone_marks(text: str) -> list[int]:
    """Find the marks that have no letter under them."""
    if stand_alone(text):
        return []
    import regex  # slow to import, and not needed where there are no marks

    return [found.start() for found in regex.finditer(_LONE_MARK, text)]


def _line_ends(text: str) -> str:
    return text.replace("\r\n", "\n").replace("\r", "\n") if "\r" in text else text


def _places(text: str, offsets: list[int]) -> Iterable[tuple[int, int, str]]:
    """Give line and column (in letters), from 1, and the line itself, of the first few offsets."""
    for at in offsets[:MOST_FAULTS]:
        start = text.rfind("\n", 0, at) + 1
        row = text[start:].split("\n", 1)[0]
        yield text.count("\n", 0, at) + 1, len(encode(text[start:at])) + 1, row


def _bytes_of(file: Path) -> bytes:
    """Read a file of tolerable size that says nowhere that it is something else than text."""
    data = bytes_of_any(file)
    if found := what_it_is(data):
        what, remedy = found
        raise DataError(f"this is {what}, not a text", file=file, remedy=remedy)
    return data


def bytes_of_any(file: Path) -> bytes:
    """Read a file of tolerable size, whatever it is.

    Raises:
        DataError: missing, unreadable, or too large.
    """
    try:
        if file.is_dir():
            raise DataError("this is a folder, not a text", file=file, remedy="name the file in it")
        size = file.stat().st_size
        if size > LARGEST_FILE:
            raise DataError(
                f"{size // 1_000_000} MB are too much for a text (limit {LARGEST_FILE // 1_000_000} MB)",
                file=file,
                remedy="check that it is a text, or part it into several",
            )
        return file.read_bytes()
    except FileNotFoundError:
        raise DataError("there is no such file", file=file, remedy="check the path") from None
    except OSError as error:
        raise DataError(f"cannot be read: {error.strerror}", file=file, remedy="check the file") from None


def _not_utf8(data: bytes, bad: int, file: Path, remedy: str) -> DataError:
    """Say where the first byte stands that is not UTF-8 text."""
    before = _line_ends(data[:bad].decode("utf-8", "replace").removeprefix("\ufeff"))
    start = before.rfind("\n") + 1
    after = _line_ends(data[bad : bad + 80].decode("utf-8", "replace")).split("\n", 1)[0]
    return DataError(
        f"byte 0x{data[bad]:02X} is not UTF-8 text",
        file=file,
        line=before.count("\n") + 1,
        column=len(encode(before[start:])) + 1,
        source=before[start:] + _NOT_A_LETTER.sub("\ufffd", after),
        remedy=remedy,
    )


def _save_as(name: str) -> str:
    return f"save it as UTF-8; it looks like {name}"


def _likely_encoding(data: bytes) -> str:
    """Guess, for the remedy only, what a file that is not UTF-8 may be."""
    right = sum(map(len, _UTF8_SEQUENCE.findall(data)))
    beyond_ascii = len(data) - len(data.translate(None, _BEYOND_ASCII))
    if right > beyond_ascii / 2:
        return "most of the file is UTF-8: type this letter anew and save as UTF-8"
    windows = re.search(rb"[\x80-\x9f]", data)  # unused in Latin-1, signs and letters in Windows-1252
    return _save_as("Windows-1252" if windows else "Latin-1")
