"""Walk through a TEI text once, from beginning to end, and gather its letters.

Arrives: the document and what its header declares. Leaves: the lines gathered, and notes. Start
reading at ``TeiWalk.read``; what each element means stands in ``tei_elements.py``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from functools import partial

from fidelity.errors import DataError
from fidelity.witnesses.tei_elements import BLOCKS, INLINE, LEFT_OUT, READ_ATTRIBUTES, SPANS, STATE_OF
from fidelity.witnesses.tei_header import TeiHeader
from fidelity.witnesses.tei_places import MOST_KNOWN, SET_APART, Action, Place, Shift
from fidelity.witnesses.tei_signs import TeiSigns
from fidelity.witnesses.tei_states import Met, both
from fidelity.witnesses.tei_tokens import DROPPED, DROPPED_EMPTY, Tag, Tokens, tag_of
from fidelity.witnesses.xml_source import DEEPEST, Xml, fault_at

CITED = "citation"  # @type of a line beginning whose number is the whole of its citation

_BREAKS = {"no": "no", "yes": "yes"}  # what @break may say; anything else leaves it open
_PAGE_WORD = re.compile(r"(?:folio|fol|ff?|pages?|pp?)\b\.?(?=\d)", re.IGNORECASE)
_INCLUSIONS = "http://www.w3.org/2001/XInclude"
_TEI_SPACES = ("", "http://www.tei-c.org/ns/1.0")


class TeiWalk(TeiSigns):
    """A TEI text while it is being read.

    Attributes:
        lines: what has been gathered.
        fields: names of the parallel fields, where the text is a table.
        faults: what is wrong in it.
    """

    def __init__(self, xml: Xml, header: TeiHeader, choice: Mapping[str, str]) -> None:
        super().__init__(xml, header, choice)
        self.fields: tuple[str, ...] = ()
        self._after_word = (-1, -1)
        self._first_cell = True
        self._pages: dict[str, int] = {}  # the tags that they begin with
        self._unknown: set[tuple[str, str]] = set()
        self._meets = self._table()
        if xml.has_loose_marks:
            self.lines.without_letter = self._mark_without_letter

    def read(self) -> None:
        """Read the whole document."""
        root = self._xml.root  # beside a text, a sourceDoc is the same, told by its places on the leaf
        if root.find("{*}sourceDoc") is not None and root.find("{*}text") is not None:
            for child in list(self._tokens.children(0)):
                if self._tokens.name(child) == "sourceDoc":
                    self._tokens.drop(child)
        here = Place("", None, Shift())
        add_text, add_mark = self.lines.pieces.append, self.lines.marks.append
        for tag, text in self._to_come:
            do, here = here.known.get(tag) or self._meet(here, tag)
            if do is not None and (moved := do()) is not None:
                here = moved
            if text:
                mark = here.mark
                if mark >= 0:
                    add_text(text)
                    add_mark(mark)
                elif mark == SET_APART and not text.isspace():
                    self.lines.add(text, here.text_mark())
        self.lines.end_line()
        for name, span in self._spans.items():
            remedy = f'set <anchor xml:id="{name or "…"}"/> where it ends, and name it in spanTo'
            self._fault(f"this stretch has no end: no {name!r} comes after it", remedy, span.at)
        # What is known of the places refers back to the walk, so that it does not go at once.
        self._tokens, self._to_come = Tokens([], [], ""), iter(())

    def _meet(self, here: Place, written: str) -> Met:
        """Find what is done where a tag is met in a place for the first time."""
        if written[0] == "/":
            met: Met = here.ending, here.outer or here  # an end tag stands inside an element
        elif written == DROPPED:
            met = self._pass_over, here.left_out()
        elif written == DROPPED_EMPTY:
            met = None, here
        else:
            tag = tag_of(written)
            if self._spans and (after := self._span_ends(here, tag)) is not here:
                return self._meet(after, written)
            # Of the attributes few say how the element is read: a number for each word does not.
            alike = (tag.name, tag.empty, *(tag.attributes.get(name) for name in READ_ATTRIBUTES))
            declares = any(name.startswith("xmlns") for name in tag.attributes)
            met = (None if declares else here.known.get(alike)) or self._meet_element(here, tag)
            if not declares and len(here.known) < MOST_KNOWN:
                here.known[alike] = met
        if len(here.known) < MOST_KNOWN:
            here.known[written] = met
        return met

    def _meet_element(self, here: Place, tag: Tag) -> Met:
        """Find what is done for an element; an unknown one is noted, and its text kept."""
        if here.depth > DEEPEST:
            what = f"elements stand inside each other more than {DEEPEST:,} deep"
            at = self._tokens.place(self._at())
            fault = fault_at(self._xml.letters, at, self._xml.file, what, "check that it is an edition")
            raise DataError(faults=[fault])
        spaces = here.spaces
        for name, value in tag.attributes.items():
            if name == "xmlns" or name.startswith("xmlns:"):
                spaces = {**spaces, name[6:]: value}
        name, space = tag.local_name, spaces.get(tag.name.rpartition(":")[0], "")
        known = space in _TEI_SPACES and name in INLINE | BLOCKS | LEFT_OUT
        if space == _INCLUSIONS and name == "include":
            what = f"a part of the text is elsewhere, in {tag.get('href') or 'another place'}"
            remedy = "nothing is fetched: put that part in here, or take this element away"
            return self._done(partial(self._fault, what, remedy), here, tag)
        if not known and (name, space) not in self._unknown:
            self._unknown.add((name, space))
            line = self._tokens.line(self._at())
            self._note(f"unknown element <{name}>, first in line {line}: its text is kept")
        meets = self._meets.get(name) if space in _TEI_SPACES else None
        do, inner = meets(here, tag) if meets else (None, here.inside(name))
        if inner.outer is not here:  # nothing is inside
            return do, inner
        inner.spaces = spaces
        if not tag.empty:
            return do, inner
        if inner.ending is not None:
            return (inner.ending if do is None else partial(both, do, inner.ending)), here
        return do, here

    def _table(self) -> dict[str, Callable[[Place, Tag], Met]]:
        """Give what is done for each element that does not only hold text."""
        table: dict[str, Callable[[Place, Tag], Met]] = {
            name: partial(self._in_state, state) for name, state in STATE_OF.items()
        }
        table |= dict.fromkeys(BLOCKS, self._block)
        table |= dict.fromkeys(("seg", "hi", "label"), self._in_hand)
        table |= dict.fromkeys(("subst", "table"), self._set_apart)
        table |= dict.fromkeys(LEFT_OUT, self._left_out)
        return table | {
            "lb": self._line_begins,
            "pb": self._page_begins,
            "cb": self._column_begins,
            "w": self._word,
            "pc": self._punctuation,
            "del": self._deleted,
            "supplied": self._supplied,
            "damage": self._damaged,
            "expan": self._expanded,
            "ex": self._written_out,
            "am": self._abbreviation_sign,
            "add": self._added,
            "note": self._noted,
            "gap": self._gap,
            "space": self._space,
            "choice": self._chosen,
            "app": self._of_readings,
            "handShift": self._hand_shifts,
            **dict.fromkeys(SPANS, self._span_begins),
            "g": self._glyph,
            "row": self._row,
            "cell": self._cell,
        }

    def _mark_without_letter(self, mark: str) -> None:
        what = f"a mark (U+{ord(mark):04X}) with no letter under it"
        self._fault(what, "put it into the element of its letter; it stands before this place")

    # Lines, pages, blocks and words.

    def _milestone(self, here: Place, tag: Tag, do: Action | None) -> Met:
        """Do what a tag says that has nothing inside; lines of an edition are none of the manuscript."""
        if edition := tag.get("ed") or tag.get("edRef"):
            do = partial(self._note, f"lines or pages of the edition {edition} are left out of account")
        return self._done(do, here, tag)

    def _breaks(self, here: Place, tag: Tag) -> str | None:
        return _BREAKS.get(tag.get("break")) or ("no" if here.in_word else None)

    def _line_begins(self, here: Place, tag: Tag) -> Met:
        number, breaks = tag.get("n"), self._breaks(here, tag)
        if tag.get("type") == CITED:
            return self._milestone(here, tag, partial(self.lines.begin_line, number, breaks, cited=True))
        return self._milestone(here, tag, partial(self.lines.begin_line, number.strip() or None, breaks))

    def _page_begins(self, here: Place, tag: Tag) -> Met:
        number = tag.attributes.get("n")
        if number is not None:
            number = _PAGE_WORD.sub("", "".join(number.split()), count=1)
        return self._milestone(here, tag, partial(self._page, number, self._breaks(here, tag)))

    def _page(self, number: str | None, breaks: str | None) -> None:
        """Begin a page; two pages cited alike are a fault, for so would be their lines."""
        page = self.lines.begin_page(number, breaks)
        if page and (first := self._pages.setdefault(page, self._at())) != self._at():
            what = f"a page {page} begins a second time (first in line {self._tokens.line(first)})"
            self._fault(what, "give each pb its own n, so that every line can be cited")

    def _column_begins(self, here: Place, tag: Tag) -> Met:
        number = "".join(tag.get("n").split())
        return self._milestone(here, tag, partial(self.lines.begin_column, number, self._breaks(here, tag)))

    def _block(self, here: Place, tag: Tag) -> Met:
        do: Action = self.lines.begin_block
        number = tag.get("n").strip()
        if number and tag.local_name in ("l", "line"):
            do = partial(both, do, partial(self.lines.name_line, number))
        _, inner = self._in_hand(here, tag)
        inner.ending = self.lines.begin_block
        return do, inner

    def _word(self, here: Place, tag: Tag) -> Met:
        runs_on = tag.get("part") in ("M", "F") or tag.get("join") in ("left", "both")
        inner = here.inside("w")
        inner.in_word = True
        inner.ending = self._mark_word(tag)
        return None if runs_on else self._part_words, inner

    def _part_words(self) -> None:
        if self._after_word == self.lines.reached():
            self.lines.begin_word()

    def _punctuation(self, here: Place, tag: Tag) -> Met:
        inner = here.inside("pc")
        inner.ending = self._mark_word(tag)
        return None, inner

    def _mark_word(self, tag: Tag) -> Action:
        if tag.get("part") in ("I", "M") or tag.get("join") in ("right", "both"):
            return self._word_runs_on
        return self._word_is_over

    def _word_runs_on(self) -> None:
        self._after_word = (-1, -1)

    def _word_is_over(self) -> None:
        self._after_word = self.lines.reached()

    def _row(self, here: Place, tag: Tag) -> Met:
        inner = here.inside("row").set_apart()
        inner.ending = partial(self.lines.end_line, "yes")
        return partial(self._row_begins, tag, here), inner

    def _row_begins(self, tag: Tag, here: Place) -> Place | None:
        self._first_cell = True
        self.lines.end_line("yes")
        if tag.get("role") == "label" and not self.fields:
            if tag.empty:
                return None
            cells = [at for at in self._tokens.children(self._at()) if self._tokens.name(at) == "cell"]
            self.fields = tuple(self._tokens.text_in(at).strip() for at in cells)
            return self._left_out_now(here)
        if number := tag.get("n").strip():
            self.lines.name_line(number)
        return None

    def _cell(self, here: Place, _: Tag) -> Met:
        return self._cell_begins, here.inside("cell")

    def _cell_begins(self) -> None:
        if not self._first_cell:
            self.lines.mark_tab()
        self._first_cell = False
