"""Turn the editor's decisions, and what became of them, into rows.

Arrives: the decisions of a run. Leaves: rows. Start reading at ``decision_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.cells import Row
from fidelity.terms.decisions import DecisionUse

DECISION_COLUMNS = (
    *("text", "locus", "transmitted", "original", "decision", "value", "reason", "who", "when"),
    *("applied", "why"),
)


def decision_rows(uses: Sequence[DecisionUse]) -> list[Row]:
    """Give the decisions in the order of their file, and whether each was applied."""
    return [
        {
            "text": one.decision.text,
            "locus": f"{one.decision.text} {one.decision.locus}",
            "transmitted": one.decision.transmitted,
            "original": one.decision.original,
            "decision": str(one.decision.ruling),
            "value": one.decision.value,
            "reason": one.decision.reason,
            "who": one.decision.who,
            "when": one.decision.when,
            "applied": one.applied,
            "why": one.why,
        }
        for one in sorted(uses, key=lambda use: use.decision.line)
    ]
