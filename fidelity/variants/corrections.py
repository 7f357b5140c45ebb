"""The copyist's own corrections: what he wrote first, and what he let stand.

Arrives: a copy in which cancelled readings are marked. Leaves: the copy as he let it stand, by which
he is judged, and the copy as he first wrote it, from which the slips are seen that he mended. They
are two observations. Start reading at ``final_text``.

What a cancelled reading was replaced by is seldom marked. It is found by the original: as many of
the letters that follow are taken for the replacement as make his first writing most like it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from fidelity.terms import Alignment, Mark, State, StepKind, Variant, Witness
from fidelity.witnesses.folds import Folds

COMPARED = 12  # letters after a correction that are compared with the original: a word or two


@dataclass(frozen=True)
class Correction:
    """One reading that the copyist cancelled.

    Attributes:
        at: offset in the final text of the letter that follows it.
        cancelled: the letters cancelled, one of two word divisions beside them included.
    """

    at: int
    cancelled: str


def final_text(copy: Witness) -> tuple[Witness, tuple[Correction, ...]]:
    """Give a copy without what its copyist cancelled, and what that was.

    Args:
        copy: as it was read, cancelled letters marked.
    """
    if State.DELETED not in copy.states:
        return copy, ()
    cancelled = np.frombuffer(copy.states, dtype=np.uint8) == State.DELETED
    edges = np.flatnonzero(np.diff(cancelled)) + 1
    borders = [0, *edges.tolist(), len(copy)]
    gone = np.zeros(len(copy), dtype=bool)
    found = []
    line_ends = frozenset(start - 1 for start in copy.lines[1:])
    for start, end in pairwise(borders):
        if not cancelled[start]:
            continue
        first, last = _with_a_division(copy, start, end, line_ends)
        gone[first:last] = True
        found.append((last, copy.letters[first:last]))
    left = np.concatenate([[0], np.cumsum(~gone)]).tolist()  # offset before -> offset without
    final = _without(copy, gone, left)
    return final, tuple(Correction(left[at], letters) for at, letters in found)


def _with_a_division(copy: Witness, start: int, end: int, line_ends: frozenset[int]) -> tuple[int, int]:
    """Take one of two word divisions that would otherwise stand side by side; a line end stays."""
    letters = copy.letters
    divided = start == 0 or letters[start - 1].isspace()
    if divided and end < len(letters) and letters[end] == " " and end not in line_ends:
        return start, end + 1
    at_end = end == len(letters) or end in line_ends
    if at_end and start and letters[start - 1] == " " and start - 1 not in line_ends:
        return start - 1, end
    return start, end


def _without(copy: Witness, gone: np.ndarray, left: Sequence[int]) -> Witness:
    """Take letters out of a witness."""
    kept = np.flatnonzero(~gone)
    letters = copy.letters
    return replace(
        copy,
        letters="".join(letters[at] for at in kept.tolist()),
        lines=tuple(left[start] for start in copy.lines),
        states=bytes(np.frombuffer(copy.states, dtype=np.uint8)[kept]) if copy.states else b"",
        hands=bytes(np.frombuffer(copy.hands, dtype=np.uint8)[kept]) if copy.hands else b"",
        marks=tuple(_moved(mark, left) for mark in copy.marks),
    )


def _moved(mark: Mark, left: Sequence[int]) -> Mark:
    """Give a mark with the offsets that its letters have once others are taken out."""
    start, end, at, to = (int(left[offset]) for offset in (mark.start, mark.end, mark.at, mark.to))
    return replace(mark, start=start, end=end, at=at, to=to)


def first_writing(
    alignment: Alignment, corrections: Sequence[Correction], folds: Folds
) -> tuple[Witness, list[tuple[int, int]]]:
    """Give the copy as it was first written, and where in it the cancelled readings stand.

    Args:
        alignment: of the original and the final text.
        corrections: of the copy.
        folds: letterforms counted as equal.

    Returns:
        A witness of letters alone, and the spans of the cancelled readings, half-open.
    """
    final, original = alignment.copy.letters, folds.fold(alignment.original.letters)
    pieces: list[str] = []
    spans: list[tuple[int, int]] = []
    done = length = 0
    for correction in corrections:
        at = max(correction.at, done)
        written, replaced = _first_written(correction, at, alignment, original, folds)
        pieces += [final[done:at], written]
        length += at - done
        spans.append((length, length + len(written)))
        length += len(written)
        done = at + replaced
    pieces.append(final[done:])
    return Witness(alignment.copy.siglum, "".join(pieces), script=alignment.copy.script), spans


def _first_written(
    correction: Correction, at: int, alignment: Alignment, original: str, folds: Folds
) -> tuple[str, int]:
    """Give what he wrote first, and how many letters of the final text were written for it.

    What repeats the text before it, or is more unlike the original than like it, was put in: nothing
    was written for it. Otherwise the first writing is taken that is most like the original.
    """
    from rapidfuzz.distance import Levenshtein  # slow to import; few copies have corrections marked

    final = folds.fold(
        alignment.copy.letters[
            max(at - len(correction.cancelled) - 1, 0) : at + 2 * COMPARED + len(correction.cancelled)
        ]
    )
    here = at - max(at - len(correction.cancelled) - 1, 0)
    bare = correction.cancelled.strip()
    wanted = original[_answered(alignment, at) :][: len(bare) + COMPARED]
    if folds.fold(bare) == final[:here].strip()[-len(bare) :]:
        return correction.cancelled, 0

    def unlike(way: tuple[str, int]) -> tuple[int, int]:
        written = folds.fold(way[0]) + final[here + way[1] :]
        return Levenshtein.distance(written[: len(wanted)], wanted), way[1]

    most = min(len(correction.cancelled) + 1, len(final) - here)
    best = min(
        ((written, taken) for written in (bare, correction.cancelled) for taken in range(most + 1)),
        key=unlike,
    )
    return (correction.cancelled, 0) if 2 * unlike(best)[0] > max(len(bare), 2) else best


def _answered(alignment: Alignment, at: int) -> int:
    """Give the offset in the original of what a letter of the copy answers."""
    ends = alignment.steps[:, 3]
    o0, o1, c0, _, kind = alignment.steps[
        min(int(np.searchsorted(ends, at, "right")), len(ends) - 1)
    ].tolist()
    place: int = min(o0 + (at - c0 if kind == StepKind.KEPT else 0), o1)
    return place


def mended(variants: Sequence[Variant], spans: Sequence[tuple[int, int]]) -> list[Variant]:
    """Give the differences of the first writing that lie in cancelled readings: he mended them."""
    return [
        replace(variant, corrected=True)
        for variant in variants
        if any(
            start < max(variant.copy_span[1], variant.copy_span[0] + 1) and variant.copy_span[0] < end
            for start, end in spans
        )
    ]
