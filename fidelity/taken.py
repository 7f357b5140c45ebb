"""What the copies have from other witnesses, beside the rest of an audit.

Arrives: the first half of the chain. Leaves: the same with what was found of each text and each other witness
of it; and proposals that say so where they stand in a stretch taken from elsewhere. Start reading at
``with_imported``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace

from fidelity.dossier import OtherWitness
from fidelity.judge import Audit, Progress
from fidelity.letters import decode, encode, whole_words
from fidelity.sources.tradition import plain_reading
from fidelity.terms import DECIDED, TAKEN, ProposedReading, Witness
from fidelity.terms.attestation import DependentStretch
from fidelity.terms.imported import Imported
from fidelity.trial.support import NOTHING_TRIED, supported


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
    readings: Sequence[ProposedReading],
    found: Sequence[Imported],
    reads: Reads,
    witnesses: Sequence[OtherWitness] = (),
) -> tuple[ProposedReading, ...]:
    """Say of every reading in an imported stretch that it is made against the witness it was taken from.

    Where that has the same as the copy, what differs is no slip of the copyist: no steps lead to it, and
    nothing that the blind test tried is like it.

    Args:
        readings: of the lost texts.
        found: what was found of each text and witness.
        reads: what a witness has at a place.
        witnesses: all others: what they have there is told as well.
    """
    if not found:
        return tuple(readings)
    from fidelity.sources.imported import stretches  # as above

    spans = stretches(found, certain_only=True)
    return tuple(_noted(one, spans.get(one.text, ()), reads, witnesses) for one in readings)


def _noted(
    reading: ProposedReading,
    spans: Sequence[tuple[int, int, str]],
    reads: Reads,
    witnesses: Sequence[OtherWitness],
) -> ProposedReading:
    """Say of a reading against what it is made, if it stands between the first and the last shared place."""
    first, end = reading.copy_span
    sources = [siglum for start, last, siglum in spans if start <= first and end <= last]
    if not sources:
        return reading
    has = {
        one.witness.siglum: reads(reading.text, first, end, one.witness.siglum)
        for one in witnesses
        if one.of == reading.text and not one.depends_on
    }
    transcripts = {one.witness.siglum for one in witnesses if one.of == reading.text and one.from_original}
    proposed, transmitted = (plain_reading(encode(one)) for one in (reading.proposed, reading.transmitted))
    notes = []
    for siglum in sources:
        own = has[siglum] if siglum in has else reads(reading.text, first, end, siglum)
        others = {one: other for one, other in has.items() if other is not None and one not in sources}
        same = own == transmitted and own != proposed
        reading = _as_taken(reading) if same else reading
        notes.append(_against(siglum, own, proposed, same) + _told(others, transcripts, proposed, same))
    return replace(reading, note="; ".join(filter(None, [reading.note, *notes])))


def _as_taken(reading: ProposedReading) -> ProposedReading:
    """Give a reading of what is no slip of the copyist without what is known of his slips."""
    if reading.kind == DECIDED:
        return reading
    bare = replace(reading, kind=TAKEN, steps=(), parallels=(), counterexamples=(), same_rule_elsewhere=())
    return supported(replace(bare, count=0, chances=0, low=0.0, high=1.0, evidence=()), NOTHING_TRIED)


def _against(siglum: str, has: str | None, proposed: str, same: bool) -> str:
    """Say against what a reading is made where the copy follows a witness that has this."""
    stretch = f"in the stretch taken from {siglum}"
    if same:
        return f"{stretch}, which has the same as the copy: no slip of his"
    if has is None:
        return f"{stretch}: this is a reading of {siglum}"
    shown = "it" if has == proposed else decode(has) or "nothing"
    return f"{stretch}, which has {shown}: this is a reading of {siglum}"


def _told(others: Mapping[str, str], transcripts: Collection[str], proposed: str, same: bool) -> str:
    """Say what other witnesses tell of the lost original, whose reading the stretch does not give."""
    agreeing = [siglum for siglum, has in others.items() if has == proposed]
    of_it = [siglum for siglum in others if siglum in transcripts]
    it = "it" if same else "it as well"
    told = [
        f"; {siglum}, another transcript of the lost original, has "
        + (it if siglum in agreeing else decode(others[siglum]) or "nothing")
        for siglum in of_it
    ]
    if same:
        return "".join(told) or ", and no copy tells what the lost original had"
    if any(siglum in agreeing for siglum in of_it):
        return "".join(told)
    return ", not of the lost original" + "".join(told)
