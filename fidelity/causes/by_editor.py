"""Put the editor's word on a cause in the place of the program's.

Arrives: variants with their causes, and what became of the decisions. Leaves: the variants. Start
reading at ``with_causes``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.terms import Cause, Variant
from fidelity.terms.decisions import APPLIED, DECIDED_BY_EDITOR, Decision, DecisionUse, Ruling


def with_causes(variants: Sequence[Variant], uses: Sequence[DecisionUse]) -> list[Variant]:
    """Give variants the causes that the editor decided; the program's own first cause is a rival then.

    Args:
        variants: causes decided.
        uses: of the decisions that were applied.
    """
    decided = {
        (use.decision.text, *spans): use.decision
        for use in uses
        if use.applied == APPLIED and use.decision.ruling is Ruling.CAUSE
        for spans in use.variants
    }
    if not decided:
        return list(variants)
    keys = ((one.text, one.original_span, one.copy_span) for one in variants)
    return [_decided(one, decided.get(key)) for one, key in zip(variants, keys, strict=True)]


def _decided(one: Variant, decision: Decision | None) -> Variant:
    """Give one variant the cause that was decided, if one was."""
    if decision is None:
        return one
    cause = Cause(decision.value)
    rivals = tuple(each for each in dict.fromkeys((one.cause, *one.other_causes)) if each is not cause)
    evidence = f"{DECIDED_BY_EDITOR}: {decision.reason}" if decision.reason else DECIDED_BY_EDITOR
    return replace(one, cause=cause, other_causes=rivals, evidence=evidence)
