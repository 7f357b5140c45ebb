"""Mark in facing lines where original and copy differ, each kind of difference in a form of its own.

Arrives: an alignment, the differences found in it, and the facing lines. Leaves: the same lines with their
marks. Start reading at ``mark_lines``.

A form is the name of a class; how it is drawn, never by colour alone, is in ``facing_look.html.j2``.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Container, Iterator, Sequence
from itertools import groupby

from fidelity.apparatus import aligned_columns as signs
from fidelity.apparatus.aligned_columns import Elsewhere, Spans, answers, sign_of
from fidelity.apparatus.facing_lines import FacingLine, LineFinder, Mark, Span
from fidelity.terms import Alignment, Phenomenon, StepKind, Variant, Witness
from fidelity.variants.moves import blocks_of, steps_without_moved

OTHER, LEFT_OUT, PUT_IN = "other", "left-out", "put-in"
PARTED, JOINED = "parted", "joined"  # where a text has a blank that the other has not, and where it has none
AWAY, HERE = "away", "here"  # of what was moved: where it stood, and where it now stands
NOTHING = "nothing"  # the place at which the other text has more
FORMS = (OTHER, LEFT_OUT, PUT_IN, PARTED, JOINED, AWAY, HERE, NOTHING)

Forms = tuple[str, str]  # in the original, and in the copy


def mark_lines(lines: Sequence[FacingLine], alignment: Alignment, variants: Sequence[Variant]) -> None:
    """Put into each line its marks, and the numbers of the differences that are told of below it.

    Args:
        lines: of the alignment; they are added to.
        alignment: of the two texts.
        variants: the differences found in it, of this text alone.
    """
    numbers, finder = _Numbers(variants), LineFinder(lines)
    for spans, forms, number in _differences(alignment, numbers):
        if number not in numbers.other_words:
            _mark(finder, spans, forms, number)
    for o0, o1, c0, c1 in blocks_of(alignment):
        number = numbers.of_moved((o0, o1))
        (o0, o1), (c0, c1) = _words_of(alignment.original, o0, o1), _words_of(alignment.copy, c0, c1)
        first = _mark(finder, (o0, o1, c0, c0), (AWAY, ""), number)
        second = _mark(finder, (o0, o0, c0, c1), ("", HERE), number)
        if second != first and number:
            lines[first].variants += [] if number in lines[first].variants else [number]
            lines[second].moved_here.append(number)
    for variant in (*numbers.other_words.values(), *numbers.not_met):
        _mark(finder, *_as_found(variant), variant.number)
    told: set[int] = set()
    for line in lines:
        for marks in line.marks:
            marks.sort(key=lambda mark: (mark.start, mark.end))
        line.variants = [one for one in sorted(set(line.variants)) if one not in told]
        line.variants = [one for one in line.variants if one not in line.moved_here]
        told.update(line.variants)


def _mark(finder: LineFinder, spans: Spans, forms: Forms, number: int) -> int:
    """Mark a difference in all lines it goes through; gives the first of them.

    Where a text has nothing the place is marked in the line in which the other has more.
    """
    first = -1
    sides = sorted((0, 1), key=lambda in_copy: spans[2 * in_copy] == spans[2 * in_copy + 1])
    for in_copy in sides:
        start, end = spans[2 * in_copy : 2 * in_copy + 2]
        if not forms[in_copy]:
            continue
        for at, a, b in finder.parts(in_copy, start, end):
            finder.lines[at].marks[in_copy].append(Mark(a, b, forms[in_copy], number))
            first = at if first < 0 else first
        if start == end and first >= 0:
            r0, r1 = finder.lines[first].side(in_copy)
            place = min(max(start, r0), r1)
            finder.lines[first].marks[in_copy].append(Mark(place, place, forms[in_copy], number))
    if number:
        finder.lines[first].variants.append(number)
    return first


def _as_found(variant: Variant) -> tuple[Spans, Forms]:
    """Say where a difference is to be marked that is one of hands or states: the letters are alike.

    What was not in the text of the main hand, or is no longer to be read, is put in by the copy.
    """
    (o0, o1), (c0, c1) = variant.original_span, variant.copy_span
    if variant.phenomenon is Phenomenon.ADDITION:
        return (o0, o0, c0, c1), (NOTHING, PUT_IN)
    if variant.phenomenon is Phenomenon.OMISSION:
        return (o0, o1, c0, c0), (LEFT_OUT, NOTHING)
    return (o0, o1, c0, c1), (OTHER, OTHER)


def _differences(alignment: Alignment, numbers: _Numbers) -> Iterator[tuple[Spans, Forms, int]]:
    """Give what differs, moved matter apart, each with its form in either text and its number.

    What was left out and put in at the same place is one difference, unless variants.csv has it as two.
    """
    elsewhere = Elsewhere(alignment)
    steps = steps_without_moved(alignment)
    for kept, run in groupby(steps, key=lambda step: step[4] == StepKind.KEPT):
        if kept:
            continue
        single = [(o0, o1, c0, c1) for o0, o1, c0, c1, _ in run]
        joined: list[tuple[Spans, int]] = []
        for spans in answers([(*one, 1) for one in single], elsewhere) if len(single) > 1 else single:
            number = numbers.at(spans)
            parts = [spans] if number else [one for one in single if _is_within(one, spans)]
            joined += [(one, number or numbers.at(one)) for one in parts]
        for spans, number in _misread_together(joined, numbers.misread):
            for part, forms in _with_forms(alignment, spans):
                yield part, forms, number


def _misread_together(run: Sequence[tuple[Spans, int]], misread: Container[int]) -> list[tuple[Spans, int]]:
    """Make one of steps that adjoin and are of one misreading: m for ni is not m for n, and i put in."""
    found: list[tuple[Spans, int]] = []
    for spans, number in run:
        if found and number in misread and number == found[-1][1]:
            o0, o1, c0, c1 = found[-1][0]
            if (o1, c1) == (spans[0], spans[2]):
                found[-1] = (o0, spans[1], c0, spans[3]), number
                continue
        found.append((spans, number))
    return found


def _is_within(inner: Spans, outer: Spans) -> bool:
    return outer[0] <= inner[0] and inner[1] <= outer[1] and outer[2] <= inner[2] and inner[3] <= outer[3]


def _with_forms(alignment: Alignment, spans: Spans) -> Iterator[tuple[Spans, Forms]]:
    """Say in which form a difference is marked; of words divided otherwise only the blanks are marked."""
    o0, o1, c0, c1 = spans
    if o0 == o1 and c0 == c1:
        return
    original, copy = alignment.original.letters[o0:o1], alignment.copy.letters[c0:c1]
    sign = sign_of(original, copy)
    if sign == signs.DIVIDED:
        for (a, b), (c, d) in _blanks(original, copy):
            forms = (PARTED if a < b else JOINED, PARTED if c < d else JOINED)
            yield (o0 + a, o0 + b, c0 + c, c0 + d), forms
    elif sign == signs.LEFT_OUT:
        yield (*_words_of(alignment.original, o0, o1), c0, c1), (LEFT_OUT, NOTHING)
    elif sign == signs.PUT_IN:
        yield (o0, o1, *_words_of(alignment.copy, c0, c1)), (NOTHING, PUT_IN)
    else:
        yield spans, (OTHER, OTHER)


def _words_of(witness: Witness, start: int, end: int) -> Span:
    """Take from letters that one text has alone, or elsewhere, the blanks that go with them."""
    letters = witness.letters[start:end]
    first = start + len(letters) - len(letters.lstrip())
    return first, first + len(letters.strip())


def _blanks(original: str, copy: str) -> Iterator[tuple[Span, Span]]:
    """Give the blanks of two texts of the same letters that are not the same in both.

    >>> list(_blanks("on lande", "onlan de"))
    [((2, 3), (2, 2)), ((6, 6), (5, 6))]
    """
    at = other = 0
    while at < len(original) or other < len(copy):
        a, c = at, other
        while at < len(original) and original[at].isspace():
            at += 1
        while other < len(copy) and copy[other].isspace():
            other += 1
        if original[a:at] != copy[c:other]:
            yield (a, at), (c, other)
        at, other = at + 1, other + 1


class _Numbers:
    """Finds the number that a difference has in variants.csv, and notes which have been found."""

    def __init__(self, variants: Sequence[Variant]) -> None:
        self._variants = variants
        self._met: set[int] = set()
        self._moved = [(one.original_span, one.number) for one in variants if one.moved]
        ours = [one for one in variants if not one.moved]
        # A word for another is marked whole: that some of its letters are like the other's tells nothing.
        self.other_words = {one.number: one for one in ours if one.replaced}
        self.misread = {one.number for one in ours if one.phenomenon is Phenomenon.SUBSTITUTION}
        self._spans = sorted((*one.original_span, *one.copy_span, one.number) for one in ours)
        self._ends = [(span[1], span[3]) for span in self._spans]

    def at(self, spans: Spans) -> int:
        """Give the number of the difference that these letters are part of; 0 if there is none."""
        o1, c1 = spans[1], spans[3]
        for at in range(bisect_left(self._ends, (o1, c1)), len(self._spans)):
            *variant, number = self._spans[at]
            if _is_within(spans, (variant[0], variant[1], variant[2], variant[3])):
                self._met.add(number)
                return number
            if variant[0] > o1:
                break
        return self.of_moved((spans[0], o1))

    def of_moved(self, span: Span) -> int:
        """Give the number of the difference by which these words stand elsewhere; 0 if there is none."""
        start, end = span
        number = next((number for (v0, v1), number in self._moved if v0 <= start and end <= v1), 0)
        self._met.add(number)
        return number

    @property
    def not_met(self) -> list[Variant]:
        """Give the differences that no letters have been found to be part of."""
        return [
            one
            for one in self._variants
            if one.number not in self._met and one.number not in self.other_words
        ]
