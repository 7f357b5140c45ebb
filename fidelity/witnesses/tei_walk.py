"""Walk through a TEI text once, from beginning to end, and gather its letters.

Arrives: the element tree and what its header declares. Leaves: the lines gathered, and notes. Start
reading at ``TeiWalk.read``; what each element means stands in ``tei_elements.py``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from typing import NamedTuple

from lxml import etree

from fidelity.errors import Fault
from fidelity.terms import LOST_LETTER, State
from fidelity.witnesses.tei_elements import BLOCKS, INLINE, LEFT_OUT, LETTER_UNITS, STATE_OF
from fidelity.witnesses.tei_header import TeiHeader
from fidelity.witnesses.tei_lines import TeiLines, mark_of
from fidelity.witnesses.tei_states import Element, TeiStates
from fidelity.witnesses.xml_source import Xml, local_name

MOST_LOST = 100_000  # letters in one gap or space: a book's worth; more is a slip of the pen

CITED = "citation"  # @type of a line beginning whose number is the whole of its citation

_BREAKS = {"no": "no", "yes": "yes"}  # what @break may say; anything else leaves it open
_PAGE_WORD = re.compile(r"(?:folio|fol|ff?|pages?|pp?)\b\.?(?=\d)", re.IGNORECASE)
_EXTENT = re.compile(r"(\d{1,9})\s*(?:char|letter|sign)", re.IGNORECASE)
_MEASURED = LETTER_UNITS | {"tab"}
_LOST = int(State.LOST)  # plain numbers: reckoning with members of an enumeration takes thrice as long
_TEI_SPACES = ("", "http://www.tei-c.org/ns/1.0")

_Start = Callable[[Element], bool]  # False: what is inside is not read
_End = Callable[[Element], None]
_Mark = Callable[[Element], int]


class _Doing(NamedTuple):
    """What is done where an element begins, and where it ends.

    Where it holds text alone, ``mark`` may give the mark of that text, and nothing more is done.
    """

    start: _Start | None = None
    end: _End | None = None
    mark: _Mark | None = None


_Plain = tuple[_Start | None, _End | None, _Mark | None]  # a _Doing for the loop: quicker to take apart


class TeiWalk(TeiStates):
    """A TEI text while it is being read.

    Attributes:
        lines: what has been gathered.
        fields: names of the parallel fields, where the text is a table.
        faults: what is wrong in it.
    """

    def __init__(self, xml: Xml, header: TeiHeader, choice: Mapping[str, str]) -> None:
        super().__init__(header, choice)
        self.lines = TeiLines()
        self.fields: tuple[str, ...] = ()
        self.faults: list[Fault] = []
        self._xml = xml
        self._word_depth = 0
        self._after_word = (-1, -1)
        self._first_cell = True
        self._doing: dict[object, _Plain] = {}  # by tag; comments and instructions have one too
        self._special = self._table()

    def read(self) -> None:
        """Read the whole tree."""
        root = self._xml.root
        if root.find("{*}text") is not None:  # the same text, told by its places on the leaf
            self._dropped.update(root.iterchildren("{*}sourceDoc"))
        open_elements: list[Element] = []
        unread: list[Iterator[Element]] = [iter((root,))]  # of each open element, the children to come
        while unread:
            opened = self._read_until_open(unread[-1])
            if opened is not None:
                open_elements.append(opened)
                unread.append(iter(opened))
                continue
            unread.pop()
            if open_elements:
                element = open_elements.pop()
                if end := self._doing[element.tag][1]:
                    end(element)
                if (tail := element.tail) and element is not root:
                    self.lines.add(tail, self._mark)
        self.lines.end_line()
        self._doing, self._special = {}, {}  # they refer back to the walk: without them it goes at once

    def _read_until_open(self, elements: Iterator[Element]) -> Element | None:
        """Read elements one after the other up to one that has elements inside, and begin that.

        Nearly all elements of a transcription hold text alone, so they are read in this one loop.
        """
        doing, dropped, add, root = self._doing, self._dropped, self.lines.add, self._xml.root
        for element in elements:
            if not (dropped and element in dropped):
                tag = element.tag
                start, end, mark = doing.get(tag) or self._learn(element)
                if mark is not None and not len(element):
                    inside = mark(element)
                    if text := element.text:
                        add(text, inside)
                    end = None
                elif start is None or start(element):
                    if text := element.text:
                        add(text, self._mark)
                    if len(element):
                        return element
                if end is not None:
                    end(element)
            if (tail := element.tail) and element is not root:
                add(tail, self._mark)
        return None

    def _table(self) -> dict[str, _Doing]:
        """Give what is done for each element that does not only hold text."""
        table = {
            name: _Doing(partial(self._state_begins, state), self._leave, partial(self._mark_in, int(state)))
            for name, state in STATE_OF.items()
        }
        table["del"] = _Doing(self._del_begins, self._leave)
        table |= {name: _Doing(self._block_begins, self._block_ends) for name in BLOCKS}
        table |= dict.fromkeys(
            ("seg", "hi", "label"), _Doing(self._hand_begins, self._leave, self._mark_in_hand)
        )
        table |= dict.fromkeys(LEFT_OUT, _Doing(lambda _: False))
        table |= {
            "lb": _Doing(self._line_begins),
            "pb": _Doing(self._page_begins),
            "cb": _Doing(self._column_begins),
            "w": _Doing(self._word_begins, self._word_ends),
            "pc": _Doing(None, self._mark_word),
            "supplied": _Doing(self._supplied_begins, self._leave, self._mark_in_supplied),
            "damage": _Doing(self._damage_begins, self._leave),
            "expan": _Doing(self._expan_begins, self._leave),
            "ex": _Doing(self._ex_begins, self._leave, self._mark_in_ex if self._reads_expansions else None),
            "am": _Doing(self._am_begins),
            "add": _Doing(self._add_begins, self._leave),
            "note": _Doing(self._note_begins, self._leave),
            "gap": _Doing(self._gap),
            "space": _Doing(self._space),
            "choice": _Doing(self._choice_begins),
            "app": _Doing(self._app_begins),
            "subst": _Doing(self._close_up),
            "handShift": _Doing(self._hand_shifts),
            "g": _Doing(self._glyph),
            "table": _Doing(self._close_up),
            "row": _Doing(self._row_begins, lambda _: self.lines.end_line("yes")),
            "cell": _Doing(self._cell_begins),
        }
        return table

    def _learn(self, element: Element) -> _Plain:
        """Find what is done for an element met for the first time; an unknown one is noted."""
        name = local_name(element)
        if not name:  # a comment or an instruction
            return self._doing.setdefault(element.tag, (lambda _: False, None, None))
        space = etree.QName(element).namespace or ""
        do = self._special.get(name, _Doing()) if space in _TEI_SPACES else _Doing()
        if space not in _TEI_SPACES or (name not in INLINE | BLOCKS | LEFT_OUT):
            self._note(f"unknown element <{name}>, first in line {element.sourceline}: its text is kept")
        return self._doing.setdefault(element.tag, (do.start, do.end, do.mark))

    # Lines, pages, blocks and words.

    def _line_begins(self, element: Element) -> bool:
        number = element.get("n")
        if number and len(element.keys()) == 1:  # as most are
            self.lines.begin_line(number.strip() or None, "no" if self._word_depth else None)
            return False
        if self._of_an_edition(element):
            return False
        breaks = _BREAKS.get(element.get("break", "")) or ("no" if self._word_depth else None)
        if element.get("type") == CITED:
            self.lines.begin_line(number or "", breaks, cited=True)
        else:
            self.lines.begin_line(number.strip() or None if number else None, breaks)
        return False

    def _page_begins(self, element: Element) -> bool:
        if self._of_an_edition(element):
            return False
        number = element.get("n")
        if number is not None:
            number = _PAGE_WORD.sub("", "".join(number.split()), count=1)
        self.lines.begin_page(
            number, _BREAKS.get(element.get("break", "")) or ("no" if self._word_depth else None)
        )
        return False

    def _column_begins(self, element: Element) -> bool:
        if not self._of_an_edition(element):
            number = "".join((element.get("n") or "").split())
            self.lines.begin_column(
                number, _BREAKS.get(element.get("break", "")) or ("no" if self._word_depth else None)
            )
        return False

    def _of_an_edition(self, element: Element) -> bool:
        """Tell whether a line or page beginning is that of some edition, not of the manuscript."""
        edition = element.get("ed") or element.get("edRef")
        if edition:
            self._note(f"lines or pages of the edition {edition} are left out of account")
        return bool(edition)

    def _block_begins(self, element: Element) -> bool:
        self.lines.begin_block()
        number = element.get("n")
        if number and local_name(element) in ("l", "line") and number.strip():
            self.lines.name_line(number.strip())
        return self._hand_begins(element)

    def _block_ends(self, element: Element) -> None:
        self._leave(element)
        self.lines.begin_block()

    def _word_begins(self, element: Element) -> bool:
        joined = element.get("part") in ("M", "F") or element.get("join") in ("left", "both")
        if not joined and self._after_word == self.lines.reached():
            self.lines.begin_word()
        self._word_depth += 1
        return True

    def _word_ends(self, element: Element) -> None:
        self._word_depth -= 1
        self._mark_word(element)

    def _mark_word(self, element: Element) -> None:
        joined = element.get("part") in ("I", "M") or element.get("join") in ("right", "both")
        self._after_word = (-1, -1) if joined else self.lines.reached()

    def _row_begins(self, element: Element) -> bool:
        self._close_up(element)
        self._first_cell = True
        self.lines.end_line("yes")
        if element.get("role") == "label" and not self.fields:
            self.fields = tuple("".join(cell.itertext()).strip() for cell in element.iterchildren("{*}cell"))
            return False
        if number := (element.get("n") or "").strip():
            self.lines.name_line(number)
        return True

    def _cell_begins(self, _: Element) -> bool:
        if not self._first_cell:
            self.lines.mark_tab()
        self._first_cell = False
        return True

    # What stands for letters.

    def _gap(self, element: Element) -> bool:
        letters = LOST_LETTER * self._measured(element)
        self.lines.add(letters, mark_of(_LOST, self._mark // 8))
        return False

    def _space(self, element: Element) -> bool:
        blank = "\t" if element.get("unit") == "tab" else " "
        self.lines.space(blank * self._measured(element), self._mark)
        return False

    def _measured(self, element: Element) -> int:
        """Give how many letters a gap or a space takes: as it says, else one."""
        quantity, unit = element.get("quantity"), (element.get("unit") or "").lower()
        if quantity is None or unit not in _MEASURED:
            found = _EXTENT.search(element.get("extent") or "")
            quantity = found[1] if found else "1"
        number = int(quantity) if quantity.isdecimal() and len(quantity) < 10 else -1
        if 0 < number <= MOST_LOST:
            return number
        what = f"{quantity} is no number of letters"
        remedy = f"give a whole number from 1 to {MOST_LOST:,}"
        self.faults.append(self._xml.fault(element, what, remedy))
        return 1

    def _glyph(self, element: Element) -> bool:
        """Give the letter of a <g>: what it holds, else what the header maps it to."""
        if (element.text and element.text.strip()) or len(element):
            return True
        name = (element.get("ref") or "").strip().removeprefix("#")
        letters = self._header.glyphs.get(name, "")
        if letters:
            self.lines.add(letters, self._mark)
        else:
            remedy = "declare it in charDecl with a mapping, or write the letter inside <g>"
            self.faults.append(self._xml.fault(element, f"no letter is known for the glyph {name!r}", remedy))
        return False
