"""Say where an equally good alignment would be judged differently, and how.

Arrives: an alignment and its rivals (``alignment/doubt.py``). Leaves: for each event in doubt what
the rival reads. Start reading at ``doubts_of``.

Two ways through a stretch are judged alike if the same thing happened to the same letters of the
same words: which of two like letters was left out of a word is no doubt, unless one is the first
and the other the last; which of two like words was, is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.alignment.doubt import Rivals, rivals_of
from fidelity.letters import decode
from fidelity.terms import Alignment, Phenomenon, StepKind
from fidelity.variants.cells import Step, changed_cells
from fidelity.variants.citations import LONGEST_SHOWN, Citations, in_short
from fidelity.variants.events import Event, events_of
from fidelity.variants.phenomenon import what_happened
from fidelity.witnesses.folds import Folds

Spans = tuple[int, int, int, int]  # of an event: original start and end, copy start and end


@dataclass(frozen=True)
class Judgement:
    """What is said of an event, as far as it matters which way is right.

    Attributes:
        phenomenon: what happened.
        replaced: whether a word stands for another.
        answers: the answers it is made of, letters left out or put in one by one.
        words, copy_words: where the words begin whose letters were changed.
        edge: "initial" or "final" where it takes in that end of a word and not the other, else "".
    """

    phenomenon: Phenomenon
    replaced: bool
    answers: tuple[tuple[str, str], ...]
    words: tuple[int, ...]
    copy_words: tuple[int, ...]
    edge: str

    def agrees(self, other: Judgement) -> bool:
        """Tell whether two judgements come to the same."""
        if {self.edge, other.edge} == {"initial", "final"}:
            return False
        return (self.phenomenon, self.replaced, self.answers, self.words, self.copy_words) == (
            other.phenomenon,
            other.replaced,
            other.answers,
            other.words,
            other.copy_words,
        )


def doubts_of(alignment: Alignment, folds: Folds) -> dict[Spans, str]:
    """Give the events that another alignment, as good, would judge differently, with its reading.

    Args:
        alignment: of the two texts.
        folds: letterforms counted as equal.

    Returns:
        Spans of the event -> what the rival reads, as printed.
    """
    steps: list[Step] = []
    found: dict[Spans, str] = {}
    cited = Citations(alignment.original), Citations(alignment.copy)
    for rivals in rivals_of(alignment, folds):
        steps = steps or list(map(tuple, alignment.steps.tolist()))
        stretch = _Stretch(steps, rivals, alignment)
        if stretch.holds_moved():
            continue  # the block is told apart; where it is thought to have stood is another question
        main = stretch.judged(steps[rivals.first : rivals.last], folds)
        for way in rivals.ways:
            other = stretch.judged(way, folds)
            mine, theirs = _unmatched(main, other), _unmatched(other, main)
            if (mine or theirs) and not _takes_apart(theirs, mine):
                told = _printed(theirs or list(other), mine or list(main), cited)
                for event, _ in mine or main:
                    found.setdefault((event.o0, event.o1, event.c0, event.c1), told)
                break
    return found


Judged = list[tuple[Event, Judgement]]


def _unmatched(events: Judged, others: Judged) -> Judged:
    """Give the events that are not judged so among the others."""
    return [one for one in events if not any(one[1].agrees(other[1]) for other in others)]


def _takes_apart(events: Judged, instead_of: Judged) -> bool:
    """Tell whether letters that answer each other are only called left out here and put in there.

    m → rn is the better story of the same letters than m left out and rn put in; nobody would judge
    otherwise.
    """
    apart = all(not (o and c) for event, _ in events for o, c in event.pairs)
    return apart and len(events) > 1 and _letters_of(events) == _letters_of(instead_of)


def _letters_of(events: Judged) -> tuple[list[str], list[str], set[int], set[int]]:
    """Give the letters of either text that some events are about, and where their words begin."""
    answers = [answer for _, judgement in events for answer in judgement.answers]
    return (
        sorted("".join(original for original, _ in answers)),
        sorted("".join(written for _, written in answers)),
        {word for _, judgement in events for word in judgement.words},
        {word for _, judgement in events for word in judgement.copy_words},
    )


class _Stretch:
    """A stretch with rivals, widened to the divisions between which its words stand."""

    def __init__(self, steps: Sequence[Step], rivals: Rivals, alignment: Alignment) -> None:
        self.alignment, self.rivals = alignment, rivals
        self.original, self.copy = alignment.original.letters, alignment.copy.letters
        ways = (steps[rivals.first : rivals.last], *rivals.ways)
        changed = [row for way in ways for row in way if row[4] != StepKind.KEPT]
        low, high = min(row[0] for row in changed), max(row[1] for row in changed)
        first, start = rivals.first, self._division(steps[rivals.first], low, back=True)
        while start is None and first:
            first -= 1
            start = self._division(steps[first], low, back=True)
        last, end = rivals.last - 1, self._division(steps[rivals.last - 1], high, back=False)
        while end is None and last + 1 < len(steps):
            last += 1
            end = self._division(steps[last], high, back=False)
        self.before, self.after = steps[first : rivals.first], steps[rivals.last : last + 1]
        self.start, self.end = start, end

    def _division(self, row: Step, border: int, *, back: bool) -> int | None:
        """Give the kept division of a step nearest to a place before or after it; None without one."""
        o0, o1, c0, c1, kind = row
        if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
            return None
        places = range(min(o1, border) - 1, o0 - 1, -1) if back else range(max(o0, border), o1)
        spaces = (at for at in places if self.original[at].isspace() and self.copy[c0 + at - o0].isspace())
        return next(spaces, None)

    def holds_moved(self) -> bool:
        """Tell whether a letter of the stretch belongs to a moved block."""
        if not self.alignment.moved:
            return False
        o0, _, c0, _, _ = (self.before or self.rivals.ways[0])[0]
        _, o1, _, c1, _ = (self.after or self.rivals.ways[0])[-1]
        return any(
            (one.original_span[0] < o1 and o0 < one.original_span[1])
            or (one.copy_span[0] < c1 and c0 < one.copy_span[1])
            for one in self.alignment.moved
        )

    def judged(self, way: Sequence[Step], folds: Folds) -> Judged:
        """Give the events of one way through the stretch, as ``collect`` tells them, judged."""
        rows = [*self.before, *way, *self.after]
        if self.start is not None:
            o0, o1, c0, c1, kind = rows[0]
            rows[0] = (self.start + 1, o1, c0 + self.start + 1 - o0, c1, kind)
        if self.end is not None:
            o0, o1, c0, c1, kind = rows[-1]
            rows[-1] = (o0, self.end + 1, c0, c1 - (o1 - self.end - 1), kind)
        events = (
            event
            for cell in changed_cells(self.alignment, rows)
            for event in events_of(cell, self.alignment, folds)
        )
        return [(event, self._judgement(event, folds)) for event in events]

    def _judgement(self, event: Event, folds: Folds) -> Judgement:
        """Say what is said of an event."""
        gone, come = self.original[event.o0 : event.o1], self.copy[event.c0 : event.c1]
        answers = []
        for original, written in event.pairs:
            if original and written:
                answers.append((original, written))
            else:
                answers += [(letter, "") for letter in original] + [("", letter) for letter in written]
        words, edge = _words(self.original, event.o0, event.o1)
        copy_words, copy_edge = _words(self.copy, event.c0, event.c1)
        one_sided = not gone or not come
        return Judgement(
            what_happened(event, self.alignment, folds),
            event.replaced,
            tuple(sorted(answers)),
            words,
            copy_words,
            edge or copy_edge if one_sided else "",
        )


def _words(letters: str, start: int, end: int) -> tuple[tuple[int, ...], str]:
    """Give where the words begin that have letters in a span, and at which end of its word it stands."""
    words: list[int] = []
    at = start
    while at < end:
        if letters[at].isspace():
            at += 1
            continue
        first = at
        while first and not letters[first - 1].isspace():
            first -= 1
        words.append(first)
        while at < end and not letters[at].isspace():
            at += 1
    edge = ""
    if len(words) == 1 and not any(letter.isspace() for letter in letters[start:end]):
        begins, ends = words[0] == start, end == len(letters) or letters[end].isspace()
        edge = "initial" if begins and not ends else "final" if ends and not begins else ""
    return tuple(words), edge


def _printed(events: Judged, instead_of: Judged, cited: tuple[Citations, Citations]) -> str:
    """Say what a rival reads: its answers, and its place where that is another."""
    told: list[str] = []
    for event, judgement in events:
        place = which = ""
        here = (judgement.words, judgement.copy_words)
        if all(here != (one.words, one.copy_words) for _, one in instead_of):
            side, span = (0, (event.o0, event.o1)) if event.o1 > event.o0 else (1, (event.c0, event.c1))
            place = f" ({cited[side].ends(*span)[0]})"
            which = _which(event, instead_of)
        for original, written in event.pairs:
            told.append(_told(original, written, place, which))
            place = which = ""
    return " and ".join(told)


def _which(event: Event, instead_of: Judged) -> str:
    """Say which of two like words is meant, if there are two."""
    letters = _bare(event)
    alike = [one for one, _ in instead_of if _bare(one) == letters and len(event.pairs) == 1]
    if not alike:
        return ""
    return "the later " if (event.o0, event.c0) > (alike[0].o0, alike[0].c0) else "the earlier "


def _bare(event: Event) -> list[tuple[str, str]]:
    """Give the answers of an event, the divisions that go with words left out or put in apart."""
    return [(original.strip(), written.strip()) for original, written in event.pairs]


def _told(original: str, written: str, place: str, which: str) -> str:
    """Say what became of some letters.

    >>> _told("", "et teneant ", " (C 6.8)", "the later ")
    'the later “et teneant” (C 6.8) was put in'
    >>> _told("r", "m", "", "")
    '“r” was written “m”'
    """
    if original and written:
        return f"{_shown(original)}{place} was written {_shown(written)}"
    letters, what = (original, "was left out") if original else (written, "was put in")
    return f"{which}{_shown(letters)}{place} {what}"


def _shown(letters: str) -> str:
    """Quote letters, the division that goes with a word left out apart."""
    bare = letters.strip()
    if not bare:
        return "a blank"
    shown = in_short(decode(bare))
    if len(bare) <= LONGEST_SHOWN:
        return f"“{shown}”"
    ends, _, size = shown.rpartition(" (")
    return f"“{ends}” ({size}"
