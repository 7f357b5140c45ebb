"""Bring other witnesses to bear on the readings of a run, and tell what they attest.

Arrives: a dossier with the alignments of its survivors. Leaves: what is asked beside the copy, attested
readings, notes. Start reading at ``beside_witnesses``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from fidelity.dossier import Dossier
from fidelity.readings.other_witnesses import OtherWitnesses
from fidelity.readings.traditions import Traditions, traditions_of
from fidelity.sources.attestation import attested
from fidelity.terms import Alignment
from fidelity.terms.attestation import AttestedReading, DependentStretch


class Witnesses(OtherWitnesses):
    """Other witnesses of the lost texts, with all that is known of them."""

    def __init__(self, known: Traditions) -> None:
        super().__init__(known.by_text)
        self.known = known


class Attestation(NamedTuple):
    """What other witnesses tell: readings, and what the user should know."""

    readings: tuple[AttestedReading, ...] = ()
    notes: tuple[str, ...] = ()


def beside_witnesses(
    dossier: Dossier,
    alignments: Sequence[Alignment],
    dependent_stretches: Mapping[str, Sequence[DependentStretch]] | None = None,
) -> tuple[Witnesses, ...]:
    """Give what knows the readings of other witnesses; nothing where no lost text has any.

    Args:
        dossier, alignments, dependent_stretches: as in ``traditions_of``.
    """
    known = traditions_of(dossier, alignments, dependent_stretches)
    return (Witnesses(known),) if known.by_text or known.notes else ()


def attestation_of(beside: Iterable[object]) -> Attestation:
    """Give what the other witnesses among those that know something beside his copies attest."""
    known = [one.known for one in beside if isinstance(one, Witnesses)]
    readings = tuple(
        reading
        for one in known
        for text, tradition in one.by_text.items()
        for reading in attested(tradition, [each for each in one.suspects if each.text == text])
    )
    return Attestation(readings, tuple(note for one in known for note in one.notes))
