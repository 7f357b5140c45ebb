"""Set two witnesses of one text beside each other, so that what one has can be asked of the other.

Arrives: two witnesses. Leaves: a ``Facing``: spans of the first and what answers them in the second.
Start reading at ``face``.

A fragment has only some of the lines. Where both witnesses cite their lines alike, and what stands in
lines so cited is alike, only these lines are set beside each other, each beside its like; otherwise the
whole texts are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from fidelity.alignment.align import align_witnesses
from fidelity.sources.lines import plain_label
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.variants.cells import changed_cells
from fidelity.variants.events import events_of
from fidelity.variants.moves import steps_without_moved
from fidelity.witnesses.folds import Folds

ALIKE_LINES = 0.5  # share of the shorter of two lines that must stand in the other as well (chosen)
LINES_TRIED = 40  # lines looked at to tell whether two witnesses cite alike; as many tell enough

Ints = npt.NDArray[np.int64]
Span = tuple[int, int]


@dataclass(frozen=True, eq=False)
class Facing:
    """Two witnesses side by side.

    Attributes:
        first, second: the whole witnesses.
        alignment: of the lines that both have.
        first_offsets, second_offsets: for each letter of the aligned lines, and the end, its offset in the
            whole witness.
    """

    first: Witness
    second: Witness
    alignment: Alignment
    first_offsets: Ints
    second_offsets: Ints

    @cached_property
    def _images(self) -> tuple[Ints, Ints, npt.NDArray[np.bool_]]:
        """Give for each border between letters of the first where its two sides end and begin in the second.

        Returns:
            Where in the second what is before the border ends, where what is after it begins; and for each
            letter of the first whether it is kept.
        """
        size = len(self.alignment.original.letters)
        ends, starts = np.zeros(size + 1, dtype=np.int64), np.zeros(size + 1, dtype=np.int64)
        kept = np.zeros(size, dtype=np.bool_)
        for o0, o1, c0, c1, kind in self.alignment.steps.tolist():
            if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
                run = np.arange(c0, c1 + 1)
                starts[o0:o1], ends[o0 + 1 : o1 + 1] = run[:-1], run[1:]
                kept[o0:o1] = True
            elif o1 > o0:
                starts[o0], ends[o1] = c0, c1
                starts[o0 + 1 : o1], ends[o0 + 1 : o1] = c1, c0
                kept[o0:o1] = kind == StepKind.KEPT
        starts[size] = len(self.alignment.copy.letters)
        return ends, starts, kept

    @cached_property
    def _first_at(self) -> dict[int, int]:
        return {int(offset): at for at, offset in enumerate(self.first_offsets)}

    def answer(self, span: Span) -> Span | None:
        """Give what answers a span of the first in the second, with what is put in at its borders.

        Returns:
            Offsets in the second; None where the span's lines are not in both, or where the second has
            nothing near it: the letters before it and after it must not both be missing.
        """
        start, end = self._first_at.get(span[0]), self._first_at.get(span[1])
        if start is None or end is None or end < start:
            return None
        ends, starts, kept = self._images
        before, after = kept[max(start - 2, 0) : start], kept[end : end + 2]
        if not before.any() and not after.any():
            return None
        from_, to = int(ends[start]), int(starts[end])
        if to < from_:
            return None
        return int(self.second_offsets[from_]), int(self.second_offsets[to])

    def share_of_second(self) -> float:
        """Give the share of the second's letters that the first has too, 0-1."""
        steps = self.alignment.steps
        kept = steps[steps[:, 4] == StepKind.KEPT]
        return float((kept[:, 3] - kept[:, 2]).sum()) / max(len(self.second.letters), 1)

    def extant_within(self, start: int, end: int) -> Span:
        """Give from where to where, in a span of the second, the first has the same letters at all."""
        steps = self.alignment.steps
        kept = steps[steps[:, 4] == StepKind.KEPT]
        low, high = end, start
        for c0, c1 in kept[:, 2:4].tolist():
            first, last = int(self.second_offsets[c0]), int(self.second_offsets[c1 - 1]) + 1
            if last > start and first < end:
                low, high = min(low, max(first, start)), max(high, min(last, end))
        return (low, high) if low < high else (start, end)

    def differences(self, folds: Folds) -> list[tuple[Span, Span, bool]]:
        """Give every difference: its span in the first, in the second, whether a word is replaced."""
        cells = changed_cells(self.alignment, steps_without_moved(self.alignment))
        found = []
        for cell in cells:
            for event in events_of(cell, self.alignment, folds):
                first = int(self.first_offsets[event.o0]), int(self.first_offsets[event.o1])
                second = int(self.second_offsets[event.c0]), int(self.second_offsets[event.c1])
                found.append((first, second, event.replaced))
        return found


def face(first: Witness, second: Witness, folds: Folds, text: str = "") -> Facing:
    """Set two witnesses of one text beside each other.

    Args:
        first, second: the witnesses.
        text: id of the text; lines may be cited with it or without ("X.7", "7").
        folds: letterforms counted as equal.

    Raises:
        UnrelatedTextsError: the two have nothing in common.
    """
    common = _common_lines(first, second, folds, text)
    if common is None:
        whole = [np.arange(len(each.letters) + 1) for each in (first, second)]
        return Facing(first, second, align_witnesses(first, second, folds), whole[0], whole[1])
    one, first_offsets = _only(first, common[0])
    other, second_offsets = _only(second, common[1])
    return Facing(first, second, align_witnesses(one, other, folds), first_offsets, second_offsets)


def _common_lines(
    first: Witness, second: Witness, folds: Folds, text: str
) -> tuple[list[int], list[int]] | None:
    """Give the lines that both cite alike, in order; None where the whole texts are to be compared."""
    at = {plain_label(label, text): line for line, label in enumerate(second.labels)}
    pairs = [
        (line, at[plain])
        for line, label in enumerate(first.labels)
        if (plain := plain_label(label, text)) in at
    ]
    shorter = min(len(first.labels), len(second.labels))
    if len(pairs) < max(2, shorter / 2) or [b for _, b in pairs] != sorted(b for _, b in pairs):
        return None
    step = max(len(pairs) // LINES_TRIED, 1)
    from rapidfuzz.fuzz import partial_ratio  # slow to import; few dossiers have other witnesses

    tried = [
        partial_ratio(*(folds.fold(text.letters[slice(*text.line_span(line))]) for text, line in some))
        for some in ([(first, a), (second, b)] for a, b in pairs[::step])
    ]
    if float(np.median(tried)) < 100 * ALIKE_LINES:
        return None
    return [a for a, _ in pairs], [b for _, b in pairs]


def _only(witness: Witness, lines: Sequence[int]) -> tuple[Witness, Ints]:
    """Give a witness with these lines alone, and for each letter, and the end, its offset in the whole.

    What parts two lines is made a border between fields: no letter of one line answers one of another.
    """
    offsets: list[int] = []
    borders: set[int] = set()
    starts: list[int] = []
    for line in lines:
        start, end = witness.line_span(line)
        end = witness.lines[line + 1] if line + 1 < len(witness.lines) else end
        starts.append(len(offsets))
        offsets += range(start, end)
        if end > start and witness.letters[end - 1] == " " and not witness.line_ends[line]:
            borders.add(end - 1)
    last = offsets[-1] + 1 if offsets else 0
    while offsets and offsets[-1] in borders:  # the end of the last line parts nothing
        last = offsets.pop()
    at = np.array(offsets, dtype=np.int64)
    chosen = replace(
        witness,
        letters="".join("\t" if offset in borders else witness.letters[offset] for offset in offsets),
        lines=tuple(starts),
        labels=tuple(witness.labels[line] for line in lines),
        pages=tuple(witness.pages[line] for line in lines),
        line_ends=tuple(witness.line_ends[line] for line in lines),
        states=bytes(witness.states[offset] for offset in offsets) if witness.states else b"",
        hands=bytes(witness.hands[offset] for offset in offsets) if witness.hands else b"",
    )
    return chosen, np.append(at, last)
