"""What the copies have from other witnesses, beside the rest of an audit.

Arrives: the first half of the chain. Leaves: the same with what was found of each text and each other witness
of it; and proposals that say so where they stand in a stretch taken from elsewhere. Start reading at
``with_imported``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.judge import Audit, Progress
from fidelity.terms import ProposedReading
from fidelity.terms.imported import Imported


def with_imported(found: Audit, progress: Progress = lambda _: None) -> Audit:
    """Add what the copies have from other witnesses; nothing changes where the dossier names none.

    Args:
        found: the first half of the chain.
        progress: told in a few words what is being done.
    """
    if not found.dossier.witnesses:
        return found
    from fidelity.sources.imported import imported, survivors_of  # few dossiers have other witnesses

    survivors = survivors_of(found.dossier, found.counts, found.variants, found.scores)
    return replace(found, imported=imported(found.dossier, survivors, progress))


def noted(readings: Sequence[ProposedReading], found: Sequence[Imported]) -> tuple[ProposedReading, ...]:
    """Say of every reading in an imported stretch that it is made against the witness it was taken from.

    Args:
        readings: of the lost texts.
        found: what was found of each text and witness.
    """
    if not found:
        return tuple(readings)
    from fidelity.sources.imported import stretches  # as above

    sure, widest = stretches(found, certain_only=True), stretches(found)
    told = []
    for one in readings:
        spans = [
            (start <= one.copy_span[0] and one.copy_span[1] <= end, siglum)
            for (start, end, _), (low, high, siglum) in zip(
                sure.get(one.text, ()), widest.get(one.text, ()), strict=True
            )
            if low <= one.copy_span[0] and one.copy_span[1] <= high
        ]
        notes = [_note(inside, siglum) for inside, siglum in spans]
        told.append(replace(one, note="; ".join(filter(None, [one.note, *notes]))) if notes else one)
    return tuple(told)


def _note(inside: bool, siglum: str) -> str:
    """Say against what a reading is made."""
    if inside:
        return (
            f"in the stretch taken from {siglum}: this says what {siglum} had, not what the lost original had"
        )
    return f"perhaps in the stretch taken from {siglum}: if so, it says nothing of the lost original"
