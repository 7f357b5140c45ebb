"""Bring other witnesses to bear on the readings of a run, and tell what they attest.

Arrives: a dossier with the alignments of its survivors. Leaves: what is asked beside the copy, attested
readings, notes. Start reading at ``beside_witnesses``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from fidelity.dossier import Dossier
from fidelity.letters import encode
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.other_witnesses import BesideCopy, OtherWitnesses
from fidelity.readings.restore import Proposer, propose
from fidelity.readings.traditions import Traditions, traditions_of
from fidelity.sources.attestation import attested
from fidelity.sources.suspected import FEWEST_SHARED, told_of
from fidelity.terms import Alignment
from fidelity.terms.attestation import AttestedReading, DependentStretch, SuspectedCopy

BY_CHANCE = 0.001  # below, a witness is suspected: one in a thousand independent ones would be (chosen)


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


def attestation_of(beside: Iterable[object], proposer: Proposer | None) -> Attestation:
    """Give what the other witnesses among those that know something beside his copies attest.

    Args:
        beside: what knows something beside his copies.
        proposer: by which witnesses are asked whether they share what is probably wrong in the copy; None
            where there is no lost text.
    """
    known = [one for one in beside if isinstance(one, Witnesses)]
    shared = [each for one in known for each in sharing_errors(one, proposer)] if proposer else []
    suspects = [*(each for one in known for each in one.known.suspects), *shared]
    readings = tuple(
        reading
        for one in known
        for text, tradition in one.traditions.items()
        for reading in attested(tradition, [each for each in suspects if each.text == text])
    )
    notes = [note for one in known for note in one.known.notes]
    return Attestation(readings, (*notes, *told_of(shared)))


def sharing_errors(witnesses: Witnesses, proposer: Proposer) -> Iterator[SuspectedCopy]:
    """Give the witnesses that have what is probably wrong in the copy as the copy has it.

    Of the words for which the copyist's survivors alone propose another, an independent witness agrees with
    the copy about as often as the proposals are said to be wrong. One that agrees far oftener (exact binomial
    test) may depend on the copy; shared error is what proves dependence (Maas, *Textual Criticism*, § 8).
    """
    from scipy.stats import binom  # slow to import, and few dossiers have other witnesses

    for text, tradition in witnesses.traditions.items():
        his, own = BesideCopy(tradition), tradition.collation.sigla[0]
        copy = tradition.collation.witnesses[0]
        alone = propose(copy, text, replace(proposer, beside={}))
        sure = [one for one in alone if one.is_proposal and one.probability >= SETTLED]
        for siglum in tradition.collation.sigla[1:]:
            sides = [(his.sides_with(siglum, *one.copy_span, encode(one.proposed)), one) for one in sure]
            asked = [(side, one.probability) for side, one in sides if side is not None]
            agreeing = sum(side for side, _ in asked)
            if agreeing < FEWEST_SHARED:
                continue
            by_chance = sum(1 - p for _, p in asked) / len(asked)
            if binom.sf(agreeing - 1, len(asked), by_chance) < BY_CHANCE:
                basis = f"it agrees with {agreeing} of {len(asked)} words that are probably wrong there"
                yield SuspectedCopy(text, siglum, own, agreeing, 0, basis)


def what_a_witness_has(beside: Iterable[object], text: str, start: int, end: int, siglum: str) -> str | None:
    """Give what a witness has at a span of a lost text's copy, plain; None where nothing is known of it."""
    found = (one.has(text, start, end, siglum) for one in beside if isinstance(one, Witnesses))
    return next(found, None)
