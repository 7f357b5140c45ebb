"""Say which of the editor's decisions still stand, before anything is judged.

Arrives: a dossier. Leaves: rows, and sentences for those that do not stand. Start reading at
``decisions_standing``. Survivors are aligned only where something was decided of them.
"""

from __future__ import annotations

from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries_decisions import decision_rows
from fidelity.dossier import Dossier
from fidelity.errors import DataError
from fidelity.terms.decisions import DecisionUse


def decisions_standing(dossier: Dossier) -> list[DecisionUse]:
    """Give what an audit would make of each decision; of a survivor unlike its copy, nothing."""
    if not dossier.decisions:
        return []
    from dataclasses import replace

    from fidelity.readings.decided import standing  # heavy, and few dossiers have decisions
    from fidelity.variants.corrections import final_text  # as above
    from fidelity.variants.differences import compared  # as above

    decided = {one.text for one in dossier.decisions}
    uses: list[DecisionUse] = []
    for survivor in dossier.survivors:
        if survivor.id in decided:
            final = replace(survivor, copy=final_text(survivor.copy)[0])
            try:
                uses += compared(final, dossier.decisions, dossier.folds).uses
            except DataError:  # two texts that have nothing in common: the audit says so
                continue
    return [*uses, *standing(dossier)]


def standing_rows(dossier: Dossier) -> list[Row]:
    """Give every decision, and whether it would be applied."""
    return decision_rows(decisions_standing(dossier))


def standing_sentences(dossier: Dossier) -> list[str]:
    """Say how many decisions there are, and name those that would not be applied; nothing if none are."""
    uses = decisions_standing(dossier)
    if not uses:
        return []
    from fidelity.readings.decided import told, troubles  # as above

    return [told(uses)[0], *troubles(uses)]
