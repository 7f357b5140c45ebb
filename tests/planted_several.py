"""Several copies of one text: a draft and a fair copy by a plain copyist, and another man's transcript.

Arrives: a seed. Leaves: the copies, for each of the texts that survive and for the one that is lost. Start
reading at ``several_copies``; what he is like is drawn by ``plain_copyist`` (``planted_plain.py``).

The fair copy is made from the draft: he mends some errors, and makes new ones, reading his own hand; or from
the original anew, with errors of its own by the same man.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.planted_plain import PlainCase, PlainCopy, PlainCopyist, copied, plain_copies, plain_copyist

FROM_DRAFT, ANEW, ANOTHER = "from the draft", "from the original anew", "another's transcript"
MENDED = (0.2, 0.6)  # share of the draft's errors that he mends
PEN = 0.5  # his slips of the pen, as a share of the errors of his eye
ANOTHERS = 1_000  # between the seeds of the two men


@dataclass(frozen=True)
class Several:
    """A case with further copies.

    Attributes:
        case: the texts with their first copies.
        others: the other copy of each survivor, then of the lost text.
        mended: share of the draft's errors that he mends.
    """

    case: PlainCase
    others: tuple[str, ...]
    mended: float


def several_copies(seed: int, how: str) -> Several:
    """Let a plain copyist, or another man, write each text once more."""
    case, rng = plain_copies(seed), np.random.default_rng([seed, 3])
    mended = float(rng.uniform(*MENDED))
    texts = [*case.survivors, case.lost]
    return Several(case, tuple(_other(one, how, seed, mended, rng) for one in texts), mended)


def _other(one: PlainCopy, how: str, seed: int, mended: float, rng: np.random.Generator) -> str:
    copyist = plain_copyist(seed + ANOTHERS if how == ANOTHER else seed)
    if how == FROM_DRAFT:
        return fair_copy(one, copyist, mended, rng)
    return copied(one.original.split(), copyist, rng).copy


def fair_copy(draft: PlainCopy, copyist: PlainCopyist, mended: float, rng: np.random.Generator) -> str:
    """Write a draft fair: some errors mended, some slips of the pen."""
    left = [edit for edit in draft.edits if rng.random() >= mended]
    read = with_edits(draft.original, left)
    return copied(read.split(), replace(copyist, rate=PEN * copyist.rate), rng).copy


def with_edits(original: str, edits: Sequence[object]) -> str:
    """Write an original with these errors."""
    pieces, done = [], 0
    for edit in edits:
        start, end, written = (getattr(edit, name) for name in ("start", "end", "written"))
        pieces += [original[done:start], written]
        done = end
    return "".join([*pieces, original[done:]])
