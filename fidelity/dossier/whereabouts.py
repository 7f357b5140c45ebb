"""Say what became of words that a stale decision is about: corrected as was decided, or moved.

Arrives: a text, a place in it, the words that were there. Leaves: a few words for a message. Start reading
at ``whereabouts``.
"""

from __future__ import annotations

import re
from itertools import takewhile

from fidelity.dossier.word_places import WordPlace, cited_words, in_words, words_at
from fidelity.terms import Witness

NEAR = 600  # letters to either side in a text without page marks, about twenty lines
AS_ADOPTED = "; now as adopted"


def whereabouts(witness: Witness, text: str, locus: str, printed: str, adopted: str = "") -> str:
    """Say where words now stand that stand no more at their place.

    Args:
        witness: the text.
        text: its id.
        locus: the place, without the id.
        printed: the words that stood there.
        adopted: what was adopted for them; "" if nothing was.

    Returns:
        That the place now reads what was adopted; or the place of the same line, else of the same page, where
        the words now stand; "" where neither is so.

    >>> whereabouts(Witness("X", "Ic wæs on fyre"), "X", "1.2", "wær", "wæs")
    '; now as adopted'
    >>> whereabouts(Witness("X", "Ic soð wær on fyre"), "X", "1.2", "wær")
    '; moved to X 1.3'
    """
    place = words_at(witness, text, locus)
    if isinstance(place, WordPlace):
        line, at = place.first[0], place.span[0]
        if adopted and _reads(witness, place, adopted):
            return AS_ADOPTED
    else:
        label = locus.rpartition("-")[0] or locus
        label = label if label in witness.labels else label.rpartition(".")[0]
        if label not in witness.labels:
            return ""
        line = witness.labels.index(label)
        at = witness.lines[line]
    for span in (witness.line_span(line), _page_span(witness, line)):
        found = _in_span(witness, printed, at, span)
        if found:
            return f"; moved to {text} {_cited(witness, found)}"
    return ""


def _reads(witness: Witness, place: WordPlace, adopted: str) -> bool:
    """Tell whether a place, or as many words from it on as were adopted, reads so."""
    wanted = in_words(adopted)
    there = witness.letters[place.span[0] :].split()[: len(wanted.split())]
    return wanted in (" ".join(there), " ".join(witness.letters[slice(*place.span)].split()))


def _in_span(witness: Witness, printed: str, at: int, span: tuple[int, int]) -> tuple[int, int] | None:
    """Find whole words in a stretch of the text, those nearest to an offset."""
    words = in_words(printed).split()
    if not words:
        return None
    pattern = re.compile(r"(?<!\S)" + r"\s+".join(map(re.escape, words)) + r"(?!\S)")
    found = [one.span() for one in pattern.finditer(witness.letters, *span)]
    return min(found, key=lambda one: (abs(one[0] - at), one), default=None)


def _page_span(witness: Witness, line: int) -> tuple[int, int]:
    """Give the letters of the page a line stands on; in a text without pages, those near the line."""
    start, end = witness.line_span(line)
    page = witness.pages[line]
    if not page:
        return max(start - NEAR, 0), min(end + NEAR, len(witness.letters))
    before = sum(1 for _ in takewhile(lambda one: one == page, reversed(witness.pages[:line])))
    after = sum(1 for _ in takewhile(lambda one: one == page, witness.pages[line:]))
    return witness.lines[line - before], witness.line_span(line + after - 1)[1]


def _cited(witness: Witness, span: tuple[int, int]) -> str:
    """Cite words by their span."""
    first, last = (witness.locus(at) for at in (span[0], span[1] - 1))
    at = {label: number for number, label in enumerate(witness.labels)}
    return cited_words(witness, (at[first.line], first.word), (at[last.line], last.word))
