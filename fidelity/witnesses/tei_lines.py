"""Gather the letters of a TEI text into manuscript lines.

Arrives: stretches of text with their state and hand, line and page beginnings, in the order of the
document. Leaves: the columns of a ``Witness``. Start reading at ``TeiLines``.

White space is folded as the TEI Guidelines ask (chapter 1, "White space"): line ends of the file
are no line ends of the manuscript, and none stands at a line's beginning or end.
"""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from fidelity.terms import Witness
from fidelity.witnesses.loose_marks import join_loose_marks
from fidelity.witnesses.plain import LINE_END_MARKS, _runs_on

NO_MARK = "\u00ad"  # stands as line-end mark where the word runs on and the manuscript has no sign for it

_WHITE = " \t\n"  # white space of XML; a non-breaking space is a letter
_TO_FOLD = re.compile("[ \t\n]{2,}|[\t\n]")
_STATES = 8  # there are no more
_NOBODY = 256  # in place of a hand, of which there are 255: of blanks that stand for a line's end
# A space that the manuscript has is not folded: until its line ends it is written so (no text may be).
_SPACE, _TAB = "\0", "\1"
_AS_WRITTEN = str.maketrans(" \t", _SPACE + _TAB)
_AS_READ = str.maketrans(_SPACE + _TAB, " \t")


def mark_of(state: int, hand: int) -> int:
    """Give one number for state and hand: it is looked up for every letter."""
    return state + _STATES * hand


BETWEEN = mark_of(0, _NOBODY)  # of blanks that nobody wrote


class TeiLines:
    """The manuscript lines of a text while it is being read.

    Attributes:
        pieces: stretches of letters of one state and one hand, in order; the reader adds them.
        marks: ``mark_of`` each piece.
        numbered: whether the last line beginning had a number: then only such begin lines.
        without_letter: told of a mark that an element parts from its letter where no letter is
            before it; None where there are no such marks.

    The two are lists side by side: a record for each piece would keep the collector of unused
    memory busy, and take thrice as long. White space in them is folded when the line ends.
    """

    def __init__(self) -> None:
        self.pieces: list[str] = []
        self.marks = array("H")  # sixteen bits: eight states, one byte for the hand
        self.numbered = False
        self.without_letter: Callable[[str], None] | None = None
        self._starts: list[int] = []  # of each line ended, its first stretch
        self._labels: list[str] = []
        self._line_pages: list[str] = []
        self._breaks: list[str | None] = []  # "no": the word runs on; "yes": not; None: a hyphen decides
        self._begin = 0  # first stretch of the line that is being read
        self._page = self._place = ""  # the place opens a line's citation: "12r:", "12ra:"
        self._last_number = ""
        self._label: str | None = None
        self._count = 0
        self._pages = self._columns = 0

    def __len__(self) -> int:
        return len(self._starts)

    def add(self, text: str, mark: int = 0) -> None:
        """Add letters of one ``mark_of`` state and hand."""
        self.pieces.append(text)
        self.marks.append(mark)

    def space(self, blanks: str, mark: int = 0) -> None:
        """Add a space left in the manuscript; white space beside it is none."""
        self.add(blanks.translate(_AS_WRITTEN), mark)

    def mark_tab(self) -> None:
        """Part two fields of an entry."""
        self.space("\t")

    def _fold(self) -> bool:
        """Fold the white space of the line that is being read; tell whether anything stands in it."""
        pieces, begin = self.pieces, self._begin
        while len(pieces) > begin:
            last = pieces[-1].rstrip(_WHITE)
            if last:
                pieces[-1] = last
                break
            del pieces[-1], self.marks[-1]
        else:
            return False
        first = pieces[begin].lstrip(_WHITE)
        pieces[begin] = first
        whole = first if len(pieces) == begin + 1 else "".join(pieces[begin:])
        if not first or "\n" in whole or "  " in whole or "\t" in whole or _SPACE in whole or _TAB in whole:
            self._fold_each()
        return True

    def _fold_each(self) -> None:
        """Fold the white space piece by piece: of several blanks together the first is kept."""
        kept: list[str] = []
        marks = array("H")
        blank, closed = False, True  # whether the last ends in a blank; whether another may follow it
        for text, mark in zip(self.pieces[self._begin :], self.marks[self._begin :], strict=True):
            text = _TO_FOLD.sub(" ", text)
            own = text[:1] in (_SPACE, _TAB)
            if own:
                text = text.translate(_AS_READ)
                if blank:
                    _trim(kept, marks)
            elif closed and text[:1] == " ":
                text = text[1:]
            if text:
                kept.append(text)
                marks.append(mark)
                blank = text[-1] == " " and not own
                closed = blank or own
        if blank:
            _trim(kept, marks)
        self.pieces[self._begin :], self.marks[self._begin :] = kept, marks

    def end_line(self, breaks: str | None = None) -> None:
        """End the line, if anything stands in it; else what is said holds of the line before."""
        if self.without_letter is not None:
            join_loose_marks(self.pieces, self._begin, self.without_letter)
        if len(self.pieces) > self._begin and self._fold():
            if self._label is None:
                self._count = self._counted() + 1
                self._label = self._place + str(self._count)
            self._starts.append(self._begin)
            self._labels.append(self._label)
            self._line_pages.append(self._page)
            self._breaks.append(breaks)
            self.add(" ", BETWEEN)  # stands for the line end
            self._begin, self._label = len(self.pieces), None
        elif breaks and self._breaks and self._breaks[-1] != "no":
            self._breaks[-1] = breaks

    def begin_line(self, number: str | None, breaks: str | None, cited: bool = False) -> None:
        """Begin a line, with its number if it has one; a number given as citation is the whole of it."""
        self.end_line(breaks)
        if number is None or cited:
            self.numbered = cited
            self._count = self._counted() + 1
            self._label = number if cited else self._place + str(self._count)
        else:
            self.numbered = True
            self._last_number = number
            self._count += 1
            self._label = self._place + number

    def _counted(self) -> int:
        """Give the number of the line reached: as it was last given, if that was a number, else counted."""
        number, self._last_number = self._last_number, ""
        return int(number) if number.isdecimal() and len(number) < 10 else self._count

    def begin_page(self, number: str | None, breaks: str | None) -> str:
        """Begin a page, cited by its number, else by its place among the pages; gives how it is cited."""
        self.end_line(breaks)
        self._pages += 1
        self._page = str(self._pages) if number is None else number
        self._columns = 0
        self._begin_counting(self._page)
        return self._page

    def begin_column(self, number: str | None, breaks: str | None) -> None:
        """Begin a column of the page; its lines are cited as "12ra:1"."""
        self.end_line(breaks)
        self._columns += 1
        self._begin_counting(self._page + (number or chr(ord("a") + (self._columns - 1) % 26)))

    def _begin_counting(self, place: str) -> None:
        """Count lines anew in a page or column."""
        self._place = f"{place}:" if place else ""
        self._count, self._last_number, self._label, self.numbered = 0, "", None, False

    def begin_block(self) -> None:
        """Begin or end a paragraph, heading or verse: a new line, unless lines have numbers."""
        if self.numbered and len(self.pieces) > self._begin:
            self.add(" ", BETWEEN)
        else:
            self.end_line()

    def begin_word(self) -> None:
        """Part two words that nothing else parts."""
        if len(self.pieces) > self._begin:
            self.add(" ", BETWEEN)

    def name_line(self, number: str) -> None:
        """Give the line that begins here its number, if nothing stands in it yet."""
        stands = any(self.pieces[at].strip(_WHITE) for at in range(self._begin, len(self.pieces)))
        if self._label is None and not stands:
            self._last_number = number
            self._count += 1
            self._label = self._place + number

    def reached(self) -> tuple[int, int]:
        """Give a mark that stays the same until further letters come."""
        return len(self._starts), len(self.pieces)

    def letters_of(self, hands: int) -> list[int]:
        """Give how many letters each of so many hands has written, by its number; blanks are none."""
        lengths = [0 if piece.isspace() else len(piece) for piece in self.pieces] if hands > 1 else []
        written = np.frombuffer(self.marks, dtype=np.uint16)[: len(lengths)] // _STATES
        counts = np.bincount(written, weights=lengths, minlength=hands)
        return [int(count) for count in counts[:hands]]

    def witness(
        self, hand_names: tuple[str, ...], fields: tuple[str, ...] = (), numbers: Sequence[int] = ()
    ) -> Witness:
        """Join the lines into the reading text, and forget them; at least one line must be there.

        Args:
            hand_names: the hands, the main one first.
            fields: names of parallel fields.
            numbers: of each number of a hand in the marks its index in ``hand_names``; () if the same.
        """
        ends = self._line_ends()
        lengths = np.fromiter(map(len, self.pieces), dtype=np.int64, count=len(self.pieces))
        offsets = np.concatenate(([0], np.cumsum(lengths)))
        marks = np.frombuffer(self.marks, dtype=np.uint16)
        hand_of = np.zeros(_NOBODY + 1, dtype=np.uint16)  # nobody's blanks are the main hand's
        hand_of[:_NOBODY] = np.arange(_NOBODY)
        hand_of[: len(numbers)] = numbers
        witness = Witness(
            siglum="",
            letters="".join(self.pieces),
            lines=tuple(offsets[self._starts].tolist()),
            labels=_told_apart(self._labels),
            pages=tuple(self._line_pages),
            line_ends=tuple(ends),
            states=_column(marks % _STATES, lengths),
            hands=_column(hand_of[marks // _STATES], lengths),
            hand_names=hand_names,
            fields=fields,
        )
        self.pieces, self.marks = [], array("H")
        return witness

    def _line_ends(self) -> list[str]:
        """Give the line-end marks and take them from the letters; where one is, no blank stands for it."""
        texts, ends = self.pieces, []
        bounds = [*self._starts[1:], len(texts)]
        for begin, end, said in zip(self._starts, bounds, self._breaks, strict=True):
            mark, last = "", texts[end - 2][-1]
            if said == "no" or last in LINE_END_MARKS:
                mark = _end_mark("".join(texts[begin : end - 1]), said)
                if mark:
                    texts[end - 1] = ""
                if mark == last:
                    texts[end - 2] = texts[end - 2][:-1]
            ends.append(mark)
        texts[-1] = ""  # the last line needs no blank
        return ends


def _trim(pieces: list[str], marks: array[int]) -> None:
    """Take the blank from the end of the last piece."""
    pieces[-1] = pieces[-1][:-1]
    if not pieces[-1]:
        del pieces[-1], marks[-1]


def _column(values: npt.NDArray[np.uint16], lengths: npt.NDArray[np.int64]) -> bytes:
    """Give the state or hand of every letter, one byte each; nothing where all are the first."""
    if not (values * lengths).any():
        return b""
    return np.repeat(values.astype(np.uint8), lengths).tobytes()


def _end_mark(letters: str, breaks: str | None) -> str:
    """Give the line-end mark, if the word runs on; it is taken from the letters if it stands there."""
    if breaks == "no":
        return letters[-1] if letters[-1] in LINE_END_MARKS else NO_MARK
    return letters[-1] if breaks is None and letters[-1] in LINE_END_MARKS and _runs_on(letters) else ""


def _told_apart(labels: list[str]) -> tuple[str, ...]:
    """Give each line its own citation: the second of the same is marked with ″2, the third with ″3.

    >>> _told_apart(["1", "2", "1"])
    ('1', '2', '1″2')
    """
    if len(set(labels)) == len(labels):
        return tuple(labels)
    seen: dict[str, int] = {}
    told = []
    for label in labels:
        seen[label] = seen.get(label, 0) + 1
        told.append(label if seen[label] == 1 else f"{label}″{seen[label]}")
    return tuple(told)
