"""Rules run over the lost texts and the survivors: those behind proposals, and the editor's own.

Arrives: what was judged, the survivors as tagged letters, the proposals. Leaves: ``Consistency``. Start
reading at ``rules_run``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.copyist.tagging import Tagged
from fidelity.judge import Audit
from fidelity.readings.consistency import Consistency, Grounds, consistency
from fidelity.readings.held_out import Learner
from fidelity.readings.own_rules import OwnGrounds, own_rules_run
from fidelity.readings.restore import MAY_BE_HIS, Proposer
from fidelity.terms import ProposedReading
from fidelity.variants.set_aside import evidence_of


def grounds_of(found: Audit, tagged: Sequence[Tagged], proposer: Proposer) -> Grounds:
    """Give what rules are held against."""
    return Grounds(
        copies={text.id: (text.copy, evidence_of(text.copy, MAY_BE_HIS)) for text in found.dossier.lost},
        tagged=dict(zip(found.by_survivor, tagged, strict=True)),
        alignments=found.by_survivor,
        words=proposer.model.words.counts.keys(),
        known=proposer.book.places,
        folds=found.dossier.folds,
        settings=found.dossier.settings,
    )


def rules_run(
    found: Audit, learner: Learner, proposer: Proposer, readings: Sequence[ProposedReading]
) -> Consistency:
    """Run the rules behind the proposals, and the editor's own, over the lost texts and the survivors."""
    grounds, dossier = grounds_of(found, learner.tagged, proposer), found.dossier
    done = consistency(readings, grounds)
    if not (dossier.rules or learner.decisions):
        return done
    uses, where = own_rules_run(dossier.rules, readings, OwnGrounds(grounds, found.places, learner.decisions))
    return replace(done, uses=(*uses, *done.uses), places=(*where, *done.places))
