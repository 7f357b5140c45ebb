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
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.imported import Imported, Verdict


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


def dependent_stretches(found: Audit) -> dict[str, tuple[DependentStretch, ...]]:
    """Give the stretches of the lost texts' copies that were found to be taken from another witness.

    Returns:
        By id of the text; offsets in its copy, from the first shared place to the last.
    """
    lost = {text.id for text in found.dossier.lost}
    stretches: dict[str, tuple[DependentStretch, ...]] = {}
    for one in found.imported:
        if one.text in lost and one.verdict is Verdict.IMPORTED and one.stretch is not None:
            first, last = (one.counted[at] for at in (one.stretch.first, one.stretch.last))
            printed = f"{first.locus}-{last.last_locus.line}.{last.last_locus.word}"
            taken = DependentStretch(one.siglum, one.stretch.copy_span, printed, found=True)
            stretches[one.text] = (*stretches.get(one.text, ()), taken)
    return stretches


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
