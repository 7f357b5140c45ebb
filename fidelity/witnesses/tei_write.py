"""Write a text as a TEI P5 document from which it can be read again.

Arrives: a Witness. Leaves: a TEI document with hands in its header, page and line beginnings, and
an element for each state and hand. Start reading at ``write_tei``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import groupby
from xml.sax.saxutils import escape, quoteattr

from fidelity.letters import decode
from fidelity.terms import State, Witness
from fidelity.witnesses.plain import LINE_END_MARKS, _runs_on
from fidelity.witnesses.tei_header import ADDED_HAND
from fidelity.witnesses.tei_lines import NO_MARK
from fidelity.witnesses.tei_walk import CITED

ELEMENT = {
    State.UNCLEAR: ("<unclear>", "</unclear>"),
    State.RESTORED: ('<supplied reason="lost">', "</supplied>"),
    State.SUPPLIED: ('<supplied reason="omitted">', "</supplied>"),
    State.EXPANDED: ("<ex>", "</ex>"),
    State.DELETED: ("<del>", "</del>"),
}
MAJOR = "major"  # @scope of the main hand
_BLANKS = re.compile("[ \t]+")

_DOCUMENT = """\
<?xml version="1.0" encoding="UTF-8"?>
<TEI xmlns="http://www.tei-c.org/ns/1.0">
<teiHeader>
<fileDesc>
<titleStmt><title>Transcription{siglum}</title></titleStmt>
<publicationStmt><p>Unpublished working transcription.</p></publicationStmt>
<sourceDesc>{source}</sourceDesc>
</fileDesc>
<profileDesc><handNotes>
{hands}
</handNotes></profileDesc>
</teiHeader>
<text{language}>
<body>
{body}
</body>
</text>
</TEI>
"""


def write_tei(witness: Witness) -> str:
    """Give a text as a TEI P5 document: reading it gives an equal Witness again, but for ``file``.

    A line-end mark is written where the manuscript has it; where a word runs on without one, only
    ``break="no"`` says so. Blanks that TEI would fold are written as ``<space>``. Why a letter is lost
    (the reason of a ``<gap>``) is not kept in a Witness: it is written as "lost".

    >>> document = write_tei(Witness("B", "þa lanꝺᵹemæꞃa", (0, 7), ("1", "2"), ("", ""), ("-", "")))
    >>> print(document[document.index("<ab>"):document.index("</ab>")])
    <ab>
    <lb n="1"/>þa lanꝺ-
    <lb n="2" break="no"/>ᵹemæꞃa
    <BLANKLINE>
    """
    source = "<p>A manuscript.</p>"
    if witness.siglum:
        number = f'<idno type="siglum">{escape(witness.siglum)}</idno>'
        source = f"<msDesc><msIdentifier>{number}</msIdentifier></msDesc>"
    return _DOCUMENT.format(
        siglum=f" of {escape(witness.siglum)}" if witness.siglum else "",
        source=source,
        hands="\n".join(_hand_notes(witness)),
        language=f" xml:lang={quoteattr(witness.language)}" if witness.language else "",
        body="\n".join(_table(witness) if witness.fields else _block(witness)),
    )


def _hand_notes(witness: Witness) -> Iterator[str]:
    """Give the hands for the header, the main one first."""
    script = f" script={quoteattr(witness.script)}" if witness.script else ""
    for at, name in enumerate(witness.hand_names):
        about = f' scope="{MAJOR}"{script}' if at == 0 else ""
        yield f'<handNote xml:id="hand{at + 1}" n={quoteattr(name)}{about}/>'


def _block(witness: Witness) -> Iterator[str]:
    """Give running text with its page and line beginnings."""
    yield "<ab>"
    page, breaks = "", ""
    for line, label in enumerate(witness.labels):
        if witness.pages[line] != page:
            page = witness.pages[line]
            yield f"<pb n={quoteattr(page)}{breaks}/>"
        start, end = witness.line_span(line)
        letters = "".join(_line(witness, start, end))
        mark, following = line_end(witness.letters[start:end], witness.line_ends[line])
        yield f"<lb{line_number(label, page)}{breaks}/>{letters}{mark}"
        breaks = f' break="{following}"' if following else ""
    if breaks:  # what the last line's end says needs a line beginning to say it
        yield f"<lb{breaks}/>"
    yield "</ab>"


def line_number(label: str, page: str) -> str:
    """Give the number of a line: what its citation adds to the page, or the whole citation."""
    number = label.removeprefix(f"{page}:") if page else label
    if not number or number != number.strip() or (page and number == label):
        return f' n={quoteattr(label)} type="{CITED}"'
    return f" n={quoteattr(number)}"


def line_end(letters: str, end: str) -> tuple[str, str]:
    """Give the mark to be written at a line's end, and what @break says on the next beginning."""
    if end == NO_MARK:
        is_told = letters != "" and letters[-1] not in LINE_END_MARKS
        return ("" if is_told else NO_MARK), "no"
    if end:
        return end, "no"
    return "", "yes" if _runs_on(letters) else ""


def _table(witness: Witness) -> Iterator[str]:
    """Give parallel fields as a table, an entry for each row."""
    yield "<table>"
    heads = "".join(f"<cell>{escape(name)}</cell>" for name in witness.fields)
    yield f'<row role="label">{heads}</row>'
    for line, label in enumerate(witness.labels):
        start, end = witness.line_span(line)
        cells = []
        for cell in witness.letters[start:end].split("\t"):
            cells.append(f"<cell>{''.join(_line(witness, start, start + len(cell)))}</cell>")
            start += len(cell) + 1
        yield f"<row n={quoteattr(label)}>{''.join(cells)}</row>"
    yield "</table>"


def _line(witness: Witness, start: int, end: int) -> Iterator[str]:
    """Give the letters of a line, or of a cell, with an element for each hand and state."""
    letters = witness.letters[start:end]
    folded = [" "] * len(letters)  # "s" at each blank that white space would not keep
    for blanks in _BLANKS.finditer(letters):
        at_edge = blanks.start() == 0 or blanks.end() == len(letters)
        if at_edge or blanks.group() != " ":
            folded[blanks.start() : blanks.end()] = "s" * len(blanks.group())
    for hand, run in groupby(range(len(letters)), key=lambda at: _value(witness.hands, start + at)):
        written = "".join(_states(witness, start, list(run), folded))
        if hand == 0:
            yield written
        elif witness.hand_names[hand] == ADDED_HAND:
            yield f"<add>{written}</add>"
        else:
            yield f'<seg hand="#hand{hand + 1}">{written}</seg>'


def _value(column: bytes, at: int) -> int:
    return column[at] if column else 0


def _states(witness: Witness, start: int, run: list[int], folded: list[str]) -> Iterator[str]:
    """Give letters of one hand with an element for each state."""
    for value, group in groupby(run, key=lambda at: _value(witness.states, start + at)):
        offsets = list(group)
        if value == State.LOST:
            yield f'<gap reason="lost" quantity="{len(offsets)}" unit="chars"/>'
            continue
        if value == State.LOST_UNKNOWN:
            yield '<gap reason="lost" extent="unknown"/>' * len(offsets)
            continue
        written = "".join(_spaced(witness.letters, start, offsets, folded))
        opening, closing = ELEMENT.get(State(value), ("", ""))
        if value == State.EXPANDED and "<space" in written:  # which <ex> may not hold
            opening, closing = "<expan>", "</expan>"
        yield opening + written + closing


def _spaced(letters: str, start: int, offsets: list[int], folded: list[str]) -> Iterator[str]:
    """Give letters of one state, with an element for blanks that white space would not keep."""
    for (kept, letter), group in groupby(
        offsets, key=lambda at: (folded[at], letters[start + at] if folded[at] == "s" else "")
    ):
        run = list(group)
        if kept == "s":
            unit = "tab" if letter == "\t" else "chars"
            yield f'<space quantity="{len(run)}" unit="{unit}"/>'
        else:
            yield escape(decode("".join(letters[start + at] for at in run)))
