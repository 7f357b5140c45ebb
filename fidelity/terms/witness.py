"""A witness, and how a place in it is cited.

Offsets are in letters (grapheme clusters, see ``letters.py``), from 0, half-open.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from dataclasses import dataclass
from enum import IntEnum

from fidelity.in_notebook import Shown
from fidelity.letters import decode
from fidelity.terms.marks import Mark

LOST_LETTER = "▯"  # stands in a witness for a letter that the transcriber marked as lost


class State(IntEnum):
    """In what state a letter stands in the manuscript, as its transcriber marked it."""

    CLEAR = 0
    UNCLEAR = 1
    RESTORED = 2  # lost, put back by the transcriber: [abc]
    SUPPLIED = 3  # never written, supplied by the transcriber: <abc>
    EXPANDED = 4  # abbreviation resolved: (abc)
    DELETED = 5  # cancelled in the manuscript
    LOST = 6  # nothing to be read, so many letters: [...]
    LOST_UNKNOWN = 7  # nothing to be read, nobody knows how many letters: [---]; one letter stands for all


@dataclass(frozen=True, order=True)
class Locus(Shown):
    """A citable place: text, line as the text cites it, word in the line from 1.

    >>> str(Locus("B", "12r:3", 4)), str(Locus("X", "5", 0))
    ('B 12r:3.4', 'X 5')
    """

    text: str
    line: str
    word: int = 0

    def __str__(self) -> str:
        return f"{self.text} {self.line}" + (f".{self.word}" if self.word else "")


_WORD = re.compile(r"\S+")


@dataclass(frozen=True, repr=False)
class Witness(Shown):
    """A document that transmits the text, as its transcriber gave it.

    Attributes:
        siglum: the short sign it is cited by.
        letters: the reading text in letters; one space stands for a line end, unless the word
            runs on over it; a tab parts the fields of an entry.
        lines: offset of each line's first letter, ascending; ``lines[0] == 0``.
        labels: how each line is cited ("12r:3", "7"), one for each line.
        pages: which page each line stands on ("12r"; "" where the text has no page marks).
        line_ends: what the transcriber wrote at each line's end to show that the word runs on
            ("-"), else "".
        states: one ``State`` for each letter, or empty when every letter is clear.
        hands: for each letter an index into ``hand_names``, or empty when all are the first.
        hand_names: the hands; the first is the main hand.
        fields: names of the parallel fields, empty for running text.
        script: the script of the main hand, a key of ``confusion_tables/``; may be empty.
        language: BCP 47 tag; may be empty.
        file: where it was read from, as printed; may be empty.
        trusted_states: states that count as evidence beside the clear, as the dossier says.
        marks: of a copy the marks that its copyist set and the dossier declares, in order; their signs are
            not among the letters.
    """

    siglum: str
    letters: str
    lines: tuple[int, ...] = (0,)
    labels: tuple[str, ...] = ("1",)
    pages: tuple[str, ...] = ("",)
    line_ends: tuple[str, ...] = ("",)
    states: bytes = b""
    hands: bytes = b""
    hand_names: tuple[str, ...] = ("main",)
    fields: tuple[str, ...] = ()
    script: str = ""
    language: str = ""
    file: str = ""
    trusted_states: frozenset[State] = frozenset()
    marks: tuple[Mark, ...] = ()

    def __repr__(self) -> str:
        return f"<Witness {self.siglum}: {len(self.lines):,} lines, {len(self):,} letters>"

    def __len__(self) -> int:
        return len(self.letters)

    def line_of(self, offset: int) -> int:
        """Give the index of the line a letter stands in."""
        return max(bisect_right(self.lines, offset) - 1, 0)

    def line_span(self, line: int) -> tuple[int, int]:
        """Give first and last-plus-one offset of a line, its line end left out."""
        start = self.lines[line]
        if line + 1 == len(self.lines):
            return start, len(self.letters)
        end = self.lines[line + 1]
        return start, end if self.line_ends[line] else max(end - 1, start)

    def locus(self, offset: int) -> Locus:
        """Cite the word a letter stands in (or, for a space, the word before it)."""
        line = self.line_of(offset)
        start = self.lines[line]
        before = len(_WORD.findall(self.letters[start : offset + 1]))
        return Locus(self.siglum, self.labels[line], max(before, 1))

    def page_of(self, offset: int) -> str:
        """Give the page a letter stands on, with the siglum: the unit errors cluster by."""
        return f"{self.siglum} {self.pages[self.line_of(offset)]}".rstrip()

    def state(self, offset: int) -> State:
        """Give the state of a letter."""
        return State(self.states[offset]) if self.states else State.CLEAR

    def hand(self, offset: int) -> str:
        """Give the name of the hand that wrote a letter."""
        return self.hand_names[self.hands[offset]] if self.hands else self.hand_names[0]

    def is_evidence(self, start: int, end: int) -> bool:
        """Tell whether every letter of a span is clear (or of a trusted state) and in the main hand."""
        if self.states and any(self.states[start:end]):
            marked = {State(state) for state in self.states[start:end]} - {State.CLEAR}
            if not marked <= self.trusted_states:
                return False
        return not (self.hands and any(self.hands[start:end]))

    def text_of_line(self, line: int) -> str:
        """Give one manuscript line as printed, its end mark included."""
        start, end = self.line_span(line)
        return decode(self.letters[start:end]) + self.line_ends[line]
