"""Collect the differences between an original and its copy, and say what happened in each.

Arrives: an alignment. Leaves: ``Variant``s with their phenomenon, the cause not yet decided.
Start reading at ``collect``.

One variant is one event of the pen: letters changed together (``events.py``). A word may hold
several. What was moved is one event too, wherever it stands in the copy (``moves.py``). Where another
alignment is as good and would be judged differently, the variant says so (``rivals.py``).
"""

from __future__ import annotations

from fidelity.letters import decode
from fidelity.terms import Alignment, Variant
from fidelity.variants.cells import changed_cells
from fidelity.variants.citations import Citations
from fidelity.variants.events import Event, events_of
from fidelity.variants.moves import steps_without_moved, with_moved
from fidelity.variants.phenomenon import phenomenon_of, what_happened
from fidelity.variants.rivals import doubts_of
from fidelity.witnesses.folds import Folds

__all__ = ["collect", "phenomenon_of"]

Cited = tuple[Citations, Citations]  # of the original and of the copy


def collect(alignment: Alignment, text: str, folds: Folds, first_number: int = 1) -> list[Variant]:
    """Give every difference of a survivor, in order, with its phenomenon.

    Args:
        alignment: of original and copy.
        text: id of the survivor.
        folds: letterforms counted as equal.
        first_number: number of the first variant.
    """
    cells = changed_cells(alignment, steps_without_moved(alignment))
    events = [event for cell in cells for event in events_of(cell, alignment, folds)]
    events = [event for event in events if not _equal(event, alignment, folds)]
    events = with_moved(events, alignment)
    doubts = doubts_of(alignment, folds)
    cited = Citations(alignment.original, text), Citations(alignment.copy)
    return [
        _variant(
            event, alignment, folds, cited, number, doubts.get((event.o0, event.o1, event.c0, event.c1), "")
        )
        for number, event in enumerate(events, start=first_number)
    ]


def _equal(event: Event, alignment: Alignment, folds: Folds) -> bool:
    """Tell whether an event is no difference after all (a long declared expansion)."""
    return folds.same(
        alignment.original.letters[event.o0 : event.o1], alignment.copy.letters[event.c0 : event.c1]
    )


def _variant(
    event: Event, alignment: Alignment, folds: Folds, cited: Cited, number: int, rival: str
) -> Variant:
    """Make a variant of an event."""
    original, copy = alignment.original, alignment.copy
    gone, come = original.letters[event.o0 : event.o1], copy.letters[event.c0 : event.c1]
    locus, last = cited[0].ends(event.o0, event.o1)
    copy_locus, copy_last = cited[1].ends(event.c0, event.c1)
    cell = event.cell
    return Variant(
        number=number,
        text=cited[0].text,
        locus=locus,
        original=decode(gone),
        copy=decode(come),
        original_words=decode(original.letters[cell.original_start : cell.original_end]),
        copy_words=decode(copy.letters[cell.copy_start : cell.copy_end]),
        original_span=(event.o0, event.o1),
        copy_span=(event.c0, event.c1),
        phenomenon=what_happened(event, alignment, folds),
        hand=original.hand(min(event.o0, max(len(original) - 1, 0))),
        alignment_doubt=bool(rival),
        pairs=event.pairs,
        replaced=event.replaced,
        moved=event.moved,
        or_else=rival,
        last_locus=last,
        copy_locus=copy_locus,
        copy_last_locus=copy_last,
    )
