"""What the copy keeps and the survivor has lost.

Arrives: an alignment. Leaves: ``Rescued`` stretches, in order. Start reading at ``rescued``.

Where the original is damaged today, the copy was made before the damage, as a rule: what it has there is
evidence of the original, of the worth that the copyist has elsewhere. Where the transcriber restored what is
lost, the copy speaks for his restoration or against it.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from fidelity.letters import decode
from fidelity.terms import Alignment, Rescued, State, StepKind
from fidelity.witnesses.folds import Folds

GONE = (State.LOST, State.LOST_UNKNOWN, State.RESTORED)


def rescued(alignment: Alignment, text: str, folds: Folds) -> list[Rescued]:
    """Give the stretches of the original that are lost, or restored, and that the copy has.

    Args:
        alignment: of a survivor.
        text: its id.
        folds: letterforms counted as equal, when a restoration is compared with the copy.
    """
    return [
        _rescued(alignment, text, folds, (o0, o1), (c0, c1))
        for o0, o1 in _gone(alignment)
        for c0, c1 in [_answer(alignment, o0, o1)]
        if alignment.copy.letters[c0:c1].strip()
    ]


def _gone(alignment: Alignment) -> Iterator[tuple[int, int]]:
    """Give the runs of letters of the original that are gone; blanks between two such letters join them."""
    original, start, end = alignment.original, -1, -1
    if not original.states:
        return
    for at, state in enumerate(original.states):
        if state in GONE and not original.letters[at].isspace():
            start, end = (at if start < 0 else start), at + 1
        elif start >= 0 and not original.letters[at].isspace():
            yield start, end
            start = -1
    if start >= 0:
        yield start, end


def _answer(alignment: Alignment, start: int, end: int) -> tuple[int, int]:
    """Give the span of the copy that answers a span of the original.

    What the copy has for lost words may stand in the alignment as put in just before or after them.
    """
    steps = alignment.steps
    inside = np.flatnonzero((steps[:, 1] > start) & (steps[:, 0] < end))
    if not len(inside):
        return 0, 0
    at, to = int(inside[0]), int(inside[-1])
    while at and steps[at][0] == start and _is_put_in(steps[at - 1]):
        at -= 1
    while to + 1 < len(steps) and steps[to][1] == end and _is_put_in(steps[to + 1]):
        to += 1
    first, last = steps[at].tolist(), steps[to].tolist()
    c0, c1 = first[2], last[3]
    if first[4] == StepKind.KEPT and first[1] - first[0] == first[3] - first[2]:
        c0 += max(start - first[0], 0)
    if last[4] == StepKind.KEPT and last[1] - last[0] == last[3] - last[2]:
        c1 -= max(last[1] - end, 0)
    return c0, max(c0, c1)


def _is_put_in(step: np.ndarray) -> bool:
    """Tell whether the copy has letters here for none of the original."""
    return bool(step[0] == step[1] and step[2] < step[3])


def _rescued(
    alignment: Alignment, text: str, folds: Folds, there: tuple[int, int], here: tuple[int, int]
) -> Rescued:
    """Make the record of one stretch."""
    witness, copy = alignment.original, alignment.copy.letters[slice(*here)].strip()
    original = witness.letters[slice(*there)]
    states = {witness.state(at) for at in range(*there) if not witness.letters[at].isspace()}
    is_restored = states == {State.RESTORED}
    some = "lost" if State.RESTORED not in states else "lost, partly restored"
    return Rescued(
        text=text,
        locus=witness.locus(there[0]),
        original=decode(original),
        copy=decode(copy),
        state="restored" if is_restored else some,
        agrees=folds.fold(original) == folds.fold(copy) if is_restored else None,
        copy_locus=alignment.copy.locus(here[0]),
    )
