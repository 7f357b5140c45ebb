"""Let an XML file in, or say exactly where it is not fit to be read.

Arrives: an XML file, or XML as a string. Leaves: an ``Xml``: its element tree, in which every letter
already takes one place (``letters.py``), and its lines, so that a fault in it can be shown. Start
reading at ``parse_xml``.

Nothing is fetched and nothing is expanded: a document that declares entities is refused, for it
could name other files, or swell without end.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
import regex
from lxml import etree

from fidelity.errors import DataError, Fault
from fidelity.letters import decode, encode
from fidelity.witnesses.loose_marks import with_carriers, without_carriers
from fidelity.witnesses.source_text import LARGEST_FILE, _bytes_of, _likely_encoding, letters_of
from fidelity.witnesses.xml_skeleton import skeleton_of

DEEPEST = 1000  # elements inside each other; an edition has some thirty, so this is no edition

_BOMS = (  # the longer first: UTF-32 begins as UTF-16 does
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
    (b"<\0?\0", "utf-16-le"),  # XML 1.0, appendix F: UTF-16 without a mark shows in the first signs
    (b"\0<\0?", "utf-16-be"),
)
_DECLARED = re.compile(rb"""<\?xml[^>]{0,200}?\bencoding\s*=\s*["']([\w.-]+)["']""", re.ASCII)
_DECLARATION = re.compile(r"<\?xml\s[^>]*\?>")
_ENTITY = re.compile(r"<!ENTITY|(?<=<!DOCTYPE)[^\[>]*\b(?:SYSTEM|PUBLIC)\b")
_NOT_TEXT = r"<!--.*?-->|<!\[CDATA\[.*?\]\]>|<\?.*?\?>"
_REFERENCE = re.compile(rf"(?s:{_NOT_TEXT})|&#(?:x([0-9a-fA-F]{{1,6}})|([0-9]{{1,7}}));")
_LONE_MARK = regex.compile(r"(?<=>|&(?:amp|lt|gt|quot|apos);)\p{M}")
_NEEDS_CARE = regex.compile(  # control characters, marks, and whatever may form a letter with others
    r"[\p{Cc}--\t\n]|[\p{M}\p{Cf}\p{Cs}\p{Co}\p{Cn}\p{Zl}\p{Zp}\p{Hangul}\p{Extended_Pictographic}]"
    r"|[\p{Regional_Indicator}\uFFFC\uFFFD]",
    regex.VERSION1,
)
_KEPT_REFERENCES = frozenset("<>&\"'\t\n\r ")  # written out they would be markup, or fold into white space

_SIGN_ALONE, _NO_TAG = 68, -68  # libxml2 has one number for both: a & or a < without a name after it
_WORDS_OF: dict[int, tuple[str, str]] = {  # numbers of libxml2's faults (xmlerror.h)
    4: ("this is no XML: it does not begin with an element", "give the XML file itself"),
    5: ("text stands after the end of the document", "one element must hold the whole document"),
    26: ("this name of a letter is not known in XML", "write the letter itself in place of &name;"),
    38: ("a < stands inside an attribute", "write &lt; for the sign <"),
    42: ("the attribute is given twice", "leave one out"),
    23: ("an & stands alone, or a name of a letter without its ;", "write &amp; for the sign &"),
    68: ("an & stands alone", "write &amp; for the sign &"),
    76: ("the elements do not close in the order they were opened", "close the inner element first"),
    77: ("the file ends before all its elements are closed", "the file is perhaps cut off: get it anew"),
    114: (f"elements stand inside each other more than {DEEPEST:,} deep", "check that it is an edition"),
    _NO_TAG: ("a < stands alone", "write &lt; for the sign <"),
    201: ("the prefix of this element is not declared", 'declare it with xmlns:prefix="…"'),
}

_BEGINS = {
    23: "&",
    26: "&",
    68: "&",
    42: "<",
    _NO_TAG: "<",
    76: "<",
    201: "<",
}  # with what the wrong begins


@dataclass(frozen=True)
class Xml:
    """An XML document let in.

    Attributes:
        root: its outermost element; texts in it are in letters.
        file: where it comes from, for the faults.
        letters: the whole of it, in letters.
        has_loose_marks: whether marks stand in it that a tag parts from their letter.
    """

    root: etree._Element
    file: Path | None
    letters: str
    has_loose_marks: bool = False

    @cached_property
    def lines(self) -> list[str]:
        """Give its lines, in letters."""
        return self.letters.split("\n")

    def fault(self, element: etree._Element, what: str, remedy: str) -> Fault:
        """Say what is wrong with an element, and show where its start tag ends or stands."""
        number = element.sourceline or 1
        row = self.lines[number - 1] if number <= len(self.lines) else ""
        at = row.find(f"<{element.prefix}:" if element.prefix else f"<{local_name(element)}")
        column = at + 1 if at >= 0 else None
        return Fault(what, self.file, number, column, without_carriers(decode(row)), remedy)


def local_name(element: etree._Element) -> str:
    """Give an element's name without its namespace; "" for a comment or an instruction.

    >>> local_name(etree.fromstring('<lb xmlns="http://www.tei-c.org/ns/1.0"/>'))
    'lb'
    """
    tag = element.tag
    return tag.rpartition("}")[2] if isinstance(tag, str) else ""


def parse_xml(source: Path | str) -> Xml:
    """Parse XML without touching the network and without expanding anything.

    Args:
        source: a file (a Path), or XML as a string, whose declared encoding is then ignored.

    Raises:
        DataError: missing, too large, wrongly encoded, not well formed, with entities of its own,
            too deep, or with signs that are no letters; with file, line and column.

    >>> parse_xml("<ab>nyhtu&#x304;</ab>").root.text == encode("nyhtū")
    True
    """
    file = source if isinstance(source, Path) else None
    data = _bytes_of(source) if isinstance(source, Path) else b""
    text = given = _decoded(data, source) if isinstance(source, Path) else source
    if len(text) > LARGEST_FILE:
        limit = f"limit {LARGEST_FILE // 1_000_000} million signs"
        raise DataError(f"this is too much for a text ({limit})", remedy="part it into several")
    text = text.removeprefix("\ufeff")
    if declaration := _DECLARATION.match(text):
        text = _blank(declaration) + text[declaration.end() :]
    if "&#" in text:
        text = _REFERENCE.sub(_referred, text)
    faults: list[Fault] = []
    plain = _is_in_letters(text)
    carried = text if plain else with_carriers(text)
    letters = text if plain else _letters(carried, file, faults)
    if "<!DOCTYPE" in letters and (entity := _ENTITY.search(letters)):
        what = "the document declares entities or names another file to be read"
        remedy = "take the <!DOCTYPE …> away and write the letters themselves"
        faults.append(fault_at(letters, entity.start(), file, what, remedy))
    if faults:
        raise DataError(faults=faults)
    # Without mark and declaration the file is UTF-8; where nothing was changed in it, it is parsed as it is.
    as_it_is = letters is given and data[:1] == b"<" and data[1:2] not in (b"\0", b"?")
    root = _tree(letters, data if as_it_is else letters.encode(), file)
    return Xml(root, file, letters, has_loose_marks=carried is not text)


def _is_in_letters(text: str) -> bool:
    """Tell whether every sign of a text is a letter by itself: then nothing needs to be put into letters.

    Few texts have more than some hundred different signs, so these are looked at and not the text.
    """
    codes = np.frombuffer(text.encode("utf-16-le", "surrogatepass"), dtype=np.uint16)
    present = np.zeros(0x10000, dtype=bool)
    present[codes] = True
    if present[0xD800:0xE000].any():  # signs beyond the first plane: they take two codes each
        codes_of_four = np.frombuffer(text.encode("utf-32-le", "surrogatepass"), dtype=np.uint32)
        present = np.zeros(0x110000, dtype=bool)  # code points of Unicode
        present[codes_of_four] = True
    signs = "".join(map(chr, np.flatnonzero(present)))
    return not _NEEDS_CARE.search(signs) and all(unicodedata.is_normalized("NFC", sign) for sign in signs)


def _letters(text: str, file: Path | None, faults: list[Fault]) -> str:
    """Put a document into letters; a mark that an element parts from its letter is a fault."""
    lone = _LONE_MARK.search(text)
    if lone:
        what = f"a mark (U+{ord(lone.group()):04X}) with no letter under it"
        faults.append(fault_at(text, lone.start(), file, what, "put it into the element of its letter"))
    own: list[Fault] = []
    letters = letters_of(text, file, own)
    faults += [replace(fault, source=without_carriers(fault.source)) for fault in own]
    return letters


def _tree(letters: str, data: bytes, file: Path | None) -> etree._Element:
    """Build the element tree; only a deep document is allowed what libxml2 counts as huge."""
    if (skeleton := skeleton_of(letters, data, _parser(huge=False))) is not None:
        return skeleton
    try:
        return etree.fromstring(data, _parser(huge=False))
    except etree.XMLSyntaxError as error:
        if error.code != etree.ErrorTypes.ERR_RESOURCE_LIMIT:
            raise _not_well_formed(error, letters, file) from None
    try:
        root = etree.fromstring(data, _parser(huge=True))
    except etree.XMLSyntaxError as error:
        raise _not_well_formed(error, letters, file) from None
    depth = 0
    for event, element in etree.iterwalk(root, events=("start", "end")):
        depth += 1 if event == "start" else -1
        if depth > DEEPEST:
            raise DataError(faults=[Xml(root, file, letters).fault(element, *_WORDS_OF[114])])
    return root


def _parser(huge: bool) -> etree.XMLParser:
    """Give a parser that fetches and expands nothing."""
    return etree.XMLParser(
        resolve_entities=False,
        no_network=True,
        load_dtd=False,
        dtd_validation=False,
        huge_tree=huge,
        collect_ids=False,  # nothing is looked up by its xml:id
    )


def _not_well_formed(error: etree.XMLSyntaxError, letters: str, file: Path | None) -> DataError:
    """Say in an editor's words where a document is not well formed."""
    number, column = error.position
    rows = letters.split("\n")
    row = rows[number - 1] if 0 < number <= len(rows) else ""
    code = int(error.code or 0)
    said = (error.msg or "").partition(", line ")[0]
    if code == _SIGN_ALONE and said.startswith("StartTag"):
        code = _NO_TAG
    if begins := _BEGINS.get(code):  # the parser stands after what is wrong
        column = row.rfind(begins, 0, column - 1) + 1 or column
    row = without_carriers(decode(row))
    what, remedy = _WORDS_OF.get(code, (f"this is not well-formed XML ({said})", "mend it in an XML editor"))
    if code == 4 and not letters.strip():
        what, remedy = "there is no text in it", "give a text with at least one line"
    elif code in (26, 42, 76, 77, 201):
        what = f"{what} ({said})"
    return DataError(what, file=file, line=max(number, 1), column=max(column, 1), source=row, remedy=remedy)


def _blank(found: re.Match[str]) -> str:
    """Put blanks for what is taken away, so that places stay."""
    return "".join(sign if sign == "\n" else " " for sign in found.group())


def _referred(found: re.Match[str]) -> str:
    """Put the letter for a reference to its number, unless it would then be markup."""
    written, decimal = found.groups()
    if not (written or decimal):
        return found.group()
    number = int(written, 16) if written else int(decimal)
    if number > 0x10FFFF or chr(number) in _KEPT_REFERENCES:
        return found.group()
    return chr(number)


def fault_at(text: str, at: int, file: Path | None, what: str, remedy: str) -> Fault:
    """Say what is wrong at an offset."""
    start = text.rfind("\n", 0, at) + 1
    row = without_carriers(decode(text[start:].split("\n", 1)[0]))
    column = len(encode(without_carriers(decode(text[start:at])))) + 1
    return Fault(what, file, text.count("\n", 0, at) + 1, column, row, remedy)


def _decoded(data: bytes, file: Path) -> str:
    """Decode a file as its byte-order mark or its XML declaration says, strictly; else as UTF-8."""
    declared = _DECLARED.match(data.lstrip())
    name = declared[1].decode("ascii") if declared else "utf-8"
    for mark, codec in _BOMS:
        if data.startswith(mark):
            name = codec
            break
    try:
        return data.decode(name)
    except UnicodeDecodeError as error:
        raise _wrong_byte(data, error.start, name, file) from None
    except LookupError:
        remedy = "save it as UTF-8 and declare that, or leave the declaration away"
        what = f"the declared encoding {name!r} is not known"
        row = data.split(b"\n", 1)[0].decode("ascii", "replace")
        column = row.find(name) + 1
        raise DataError(what, file=file, line=1, column=column, source=row, remedy=remedy) from None


def _wrong_byte(data: bytes, bad: int, name: str, file: Path) -> DataError:
    """Say where the first byte stands that is no text in the file's encoding."""
    before = data[:bad].decode(name, "replace").replace("\r\n", "\n").replace("\r", "\n")
    row = before.removeprefix("\ufeff").rpartition("\n")[2]
    after = data[bad : bad + 80].decode(name, "replace").splitlines()
    is_utf8 = name.lower() in ("utf-8", "utf-8-sig", "utf8")
    return DataError(
        f"byte 0x{data[bad]:02X} is not {name.removesuffix('-sig').upper()} text",
        file=file,
        line=before.count("\n") + 1,
        column=len(encode(row)) + 1,
        source=row + (after[0] if after else ""),
        remedy=_likely_encoding(data) if is_utf8 else "save it as UTF-8, or declare what it is really in",
    )
