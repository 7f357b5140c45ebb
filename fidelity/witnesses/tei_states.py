"""States, hands and alternatives in a TEI text: what holds of the letters inside an element.

Arrives: start tags, one after the other, and the places they are met in. Leaves: the place inside
each, and which side of a choice is read. Start reading at ``TeiStates``.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping
from functools import partial
from itertools import islice
from operator import length_hint
from typing import Any, NamedTuple

from fidelity.terms import State
from fidelity.witnesses.tei_elements import NEVER_WRITTEN
from fidelity.witnesses.tei_header import ADDED_HAND, TeiHeader
from fidelity.witnesses.tei_places import Action, Place, Shift
from fidelity.witnesses.tei_tokens import Tag, Tokens


class Span(NamedTuple):
    """A stretch of text whose end has not been reached.

    Attributes:
        what: "del", "damage" or "add".
        hand: who added it.
        at: number of the tag that begins it.
    """

    what: str
    hand: int | None
    at: int


Met = tuple[Action | None, Place]  # what is done where a tag is met, and the place that follows


class TeiStates:
    """The part of the walk that sees to states, hands, abbreviations and alternatives."""

    def __init__(self, tokens: Tokens, header: TeiHeader, choice: Mapping[str, str]) -> None:
        self._tokens, self._header, self._choice = tokens, header, choice
        self._reads_expansions = choice["abbr|expan"] == "expan"
        self._counts: dict[str, int] = {}
        self._spans: dict[str, Span] = {}  # those that are open, by the mark that will end them
        self._tags_to_come = iter(tokens.tags)
        self._to_come: Any = zip(self._tags_to_come, tokens.texts, strict=True)

    def notes(self) -> tuple[str, ...]:
        """Tell what was decided, with how often."""
        return tuple(f"{what} ({times} times)" if times > 1 else what for what, times in self._counts.items())

    def _note(self, what: str) -> None:
        self._counts[what] = self._counts.get(what, 0) + 1

    def _at(self) -> int:
        """Give the number of the tag that is being read."""
        return len(self._tokens.tags) - length_hint(self._tags_to_come) - 1

    def _pass_over(self) -> None:
        """Go on to the end of the element that has just begun, without reading what is in it."""
        depth = 1
        for inside, tag in enumerate(islice(self._tokens.tags, self._at() + 1, None)):
            depth += -1 if tag[0] == "/" else int(tag[-1] != "/")
            if not depth:
                deque(islice(self._to_come, inside), maxlen=0)
                return

    def _left_out(self, here: Place, tag: Tag) -> Met:
        return self._done(None, here, tag)

    def _done(self, do: Action | None, here: Place, tag: Tag) -> Met:
        """Do what a tag says; what may stand in its element is not read."""
        if tag.empty:
            return do, here
        return self._pass_over if do is None else partial(both, do, self._pass_over), here.left_out()

    def _left_out_now(self, here: Place) -> Place:
        self._pass_over()
        return here.left_out()

    def _hand_of(self, tag: Tag, *, writes: bool = False) -> int | None:
        reference = tag.get("hand")
        return self._header.hand(reference, writes=writes) if reference else None

    def _in_hand(self, here: Place, tag: Tag) -> Met:
        return None, here.inside(tag.local_name, hand=self._hand_of(tag, writes=tag.local_name != "note"))

    def _in_state(self, state: State, here: Place, tag: Tag) -> Met:
        return None, here.inside(tag.local_name, state=int(state))

    def _deleted(self, here: Place, tag: Tag) -> Met:
        self._header.hands.mentioned.add(tag.get("hand").strip().removeprefix("#"))  # not its letters' hand
        taken_back = here.name == "restore"
        return None, here.inside("del", state=None if taken_back else int(State.DELETED))

    def _supplied(self, here: Place, tag: Tag) -> Met:
        """A letter was supplied because it was lost, or because it was never written."""
        reasons = tag.get("reason").lower().split()
        state = State.SUPPLIED if NEVER_WRITTEN.intersection(reasons) else State.RESTORED
        return None, here.inside("supplied", state=int(state))

    def _damaged(self, here: Place, _: Tag) -> Met:
        return None, here.damaged_inside()

    def _added(self, here: Place, tag: Tag) -> Met:
        hand = self._hand_of(tag)
        return None, here.inside("add", hand=self._header.hand(ADDED_HAND) if hand is None else hand)

    def _noted(self, here: Place, tag: Tag) -> Met:
        if tag.get("hand") and not tag.get("resp"):
            return self._in_hand(here, tag)
        return self._done(partial(self._note, "editorial note left out"), here, tag)

    def _hand_shifts(self, here: Place, tag: Tag) -> Met:
        reference = tag.get("new")
        if reference:
            here = here.under(here.shift._replace(writing=self._header.hand(reference, writes=True)))
        return self._left_out(here, tag)

    def _span_begins(self, here: Place, tag: Tag) -> Met:
        """A stretch that other elements cross is deleted, damaged or added, up to a mark that it names."""
        end = tag.get("spanTo").strip().removeprefix("#")
        what = tag.local_name.removesuffix("Span")
        hand = None
        if what == "add":
            named = self._hand_of(tag)
            hand = self._header.hand(ADDED_HAND) if named is None else named

        def begin() -> Place:
            self._spans[end] = Span(what, hand, self._at())
            if not tag.empty:
                self._pass_over()
            after = self._now(here)
            return after if tag.empty else after.left_out()

        return begin, here

    def _span_ends(self, here: Place, tag: Tag) -> Place:
        """Give the place after the end of a span, if this element is the mark of it."""
        if self._spans.pop(tag.get("xml:id"), None) is None:
            return here
        return self._now(here)

    def _now(self, here: Place) -> Place:
        """Give a place under the spans that are open now."""
        kinds = {span.what for span in self._spans.values()}
        hands = [span.hand for span in self._spans.values() if span.hand is not None]
        shift = Shift(here.shift.writing, "del" in kinds, "damage" in kinds, hands[-1] if hands else None)
        return here.under(shift)

    # Abbreviations and alternatives.

    def _expanded(self, here: Place, tag: Tag) -> Met:
        """Letters written out are those in <ex>; where there is none, all."""
        if tag.empty:
            return None, here
        all_of_it, some = here.inside("expan", state=int(State.EXPANDED)), here.inside("expan")
        return lambda: some if self._tokens.has_ex(self._at()) else all_of_it, some

    def _written_out(self, here: Place, tag: Tag) -> Met:
        if self._reads_expansions:
            return None, here.inside("ex", state=int(State.EXPANDED))
        return self._left_out(here, tag)

    def _abbreviation_sign(self, here: Place, tag: Tag) -> Met:
        """Read the sign of abbreviation, unless the letters it stands for are given and wanted."""
        inside = here.inside("am")
        if tag.empty or not self._reads_expansions:
            return None, inside
        return lambda: self._left_out_now(here) if self._tokens.is_written_out(self._at()) else inside, inside

    def _chosen(self, here: Place, tag: Tag) -> Met:
        return None if tag.empty else self._choose, here.inside("choice").set_apart()

    def _choose(self) -> None:
        """Choose one side: the one asked for, else the first."""
        children = list(self._tokens.children(self._at()))
        names = ["expan" if name == "ex" else name for name in map(self._tokens.name, children)]
        names = ["abbr" if name == "am" else name for name in names]
        read = 0
        for kind, side in self._choice.items():
            if set(kind.split("|")) <= set(names):
                self._note(f"of {kind} the side {side} is read")
                read = names.index(side) if side in names else 0
                break
        else:
            if len(children) > 1:
                self._note(f"of {'|'.join(names)} the first is read")
        for at, child in enumerate(children):
            if at != read:
                self._tokens.drop(child)

    def _of_readings(self, here: Place, tag: Tag) -> Met:
        return None if tag.empty else self._choose_reading, here.inside("app").set_apart()

    def _choose_reading(self) -> None:
        """Of several readings take the editor's, else the first."""
        children = list(self._tokens.children(self._at()))
        names = list(map(self._tokens.name, children))
        lemmas = [child for child, name in zip(children, names, strict=True) if name == "lem"]
        readings = [child for child, name in zip(children, names, strict=True) if name in ("rdg", "rdgGrp")]
        read = [*lemmas, *readings][:1]
        for child in children:
            if child not in read:
                self._tokens.drop(child)
        self._note("of several readings (app) the lemma, else the first, is read")

    def _set_apart(self, here: Place, tag: Tag) -> Met:
        """White space between the elements in here is none of the text."""
        return None, here.inside(tag.local_name).set_apart()


def both(first: Action, then: Action) -> None:
    """Do one thing after the other."""
    first()
    then()
