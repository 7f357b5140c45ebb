"""The operations by which the copyist would have made one reading out of another.

Arrives: a proposed and a transmitted reading. Leaves: pairs (original letters, written letters).
Start reading at ``steps_between``.
"""

from __future__ import annotations

from rapidfuzz.distance import Levenshtein

Step = tuple[str, str]  # (original letters, written letters), folded


def steps_between(proposed: str, transmitted: str) -> list[Step]:
    """Give the operations by which the copyist would have made the transmitted reading.

    >>> steps_between("hwostan", "hworcan")
    [('s', 'r'), ('t', 'c')]
    >>> steps_between("on ecede", "onecede")
    [(' ', '')]
    """
    steps: list[Step] = []
    ends = (-1, -1)
    for code in Levenshtein.opcodes(proposed, transmitted):
        o0, o1, c0, c1 = code.src_start, code.src_end, code.dest_start, code.dest_end
        if code.tag == "equal":
            continue
        original, written = proposed[o0:o1], transmitted[c0:c1]
        if steps and (o0, c0) == ends:
            before = steps.pop()
            steps.append((before[0] + original, before[1] + written))
        elif len(original) == len(written):
            steps += zip(original, written, strict=True)
        else:
            steps.append((original, written))
        ends = (o1, c1)
    return steps
