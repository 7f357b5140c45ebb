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

    spans = stretches(found, certain_only=True)
    return tuple(_noted(one, spans.get(one.text, ())) for one in readings)


def _noted(reading: ProposedReading, spans: Sequence[tuple[int, int, str]]) -> ProposedReading:
    """Say of a reading against what it is made, if it stands between the first and the last shared place."""
    first, end = reading.copy_span
    notes = [
        f"in the stretch taken from {siglum}: this is a reading of {siglum}, not of the lost original"
        for start, last, siglum in spans
        if start <= first and end <= last
    ]
    return replace(reading, note="; ".join(filter(None, [reading.note, *notes]))) if notes else reading
