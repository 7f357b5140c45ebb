"""What the copies have from other witnesses, beside the rest of an audit.

Arrives: the first half of the chain. Leaves: the same with what was found of each text and each other witness
of it; and proposals that say so where they stand in a stretch taken from elsewhere. Start reading at
``with_imported``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from fidelity.dossier.word_places import whole_words
from fidelity.judge import Audit, Progress
from fidelity.letters import decode, encode
from fidelity.sources.tradition import plain_reading
from fidelity.terms import ProposedReading, Witness
from fidelity.terms.attestation import DependentStretch
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


def dependent_stretches(found: Audit) -> dict[str, list[DependentStretch]]:
    """Give the stretches in which the copies follow another witness, by id of the text.

    There copy and witness are one vote: from the first word in which they share something to the last.
    """
    if not found.imported:
        return {}
    from fidelity.sources.imported import stretches  # few dossiers have other witnesses

    copies = {one.id: one.copy for one in found.dossier.lost}
    return {
        text: [
            DependentStretch(siglum, span, _printed(copies[text], *span), found=True)
            for start, end, siglum in spans
            for span in [whole_words(copies[text].letters, start, end)]
        ]
        for text, spans in stretches(found.imported, certain_only=True).items()
        if text in copies
    }


def _printed(copy: Witness, start: int, end: int) -> str:
    """Print a stretch of a copy as it is cited."""
    first, last = (replace(copy.locus(at), text="") for at in (start, max(end - 1, start)))
    return f"{first}-{last}".replace(" ", "")


Reads = Callable[[str, int, int, str], str | None]  # text, span of its copy, siglum -> what the witness has


def noted(
    readings: Sequence[ProposedReading], found: Sequence[Imported], reads: Reads
) -> tuple[ProposedReading, ...]:
    """Say of every reading in an imported stretch that it is made against the witness it was taken from.

    Args:
        readings: of the lost texts.
        found: what was found of each text and witness.
        reads: what a witness has at a place.
    """
    if not found:
        return tuple(readings)
    from fidelity.sources.imported import stretches  # as above

    spans = stretches(found, certain_only=True)
    return tuple(_noted(one, spans.get(one.text, ()), reads) for one in readings)


def _noted(reading: ProposedReading, spans: Sequence[tuple[int, int, str]], reads: Reads) -> ProposedReading:
    """Say of a reading against what it is made, if it stands between the first and the last shared place."""
    first, end = reading.copy_span
    notes = [
        _against(reading, siglum, reads(reading.text, first, end, siglum))
        for start, last, siglum in spans
        if start <= first and end <= last
    ]
    return replace(reading, note="; ".join(filter(None, [reading.note, *notes]))) if notes else reading


def _against(reading: ProposedReading, siglum: str, has: str | None) -> str:
    """Say what a reading is where the copy follows a witness that has this."""
    stretch = f"in the stretch taken from {siglum}"
    proposed, transmitted = (plain_reading(encode(one)) for one in (reading.proposed, reading.transmitted))
    if has is None:
        return f"{stretch}: this is a reading of {siglum}, not of the lost original"
    if has == transmitted and has != proposed:
        return (
            f"{stretch}, which has the same as the copy: no slip of his, and no copy tells what the lost"
            " original had"
        )
    if has == proposed:
        return f"{stretch}, which has it: this is a reading of {siglum}, not of the lost original"
    return f"{stretch}, which has {decode(has)}: this is a reading of {siglum}, not of the lost original"
