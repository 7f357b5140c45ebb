"""The operations by which the copyist would have made one reading out of another.

Arrives: a proposed and a transmitted reading. Leaves: pairs (original letters, written letters).
Start reading at ``steps_between``.
"""

from __future__ import annotations

from collections.abc import Container

from rapidfuzz.distance import Levenshtein

Step = tuple[str, str]  # (original letters, written letters), folded


def steps_between(proposed: str, transmitted: str) -> list[Step]:
    """Give the operations by which the copyist would have made the transmitted reading.

    >>> steps_between("hwostan", "hworcan")
    [('s', 'r'), ('t', 'c')]
    >>> steps_between("on ecede", "onecede")
    [(' ', '')]
    >>> steps_between("finger", "fingre")
    [('er', 're')]
    """
    exchanged = _exchange(proposed, transmitted)
    if exchanged:
        return [exchanged]
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


def _exchange(proposed: str, transmitted: str) -> Step | None:
    """Give two neighbours that changed places, where that is all that happened."""
    if len(proposed) != len(transmitted):
        return None
    at = next((i for i, pair in enumerate(zip(proposed, transmitted, strict=True)) if pair[0] != pair[1]), -1)
    if at < 0 or at + 1 >= len(proposed):
        return None
    pair = proposed[at : at + 2]
    swapped = proposed[:at] + pair[::-1] + proposed[at + 2 :]
    return (pair, pair[::-1]) if swapped == transmitted else None


def parted(step: Step, known: Container[Step]) -> list[Step]:
    """Part a longer step into steps that are known, where it can be done; else give it whole.

    >>> parted(("þ.", "th;"), {("þ", "th"), (".", ";")})
    [('þ', 'th'), ('.', ';')]
    """
    return _parted(step, known) or [step]


def _parted(step: Step, known: Container[Step]) -> list[Step] | None:
    """Part a step into known ones; None where that cannot be done."""
    if step in known:
        return [step]
    original, written = step
    for o in range(len(original) + 1):
        for c in range(len(written) + 1):
            first, rest = (original[:o], written[:c]), (original[o:], written[c:])
            if ("", "") in (first, rest) or first not in known:
                continue
            others = _parted(rest, known)
            if others:
                return [first, *others]
    return None
