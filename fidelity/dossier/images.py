"""Where the photograph of a place is to be seen.

Arrives: the pattern a dossier gives, and a place. Leaves: an address. Start reading at ``photograph``.
"""

from __future__ import annotations

from string import Formatter
from urllib.parse import quote

PARTS = ("text", "folio", "line")  # what a pattern may name


def unknown_parts(pattern: str) -> list[str]:
    """Give what a pattern names that is no part of a place; raises ValueError where braces do not match."""
    return [name for _, name, _, _ in Formatter().parse(pattern) if name is not None and name not in PARTS]


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
