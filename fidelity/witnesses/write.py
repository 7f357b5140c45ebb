"""Write a text back as it can be read again.

Arrives: a Witness. Leaves: plain text with page marks, citations, line-end marks and, where letters
have a state or a second hand, the Leiden signs. Start reading at ``write_plain``.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from itertools import groupby

from fidelity.letters import decode, encode
from fidelity.terms import State, Witness
from fidelity.witnesses.leiden import LOST_INSIDE, UNCLEAR_DOT, only_lost
from fidelity.witnesses.leiden_numbers import BLANK_BEGINS, NUMBER_SIGNS
from fidelity.witnesses.plain import is_like_page_mark, page_of_mark

_SIGNS = {
    State.RESTORED: ("[", "]"),
    State.SUPPLIED: ("⟨", "⟩"),
    State.EXPANDED: ("(", ")"),
    State.DELETED: ("⟦", "⟧"),
}
_GUARDED = re.compile(f"{LOST_INSIDE.pattern}|{NUMBER_SIGNS.pattern}")
_LEAF = re.compile(r"\d+[rv]")  # the reference of a leaf, 12r; anything else is written as a page


def write_plain(witness: Witness) -> str:
    """Give a text as its transcriber would write it: reading that gives an equal Witness again.

    Signs are written where letters have a state or a second hand: such a text must be read
    with ``profile="leiden"``. Citations are written before a tab where they are not the plain
    count of lines: such a text must be read with ``numbered=True``. Parallel fields are written
    as a table (TSV) with a column ``locus``.

    >>> write_plain(Witness("B", "þa lanꝺᵹemæꞃa", (0, 7), ("1", "2"), ("", ""), ("-", "")))
    'þa lanꝺ-\\nᵹemæꞃa\\n'
    """
    rows = [_written_line(witness, line) for line in range(len(witness.lines))]
    if witness.fields:
        header = "\t".join(("locus", *witness.fields))
        entries = [f"{label}\t{row}" for label, row in zip(witness.labels, rows, strict=True)]
        return "\n".join([header, *entries]) + "\n"
    if witness.labels != _counted(witness.pages):
        rows = [f"{label}\t{row}" for label, row in zip(witness.labels, rows, strict=True)]
    written = []
    before = ""
    for page, row in zip(witness.pages, rows, strict=True):
        if page != before:
            written.append(f"[fol. {page}]" if _LEAF.match(page) else f"[p. {page}]")
            before = page
        written.append(row)
    return "\n".join(written) + "\n"


def _counted(pages: tuple[str, ...]) -> tuple[str, ...]:
    """Give the citations that lines on these pages have when they are merely counted."""
    return tuple(
        f"{page}:{number}" if page else str(number)
        for page, lines in groupby(pages)
        for number, _ in enumerate(lines, start=1)
    )


def _written_line(witness: Witness, line: int) -> str:
    """Give one line with its signs and its line-end mark."""
    if not witness.states and not witness.hands:
        return witness.text_of_line(line)
    start, end = witness.line_span(line)
    written = "".join(signed(witness, start, end)) + witness.line_ends[line]
    if is_like_page_mark(written) or page_of_mark(written) is not None:  # restored letters, and no page mark
        return written[:2] + "][" + written[2:]
    return written


def signed(witness: Witness, start: int, end: int) -> Iterator[str]:
    """Give the letters of a span with the signs of their states."""
    for state, run in groupby(range(start, end), key=witness.state):
        offsets = list(run)
        if state in _SIGNS:
            opening, closing = _SIGNS[state]
            inside = "".join(_by_hand(witness, offsets, state))
            if state is State.EXPANDED and BLANK_BEGINS.match(inside):
                inside = inside.replace("vac", f"va{closing}{opening}c", 1)
            yield opening + (f"({inside})" if only_lost(inside) else inside) + closing
        else:
            yield from _by_hand(witness, offsets, state)


def _by_hand(witness: Witness, offsets: list[int], state: State) -> Iterator[str]:
    """Give letters of one state, what another hand added above the line in its signs."""
    for hand, run in groupby(offsets, key=lambda at: witness.hands[at] if witness.hands else 0):
        written = _in_state(decode("".join(witness.letters[at] for at in run)), state)
        yield f"⸌{written}⸍" if hand else written


def _in_state(text: str, state: State) -> str:
    """Write letters of one state and hand, as they stand inside the sign of that state."""
    if state is State.LOST:
        return "[" + "." * len(text) + "]"
    if state is State.LOST_UNKNOWN:
        return "[---]" * len(text)
    if state is State.UNCLEAR:
        dotted = "".join(decode(letter) + UNCLEAR_DOT for letter in encode(text))
        return unicodedata.normalize("NFC", dotted)
    if state is State.RESTORED:  # round brackets keep real dots, dashes and numbers from meaning lost letters
        return _GUARDED.sub(lambda found: f"({found.group()})", text)
    return text
