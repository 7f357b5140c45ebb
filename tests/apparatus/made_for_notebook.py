"""Records made by hand that are no part of an audit: a place, a rule, a table of sources.

Arrives: nothing. Leaves: records. Start reading at ``made_lost_place``.
"""

from __future__ import annotations

from fidelity.dossier.cited import Place
from fidelity.place import Done, PlaceFound
from fidelity.sources.attested_table import AttestedTable
from fidelity.terms import (
    Circumstance,
    CircumstanceRate,
    Locus,
    ProposedReading,
    RulePlaceSeen,
    RuleSeen,
    StepEvidence,
)
from fidelity.terms.conjecture import JudgedUnit, Rival
from tests.apparatus.made import made_attestation, made_audit

STEP = StepEvidence("s→r", 2, 9, 0.03, 0.6, ("E 1r:1.2",), ("E 1r:1.1",))


def made_lost_place() -> PlaceFound:
    """Give a place of the lost text, with the transmitted reading and one other."""
    locus = Locus("X", "3v:1", 2)

    def reading(proposed: str, probability: float, evidence: tuple[StepEvidence, ...]) -> ProposedReading:
        return ProposedReading(1, "X", locus, (3, 6), "wær", proposed, probability, evidence=evidence)

    rivals = (
        Rival(reading("wær", 0.6, ()), "transmitted", 1, 12),
        Rival(reading("wæs", 0.4, (STEP,)), "candidate", 2, 12),
    )
    unit = JudgedUnit("X", locus, (3, 6), "wær", "ic wær on fyre", rivals)
    where = Place("X", (3, 6), locus, None, True)
    lines = (("3v:1", "ic wær on fyre"),)
    return PlaceFound(
        where, lost=True, lines=lines, transmitted="wær", audit=made_audit(), units=(unit,), silent=2
    )


def made_place() -> PlaceFound:
    """Give a place of the survivor with what the copyist did there."""
    audit = made_audit()
    where = Place("E", (4, 10), Locus("E", "1r:1", 2), None, True)
    done = (Done(audit.variants[0], (STEP,), (), 0),)
    lines = (("1r:1", "þiꞅ ꞅynꝺon þa"),)
    return PlaceFound(
        where, lost=False, lines=lines, transmitted="ꞅynꝺon", audit=audit, copied="ryndon", done=done
    )


def made_rule() -> RuleSeen:
    """Give a rule seen twice, with a place at which it was not followed."""
    locus = Locus("E", "1r:1", 2)
    return RuleSeen(
        *("ꞅ", "r", "", 2, 9, 0.03, 0.6),
        systematic=True,
        q_value=0.001,
        p_original_given_copy=0.25,
        rates=(CircumstanceRate("ꞅ", "r", Circumstance.PLACE, "first", 2, 4, 2, 0.4, 0.1, 0.8),),
        done=(RulePlaceSeen(locus, "ꞅynꝺon", "ryndon", "letter_confusion", "syndon"),),
        right=(RulePlaceSeen(Locus("E", "1r:1", 1), "þiꞅ", "", "", "þis"),),
        in_print=(),
    )


def made_attested() -> AttestedTable:
    """Give a table of sources with two readings of one place."""
    return AttestedTable(made_attestation(), 4, ("It is not said which is true.",))
