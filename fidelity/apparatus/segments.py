"""Cut a lost text into stretches in which its witnesses agree, and places for the apparatus.

Arrives: the collated witnesses, and the spans of the copy about which there is something to say. Leaves:
``Segment``s, which together are the whole text. Start reading at ``segments_of``.

A place of the apparatus is one locus of the collation, or as many as a reading goes over that is proposed,
conjectured or decided. What the copy has lost altogether is one place as well.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

from fidelity.apparatus.tei_letters import WitnessLetters
from fidelity.terms.collation import Span

Spans = tuple[Span | None, ...]  # at one locus of each witness


@dataclass(frozen=True)
class Segment:
    """A stretch of the text: some loci of the collation, one after the other.

    Attributes:
        first, end: indices of its loci, half-open.
        is_place: whether it is a place of the apparatus; else all witnesses that are extant agree in it.
        blank: whether a blank after it holds for all of them, so that it stands in none of the readings.
        tab: the same of the border of two fields.
    """

    first: int
    end: int
    is_place: bool
    blank: bool = False
    tab: bool = False


class Concern(NamedTuple):
    """A span of the copy that a reading or a decision is about.

    Attributes:
        span: its letters, half-open; empty where something is put in.
        reading: what is put there, in letters; None where the words stay.
    """

    span: Span
    reading: str | None = None


def segments_of(
    spans: Sequence[Spans], letters: Sequence[WitnessLetters], concerns: Sequence[Concern]
) -> Iterator[Segment]:
    """Cut a text into stretches of agreement and places for the apparatus.

    Args:
        spans: at each locus of each witness, the copy the first.
        letters: of the same witnesses.
        concerns: of what there is to say of the copy.
    """
    cut = _Cut(spans, letters)
    joined = _joined([*cut.lacunae(), *(cut.loci_of(one) for one in concerns)])
    inside = {at: (first, end) for first, end in joined for at in range(first, end)}
    start, number = 0, len(spans)
    while start < number:
        if start in inside:
            first, end = inside[start]
            yield cut.segment(first, end, is_place=True)
        elif not cut.agree(start):
            end = start + 1
            yield cut.segment(start, end, is_place=True)
        else:
            end = start + 1
            while end < number and end not in inside and not cut.turns(end) and cut.agree(end):
                end += 1
            yield cut.segment(start, end, is_place=False)
        start = end


def _joined(ranges: Sequence[Span]) -> list[Span]:
    """Join ranges that overlap."""
    joined: list[Span] = []
    for first, end in sorted(ranges):
        if joined and first < joined[-1][1]:
            joined[-1] = joined[-1][0], max(end, joined[-1][1])
        else:
            joined.append((first, end))
    return joined


class _Cut:
    """Knows where a text may be cut."""

    def __init__(self, spans: Sequence[Spans], letters: Sequence[WitnessLetters]) -> None:
        self.spans, self.letters = spans, letters
        own = [(each[0], at) for at, each in enumerate(spans)]
        filled = [(span, at) for span, at in own if span is not None and span[0] < span[1]]
        self._starts = [span[0] for span, _ in filled]
        self._ends = [span[1] for span, _ in filled]
        self._at = [at for _, at in filled]
        self._turns = {
            at + 1
            for at, (one, other) in enumerate(pairwise(spans))
            if any((a is None) != (b is None) for a, b in zip(one, other, strict=True))
        }

    def lacunae(self) -> Iterator[Span]:
        """Give each run of loci at which the copy is not extant."""
        start = None
        for at, each in enumerate(self.spans):
            if each[0] is None:
                start = at if start is None else start
            elif start is not None:
                yield start, at
                start = None
        if start is not None:
            yield start, len(self.spans)

    def loci_of(self, concern: Concern) -> Span:
        """Give the loci that a reading goes over: where it leaves out a division, the next word too."""
        start, end = concern.span
        first = last = max(bisect_right(self._starts, start) - 1, 0)
        if end > start:
            last = max(bisect_right(self._starts, end - 1) - 1, 0)
        parted = concern.reading is None or concern.reading[-1:].isspace()
        if end == self._ends[last] and end > start and not parted and last + 1 < len(self._at):
            last += 1
        return self._at[first], self._at[last] + 1

    def turns(self, at: int) -> bool:
        """Tell whether a witness breaks off before a locus, or begins again."""
        return at in self._turns

    def agree(self, at: int) -> bool:
        """Tell whether all witnesses that are extant have the same at a locus, line ends apart."""
        spans = self.spans[at]
        if spans[0] is None:
            return False
        extant = [(one, span) for one, span in zip(self.letters, spans, strict=True) if span is not None]
        if len(extant) == 1:
            return True
        alone = self.segment(at, at + 1, is_place=False)
        return len({one.as_compared(*stripped(one, span, alone)) for one, span in extant}) == 1

    def segment(self, first: int, end: int, is_place: bool) -> Segment:
        """Make a segment of some loci."""
        blank = self._has_blank(end - 1)
        return Segment(first, end, is_place, blank, is_place and not blank and self._has_tab(end - 1))

    def _has_blank(self, at: int) -> bool:
        """Tell whether a blank may stand after a locus for all witnesses that are extant there.

        Where one has a division already, folding takes it for the same; one that breaks off without a
        division does so before the blank. After a lacuna of the copy none stands.
        """
        found = False
        following = self.spans[at + 1] if at + 1 < len(self.spans) else self.spans[at]
        for one, span, then in zip(self.letters, self.spans[at], following, strict=True):
            if span is None:
                if one is self.letters[0]:
                    return False
            elif then is not None and not one.is_divided(span[1]):
                return False
            elif span[0] < span[1]:
                found = found or one.is_folded_blank(span[1] - 1)
        return found

    def _has_tab(self, at: int) -> bool:
        """Tell whether all witnesses that are extant have the border of a field at the end of a locus."""
        return all(
            span is None or (span[0] < span[1] and one.is_field_border(span[1] - 1))
            for one, span in zip(self.letters, self.spans[at], strict=True)
        )


def stripped(one: WitnessLetters, span: Span, segment: Segment) -> Span:
    """Give a witness's span without the blank, or the border of a field, that stands after the segment."""
    start, end = span
    if start < end and (
        (segment.blank and one.is_folded_blank(end - 1)) or (segment.tab and one.is_field_border(end - 1))
    ):
        return start, end - 1
    return span
