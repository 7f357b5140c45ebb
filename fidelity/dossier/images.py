"""Where the photograph of a place is to be seen.

Arrives: the pattern a dossier gives, and a place. Leaves: an address. Start reading at ``photograph``.
"""

from __future__ import annotations

import re
from string import Formatter
from urllib.parse import quote

_LINKED = re.compile(r"(?:https?|file)://", re.IGNORECASE)
_SCHEME = re.compile(r"[^/?#]*:")  # anything before a colon, as a browser takes it
_NOT_IN_ADDRESSES = re.compile(r"[\s\x00-\x1f\x7f\\]")
PARTS = ("text", "folio", "line")  # what a pattern may name


def unknown_parts(pattern: str) -> list[str]:
    """Give what a pattern names that is no part of a place; raises ValueError where braces do not match."""
    return [name for _, name, _, _ in Formatter().parse(pattern) if name is not None and name not in PARTS]


def unknown_names(pattern: str) -> list[str]:
    """Give the same; nothing where braces do not match."""
    try:
        return unknown_parts(pattern)
    except ValueError:
        return []


def names_a_part(pattern: str) -> bool:
    """Tell whether a pattern names any part of a place: without one all places would have one photograph.

    Raises:
        ValueError: braces do not match.
    """
    return any(name is not None for _, name, _, _ in Formatter().parse(pattern))


def may_be_linked(address: str) -> bool:
    """Tell whether an address may be followed from a page: of the web, of a file, or beside the page.

    Whatever would be run, such as javascript, and whatever a browser might read otherwise, is no link.

    >>> may_be_linked("https://example.org/12r.jpg"), may_be_linked("scans/12r.jpg")
    (True, True)
    >>> may_be_linked("javascript:alert(1)"), may_be_linked("java script:alert(1)")
    (False, False)
    """
    if not address or _NOT_IN_ADDRESSES.search(address):
        return False
    return bool(_LINKED.match(address)) or not _SCHEME.match(address)


def photograph(pattern: str, text: str, folio: str, line: str) -> str:
    """Give the address of a photograph; "" where the dossier names none, or the place has no such part.

    Args:
        pattern: with {text}, {folio} or {line} in it.
        text: id of the text.
        folio: its page or leaf side, as marked in the transcript.
        line: as cited on that page.

    >>> photograph("https://example.org/{text}/{folio}.jpg", "B", "12r", "12r:3")
    'https://example.org/B/12r.jpg'
    >>> photograph("https://example.org/{folio}.jpg", "B", "", "3")
    ''
    """
    wanted = {name for _, name, _, _ in Formatter().parse(pattern) if name}
    if not pattern or ("folio" in wanted and not folio):
        return ""
    parts = {"text": text, "folio": folio, "line": line.rpartition(":")[2]}
    return pattern.format(**{name: quote(value, safe="") for name, value in parts.items()})
