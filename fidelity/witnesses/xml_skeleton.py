"""Let a large TEI document in without building the tree of its text.

Arrives: a document, in letters. Leaves: the tree of its header, with an empty text; the text itself
is read from its tags (``tei_tokens.py``) and needs no tree. Start reading at ``skeleton_of``.

Whether the whole is well formed is asked of a parser that builds nothing; whatever is not plain
sailing is left to the parser that says what is wrong.
"""

from __future__ import annotations

import re
from xml.parsers import expat

from lxml import etree

LARGE = 1_000_000  # bytes; below, a tree costs a few hundredths of a second

_TEXT = re.compile(r"<((?:\w+:)?text)(?=[\s>])[^>]*(?<!/)>")


def skeleton_of(letters: str, data: bytes, parser: etree.XMLParser) -> etree._Element | None:
    """Give the tree of a large TEI document with nothing in its text.

    Args:
        letters: the document.
        data: the same as it is parsed.
        parser: for the tree.

    Returns:
        The outermost element; None where the document is small, has no single text, is no TEI, or is
        not well formed.
    """
    if len(data) < LARGE or "<!DOCTYPE" in letters:
        return None
    begin = _TEXT.search(letters)
    if begin is None or letters.find(f"<{begin[1]}", begin.end()) >= 0:
        return None
    end = letters.rfind(f"</{begin[1]}")
    if end < begin.end() or not _is_well_formed(data):
        return None
    try:
        root = etree.fromstring((letters[: begin.end()] + letters[end:]).encode(), parser)
    except etree.XMLSyntaxError:
        return None  # the text was looked for inside a comment, or the like
    return root if etree.QName(root).localname == "TEI" else None


def _is_well_formed(data: bytes) -> bool:
    """Tell whether a document is well formed, its namespaces declared."""
    parser = expat.ParserCreate(namespace_separator="}")
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        return False
    return True
