"""Set the letters of one facing line as markup: marks, states of letters, other hands, languages.

Arrives: a witness and the marks of a line. Leaves: escaped markup. Start reading at ``LetterSetter``.

Whatever is written here besides the witness's own letters is either a class, whose sign
``facing_look.html.j2`` draws, or what the transcriber wrote at a line's end.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from markupsafe import escape

from fidelity.apparatus.facing_lines import Mark, Span
from fidelity.letters import decode
from fidelity.terms import State, Witness

HAND, BORDER, TURN, LINE_END, HIS_MARK = "other-hand", "border", "turn", "line-end", "his-mark"
NOT_NAMED = (State.CLEAR, State.LOST)  # letters without a class; a lost one is a sign itself

Tongue = tuple[int, int, str]  # start, end and language of a stretch of a line


class LetterSetter:
    """Sets letters of one witness.

    Args:
        witness: whose letters are set.
        address_of: gives the address that a mark of this difference is to have; "" for none.
    """

    def __init__(self, witness: Witness, address_of: Callable[[int], str] = lambda _: "") -> None:
        self.witness = witness
        self._address_of = address_of
        self._line_starts = [*witness.lines[1:], len(witness)]
        self._borders = _borders_of_states(witness)
        self._has_fields = "\t" in witness.letters
        self._signs = _his_signs(witness)
        self._signed = sorted({at for at, _ in self._signs})
        self._end = 0  # of the line that is being set

    def line(self, span: Span, marks: Sequence[Mark], tongues: Sequence[Tongue] = ()) -> str:
        """Set one line.

        Args:
            span: its letters.
            marks: where it differs, by their start.
            tongues: stretches in several languages, which make up the line; none where it is in one.
        """
        self._end = span[1]
        if not tongues:
            return self._marked(span, marks)
        parts = []
        for start, end, language in tongues:
            set_here = self._marked((start, end), list(_within(marks, start, end, end == span[1])))
            named = f' lang="{escape(language)}"' if language else ""
            parts.append(f"<span{named}>{set_here}</span>" if set_here else "")
        return "".join(parts)

    def _marked(self, span: Span, marks: Sequence[Mark]) -> str:
        """Set letters with their marks."""
        at, end = span
        parts = []
        for mark in marks:
            start, stop = max(mark.start, at), max(mark.end, at)
            parts.append(self._plain(at, start))
            address = self._address_of(mark.variant) if mark.variant else ""
            named = f' id="{address}"' if address else ""
            number = f' data-variant="{mark.variant}"' if mark.variant else ""
            parts.append(f'<mark class="{mark.form}"{named}{number}>{self._plain(start, stop)}</mark>')
            at = stop
        parts.append(self._plain(at, end))
        return "".join(parts)

    def _plain(self, start: int, end: int) -> str:
        """Set letters without marks."""
        if start >= end:
            return ""
        cuts = {start, end}
        for places in (self._line_starts, self._borders, self._signed):
            cuts.update(places[bisect_right(places, start) : bisect_right(places, end)])
        if len(cuts) == 2:
            return self._stretch(start, end)
        return "".join(self._stretch(a, b) for a, b in pairwise(sorted(cuts)))

    def _stretch(self, start: int, end: int) -> str:
        """Set letters of one line, one state and one hand, and what stands at the line's end."""
        witness = self.witness
        made = str(escape(decode(witness.letters[start:end])))
        if self._has_fields and "\t" in made:
            made = made.replace("\t", f'<span class="{BORDER}">\t</span>')
        state = witness.state(start)
        if state not in NOT_NAMED:
            made = f'<span class="{state.name.lower().replace("_", "-")}">{made}</span>'
        if witness.hands and witness.hands[start]:
            made = f'<span class="{HAND}" title="{escape(witness.hand(start))}">{made}</span>'
        if self._signs:
            made = self._signs.get((start, True), "") + made + self._signs.get((end, False), "")
        return made + self._line_end(end)

    def _line_end(self, end: int) -> str:
        """Set what the transcriber wrote where a line ends, and a sign if another begins in mid-line."""
        at = bisect_left(self._line_starts, end)
        if at == len(self._line_starts) or self._line_starts[at] != end:
            return ""
        sign = self.witness.line_ends[at]
        made = f'<span class="{LINE_END}">{escape(sign)}</span>' if sign else ""
        return made + (f'<span class="{TURN}"></span>' if end < self._end else "")


def _within(marks: Sequence[Mark], start: int, end: int, is_last: bool) -> Iterator[Mark]:
    """Give what of the marks of a line falls within a stretch of it; a mere place is in one stretch only."""
    for mark in marks:
        if mark.start < mark.end:
            if mark.start < end and start < mark.end:
                yield mark._replace(start=max(mark.start, start), end=min(mark.end, end))
        elif start <= mark.start < end or (is_last and mark.start == end and start < end):
            yield mark


def _his_signs(witness: Witness) -> dict[tuple[int, bool], str]:
    """Give the copyist's own marks that stand beside letters.

    Returns:
        Offset of the letter before which a mark stands, or of the one after those it follows; and whether
        it stands before: at the beginning of a line. What stands for letters he could not read is letters.
    """
    found: dict[tuple[int, bool], str] = {}
    for mark in witness.marks:
        if mark.at == mark.to and mark.sign:
            place = mark.at, mark.at == witness.lines[mark.line]
            made = f'<span class="{HIS_MARK}">{escape(decode(mark.taken))}</span>'
            found[place] = found.get(place, "") + made
    return found


def _borders_of_states(witness: Witness) -> list[int]:
    """Give where another state or hand begins, ascending."""
    found: set[int] = set()
    for kinds in (witness.states, witness.hands):
        found.update(at for at, (one, other) in enumerate(pairwise(kinds), start=1) if one != other)
    return sorted(found)
