"""Collect the differences between an original and its copy, and say what happened in each.

Arrives: an alignment. Leaves: ``Variant``s with their phenomenon, the cause not yet decided.
Start reading at ``collect``.

One variant is one event of the pen: letters changed together. A word may hold several. Three
things are put together that the alignment gives apart: a word replaced by another (less than
half of it kept), a run of minims parted otherwise, and words moved (left out here, put in there).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from fidelity.letters import decode, is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Phenomenon, StepKind, Variant
from fidelity.variants.cells import Cell, Step, changed_cells
from fidelity.witnesses.folds import Folds

MINIMS = {"i": 1, "ı": 1, "j": 1, "n": 2, "u": 2, "v": 2, "m": 3}  # strokes (vHMML, Gothic lesson: the class)
REPLACED_BELOW = 0.5  # share of the longer word kept, below which it is another word
REPLACED_FROM = 3  # letters; a shorter word changes altogether by a single slip
REPLACED_IN_PART_FROM = 5  # letters; of a shorter word two slips leave less than half
MOVED_WITHIN = 80  # letters, about two manuscript lines (Clark 1914 and after count 30-40 to the line)
MOVED_FROM = 3  # letters; less is taken for two slips


@dataclass(frozen=True)
class _Event:
    """Letters changed together, before they become a variant."""

    cell: Cell
    o0: int
    o1: int
    c0: int
    c1: int
    pairs: tuple[tuple[str, str], ...]
    replaced: bool = False
    moved: bool = False


def collect(alignment: Alignment, text: str, folds: Folds, first_number: int = 1) -> list[Variant]:
    """Give every difference of a survivor, in order, with its phenomenon.

    Args:
        alignment: of original and copy.
        text: id of the survivor.
        folds: letterforms counted as equal.
        first_number: number of the first variant.
    """
    events = [event for cell in changed_cells(alignment) for event in _events(cell, alignment, folds)]
    events = _moved_together(events, alignment, folds)
    found = [
        _variant(event, alignment, text, folds) for event in events if not _equal(event, alignment, folds)
    ]
    return [replace(variant, number=first_number + at) for at, variant in enumerate(found)]


def _equal(event: _Event, alignment: Alignment, folds: Folds) -> bool:
    """Tell whether an event is no difference after all (a long declared expansion)."""
    return folds.same(
        alignment.original.letters[event.o0 : event.o1], alignment.copy.letters[event.c0 : event.c1]
    )


def _is_replaced(cell: Cell, alignment: Alignment) -> bool:
    """Tell whether a cell holds one word that stands for another."""
    original = alignment.original.letters[cell.original_start : cell.original_end]
    copy = alignment.copy.letters[cell.copy_start : cell.copy_end]
    if not original or not copy or any(letter.isspace() for letter in original + copy) or LOST_LETTER in copy:
        return False
    kept = sum(
        sum(not is_punctuation(letter) for letter in alignment.original.letters[o0:o1])
        for o0, o1, _, _, kind in cell.steps
        if kind == StepKind.KEPT
    )
    longest = max(sum(not is_punctuation(letter) for letter in word) for word in (original, copy))
    if kept:
        return longest >= REPLACED_IN_PART_FROM and kept < REPLACED_BELOW * longest
    return longest >= REPLACED_FROM


def _events(cell: Cell, alignment: Alignment, folds: Folds) -> Iterator[_Event]:
    """Give the events of one cell, in order."""
    original, copy = alignment.original.letters, alignment.copy.letters
    if _is_replaced(cell, alignment) and not _only_minims(cell, alignment, folds):
        o0, o1, c0, c1 = _without_stops(cell, alignment)
        yield _Event(cell, o0, o1, c0, c1, ((original[o0:o1], copy[c0:c1]),), replaced=True)
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
        yield _Event(cell, run[0][0], run[-1][1], run[0][2], run[-1][3], pairs)


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


def _strokes(letters: str, folds: Folds) -> int | None:
    """Count the strokes of a run of minims; None where it holds any other letter."""
    counts = [MINIMS.get(letter) for letter in folds.fold(letters)]
    return None if None in counts else sum(count for count in counts if count)


def _only_minims(cell: Cell, alignment: Alignment, folds: Folds) -> bool:
    """Tell whether a whole cell is minims on both sides, stops apart."""
    o0, o1, c0, c1 = _without_stops(cell, alignment)
    return (
        _strokes(alignment.original.letters[o0:o1], folds) is not None
        and _strokes(alignment.copy.letters[c0:c1], folds) is not None
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
            strokes = _strokes(original, folds), _strokes(copy, folds)
            if 0 < gap <= 4 and None not in strokes and strokes[0] == strokes[1]:
                joined[-1] = [(before[0][0], run[-1][1], before[0][2], run[-1][3], int(StepKind.CHANGED))]
                continue
        joined.append(run)
    return joined


def _moved_together(events: list[_Event], alignment: Alignment, folds: Folds) -> list[_Event]:
    """Join words left out in one place and put in nearby: they were moved."""
    original, copy = alignment.original.letters, alignment.copy.letters
    left_out: dict[str, list[int]] = {}
    put_in: dict[str, list[int]] = {}
    for at, event in enumerate(events):
        gone, come = original[event.o0 : event.o1], copy[event.c0 : event.c1]
        if (gone and come) or len((gone + come).strip()) < MOVED_FROM:
            continue
        (left_out if gone else put_in).setdefault(folds.fold(gone or come).strip(), []).append(at)
    partner: dict[int, int] = {}
    for words, places in left_out.items():
        for at in places:
            near = [
                other
                for other in put_in.get(words, [])
                if other not in partner
                and abs(other - at) == 1  # a change between the two is told for itself
                and abs(events[other].o0 - events[at].o0) <= MOVED_WITHIN
            ]
            if near:
                other = min(near, key=lambda other: abs(events[other].o0 - events[at].o0))
                partner[other], partner[at] = at, other
    kept = []
    for at, event in enumerate(events):
        if at not in partner:
            kept.append(event)
        elif at < partner[at]:
            kept.append(_joined(event, events[partner[at]], alignment))
    return kept


def _joined(first: _Event, last: _Event, alignment: Alignment) -> _Event:
    """Make one event of words moved, from the first place to the last."""
    cell = Cell(
        first.cell.original_start, last.cell.original_end, first.cell.copy_start, last.cell.copy_end, ()
    )
    original = alignment.original.letters[first.o0 : last.o1]
    copy = alignment.copy.letters[first.c0 : last.c1]
    return _Event(cell, first.o0, last.o1, first.c0, last.c1, ((original, copy),), moved=True)


def phenomenon_of(original: str, copy: str, folds: Folds) -> Phenomenon:
    """Say what happened to these letters, by their letters alone.

    >>> from fidelity.witnesses.folds import NO_FOLDS
    >>> phenomenon_of("la", "al", NO_FOLDS), phenomenon_of(" ", "", NO_FOLDS)
    (<Phenomenon.TRANSPOSITION: 'transposition'>, <Phenomenon.DIVISION: 'division'>)
    """
    folded, folded_copy = folds.fold(original), folds.fold(copy)
    if "".join(folded.split()) == "".join(folded_copy.split()):
        return Phenomenon.DIVISION
    if not folded_copy.strip(LOST_LETTER + " "):
        return Phenomenon.OMISSION
    if not folded.strip(LOST_LETTER + " "):
        return Phenomenon.ADDITION
    if folded != folded_copy and sorted(folded) == sorted(folded_copy):
        return Phenomenon.TRANSPOSITION
    return Phenomenon.SUBSTITUTION


def _variant(event: _Event, alignment: Alignment, text: str, folds: Folds) -> Variant:
    """Make a variant of an event."""
    original, copy = alignment.original, alignment.copy
    gone, come = original.letters[event.o0 : event.o1], copy.letters[event.c0 : event.c1]
    phenomenon = phenomenon_of(gone, come, folds)
    minims = _strokes(gone, folds), _strokes(come, folds)
    if phenomenon is Phenomenon.TRANSPOSITION and None not in minims:
        phenomenon = Phenomenon.SUBSTITUTION  # the same strokes parted otherwise, nothing moved
    if event.moved:
        phenomenon = Phenomenon.TRANSPOSITION
    at = min(event.o0 + (len(gone) - len(gone.lstrip())), max(len(original) - 1, 0))
    cell = event.cell
    return Variant(
        number=0,
        text=text,
        locus=replace(original.locus(at), text=text),
        original=decode(gone),
        copy=decode(come),
        original_words=decode(original.letters[cell.original_start : cell.original_end]),
        copy_words=decode(copy.letters[cell.copy_start : cell.copy_end]),
        original_span=(event.o0, event.o1),
        copy_span=(event.c0, event.c1),
        phenomenon=phenomenon,
        hand=original.hand(min(event.o0, max(len(original) - 1, 0))),
        pairs=event.pairs,
        replaced=event.replaced,
    )
