"""Numbers among the Leiden signs: lost letters that are counted, and spaces that are measured.

Arrives: a line with signs, and a place in it. Leaves: how many letters are lost or left blank there,
or why a number cannot be taken. Start reading at ``number_lost``.

As editions of papyri have them, from memory: [c. 4], [ca. 4], [±4], [+4+], [..4..], [- 4 -] for some
four letters lost, (vac. 4) for a space of some four letters.
"""

from __future__ import annotations

import re
from typing import NamedTuple

_NUMBER_LOST = re.compile(  # possessive, for blanks may be many
    r"\s*+(?:(?:c|ca|circa)\b\.?\s*+|[±~+]\s*+|[.\s]*+|[-–—\s]*+)([1-9]\d{0,2})"
    r"(?:\s*+\+\s*+|[.\s]*+|[-–—\s]*+)(?=\])",
    re.IGNORECASE,
)
_HAS_MARK = re.compile(r"[^\d\s]")  # a bare number in [ ] may be that of a leaf, or one of the text
_NUMBER_INSIDE = re.compile(r"(?:[^\[\]()]|\([^\[\]()]*\))*?([0-9±+])")
_BLANK_SPACE = re.compile(
    r"\(\s*+(?:vacat|vac\.)\s*+(?:(?:c|ca)\.?\s*+|±\s*+)?([1-9]\d{0,2})?\s*+\)[^\S\t]*+"
)
_BLANK_UNCLEAR = re.compile(r"\s*vac\.")

BLANK_BEGINS = re.compile(r"\s*vac(?:\.|at\b)")  # letters written out of which such a space would be read
NUMBER_SIGNS = re.compile(r"[0-9±+]+")  # inside of ( ) they may stand in [ ] as letters


class Blank(NamedTuple):
    """A space left in the manuscript: how many letters wide, and where the text goes on."""

    letters: int
    end: int


def number_lost(text: str, at: int) -> tuple[int, int]:
    """Give how many letters a number says are lost that is all that stands in [ ], and where it ends.

    >>> number_lost("[c. 4]", 1), number_lost("[12]", 1)
    ((4, 5), (0, 0))
    """
    found = _NUMBER_LOST.match(text, at)
    return (int(found[1]), found.end()) if found and _HAS_MARK.search(found.group()) else (0, 0)


def blank_space(text: str, at: int) -> Blank | None:
    """Tell whether a space is said to be here, the blanks after it included.

    >>> blank_space("a (vac. 3) b", 2)
    Blank(letters=3, end=11)
    """
    found = _BLANK_SPACE.match(text, at)
    return Blank(int(found[1] or 1), found.end()) if found else None


def number_inside(text: str, at: int, sign: str) -> tuple[int, str, str] | None:
    """Find what cannot be taken for letters inside a sign: where it stands, what, and what to do.

    Args:
        text: the line.
        at: where what stands in the sign begins.
        sign: "[" of what is restored, or "(".
    """
    if sign == "(":
        if not _BLANK_UNCLEAR.match(text, at):
            return None
        return at, "how wide is this space?", "write (vac. 3) for one of three letters, or (vac.)"
    found = _NUMBER_INSIDE.match(text, at)
    if not found:
        return None
    remedy = "for lost letters [c. 4], [±4], [+4+], [..4..] alone, or a dot for each; restored signs as [(4)]"
    return found.start(1), f"{found[1]} in [ ] is no restored letter", remedy
