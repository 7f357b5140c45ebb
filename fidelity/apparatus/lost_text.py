"""Set a lost text out for the reader: line by line as transmitted, what is proposed beside it.

Arrives: an audit. Leaves: for each lost text its pages and lines, ready for the page. Start reading at
``lost_texts``. The letters are always the copy's; a proposed reading stands beside them, never in them.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from markupsafe import Markup, escape

from fidelity.apparatus.addresses import address
from fidelity.apparatus.copied_letters import letters_of
from fidelity.apparatus.lost_entries import Entry, entries_of
from fidelity.judge import Audit
from fidelity.letters import decode
from fidelity.terms import Locus, Witness
from fidelity.terms.imported import Imported, Verdict

_WORD = re.compile(r"\S+")


@dataclass(frozen=True)
class LostLine:
    """One line of a lost text's copy.

    Attributes:
        address: its address on the page.
        cited: its place, as it is cited.
        number: what stands in the margin: the same without text and page.
        letters: as transmitted, each word with its address, those marked at which something is proposed.
        entries: what is proposed, or conjectured, of words that begin in it.
        remarks: what else is to be known of the line.
        taken: whether it stands in a stretch that seems to be taken from another witness.
    """

    address: str
    cited: str
    number: str
    letters: Markup
    entries: tuple[Entry, ...] = ()
    remarks: tuple[Markup, ...] = ()
    taken: bool = False


@dataclass(frozen=True)
class LostText:
    """A lost text, page by page.

    Attributes:
        id: how it is cited.
        language: BCP 47 tag of the copy; "" where it is not known.
        pages: the pages of the copy ("" where it has no page marks) with their lines.
        proposals: how many readings are proposed, or marked as suspect or decided.
    """

    id: str
    language: str
    pages: tuple[tuple[str, tuple[LostLine, ...]], ...]
    proposals: int = 0


def lost_texts(audit: Audit) -> list[LostText]:
    """Set out every lost text of an audit, in the dossier's order."""
    entries = entries_of(audit)
    return [
        _set_out(
            one.copy,
            one.id,
            entries.get(one.id, []),
            [found for found in audit.imported if found.text == one.id],
            audit,
        )
        for one in audit.dossier.lost
    ]


def _set_out(
    copy: Witness, name: str, entries: Sequence[Entry], imported: Sequence[Imported], audit: Audit
) -> LostText:
    """Set out one lost text, the entries in the order of the text."""
    by_line: dict[int, list[Entry]] = {}
    for entry in entries:
        by_line.setdefault(copy.line_of(entry.span[0]), []).append(entry)
    taken = [one for one in imported if one.verdict is Verdict.IMPORTED and one.stretch]
    asked = [(one.span, one.words) for one in audit.hands.candidates if one.lost and one.text == name]
    marks = _Marks(entries)
    lines = []
    for line, label in enumerate(copy.labels):
        start, end = copy.line_span(line)
        remarks = [
            Markup("“{}” may be another hand's: see <a href='#hands'>Other hands</a>").format(words)
            for span, words in asked
            if start <= span[0] < max(end, start + 1)
        ]
        remarks += [told for one in taken for told in _edges(one, start, end)]
        cited = str(Locus(name, label))
        lines.append(
            LostLine(
                address(cited),
                cited,
                label.rpartition(":")[2],
                _letters(copy, line, name, marks),
                tuple(by_line.get(line, ())),
                tuple(remarks),
                any(_overlap(one, start, end) for one in taken),
            )
        )
    paged = groupby(zip(copy.pages, lines, strict=True), key=lambda pair: pair[0])
    pages = tuple((page, tuple(line for _, line in pairs)) for page, pairs in paged)
    return LostText(name, copy.language, pages, sum(one.is_reading for one in entries))


class _Marks:
    """Finds what is proposed at a word."""

    def __init__(self, entries: Sequence[Entry]) -> None:
        """Order the entries by where they begin."""
        self._entries = sorted(entries, key=lambda one: one.span)
        self._starts = [one.span[0] for one in self._entries]
        self._longest = max((one.span[1] - one.span[0] for one in entries), default=0)

    def at(self, start: int, end: int) -> list[Entry]:
        """Give the entries that touch a span, the first first."""
        first = bisect_left(self._starts, start - self._longest)
        after = bisect_left(self._starts, max(end, start + 1))
        return [one for one in self._entries[first:after] if one.span[1] > start or one.span == (start, end)]


def _letters(copy: Witness, line: int, name: str, marks: _Marks) -> Markup:
    """Give the letters of a line, word by word."""
    return Markup("".join(_words(copy, line, name, marks)))  # noqa: S704 -- of letters escaped below


def _words(copy: Witness, line: int, name: str, marks: _Marks) -> Iterator[str]:
    """Give the markup of each word and of what stands between; an address needs no escaping."""
    start, end = copy.line_span(line)
    before = address(str(Locus(name, copy.labels[line])))
    done = start
    for number, word in enumerate(_WORD.finditer(copy.letters, start, end), start=1):
        yield letters_of(copy, done, word.start())
        letters = letters_of(copy, word.start(), word.end())
        touched = marks.at(word.start(), word.end())
        if touched:
            first = touched[0]
            yield f'<a id="{before}.{number}" class="{first.form}" href="#{first.address}">{letters}</a>'
        else:
            yield f'<span id="{before}.{number}">{letters}</span>'
        done = word.end()
    yield letters_of(copy, done, end, is_last=True)
    yield escape(decode(copy.line_ends[line]))


def _overlap(one: Imported, start: int, end: int) -> bool:
    """Tell whether a line stands in a stretch taken from another witness."""
    return one.stretch is not None and one.stretch.copy_span[0] < end and start < one.stretch.copy_span[1]


def _edges(one: Imported, start: int, end: int) -> Iterator[Markup]:
    """Say in a line where such a stretch begins and ends."""
    if one.stretch is None:
        return
    first, last = one.stretch.copy_span
    if start <= first < end:
        told = "Here begins what seems to be taken from {}: see <a href='#imported'>Taken from elsewhere</a>"
        yield Markup(told).format(one.siglum)  # noqa: S704 -- the siglum is escaped
    if start < last <= end:
        yield Markup("Here ends what seems to be taken from {}").format(one.siglum)
