"""Show the letters of a witness as its transcriber gave them: unclear, restored, of another hand, marked.

Arrives: a witness and a span of it. Leaves: the letters as markup for the page. Start reading at
``letters_of``. The signs around letters (brackets and the like) are put there by the page's look, so
that what is copied from the page is the text and nothing else.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from markupsafe import Markup, escape

from fidelity.letters import decode
from fidelity.terms import Mark, MarkKind, State, Witness
from fidelity.terms.marks import GAPS

FIELD_BORDER = "·"  # stands between two fields of an entry
_BORDER = Markup('<span class="border" title="the next field">{}</span>').format(f" {FIELD_BORDER} ")
# What is said of letters in a state; the class is the state's name. Leiden conventions, 1931.
_STATES = {
    State.UNCLEAR: "unclear",
    State.RESTORED: "restored by the transcriber",
    State.SUPPLIED: "supplied by the transcriber",
    State.EXPANDED: "abbreviation resolved",
    State.DELETED: "cancelled in the manuscript",
    State.LOST: "lost",
    State.LOST_UNKNOWN: "lost, nobody knows how many",
}
_MARKS = {
    MarkKind.UNREAD: "he could not read it",
    MarkKind.BLANK: "he left a blank",
    MarkKind.DOUBT: "he doubts the word",
    MarkKind.LINE_DOUBT: "he doubts something in the line",
    MarkKind.VOUCHED: "he vouches for it",
}


def letters_of(witness: Witness, start: int, end: int, *, is_last: bool = False) -> Markup:
    """Give the letters of a span, each run of one state and hand by itself, the copyist's marks with them.

    A mark between two letters goes with the second, or with the first where ``is_last``: at a line's end.

    >>> letters_of(Witness("X", "þæs <b>"), 0, 7)
    Markup('þæs &lt;b&gt;')
    >>> letters_of(Witness("X", "stan", states=bytes([0, 1, 1, 0])), 0, 4)
    Markup('s<span class="unclear" title="unclear">ta</span>n')
    """
    if not (witness.marks or witness.states or witness.hands):
        return _printed(witness.letters[start:end])
    return Markup("").join(_runs(witness, start, end, is_last))


def _runs(witness: Witness, start: int, end: int, is_last: bool) -> Iterator[Markup]:
    """Give what stands between the copyist's marks, and these as he wrote them."""
    after = end + is_last
    marks = [one for one in witness.marks if start <= one.at < after and one.to <= end and one.sign]
    for mark in marks:
        yield from _by_state(witness, start, mark.at)
        yield _sign(mark)
        start = mark.to if mark.kind in GAPS else mark.at
    yield from _by_state(witness, start, end)


def _sign(mark: Mark) -> Markup:
    return Markup('<span class="his-mark" title="his mark: {}">{}</span>').format(
        _MARKS[mark.kind], decode(mark.taken)
    )


def _by_state(witness: Witness, start: int, end: int) -> Iterator[Markup]:
    """Give letters, those of one state and hand together."""
    for (state, hand), run in groupby(range(start, end), lambda at: (witness.state(at), witness.hand(at))):
        offsets = list(run)
        letters = _printed(witness.letters[offsets[0] : offsets[-1] + 1])
        if hand != witness.hand_names[0]:
            letters = Markup('<span class="other-hand" title="hand: {}">{}</span>').format(hand, letters)
        if state is not State.CLEAR:
            name = state.name.lower().replace("_", "-")
            letters = Markup('<span class="{}" title="{}">{}</span>').format(name, _STATES[state], letters)
        yield letters


def _printed(letters: str) -> Markup:
    """Give letters as printed; a border where a field ends."""
    shown = escape(decode(letters))
    return shown.replace("\t", _BORDER) if "\t" in letters else shown
