"""Bring the copyist's own marks into a run: what the survivors show of them, and who asks.

Arrives: a dossier with its alignments and tagged letters. Leaves: ``Seen``, and what tries gaps in the blind
test. Start reading at ``marks_seen``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.copyist.tagging import Tagged
from fidelity.dossier import Dossier
from fidelity.readings.beside import BesideRounds
from fidelity.readings.flagged import Seen, seen_in
from fidelity.readings.gaps import gap_readings
from fidelity.readings.marked import MarkedWords
from fidelity.readings.restore import Proposer
from fidelity.terms import GAP, Alignment, ProposedReading, Witness
from fidelity.terms.marks import ON_WORDS
from fidelity.trial.gap_test import GapTest


def marks_seen(dossier: Dossier, alignments: Sequence[Alignment], tagged: Sequence[Tagged]) -> Seen:
    """Set the marks of all his copies beside what the originals have.

    Args:
        dossier: with the lost texts.
        alignments, tagged: of the survivors, in the dossier's order.
    """
    ids = [one.id for one in dossier.survivors]
    survivors = list(zip(ids, alignments, tagged, strict=True))
    return seen_in(survivors, [(one.id, one.copy) for one in dossier.lost], dossier.folds)


def beside_marks(seen: Seen, dossier: Dossier, alignments: Sequence[Alignment]) -> tuple[BesideRounds, ...]:
    """Give what knows the marks on the words of his copies; nothing where no word is marked."""
    lost = {one.id: one.copy for one in dossier.lost}
    copies = [alignment.copy for alignment in alignments]
    if not any(mark.kind in ON_WORDS for copy in [*copies, *lost.values()] for mark in copy.marks):
        return ()
    return (MarkedWords(seen, copies, lost, dossier.folds),)


def gap_test(seen: Seen, dossier: Dossier, alignments: Sequence[Alignment]) -> GapTest | None:
    """Give what tries readings for gaps in the blind test; None where the survivors' copies have no gap."""
    if not seen.gaps:
        return None
    copies = [(one.id, alignment.copy) for one, alignment in zip(dossier.survivors, alignments, strict=True)]
    return GapTest(seen, copies, dossier.folds, dossier.settings.report_from)


def with_gap_readings(
    readings: Sequence[ProposedReading], copy: Witness, text: str, proposer: Proposer
) -> list[ProposedReading]:
    """Put the readings for the gaps of a lost text among its other proposals, in order of the text."""
    gaps = gap_readings(copy, text, proposer)
    return sorted([*readings, *gaps], key=lambda one: one.copy_span) if gaps else list(readings)


def by_rules(reading: ProposedReading) -> bool:
    """Tell whether a reading rests on what he does to letters: no mark of corruption, and none for a gap."""
    return reading.is_proposal and reading.kind != GAP
