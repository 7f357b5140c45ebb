"""What a letter is: one extended grapheme cluster, held as one code point.

Arrives: transcribed text in Unicode. Leaves: the same text in NFC in which every letter (base
character with all its marks: ū, ę̄) takes exactly one place, so that an offset counts letters.
Start reading at ``encode``.

A letter that needs several code points gets a stand-in from planes 15 and 16 of Unicode (no
script uses them; MUFI's private letters live in plane 0). The stand-ins are handed out once per
process and never leave it: whatever is printed or written goes through ``decode`` first.

NFC only: NFKC and case folding destroy the long s, and NFKC turns the -us sign (U+A770) into
the con sign (U+A76F).
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from fidelity.errors import DataError

FIRST_STAND_IN = "\U000f0000"  # planes 15-16, "Supplementary Private Use Area" (Unicode 15, ch. 23.5)
LAST_STAND_IN = 0x10FFFD
NOTHING, SPACE = "∅", "␣"  # printed for no letters, and for a space that is to be seen

_NEEDS_CLUSTERS = (  # what can join a neighbour (UAX #29, table 2), or is a pictograph
    r"[\p{M}\p{Cf}\p{Hangul}\p{Extended_Pictographic}\p{Regional_Indicator}"
    r"\p{GCB=Extend}\p{GCB=Prepend}\p{GCB=SpacingMark}]"
)
# Where no letter can join a neighbour, in the scripts that most texts are in: Latin, Greek, Cyrillic
# and their signs; general punctuation without its joiners; arrows and other signs that results are
# printed with; MUFI's private letters.
_ALONE = (
    (0x0, 0xA8), (0xAA, 0xAC), (0xAF, 0x2FF), (0x370, 0x482), (0x1D00, 0x1DBF), (0x1E00, 0x200A),
    (0x2010, 0x2027), (0x2030, 0x203B), (0x203D, 0x2048), (0x204A, 0x205F), (0x2150, 0x2193),
    (0x2200, 0x22FF), (0x2400, 0x249F), (0x2500, 0x259F), (0x2C60, 0x2C7F), (0x2E00, 0x2E7F),
    (0xA720, 0xA7FF), (0xE000, 0xF8FF),
)  # fmt: skip
_STAND_IN = re.compile(r"[\U000F0000-\U0010FFFD]")

_stand_in_of: dict[str, str] = {}
_cluster_of: dict[str, str] = {}
_known_alone: set[str] = set()  # letters seen before that can join no neighbour


def _stand_in(cluster: str) -> str:
    """Give the one-code-point stand-in of a letter that needs several code points."""
    known = _stand_in_of.get(cluster)
    if known is not None:
        return known
    number = ord(FIRST_STAND_IN) + len(_stand_in_of)
    if number > LAST_STAND_IN:
        raise DataError(
            "more than 131,070 different composite letters in one run",
            remedy="check that the files are texts and not binary data",
        )
    made = chr(number)
    _stand_in_of[cluster] = made
    _cluster_of[made] = cluster
    return made


def stand_alone(text: str) -> bool:
    """Tell whether no letter of a text can join its neighbour, as far as that is quickly told.

    >>> stand_alone("þa lanꝺᵹemæꞃa"), stand_alone("nyhtu\\u0304")
    (True, False)
    """
    if text.isascii() or _known_alone.issuperset(text):
        return True
    new = set(text) - _known_alone
    alone = {letter for letter in new if any(first <= ord(letter) <= last for first, last in _ALONE)}
    _known_alone.update(alone)
    return len(alone) == len(new)


def encode(text: str) -> str:
    """Put a text into letters: NFC, one code point for each grapheme cluster.

    Args:
        text: any Unicode text.

    Returns:
        A string whose length is the number of letters (UAX #29 extended grapheme clusters).

    >>> len(encode("nyhtu\\u0304")), decode(encode("nyhtu\\u0304"))
    (5, 'nyhtū')
    >>> len(encode("e\\u0328\\u0304c"))  # e with ogonek and macron, c
    2
    """
    text = unicodedata.normalize("NFC", text)
    if stand_alone(text) or (len(text) == 1 and text < FIRST_STAND_IN):
        return text
    import regex  # only marks and the like need it; it takes as long to import as a short text to compare

    if not regex.search(_NEEDS_CLUSTERS, text) and not _STAND_IN.search(text):
        return text
    pieces = []
    for found in regex.finditer(r"\X", text):
        cluster = found.group()
        composite = len(cluster) > 1 or cluster >= FIRST_STAND_IN
        pieces.append(_stand_in(cluster) if composite else cluster)
    return "".join(pieces)


def decode(letters: str) -> str:
    """Give back the text that ``encode`` put into letters.

    >>> decode(encode("ꞅꞇan"))
    'ꞅꞇan'
    """
    if letters.isascii() or not _cluster_of or not _STAND_IN.search(letters):
        return letters
    return _STAND_IN.sub(lambda found: _cluster_of.get(found.group(), found.group()), letters)


def is_space(letter: str) -> bool:
    """Tell whether a letter is white space: a word division, a line end or a field border."""
    return letter.isspace()


@cache
def is_punctuation(letter: str) -> bool:
    """Tell whether a letter is punctuation (Unicode class P), abbreviation signs excepted.

    The Tironian sign ⁊ is classed as punctuation by Unicode; in a manuscript it is a word.
    """
    return letter not in ABBREVIATION_PUNCTUATION and unicodedata.category(letter[0])[0] == "P"


ABBREVIATION_PUNCTUATION = frozenset("⁊⹒&⸓")  # classed P by Unicode, written for et/and/est


class _Stops(dict[int, int | None]):
    """For ``str.translate``: a stop becomes nothing, any other letter stays; filled as letters are met."""

    def __missing__(self, point: int) -> int | None:
        self[point] = stays = None if is_punctuation(chr(point)) else point
        return stays


_STOPS = _Stops()


def without_stops(letters: str) -> str:
    """Leave out punctuation.

    >>> without_stops("ofer, ⁊ under.")
    'ofer ⁊ under'
    """
    return letters.translate(_STOPS)


def whole_words(letters: str, start: int, end: int) -> tuple[int, int]:
    """Widen a span to the words it touches.

    >>> whole_words("of þære ac", 4, 5)
    (3, 7)
    """
    while start > 0 and not letters[start - 1].isspace():
        start -= 1
    while end < len(letters) and not letters[end].isspace():
        end += 1
    return start, end
