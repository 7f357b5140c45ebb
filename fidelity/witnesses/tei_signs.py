"""What stands for letters in a TEI text: gaps, spaces, and signs that the header explains.

Arrives: start tags, one after the other, and the places they are met in. Leaves: letters added to
the lines, or faults. Start reading at ``TeiSigns``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial

from fidelity.errors import Fault
from fidelity.terms import LOST_LETTER, State
from fidelity.witnesses.source_text import MOST_FAULTS
from fidelity.witnesses.tei_elements import LETTER_UNITS
from fidelity.witnesses.tei_header import TeiHeader
from fidelity.witnesses.tei_lines import TeiLines, mark_of
from fidelity.witnesses.tei_places import Action, Place
from fidelity.witnesses.tei_states import Met, TeiStates
from fidelity.witnesses.tei_tokens import Tag, tokens_of
from fidelity.witnesses.xml_source import Xml, fault_at

MOST_LOST = 100_000  # letters in one gap or space: a book's worth; more is a slip of the pen

_EXTENT = re.compile(r"(\d{1,9})\s*(?:char|letter|sign)", re.IGNORECASE)
_BARE_EXTENT = re.compile(r"\s*+(?:(?:c|ca|circa|about)\b\.?|[±~])?\s*+(\d{1,9})\s*+", re.IGNORECASE)
_MEASURED = LETTER_UNITS | {"tab"}
# plain numbers: reckoning with members of an enumeration takes thrice as long
_LOST, _LOST_UNKNOWN = int(State.LOST), int(State.LOST_UNKNOWN)


class TeiSigns(TeiStates):
    """The part of the walk that sees to what stands for letters.

    Attributes:
        lines: what has been gathered.
        faults: what is wrong in the text.
    """

    def __init__(self, xml: Xml, header: TeiHeader, choice: Mapping[str, str]) -> None:
        super().__init__(tokens_of(xml.letters), header, choice)
        self.lines = TeiLines()
        self.faults: list[Fault] = []
        self._xml = xml

    def _gap(self, here: Place, tag: Tag) -> Met:
        state = _LOST if self._letters_of(tag) else _LOST_UNKNOWN
        return self._measured(here, tag, LOST_LETTER, self.lines.add, mark_of(state, here.text_mark() // 8))

    @staticmethod
    def _letters_of(tag: Tag) -> str:
        """Give how many letters a gap or a space is said to hold; "" where it is not said.

        A space without a unit is counted in letters; of a gap without one it is not known what is lost.
        """
        quantity, extent = tag.attributes.get("quantity"), tag.get("extent")
        unit = tag.get("unit", "chars" if tag.local_name == "space" else "").lower()
        if quantity is not None and unit in _MEASURED:
            return quantity
        found = _EXTENT.search(extent) or (_BARE_EXTENT.fullmatch(extent) if unit in _MEASURED else None)
        return found[1] if found else ""

    def _space(self, here: Place, tag: Tag) -> Met:
        blank = "\t" if tag.get("unit") == "tab" else " "
        return self._measured(here, tag, blank, self.lines.space, here.text_mark())

    def _measured(
        self, here: Place, tag: Tag, letter: str, add: Callable[[str, int], None], mark: int
    ) -> Met:
        """Add so many letters for a gap or a space as it says, else one."""
        quantity = self._letters_of(tag) or "1"
        number = int(quantity) if quantity.isdecimal() and len(quantity) < 10 else -1
        do: Action = partial(add, letter * number, mark)
        if not 0 < number <= MOST_LOST:
            remedy = f"give a whole number from 1 to {MOST_LOST:,}"
            do = partial(self._fault, f"{quantity} is no number of letters", remedy)
        return self._done(do, here, tag)

    def _fault(self, what: str, remedy: str, tag: int | None = None) -> None:
        """Take note of a fault; of a list that nobody would read only the beginning."""
        if len(self.faults) < MOST_FAULTS:
            at = self._tokens.place(self._at() if tag is None else tag)
            self.faults.append(fault_at(self._xml.letters, at, self._xml.file, what, remedy))
        elif len(self.faults) == MOST_FAULTS:
            self.faults.append(Fault("and more faults of this kind", self._xml.file))

    def _glyph(self, here: Place, tag: Tag) -> Met:
        """Give the letter of a <g>: what it holds, else what the header maps it to."""
        name = tag.get("ref").strip().removeprefix("#")
        letters = self._header.glyphs.get(name, "")
        remedy = "declare it in charDecl with a mapping, or write the letter inside <g>"
        do: Action = partial(self._fault, f"no letter is known for the glyph {name!r}", remedy)
        if letters:
            do = partial(self.lines.add, letters, here.text_mark())
        if tag.empty:
            return do, here
        inner, left_out = here.inside("g"), here.left_out()

        def read() -> Place | None:
            at = self._at()
            if self._tokens.tags[at + 1][0] != "/" or self._tokens.texts[at].strip():
                return None
            do()
            return left_out

        return read, inner
