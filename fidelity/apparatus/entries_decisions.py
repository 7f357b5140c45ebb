"""Turn the editor's decisions, and what became of them, into rows.

Arrives: the decisions of a run. Leaves: rows. Start reading at ``decision_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.cells import Row
from fidelity.terms.decisions import Decision, DecisionUse

DECISION_COLUMNS = (
    *("text", "locus", "transmitted", "original", "decision", "value", "reason", "who", "when"),
    *("applied", "why"),
)


def decision_rows(uses: Sequence[DecisionUse]) -> list[Row]:
    """Give the decisions in the order of their file, and whether each was applied."""
    return [
        decision_row(one.decision) | {"applied": one.applied, "why": one.why}
        for one in sorted(uses, key=lambda use: use.decision.line)
    ]


def decision_row(one: Decision) -> Row:
    """Give one decision as it stands in its file."""
    return {
        "text": one.text,
        "locus": f"{one.text} {one.locus}",
        "transmitted": one.transmitted,
        "original": one.original,
        "decision": str(one.ruling),
        "value": one.value,
        "reason": one.reason,
        "who": one.who,
        "when": one.when,
    }
