"""The marks a copyist set in his own copy: what he could not read, what he doubted, what he vouched for.

Offsets are in letters, from 0, half-open.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class MarkKind(StrEnum):
    """What a copyist's mark says."""

    UNREAD = "unread"  # letters he could not read: dots, or a sign for some letters
    BLANK = "blank"  # a space he left
    DOUBT = "doubt"  # he doubts the word
    LINE_DOUBT = "line_doubt"  # a doubt in the margin, of something in the line
    VOUCHED = "vouched"  # sic: so it stands in the original, however strange


GAPS = frozenset({MarkKind.UNREAD, MarkKind.BLANK})
ON_WORDS = (MarkKind.DOUBT, MarkKind.LINE_DOUBT, MarkKind.VOUCHED)


@dataclass(frozen=True)
class Mark:
    """One mark of the copyist's in his copy, which is taken out of the letters and kept beside them.

    Attributes:
        kind: what it says.
        start, end: the letters it is on: of a gap the letters that stand for it, of a doubt the word, of a
            doubt in the margin the line.
        sign: as he wrote it, in letters.
        at, to: the letters of the copy that stand in the place of what was taken out; none where ``at``
            equals ``to``.
        taken: what was taken out, in letters: the sign, perhaps with a blank beside it.
        states, hands: of the letters taken out; empty where all are clear, or in the main hand.
        line: index of the line it stands in.
    """

    kind: MarkKind
    start: int
    end: int
    sign: str
    at: int
    to: int
    taken: str
    states: bytes = b""
    hands: bytes = b""
    line: int = 0
