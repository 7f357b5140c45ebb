"""Which stretches of two texts answer each other because they are cited alike.

Arrives: a main witness, and one whose lines are numbered as the main one's are. Leaves: pairs of lines, and
the alignment of each pair by itself. Start reading at ``answering_lines``.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.align import Pair
from fidelity.alignment.channel import AnswerTotals
from fidelity.alignment.costs import costs_from
from fidelity.alignment.layout import lay_out
from fidelity.alignment.windows import solve_windows
from fidelity.sources.profile import Profile
from fidelity.terms import StepKind, Witness

Steps = npt.NDArray[Any]
Flags = npt.NDArray[np.bool_]


def plain_label(label: str, text: str) -> str:
    """Give how a line is cited without the text's own id before it.

    >>> plain_label("X.12", "X"), plain_label("X 12r:3", "X"), plain_label("12", "X")
    ('12', '12r:3', '12')
    """
    rest = label.removeprefix(text)
    cut = rest.lstrip(" .,:")
    return cut if text and rest != label and cut and cut != rest else label


def answering_lines(main: Witness, other: Witness, text: str) -> list[tuple[int, int]] | None:
    """Find the lines of a numbered witness in the main one.

    Args:
        main: whose labels cite the text.
        other: each of whose lines bears the label of the line it answers; lines that the main witness has
            not are taken with the line before them.
        text: its id, which may stand before a label.

    Returns:
        Pairs of line numbers, main and other, both ascending; None where the lines stand in another
        order, or none is found.
    """
    known = {plain_label(label, text): line for line, label in enumerate(main.labels)}
    found = [
        (known[plain], line)
        for line, label in enumerate(other.labels)
        if (plain := plain_label(label, text)) in known
    ]
    ascending = all(one[0] < two[0] for one, two in itertools.pairwise(found))
    return found if found and ascending else None


def windows_of(
    pairs: Sequence[tuple[int, int]], main: Witness, other: Witness, kept: Flags, profile: Profile
) -> Steps:
    """Give the stretches that answer each other by their numbers, and those between them."""
    at = profile.columns[0].at
    offset = np.insert(np.cumsum(kept), 0, 0)  # in the witness without signs for losses
    mains, others = [*main.lines, len(main)], [*other.lines, len(other)]
    cuts = [0, 0]
    rows = []
    for number, (line, answering) in enumerate(pairs):
        start, end = (int(np.searchsorted(at, mains[one], side="left")) for one in (line, line + 1))
        following = pairs[number + 1][1] if number + 1 < len(pairs) else len(other.lines)
        first = int(offset[others[answering]]) if number else 0
        if start > cuts[0]:
            rows.append((cuts[0], start, cuts[1], cuts[1]))
        cuts = [end, int(offset[others[following]])]
        rows.append((start, end, first, cuts[1]))
    if cuts[0] < len(profile.letters):
        rows.append((cuts[0], len(profile.letters), cuts[1], cuts[1]))
    return np.array(rows, dtype=np.int64)


def line_by_line(pair: Pair, counted: object, windows: Steps) -> Steps:
    """Align each window by itself, all under the costs learned from the whole."""
    totals = counted if isinstance(counted, AnswerTotals) else None
    costs = costs_from(pair.channel(totals), pair.texts.letters)
    both = (windows[:, 1] > windows[:, 0]) & (windows[:, 3] > windows[:, 2])
    layout = lay_out(pair.texts.original, pair.texts.copy, pair.texts.folded, windows[both])
    steps = solve_windows(layout, costs).astype(np.int64)
    alone = np.zeros((int((~both).sum()), 5), dtype=np.int64)
    alone[:, :4], alone[:, 4] = windows[~both], StepKind.SKIPPED
    every = np.concatenate([steps, alone])
    return every[np.lexsort((every[:, 3], every[:, 1], every[:, 2], every[:, 0]))]
