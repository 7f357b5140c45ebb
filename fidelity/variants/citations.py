"""Cite places of a text one after the other, and print long stretches in short.

Arrives: a witness, or printed letters. Leaves: loci, and letters that fit a line. Start reading at
``Citations``.
"""

from __future__ import annotations

import re
from bisect import bisect_right

from fidelity.letters import decode, encode
from fidelity.terms import Locus, Witness

LONGEST_SHOWN = 80  # letters, about two manuscript lines; more is told by its first and last words
ENDS_SHOWN = 24  # letters of either end that are shown of a longer stretch, about four words

_WORD = re.compile(r"\S+")


class Citations:
    """Gives the loci of a witness; a line's words are counted once, however long the line."""

    def __init__(self, witness: Witness, text: str = "") -> None:
        self.witness, self.text = witness, text or witness.siglum
        self._line = -1
        self._starts: list[int] = []

    def locus(self, offset: int) -> Locus:
        """Cite the word a letter stands in (or, for a space, the word before it)."""
        witness = self.witness
        line = witness.line_of(offset)
        if line != self._line:
            start = witness.lines[line]
            end = witness.lines[line + 1] if line + 1 < len(witness.lines) else len(witness.letters)
            self._starts = [found.start() for found in _WORD.finditer(witness.letters, start, end)]
            self._line = line
        return Locus(self.text, witness.labels[line], max(bisect_right(self._starts, offset), 1))

    def ends(self, start: int, end: int) -> tuple[Locus, Locus | None]:
        """Cite the first word of a span, and its last if that is another; spaces at its ends apart.

        Of a division alone the word before it is cited.
        """
        letters = self.witness.letters
        if start < end and not letters[start:end].strip():
            return self.locus(start), None
        while start < end and letters[start].isspace():
            start += 1
        while end > start + 1 and letters[end - 1].isspace():
            end -= 1
        first = self.locus(min(start, max(len(letters) - 1, 0)))
        if not any(map(str.isspace, letters[start:end])):
            return first, None
        last = self.locus(end - 1)
        return first, last if last != first else None


def count_of(letters: str) -> int:
    """Count letters, blanks apart, as a text's letters are counted everywhere.

    >>> count_of("of þam clife")
    10
    """
    return sum(not letter.isspace() for letter in letters)


def in_short(printed: str) -> str:
    """Give a long stretch by its first and last words and its size.

    >>> in_short("þæt reade clif")
    'þæt reade clif'
    >>> in_short("on þa ealdan mylne. of þære mylne west " * 9)
    'on þa ealdan mylne. of … of þære mylne west (279 letters)'
    """
    letters = encode(printed)
    if len(letters) <= LONGEST_SHOWN:
        return printed
    letters = letters.strip()
    first, last = letters[:ENDS_SHOWN], letters[-ENDS_SHOWN:]
    first = first.rsplit(" ", 1)[0] if not letters[ENDS_SHOWN].isspace() else first
    last = last.split(" ", 1)[-1] if not letters[-ENDS_SHOWN - 1].isspace() else last
    return f"{decode(first.strip())} … {decode(last.strip())} ({count_of(letters):,} letters)"
