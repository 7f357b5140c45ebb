"""Which stretches of two texts answer each other because they are cited alike.

Arrives: a main witness, and one whose lines are numbered as the main one's are. Leaves: pairs of lines. Start
reading at ``answering_lines``.
"""

from __future__ import annotations

import itertools

from fidelity.terms import Witness


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
