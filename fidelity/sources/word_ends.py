"""Let the end of a word answer the end of the same word, not that of another one beside it.

Arrives: the steps of an alignment. Leaves: the same, re-cut. Start reading at ``at_word_ends``.

Where a witness has *long swete* for *longe blake*, the last letter of *longe* may find its like at the end of
*swete*: two words then answer one, and none the other. The division that both have is kept instead.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.terms import StepKind

MOST_CHANGED = 3  # letters, in one step of that kind

Steps = npt.NDArray[Any]
Step = tuple[int, int, int, int, int]


def at_word_ends(steps: Steps, letters: str, read: str) -> Steps:
    """Re-cut where one side's word ends were taken for the other's.

    Args:
        steps: of an alignment, as ``Alignment.steps``.
        letters, read: what was aligned.

    Returns:
        The steps; the very same where there is nothing to re-cut.
    """
    found: list[Step] = [tuple(step) for step in steps.tolist()]
    at, changed = 1, False
    while at + 2 < len(found):
        new = _recut(found[at - 1], found[at], found[at + 1], found[at + 2], letters, read)
        if new:
            found[at : at + 3] = new
            changed = True
        at += 1
    return np.array(found, dtype=steps.dtype) if changed else steps


def _recut(head: Step, first: Step, tail: Step, last: Step, letters: str, read: str) -> list[Step]:
    """Give what takes the place of three steps; nothing where they stay.

    They are re-cut where one side has a word more, then both the end of a word, then the other side a word
    more; and more of the first word is kept before than after.
    """
    if head[4] != StepKind.KEPT or tail[4] != StepKind.KEPT:
        return []
    more = read[first[2] : first[3]] if first[0] == first[1] else ""
    less = letters[last[0] : last[1]] if last[2] == last[3] else ""
    if first[2] == first[3] and last[0] == last[1]:
        more, less = letters[first[0] : first[1]], read[last[2] : last[3]]
    kept = letters[tail[0] : tail[1]]
    size = len(kept)
    if tail[3] - tail[2] != size:
        return []
    if not (_a_word_more(more) and _a_word_more(less)) or any(map(str.isspace, kept)):
        return []
    if size >= len(letters[head[0] : head[1]].rpartition(" ")[2]):
        return []
    o0, o1, c0, c1 = first[0], last[1], first[2], last[3]
    if first[0] == first[1]:  # the witness has the word more: the end of the word is not in it
        o2, c2 = o0 + size, c0
    else:
        o2, c2 = o0, c0 + size
    end: Step = (o0, o2, c0, c2, int(StepKind.CHANGED if size <= MOST_CHANGED else StepKind.SKIPPED))
    blank: Step = (o2, o2 + 1, c2, c2 + 1, int(StepKind.KEPT))
    put_in: Step = (o2 + 1, o2 + 1, c2 + 1, c1, int(StepKind.SKIPPED))
    return [end, blank, put_in, (o2 + 1, o1, c1, c1, int(StepKind.SKIPPED))]


def _a_word_more(letters: str) -> bool:
    """Tell whether letters are a division and what begins after it."""
    return letters[:1] == " " and len(letters) > 1 and not any(map(str.isspace, letters[1:]))
