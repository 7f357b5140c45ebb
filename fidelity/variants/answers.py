"""Which letters of a copy answer a stretch of its original.

Arrives: an alignment and a span of the original. Leaves: a span of the copy. Start reading at ``answered``.
"""

from __future__ import annotations

import numpy as np

from fidelity.terms import Alignment, StepKind


def answered(alignment: Alignment, span: tuple[int, int]) -> tuple[int, int]:
    """Give the span of the copy that answers a span of the original; (0, 0) where nothing does.

    Args:
        alignment: of the two.
        span: offsets in the original, half-open.
    """
    steps = alignment.steps
    first = int(np.searchsorted(steps[:, 1], span[0], side="right"))  # steps are in order of both texts
    last = int(np.searchsorted(steps[:, 0], span[1], side="left"))
    found = []
    for o0, o1, c0, c1, kind in steps[first:last].tolist():
        if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
            found += [c0 + max(span[0] - o0, 0), c0 + min(span[1], o1) - o0]
        else:
            found += [c0, c1]
    return (min(found), max(found)) if found else (0, 0)
