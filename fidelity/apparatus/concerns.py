"""Gather what there is to say of the places of one lost text: proposals, conjectures, decisions.

Arrives: an audit. Leaves: a ``Said`` for each reading or decision, with the letters of the copy it is about.
Start reading at ``said_of``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fidelity.apparatus.segments import Concern
from fidelity.judge import Audit
from fidelity.letters import encode
from fidelity.terms import ProposedReading
from fidelity.terms.conjecture import Conjecture, Rival
from fidelity.terms.decisions import APPLIED, DecisionUse, Ruling


@dataclass(frozen=True)
class Said:
    """One thing that is said of a place in the copy.

    Attributes:
        concern: the letters it is about, and what would be put for them.
        proposal: what the program proposes there, or that the place is suspect.
        conjecture: what a person conjectured, with what became of it among the rivals.
        number: of the conjecture among those on the text, from 1.
        decision: what the editor decided.
    """

    concern: Concern
    proposal: ProposedReading | None = None
    conjecture: tuple[Conjecture, Rival] | None = None
    number: int = 0
    decision: DecisionUse | None = None


def said_of(audit: Audit, text: str) -> Iterator[Said]:
    """Give all that is said of a lost text: proposals by their numbers, then conjectures, then decisions."""
    for one in audit.readings:
        if one.text == text:
            reading = encode(one.proposed) if one.is_proposal else None
            yield Said(Concern(one.copy_span, reading), proposal=one)
    judged = [
        (made, rival)
        for unit in audit.conjectures
        if unit.text == text
        for rival in unit.rivals
        for made in rival.conjectures
    ]
    for number, (made, rival) in enumerate(judged, start=1):
        put = Concern(rival.reading.copy_span, encode(rival.reading.proposed))
        yield Said(put, conjecture=(made, rival), number=number)
    for use in audit.decisions:
        if use.decision.text == text and use.applied == APPLIED and use.span[0] < use.span[1]:
            yield Said(Concern(use.span), decision=use)


def adopted_in(audit: Audit, text: str) -> list[ProposedReading]:
    """Give the readings that the editor adopted in a lost text, the program's proposals among them."""
    every = [*audit.readings, *audit.decided]
    return [one for one in every if one.text == text and one.decision == Ruling.ADOPTED and one.is_proposal]


def persons_in(audit: Audit) -> list[tuple[str, str]]:
    """Give everybody who decided or conjectured something, with what he did; "" stands for nobody named."""
    deciding = {one.decision.who for one in audit.decisions if one.decision.text in _lost(audit)}
    conjecturing = {
        made.by for unit in audit.conjectures for rival in unit.rivals for made in rival.conjectures
    }
    return [
        (who, " and ".join([*["decisions"] * (who in deciding), *["conjectures"] * (who in conjecturing)]))
        for who in sorted(deciding | conjecturing)
    ]


def _lost(audit: Audit) -> set[str]:
    return {one.id for one in audit.dossier.lost}
