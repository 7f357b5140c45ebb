"""The operations by which the copyist would have made one reading out of another.

Arrives: a proposed and a transmitted reading. Leaves: pairs (original letters, written letters), with
their places if asked. Start reading at ``steps_between``.
"""

from __future__ import annotations

from collections.abc import Container
from typing import NamedTuple

from rapidfuzz.distance import Levenshtein

from fidelity.letters import NOTHING, SPACE, decode, without_stops

Step = tuple[str, str]  # (original letters, written letters), folded

DIVISIONS = ((" ", ""), ("", " "))  # of words: left out, put in
LONGEST_PARTED = 8  # letters on both sides together; a longer step is another word


class PlacedStep(NamedTuple):
    """An operation and where it is made.

    Attributes:
        step: original letters, written letters.
        original_at: offset of the original letters in the proposed reading.
        written_at: offset of the written letters in the transmitted reading.
    """

    step: Step
    original_at: int
    written_at: int


def printed(step: Step) -> str:
    """Print an operation: original letters, arrow, written letters; nothing is ∅, a space ␣.

    >>> printed((" ", ""))
    '␣→∅'
    """
    return "→".join(decode(side).replace(" ", SPACE).replace("\t", "␉") or NOTHING for side in step)


def steps_between(proposed: str, transmitted: str) -> list[Step]:
    """Give the operations by which the copyist would have made the transmitted reading.

    >>> steps_between("hwostan", "hworcan")
    [('s', 'r'), ('t', 'c')]
    >>> steps_between("on ecede", "onecede")
    [(' ', '')]
    >>> steps_between("finger", "fingre")
    [('er', 're')]
    """
    return [one.step for one in placed_steps(proposed, transmitted)]


def placed_steps(proposed: str, transmitted: str) -> list[PlacedStep]:
    """Give the same operations with their places.

    >>> placed_steps("hwostan", "hworcan")[1]
    PlacedStep(step=('t', 'c'), original_at=4, written_at=4)
    """
    exchanged = _exchange(proposed, transmitted)
    if exchanged:
        return [exchanged]
    steps: list[PlacedStep] = []
    ends = (-1, -1)
    for code in Levenshtein.opcodes(proposed, transmitted):
        o0, o1, c0, c1 = code.src_start, code.src_end, code.dest_start, code.dest_end
        if code.tag == "equal":
            continue
        original, written = proposed[o0:o1], transmitted[c0:c1]
        if steps and (o0, c0) == ends:
            before = steps.pop()
            whole = before.step[0] + original, before.step[1] + written
            steps.append(PlacedStep(whole, before.original_at, before.written_at))
        elif len(original) == len(written):
            pairs = enumerate(zip(original, written, strict=True))
            steps += (PlacedStep(pair, o0 + at, c0 + at) for at, pair in pairs)
        else:
            steps.append(PlacedStep((original, written), o0, c0))
        ends = (o1, c1)
    return steps


def _exchange(proposed: str, transmitted: str) -> PlacedStep | None:
    """Give two neighbours that changed places, where that is all that happened."""
    if len(proposed) != len(transmitted):
        return None
    at = next((i for i, pair in enumerate(zip(proposed, transmitted, strict=True)) if pair[0] != pair[1]), -1)
    if at < 0 or at + 1 >= len(proposed):
        return None
    pair = proposed[at : at + 2]
    swapped = proposed[:at] + pair[::-1] + proposed[at + 2 :]
    return PlacedStep((pair, pair[::-1]), at, at) if swapped == transmitted else None


def known_steps(proposed: str, transmitted: str, known: Container[Step]) -> list[PlacedStep]:
    """Give the operations with their places, parted into such as are known where that can be.

    >>> [one.step for one in known_steps("wiþ", "with.", {("þ", "th"), ("", ".")})]
    [('þ', 'th'), ('', '.')]
    >>> [one.step for one in known_steps("at þam", "attham", {("þ", "th")})]
    [(' ', ''), ('þ', 'th')]
    """
    found = []
    for step, o, c in _joined(placed_steps(proposed, transmitted), known):
        parts = parted(step, known) if len("".join(step)) <= LONGEST_PARTED else [step]
        for part in parts:
            found.append(PlacedStep(part, o, c))
            o, c = o + len(part[0]), c + len(part[1])
    return found


def _joined(steps: list[PlacedStep], known: Container[Step]) -> list[PlacedStep]:
    """Take neighbouring steps that are not all known as one, where that can be parted into known ones."""
    done: list[PlacedStep] = []
    at = 0
    while at < len(steps):
        end = at + 1
        while end < len(steps) and _touch(steps[end - 1], steps[end]):
            end += 1
        run = steps[at:end]
        whole = "".join(one.step[0] for one in run), "".join(one.step[1] for one in run)
        short = len("".join(whole)) <= LONGEST_PARTED
        if (
            end - at > 1
            and short
            and not all(_is_known(one.step, known) for one in run)
            and _parted(whole, known)
        ):
            run = [PlacedStep(whole, *run[0][1:])]
        done += run
        at = end
    return done


def _touch(one: PlacedStep, other: PlacedStep) -> bool:
    ends = one.original_at + len(one.step[0]), one.written_at + len(one.step[1])
    return ends == (other.original_at, other.written_at)


def _is_known(step: Step, known: Container[Step]) -> bool:
    """Tell whether a step is known; a division put in or left out always is, and so is a stop for another."""
    return step in known or step in DIVISIONS or _is_of_stops(step)


def _is_of_stops(step: Step) -> bool:
    """Tell whether a step is one stop for another, or one put in or left out."""
    letters = "".join(step)
    return max(map(len, step)) == 1 and not letters.isspace() and not without_stops(letters)


def parted(step: Step, known: Container[Step]) -> list[Step]:
    """Part a longer step into steps that are known, where it can be done; else give it whole.

    >>> parted(("þ.", "th;"), {("þ", "th")})
    [('þ', 'th'), ('.', ';')]
    """
    return _parted(step, known) or [step]


def _parted(step: Step, known: Container[Step]) -> list[Step] | None:
    """Part a step into known ones; None where that cannot be done."""
    if _is_known(step, known):
        return [step]
    original, written = step
    for o in range(len(original) + 1):
        for c in range(len(written) + 1):
            first, rest = (original[:o], written[:c]), (original[o:], written[c:])
            if ("", "") in (first, rest) or not _is_known(first, known):
                continue
            others = _parted(rest, known)
            if others:
                return [first, *others]
    return None
