"""Places in a TEI text: what holds of the letters inside the elements that are open.

Arrives: the elements that are opened, one inside the other. Leaves: for each such nesting a
``Place``, with state and hand of what stands there. Start reading at ``Place``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from fidelity.terms import State
from fidelity.witnesses.tei_lines import mark_of

NOT_READ = -1  # in place of a mark: what stands here is left out
SET_APART = -2  # white space here only sets the elements apart; letters are read all the same
MOST_KNOWN = 2_000  # tags remembered in one place; a text that numbers every word has no end of them

Action = Callable[[], "Place | None"]
_CLEAR, _UNCLEAR, _DELETED = int(State.CLEAR), int(State.UNCLEAR), int(State.DELETED)


class Shift(NamedTuple):
    """What holds from one point of the text to another, whatever elements begin and end between.

    Attributes:
        writing: the hand that writes since the last handShift.
        deleted, damaged: whether a delSpan or damageSpan is open.
        adding: the hand of the addSpan that is open, if one is.
    """

    writing: int = 0
    deleted: bool = False
    damaged: bool = False
    adding: int | None = None


class Place:
    """The nesting of elements that has been reached; most are reached again and again.

    Attributes:
        name: of the innermost element, without prefix.
        depth: how many elements are open.
        outer: the place around it; None outside the document.
        state: of the letters here.
        damaged: whether the state is only that of a <damage>: an element inside may say otherwise.
        hand: that the elements name; None where they name none.
        shift: what holds here besides.
        mark: ``mark_of`` state and hand, or what is done with text here instead.
        in_word: whether a <w> is open.
        spaces: namespaces by their prefixes.
        ending: what is done where the innermost element ends.
        known: by tag, what is done where it is met and the place that follows.
    """

    __slots__ = (
        "_shifted",
        "damaged",
        "depth",
        "ending",
        "hand",
        "in_word",
        "known",
        "mark",
        "name",
        "outer",
        "shift",
        "spaces",
        "state",
    )  # fmt: skip

    def __init__(self, name: str, outer: Place | None, shift: Shift) -> None:
        self.name, self.outer, self.shift = name, outer, shift
        self.depth: int = outer.depth + 1 if outer else 0
        self.state, self.damaged = _CLEAR, False
        self.hand: int | None = None
        self.in_word = False
        self.spaces: dict[str, str] = {}
        self.ending: Action | None = None
        self.known: dict[object, tuple[Action | None, Place]] = {}
        self.mark = NOT_READ
        self._shifted: dict[Shift, Place] = {shift: self}

    def inside(self, name: str, *, state: int | None = None, hand: int | None = None) -> Place:
        """Give the place inside an element, which may set the state or the hand.

        Of states inside each other the outer holds, as with Leiden signs; but what is cancelled is no
        letter of the text, however it is read.
        """
        place = Place(name, self, self.shift)
        place.state, place.damaged, place.hand = self.state, self.damaged, self.hand
        place.in_word, place.spaces = self.in_word, self.spaces
        not_yet_said = not self.state or self.damaged  # or only guessed
        if state is not None and (not_yet_said or state == _DELETED):
            place.state, place.damaged = state, False
        if hand is not None:
            place.hand = hand
        place.set_mark()
        return place

    def damaged_inside(self) -> Place:
        """Give the place inside a <damage>."""
        place = self.inside("damage", state=_UNCLEAR)
        place.damaged = place.damaged or self.state == _CLEAR
        return place

    def left_out(self) -> Place:
        """Give the place inside an element that is not read."""
        place = Place("", self, self.shift)
        place.spaces = self.spaces
        return place

    def set_mark(self) -> None:
        """Reckon the mark from state and hand."""
        self.mark = self.text_mark()

    def set_apart(self) -> Place:
        """Have white space here not be read; gives the place itself."""
        self.mark = SET_APART
        return self

    def text_mark(self) -> int:
        """Give the mark of letters here, also where white space only sets elements apart."""
        shift = self.shift
        state = self.state or (_UNCLEAR if shift.damaged else _CLEAR)
        writing = shift.writing if shift.adding is None else shift.adding
        return mark_of(_DELETED if shift.deleted else state, writing if self.hand is None else self.hand)

    def under(self, shift: Shift) -> Place:
        """Give the same place after a shift of what holds besides."""
        nesting = [self]
        while (outer := nesting[-1].outer) is not None:
            nesting.append(outer)
        new: Place | None = None
        for old in reversed(nesting):
            if shift not in old._shifted:
                old._shifted[shift] = old._copy(new, shift)
            new = old._shifted[shift]
        return self._shifted[shift]

    def _copy(self, outer: Place | None, shift: Shift) -> Place:
        place = Place(self.name, outer, shift)
        for kept in ("state", "damaged", "hand", "in_word", "spaces", "ending"):
            setattr(place, kept, getattr(self, kept))
        if self.mark >= 0:
            place.set_mark()
        else:
            place.mark = self.mark
        place._shifted = self._shifted
        return place
