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
