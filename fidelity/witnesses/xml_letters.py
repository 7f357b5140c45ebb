"""Tell which signs of an XML file are text of the manuscript, and where each stands in the file.

Arrives: an XML file as a string. Leaves: its text alone, with the offset of each sign in the file: no
names of elements, no attributes (but the CONTENT of ALTO, which is text), no header, no comments.
Start reading at ``text_with_offsets``.

The file is looked at as it is written and not as a tree, for a tree does not know the columns. It
has been read without fault before, so it is well formed.
"""

from __future__ import annotations

import html
import re
from array import array
from collections.abc import Iterator, Sequence
from typing import NamedTuple

_PART = re.compile(
    r"<!--.*?-->|<\?.*?\?>|<!\[CDATA\[(?P<data>.*?)\]\]>|<!DOCTYPE[^>]*>"
    r"|<(?P<tag>/?[^\s/>]+)(?P<rest>(?:[^>\"']++|\"[^\"]*+\"|'[^']*+')*+)>|(?P<text>[^<]+)",
    re.DOTALL,
)
_REFERENCE = re.compile(r"&(?:#\d{1,7}|#x[0-9A-Fa-f]{1,6}|amp|lt|gt|quot|apos);")
_CONTENT = re.compile(r"\bCONTENT\s*=\s*(?:\"(?P<double>[^\"]*)\"|'(?P<single>[^']*)')")
_GLYPH = re.compile(
    r"<(?:\w+:)?(glyph|char)\b[^>]*?\bxml:id\s*=\s*[\"']([^\"'>]*)[\"'][^>]*(?<!/)>(.*?)</(?:\w+:)?\1\s*>",
    re.DOTALL,
)
_MAPPING = re.compile(
    r"<(?:\w+:)?mapping\b(?:[^>]*?\btype\s*=\s*[\"'](?P<type>[^\"'>]*)[\"'])?[^>]*>(?P<text>[^<]*)</"
)
_GLYPH_USED = re.compile(r"<(?:\w+:)?g\b[^>]*?\bref\s*=\s*[\"']\s*#?([^\"'>\s]*)")
_CODE_POINT = re.compile(r"U\+([0-9A-Fa-f]{4,6})")
_NORMALISED = frozenset({"standardized", "standardised", "normalized", "normalised", "standard"})
_NOT_READ = frozenset({"teiHeader", "Word", "Description", "Metadata"})  # about the text, or the text again
_INSIDE_A_WORD = frozenset(  # TEI elements at whose borders a word does not end
    ("unclear", "supplied", "ex", "am", "hi", "add", "del", "subst", "damage", "c", "g", "surplus", "restore")
)


class Located(NamedTuple):
    """The text in an XML file, and the offset in the file of each of its signs."""

    text: str
    offsets: Sequence[int]


def text_with_offsets(xml: str) -> Located:
    """Give the text in an XML file, a blank where an element parts words.

    >>> located = text_with_offsets("<p n='x'>l<hi>a</hi>n&#x64;</p>")
    >>> located.text, list(located.offsets[1:5])
    (' land ', [9, 14, 20, 21])
    """
    pieces: list[str] = []
    offsets = array("Q")
    for piece, at in _pieces(xml):
        pieces.append(piece)
        offsets.extend(range(at, at + len(piece)))
    return Located("".join(pieces), offsets)


def glyphs_used(xml: str) -> Iterator[tuple[str, int]]:
    """Give the letters that a TEI header maps glyphs to, each with the offset at which it is first used.

    >>> header = '<glyph xml:id="w"><mapping type="PUA">U+E8B7</mapping></glyph>'
    >>> [(ord(letters), at) for letters, at in glyphs_used(header + '<g ref="#w"/>')]
    [(59575, 62)]
    """
    first: dict[str, int] = {}
    for used in _GLYPH_USED.finditer(xml):
        first.setdefault(used[1], used.start())
    found = []
    for glyph in _GLYPH.finditer(xml):
        mappings = [
            (each["type"] or "", html.unescape(each["text"]).strip()) for each in _MAPPING.finditer(glyph[3])
        ]
        letters = mapped_letters(mappings)
        if letters and glyph[2] in first:
            found.append((letters, first[glyph[2]]))
    yield from sorted(found, key=lambda one: one[1])


def mapped_letters(mappings: Sequence[tuple[str, str]]) -> str:
    """Give the letters that a glyph is mapped to: its own form rather than a normalised one.

    Args:
        mappings: type and text of each.

    >>> mapped_letters([("standardized", "us"), ("Unicode", "ꝰ")])
    'ꝰ'
    """
    for _, text in sorted(mappings, key=lambda pair: pair[0].lower() in _NORMALISED):
        written = _CODE_POINT.fullmatch(text)
        if written and int(written[1], 16) <= 0x10FFFF:
            return chr(int(written[1], 16))
        if text:
            return text
    return ""


def _pieces(xml: str) -> Iterator[tuple[str, int]]:
    """Give the pieces of the text, each with the offset of its first sign."""
    opened: list[str] = []
    kind = ""
    for part in _PART.finditer(xml):
        if part["tag"]:
            name = part["tag"].lstrip("/").rpartition(":")[2]
            kind = kind or name  # the outermost element says what kind of file it is
            if part["tag"].startswith("/"):
                del opened[-1:]
            elif not part["rest"].endswith("/"):
                opened.append(name)
            if name not in _INSIDE_A_WORD:
                yield " ", part.start()
            if kind == "alto" and name in ("String", "HYP") and (content := _CONTENT.search(part["rest"])):
                group = "double" if content["double"] is not None else "single"
                yield from _referred(content[group], part.start("rest") + content.start(group))
        elif _is_read(kind, opened):
            if part["text"] is not None:
                yield from _referred(part["text"], part.start("text"))
            elif part["data"] is not None:
                yield part["data"], part.start("data")


def _is_read(kind: str, opened: list[str]) -> bool:
    """Tell whether text in these elements is text of the manuscript."""
    if kind == "alto" or not _NOT_READ.isdisjoint(opened):
        return False
    return kind != "PcGts" or (opened[-1:] == ["Unicode"] and opened[-3:-2] == ["TextLine"])


def _referred(text: str, start: int) -> Iterator[tuple[str, int]]:
    """Give the pieces of a text, references to letters resolved."""
    at = 0
    for found in _REFERENCE.finditer(text):
        yield text[at : found.start()], start + at
        yield html.unescape(found.group()), start + found.start()
        at = found.end()
    yield text[at:], start + at
