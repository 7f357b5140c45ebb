"""Tell the events of the pen in a stretch that differs: letters changed together.

Arrives: a ``Cell``, mostly a word and the word that answers it. Leaves: ``Event``s. Start reading
at ``events_of``.

Two things are put together that the alignment gives apart: a word replaced by another (less than
half of it kept), and a run of minims parted otherwise.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fidelity.letters import is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, StepKind
from fidelity.variants.cells import Cell, Step
from fidelity.witnesses.folds import Folds

MINIMS = {"i": 1, "ı": 1, "j": 1, "n": 2, "u": 2, "v": 2, "m": 3}  # strokes (vHMML, Gothic lesson: the class)
REPLACED_BELOW = 0.5  # share of the longer word kept, below which it is another word
REPLACED_FROM = 3  # letters; a shorter word changes altogether by a single slip
REPLACED_IN_PART_FROM = 5  # letters; of a shorter word two slips leave less than half


@dataclass(frozen=True)
class Event:
    """Letters changed together, before they become a variant.

    Attributes:
        cell: the words they stand in.
        o0, o1, c0, c1: their spans in original and copy.
        pairs: the answers they are made of.
        replaced: whether a whole word stands for another.
        moved: whether words stand elsewhere in the copy.
    """

    cell: Cell
    o0: int
    o1: int
    c0: int
    c1: int
    pairs: tuple[tuple[str, str], ...]
    replaced: bool = False
    moved: bool = False


def events_of(cell: Cell, alignment: Alignment, folds: Folds) -> Iterator[Event]:
    """Give the events of one cell, in order."""
    original, copy = alignment.original.letters, alignment.copy.letters
    if _is_replaced(cell, alignment) and not _only_minims(cell, alignment, folds):
        o0, o1, c0, c1 = _without_stops(cell, alignment)
        yield Event(cell, o0, o1, c0, c1, ((original[o0:o1], copy[c0:c1]),), replaced=True)
        return
    runs: list[list[Step]] = []
    for step in cell.steps:
        if step[4] == StepKind.KEPT:
            continue
        joins = runs and runs[-1][-1][1] == step[0] and runs[-1][-1][3] == step[2]
        if joins and not _parts(runs[-1][-1], step, alignment):
            runs[-1].append(step)
        else:
            runs.append([step])
    for run in _minims_joined(runs, alignment, folds):
        pairs = tuple((original[o0:o1], copy[c0:c1]) for o0, o1, c0, c1, _ in run)
        yield Event(cell, run[0][0], run[-1][1], run[0][2], run[-1][3], pairs)


def _is_replaced(cell: Cell, alignment: Alignment) -> bool:
    """Tell whether a cell holds one word that stands for another."""
    original = alignment.original.letters[cell.original_start : cell.original_end]
    copy = alignment.copy.letters[cell.copy_start : cell.copy_end]
    if not original or not copy or any(map(str.isspace, original + copy)) or LOST_LETTER in copy:
        return False
    if sum(step[3] - step[2] for step in cell.steps) < len(copy):
        return False  # part of it was moved here from elsewhere
    if sum(step[1] - step[0] for step in cell.steps) < len(original):
        return False  # part of it stands elsewhere
    kept = sum(
        _letters_in(alignment.original.letters[o0:o1])
        for o0, o1, _, _, kind in cell.steps
        if kind == StepKind.KEPT
    )
    longest = max(map(_letters_in, (original, copy)))
    if kept:
        return longest >= REPLACED_IN_PART_FROM and kept < REPLACED_BELOW * longest
    return longest >= REPLACED_FROM


def _letters_in(letters: str) -> int:
    """Count the letters that are no stops."""
    return len(letters) - sum(map(is_punctuation, letters))


def _without_stops(cell: Cell, alignment: Alignment) -> tuple[int, int, int, int]:
    """Give the spans of a replaced word without stops that both words have at their end."""
    o0, o1, c0, c1 = cell.original_start, cell.original_end, cell.copy_start, cell.copy_end
    original, copy = alignment.original.letters, alignment.copy.letters
    while o1 > o0 and c1 > c0 and original[o1 - 1] == copy[c1 - 1] and is_punctuation(copy[c1 - 1]):
        o1, c1 = o1 - 1, c1 - 1
    return o0, o1, c0, c1


def _is_division(step: Step, alignment: Alignment) -> bool:
    """Tell whether a step only puts in or leaves out white space."""
    o0, o1, c0, c1, kind = step
    letters = alignment.original.letters[o0:o1] + alignment.copy.letters[c0:c1]
    return kind == StepKind.CHANGED and letters.isspace()


def _parts(before: Step, step: Step, alignment: Alignment) -> bool:
    """Tell whether two neighbouring steps are different events: a word division and letters."""
    if StepKind.SKIPPED in (before[4], step[4]):
        return False
    return _is_division(before, alignment) != _is_division(step, alignment)


def strokes_of(letters: str, folds: Folds) -> int | None:
    """Count the strokes of a run of minims; None where it holds any other letter."""
    counts = [MINIMS.get(letter) for letter in folds.fold(letters)]
    return None if None in counts else sum(count for count in counts if count)


def _alike(strokes: int | None, strokes_of_copy: int | None) -> bool:
    """Tell whether two runs of minims have as many strokes, one miscounted at most."""
    return None not in (strokes, strokes_of_copy) and abs((strokes or 0) - (strokes_of_copy or 0)) <= 1


def _exchanged(original: str, copy: str, folds: Folds) -> bool:
    """Tell whether two letters changed places over what stands between them."""
    original, copy = folds.fold(original), folds.fold(copy)
    if len(original) < 2 or len(copy) < 2:
        return False
    return original[0] == copy[-1] and original[-1] == copy[0] and original[1:-1] == copy[1:-1]


def _only_minims(cell: Cell, alignment: Alignment, folds: Folds) -> bool:
    """Tell whether a whole cell, or all that was changed in it, is minims on both sides, stops apart."""
    original, copy = alignment.original.letters, alignment.copy.letters
    changed = [step for step in cell.steps if step[4] != StepKind.KEPT]
    gone = "".join(original[o0:o1] for o0, o1, _, _, _ in changed)
    come = "".join(copy[c0:c1] for _, _, c0, c1, _ in changed)
    if gone and come and _alike(strokes_of(gone, folds), strokes_of(come, folds)):
        return True
    o0, o1, c0, c1 = _without_stops(cell, alignment)
    return (
        strokes_of(alignment.original.letters[o0:o1], folds) is not None
        and strokes_of(alignment.copy.letters[c0:c1], folds) is not None
    )


def _minims_joined(runs: list[list[Step]], alignment: Alignment, folds: Folds) -> list[list[Step]]:
    """Join changes of one run of minims with nothing but kept minims between them."""
    joined: list[list[Step]] = []
    for run in runs:
        if joined:
            before = joined[-1]
            original = alignment.original.letters[before[0][0] : run[-1][1]]
            copy = alignment.copy.letters[before[0][2] : run[-1][3]]
            gap = run[0][0] - before[-1][1]
            strokes = strokes_of(original, folds), strokes_of(copy, folds)
            if 0 < gap <= 4 and (_alike(*strokes) or _exchanged(original, copy, folds)):
                joined[-1] = [(before[0][0], run[-1][1], before[0][2], run[-1][3], int(StepKind.CHANGED))]
                continue
        joined.append(run)
    return joined
