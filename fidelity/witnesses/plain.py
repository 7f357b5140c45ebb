"""Read plain text: one line per manuscript line, page marks on lines of their own.

Arrives: a text in letters. Leaves: ``Row`` records, one for each manuscript line, and from them
the Witness. Start reading at ``rows_of``, then ``witness_of``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate
from pathlib import Path
from typing import NamedTuple

from fidelity.errors import Fault
from fidelity.letters import decode, is_punctuation, is_space
from fidelity.terms import Witness

LINE_END_MARKS = "-\u2010\u2e17\u00ac\u00ad"  # hyphens, double oblique hyphen, not-sign, soft hyphen

BRACKET_WITHIN = 10  # letters from a line's beginning in which a page mark opens, should it be indented
_ALONE = "let it stand alone on its line, closed: [fol. 12r]; restored letters may be written as [f][ol. …]"
# Compiled when a line has brackets.
_PAGE_MARK = r"""\s* \[ \s*
    (?: (?:folio|fol|ff?|pages?|pp?) \. \s* (?P<mark>[^\]\[\s:]+ (?:\s+[rv][a-z]*)?)
      | (?:folio|fol|f|page|p) \s+ (?P<number>\d[^\]\[\s:]* (?:\s+[rv][a-z]*)?) )
    \s* \] \s*"""

# What begins as a page mark does. A single letter needs a number after it: [p.]ater is restored.
_LIKE_PAGE_MARK = (  # possessive, for blanks may be many
    r"""\s*+ \[ \s*+ (?: (?:folio|fol|pages?) \s*+ \.(?!\.) | (?:folio|fol|page|pp?|ff?) \s*+ \.? \s*+ \d
      | (?:folio|fol|page|pp?|ff?) (?=[\s.]) \s*+ \.? \s*+ \]\s*+$ )"""
)
_PERHAPS_MARK = (  # a leaf, or a column, without a word that says so
    r"\s*+\[\s*+(?:\d{1,4}\s*+[rv]?[a-d]?|(?:col|column)\b\.?\s*+\w{1,4})\s*+\]\s*+"
)
_IN_ANY_LETTERS = re.VERBOSE | re.IGNORECASE


@lru_cache(maxsize=4)  # many faults of one long line share one string
def _printed(written: str) -> str:
    return decode(written)


class Row(NamedTuple):
    """One manuscript line as it stands in the file.

    Attributes:
        number: line in the file, from 1.
        written: the whole line of the file, in letters.
        begin: offset in ``written`` at which the text begins, after a citation label; None where
            the text does not stand there as it is (quoted cells, blanks left out).
        text: the text, trailing blanks dropped, with its signs and its line-end mark.
        label: how the line is cited.
        page: the page it stands on.
    """

    number: int
    written: str
    begin: int | None
    text: str
    label: str
    page: str

    def fault(self, what: str, file: Path | None, at: int, remedy: str) -> Fault:
        """Say what is wrong at an offset in the text."""
        column = None if self.begin is None else self.begin + at + 1
        return Fault(what, file, self.number, column, _printed(self.written), remedy)


class Line(NamedTuple):
    """One manuscript line understood: its letters, and state and hand of each (or b"")."""

    letters: str
    states: bytes = b""
    hands: bytes = b""


def page_of_mark(line: str) -> str | None:
    """Give the page that a line marks, or None where the line is no page mark.

    >>> page_of_mark("[fol. 12r]"), page_of_mark("[page 7]"), page_of_mark("[pater]")
    ('12r', '7', None)
    """
    found = re.fullmatch(_PAGE_MARK, line, _IN_ANY_LETTERS)
    return "".join((found["mark"] or found["number"]).split()) if found else None


def is_like_page_mark(line: str) -> bool:
    """Tell whether a line begins as a page mark does, whether it is one or not.

    >>> [is_like_page_mark(line) for line in ("[fol. 1v] stan", "[fol. 1r", "[fol]c", "[p.]ater")]
    [True, True, False, False]
    """
    return re.match(_LIKE_PAGE_MARK, line, _IN_ANY_LETTERS) is not None


def perhaps_page_mark(line: str) -> bool:
    """Tell whether a line looks like a page mark without the word that makes it one: [12r], [col. b].

    >>> perhaps_page_mark("[12r]"), perhaps_page_mark("[stan]")
    (True, False)
    """
    return re.fullmatch(_PERHAPS_MARK, line, re.IGNORECASE) is not None


def rows_of(letters: str, file: Path | None, numbered: bool, faults: list[Fault]) -> list[Row]:
    """Part a text into its manuscript lines and give each its citation.

    Blank lines hold no manuscript line and are not counted. Lines are numbered anew on each
    page ("12r:1"), or through where there are no page marks ("1").

    Args:
        letters: the text in letters.
        file: where it comes from, for the faults.
        numbered: whether the text before the first tab of a line is its citation.
        faults: is added to.
    """
    rows: list[Row] = []
    page, on_page = "", 0
    pages: dict[str, int] = {}
    for number, written in enumerate(letters.split("\n"), start=1):
        text = written.rstrip()
        if not text:
            continue
        mark = page_of_mark(decode(text)) if text[-1] == "]" else None
        if mark is None:
            cited = numbered and "\t" in text
            if "[" in text[:BRACKET_WITHIN] and not cited and is_like_page_mark(decode(text)):
                what = "this begins like a page mark, and is none"
                faults.append(Fault(what, file, number, text.index("[") + 1, _printed(written), _ALONE))
            on_page += 1
            label = f"{page}:{on_page}" if page else str(on_page)
            rows.append(Row(number, written, 0, text, label, page))
            continue
        if mark in pages:
            what = f"page {mark} is marked a second time (first in line {pages[mark]})"
            remedy = "give each page one mark, so that every line can be cited"
            faults.append(Fault(what, file, number, text.index("[") + 1, decode(written), remedy))
        pages.setdefault(mark, number)
        page, on_page = mark, 0
    return _labelled(rows, file, faults) if numbered else rows


def _labelled(rows: list[Row], file: Path | None, faults: list[Fault]) -> list[Row]:
    """Take the text before the first tab as the citation; a line with a citation only is skipped."""
    kept = []
    first: dict[str, int] = {}
    for row in rows:
        before, tab, text = row.text.partition("\t")
        label = decode(before.strip())
        if (not tab and "\t" not in row.written) or not label:
            remedy = "begin each line with its citation and a tab, or do not call the text numbered"
            faults.append(row.fault("no citation before a tab", file, 0, remedy))
        elif label in first:
            what = f"the citation {label} stands a second time (first in line {first[label]})"
            faults.append(row.fault(what, file, 0, "give each line its own citation"))
        first.setdefault(label, row.number)
        if text:
            kept.append(row._replace(begin=len(before) + 1, text=text, label=label))
    return kept


def _runs_on(letters: str) -> bool:
    """Tell whether a line ends in a mark, directly after a letter, that the word runs on."""
    if len(letters) < 2 or letters[-1] not in LINE_END_MARKS:
        return False
    before = decode(letters[-2])
    return not is_space(before) and not is_punctuation(before)


def witness_of(lines: Sequence[Line], rows: Sequence[Row], line_marks: bool = True) -> Witness:
    """Join manuscript lines into the reading text.

    Between lines stands one space, unless a line-end mark says that the word runs on.

    Args:
        lines: the lines understood, at least one.
        rows: what each was read from.
        line_marks: whether a hyphen at a line's end says that the word runs on.
    """
    last = len(lines) - 1
    ends = [line.letters[-1] if line_marks and _runs_on(line.letters) else "" for line in lines]
    texts = [line.letters[:-1] if end else line.letters for line, end in zip(lines, ends, strict=True)]
    gaps = ["" if end or at == last else " " for at, end in enumerate(ends)]
    pieces = [text + gap for text, gap in zip(texts, gaps, strict=True)]
    starts = accumulate(map(len, pieces[:-1]), initial=0)
    hands = _column([line.hands for line in lines], pieces)
    return Witness(
        siglum="",
        letters="".join(pieces),
        lines=tuple(starts),
        labels=tuple(row.label for row in rows),
        pages=tuple(row.page for row in rows),
        line_ends=tuple(ends),
        states=_column([line.states for line in lines], pieces),
        hands=hands,
        hand_names=("main", "added") if hands else ("main",),
    )


def _column(values: Sequence[bytes], pieces: Sequence[str]) -> bytes:
    """Join a value for each letter; a line end has the first value; nothing where all are first."""
    if not any(map(any, values)):
        return b""
    joined = b"".join(
        line[: len(piece)].ljust(len(piece), b"\0") for line, piece in zip(values, pieces, strict=True)
    )
    return joined if any(joined) else b""
