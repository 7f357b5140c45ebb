"""States, hands and alternatives in a TEI text: what holds of the letters at a place.

Arrives: the elements of a text, one after the other. Leaves: state and hand for what stands inside
each, and which side of a choice is read. Start reading at ``TeiStates``.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from lxml import etree

from fidelity.terms import State
from fidelity.witnesses.tei_elements import NEVER_WRITTEN
from fidelity.witnesses.tei_header import ADDED_HAND, TeiHeader
from fidelity.witnesses.tei_lines import mark_of
from fidelity.witnesses.xml_source import local_name

Element = etree._Element
_EXPANDED = int(State.EXPANDED)


class TeiStates:
    """The state and hand of the letters at the place that has been reached.

    An element that sets them saves the outer ones, and its end puts them back.
    """

    def __init__(self, header: TeiHeader, choice: Mapping[str, str]) -> None:
        self._header, self._choice = header, choice
        self._reads_expansions = choice["abbr|expan"] == "expan"
        self._state = int(State.CLEAR)
        self._damaged = False  # the state comes from <damage>: an element inside may say otherwise
        self._hand: int | None = None  # of the element read; None: the hand that writes here
        self._writing = 0  # the hand that writes since the last handShift
        self._mark = 0  # ``mark_of`` the state and the hand
        self._outer: list[tuple[int, bool, int | None, int, int]] = []
        self._dropped: set[Element] = set()
        self._counts: dict[str, int] = {}

    def notes(self) -> tuple[str, ...]:
        """Tell what was decided, with how often."""
        return tuple(f"{what} ({times} times)" if times > 1 else what for what, times in self._counts.items())

    def _note(self, what: str) -> None:
        self._counts[what] = self._counts.get(what, 0) + 1

    def _set_mark(self) -> None:
        self._mark = mark_of(self._state, self._writing if self._hand is None else self._hand)

    def _enter(self, state: int | None = None, hand: int | None = None) -> bool:
        self._outer.append((self._state, self._damaged, self._hand, self._mark, self._writing))
        if state is not None and (not self._state or self._damaged):  # not yet said, or only guessed
            self._state, self._damaged = int(state), False
            self._set_mark()
        if hand is not None:
            self._hand = hand
            self._set_mark()
        return True

    def _leave(self, _: Element) -> None:
        self._state, self._damaged, self._hand, self._mark, wrote = self._outer.pop()
        if wrote != self._writing:  # the hand shifted inside the element
            self._set_mark()

    def _mark_in(self, state: int, _: Element | None = None) -> int:
        """Give the mark of letters in an element that sets a state and holds no other element."""
        mark = self._mark
        return mark - self._state + state if not self._state or self._damaged else mark

    def _hand_of(self, element: Element) -> int | None:
        reference = element.get("hand")
        return self._header.hand(reference) if reference else None

    def _hand_begins(self, element: Element) -> bool:
        return self._enter(None, self._hand_of(element))

    def _mark_in_hand(self, element: Element) -> int:
        hand = self._hand_of(element)
        return self._mark if hand is None else mark_of(self._state, hand)

    def _state_begins(self, state: State, _: Element) -> bool:
        return self._enter(state)

    def _del_begins(self, element: Element) -> bool:
        parent = element.getparent()
        taken_back = parent is not None and local_name(parent) == "restore"
        return self._enter(None if taken_back else State.DELETED)

    def _supplied_begins(self, element: Element) -> bool:
        return self._enter(_state_supplied(element.get("reason")))

    def _mark_in_supplied(self, element: Element) -> int:
        return self._mark_in(_state_supplied(element.get("reason")))

    def _damage_begins(self, _: Element) -> bool:
        clear = self._state == State.CLEAR
        self._enter(State.UNCLEAR)
        self._damaged = self._damaged or clear
        return True

    def _add_begins(self, element: Element) -> bool:
        hand = self._hand_of(element)
        return self._enter(None, self._header.hand(ADDED_HAND) if hand is None else hand)

    def _note_begins(self, element: Element) -> bool:
        if element.get("hand") and not element.get("resp"):
            return self._hand_begins(element)
        self._note("editorial note left out")
        self._enter()
        return False

    def _hand_shifts(self, element: Element) -> bool:
        reference = element.get("new")
        if reference:
            self._writing = self._header.hand(reference)
            self._set_mark()
        return False

    # Abbreviations and alternatives.

    def _expan_begins(self, element: Element) -> bool:
        return self._enter(State.EXPANDED if element.find(".//{*}ex") is None else None)

    def _ex_begins(self, _: Element) -> bool:
        self._enter(State.EXPANDED)
        return self._reads_expansions

    def _mark_in_ex(self, _: Element) -> int:
        return self._mark_in(_EXPANDED)

    def _am_begins(self, element: Element) -> bool:
        """Read the sign of abbreviation, unless the letters it stands for are given and wanted."""
        parent = element.getparent()
        given = parent is not None and parent.find("{*}ex") is not None
        return not (given and self._reads_expansions)

    def _choice_begins(self, element: Element) -> bool:
        """Choose one side: the one asked for, else the first."""
        self._close_up(element)
        children = [child for child in element if isinstance(child.tag, str)]
        names = ["expan" if local_name(child) == "ex" else local_name(child) for child in children]
        names = ["abbr" if name == "am" else name for name in names]
        for kind, side in self._choice.items():
            if set(kind.split("|")) <= set(names):
                self._note(f"of {kind} the side {side} is read")
                read = names.index(side) if side in names else 0
                break
        else:
            if len(children) > 1:
                self._note(f"of {'|'.join(names)} the first is read")
            read = 0
        self._dropped.update(child for at, child in enumerate(children) if at != read)
        return True

    def _app_begins(self, element: Element) -> bool:
        """Of several readings take the editor's, else the first."""
        self._close_up(element)
        readings = [child for child in element if local_name(child) in ("lem", "rdg", "rdgGrp")]
        lemmas = [child for child in readings if local_name(child) == "lem"]
        read = [*lemmas, *readings][:1]
        self._dropped.update(child for child in element if child not in read)
        self._note("of several readings (app) the lemma, else the first, is read")
        return True

    def _close_up(self, element: Element) -> bool:
        """Take away white space that only sets the elements inside apart."""
        if element.text and element.text.isspace():
            element.text = None
        for child in element:
            if child.tail and child.tail.isspace():
                child.tail = None
        return True


@lru_cache(maxsize=64)  # a text gives a handful of reasons, each many times
def _state_supplied(reason: str | None) -> int:
    """Tell why a letter was supplied: it was lost, or never written."""
    reasons = (reason or "").lower().split()
    return int(State.SUPPLIED if NEVER_WRITTEN.intersection(reasons) else State.RESTORED)
