"""Write the letters of a witness as TEI, piece by piece, with where its lines and pages begin.

Arrives: a witness, and its name in the edition. Leaves: the letters of any stretch, with an element for each
state and hand, and the signs that stand between them. Start reading at ``WitnessLetters``.

White space in the edition is folded as TEI's is: one blank stands for a blank or a line end. Blanks that
folding would not keep (at a line's edge, or several together) and tabs, which part the fields of an entry,
are written as ``<space>``.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

from fidelity.letters import decode
from fidelity.terms import LOST_LETTER, State, Witness
from fidelity.witnesses.tei_header import ADDED_HAND
from fidelity.witnesses.tei_lines import NO_MARK
from fidelity.witnesses.tei_write import ELEMENT, line_end, line_number

SOFT_HYPHEN = "soft-hyphen"  # how a line-end mark is named that no attribute may hold
_BLANKS = re.compile("[ \t]+")


class Sign(NamedTuple):
    """Something that stands between two letters of a witness: a line's beginning, a mark of the copyist's.

    Attributes:
        offset: of the letter before which it stands.
        order: of several at one place, by line, the line's beginning first.
        xml: how it is written.
    """

    offset: int
    order: tuple[int, int]
    xml: str


class WitnessLetters:
    """The letters of a witness as TEI.

    Args:
        witness: the witness.
        name: xml:id of the witness in the edition; its hands are named after it.
        is_main: whether its line beginnings are the edition's own; those of others name their witness.
    """

    def __init__(self, witness: Witness, name: str, is_main: bool) -> None:
        self.witness, self.name = witness, name
        self._edition = "" if is_main else f' edRef="#{name}"'
        self._own_blanks = list(_own_blanks(witness))
        self._signs = sorted([*self._beginnings(), *self._marks()])
        self._offsets = [sign.offset for sign in self._signs]

    def signs(self, start: int, end: int) -> list[Sign]:
        """Give the signs that stand before the letters of a span."""
        return self._signs[bisect_left(self._offsets, start) : bisect_left(self._offsets, end)]

    def last_signs(self) -> list[Sign]:
        """Give the signs that stand after the last letter."""
        return self._signs[bisect_left(self._offsets, len(self.witness)) :]

    def as_compared(self, start: int, end: int) -> object:
        """Give all that must be the same in another witness for the two to be printed as one."""
        letters = self.witness.letters[start:end]
        if self._is_plain(start, end) and not self._has_own_blanks(start, end):
            return letters
        states, hands = self.witness.states[start:end], self.witness.hands[start:end]
        own = tuple(
            at - start for at in self._own_blanks[slice(*self._blanks_between(start, end))]
        )  # where they stand
        return letters, own, states if any(states) else b"", (self.name, hands) if any(hands) else ()

    def is_folded_blank(self, offset: int) -> bool:
        """Tell whether a letter is a blank that any white space in the edition may stand for."""
        blank = self.witness.letters[offset] == " "
        return blank and self._is_plain(offset, offset + 1) and not self._has_own_blanks(offset, offset + 1)

    def is_divided(self, offset: int) -> bool:
        """Tell whether two words are parted before a letter, so that one blank more there is folded away."""
        letters = self.witness.letters
        if offset in (0, len(letters)) or letters[offset - 1] in " \t":
            return True
        return self.is_folded_blank(offset) and not self.signs(offset, offset + 1)

    def is_field_border(self, offset: int) -> bool:
        """Tell whether a letter parts two fields of an entry."""
        return self.witness.letters[offset] == "\t" and self._is_plain(offset, offset + 1)

    def xml(self, start: int, end: int) -> str:
        """Give letters with an element for each hand, each state, each blank that needs one."""
        if self._is_plain(start, end) and not self._has_own_blanks(start, end):
            return escape(decode(self.witness.letters[start:end]))
        hands, names, written = self.witness.hands, self.witness.hand_names, []
        for hand, run in groupby(range(start, end), key=lambda at: hands[at] if hands else 0):
            inside = "".join(self._by_state(list(run)))
            if hand == 0:
                written.append(inside)
            elif names[hand] == ADDED_HAND:
                written.append(f"<add>{inside}</add>")
            else:
                written.append(f'<seg hand="#{hand_id(self.name, hand)}">{inside}</seg>')
        return "".join(written)

    def _by_state(self, offsets: list[int]) -> Iterator[str]:
        """Give letters of one hand with an element for each state."""
        states = self.witness.states
        for value, group in groupby(offsets, key=lambda at: states[at] if states else 0):
            run = list(group)
            if value == State.LOST:
                yield f'<gap reason="lost" quantity="{len(run)}" unit="chars"/>'
            elif value == State.LOST_UNKNOWN:
                yield '<gap reason="lost" extent="unknown"/>' * len(run)
            else:
                inside = "".join(self._spaced(run[0], run[-1] + 1))
                opening, closing = ELEMENT.get(State(value), ("", ""))
                if value == State.EXPANDED and "<space" in inside:  # which <ex> may not hold
                    opening, closing = "<expan>", "</expan>"
                yield opening + inside + closing

    def _spaced(self, start: int, end: int) -> Iterator[str]:
        """Give letters of one state, with an element for blanks that white space would not keep."""
        letters, done = self.witness.letters, start
        own = self._own_blanks[slice(*self._blanks_between(start, end))]
        for (tab, _), run in groupby(enumerate(own), lambda one: (letters[one[1]] == "\t", one[1] - one[0])):
            offsets = [at for _, at in run]
            yield escape(decode(letters[done : offsets[0]]))
            yield space_element(len(offsets), tab)
            done = offsets[-1] + 1
        yield escape(decode(letters[done:end]))

    def _is_plain(self, start: int, end: int) -> bool:
        """Tell whether letters are clear and in the main hand."""
        return not any(self.witness.states[start:end]) and not any(self.witness.hands[start:end])

    def _has_own_blanks(self, start: int, end: int) -> bool:
        first, last = self._blanks_between(start, end)
        return first < last

    def _blanks_between(self, start: int, end: int) -> tuple[int, int]:
        return bisect_left(self._own_blanks, start), bisect_left(self._own_blanks, end)

    def _beginnings(self) -> Iterator[Sign]:
        """Give the beginnings of pages and lines, and how the line before ended."""
        witness, edition, page, said, new_line = self.witness, self._edition, "", "", "\n"
        for line, label in enumerate(witness.labels):
            page_begins, page = witness.pages[line] != page, witness.pages[line]
            about = said
            begins = ""
            if page_begins:
                begins = f"<pb n={quoteattr(page)}{said}{edition}/>"
                about = said.split(" rend=")[0]  # the mark is written once
            begins += f"<lb{line_number(label, page)}{about}{edition}/>"
            yield Sign(witness.lines[line], (line, 0), begins if edition else new_line + begins)
            start, end = witness.line_span(line)
            said, new_line = _said(*line_end(witness.letters[start:end], witness.line_ends[line])), "\n"
            if 'break="no"' in said:
                new_line = ""
        if said:
            yield Sign(len(witness), (len(witness.labels), 0), f"<lb{said}{edition}/>")

    def _marks(self) -> Iterator[Sign]:
        """Give the marks that the copyist set, as signs about the text."""
        for at, mark in enumerate(self.witness.marks, start=1):
            about = f'function="{mark.kind}" source="#{self.name}"'
            stands_for = f' n="{mark.to - mark.at}"' if mark.to > mark.at else ""
            written = "".join(spaced(mark.taken))
            yield Sign(mark.at, (mark.line, at), f"<metamark {about}{stands_for}>{written}</metamark>")


def hand_id(name: str, hand: int) -> str:
    """Give the xml:id of a hand of a witness."""
    return f"{name}.hand{hand + 1}"


def space_element(quantity: int, tab: bool = False) -> str:
    """Give the element for blanks, or for tabs, that are letters of the text."""
    return f'<space quantity="{quantity}" unit="{"tab" if tab else "chars"}"/>'


def letters_alone(letters: str) -> str:
    """Give letters that stand in no witness: a reading proposed, or one with a loss that nobody can fill."""
    written = []
    for lost, run in groupby(letters, LOST_LETTER.__eq__):
        some = "".join(run)
        if lost:
            written.append(f'<gap reason="lost" quantity="{len(some)}" unit="chars"/>')
        else:
            written.append(escape(decode(some)).replace("\t", space_element(1, tab=True)))
    return "".join(written)


def spaced(letters: str) -> Iterator[str]:
    """Give clear letters by themselves, every blank at their edges and every tab kept."""
    done = 0
    for blanks in _BLANKS.finditer(letters):
        if blanks.group() == " " and blanks.start() > 0 and blanks.end() < len(letters):
            continue
        yield escape(decode(letters[done : blanks.start()]))
        yield from (space_element(len(list(run)), tab) for tab, run in groupby(blanks.group(), "\t".__eq__))
        done = blanks.end()
    yield escape(decode(letters[done:]))


def _own_blanks(witness: Witness) -> Iterator[int]:
    """Give the offset of each blank that folded white space would not keep."""
    for line in range(len(witness.lines)):
        start, end = witness.line_span(line)
        for blanks in _BLANKS.finditer(witness.letters, start, end):
            if blanks.group() != " " or blanks.start() == start or blanks.end() == end:
                yield from range(*blanks.span())


def _said(mark: str, breaks: str) -> str:
    """Give what a line beginning says of the line before: whether its word runs on, and by which mark."""
    sign = SOFT_HYPHEN if mark == NO_MARK else mark
    return (f' break="{breaks}"' if breaks else "") + (f" rend={quoteattr(sign)}" if sign else "")
