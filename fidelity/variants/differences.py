"""Compare a survivor's copy with its original: align, collect, set aside, as the editor decided.

Arrives: a survivor, the decisions of the dossier. Leaves: its alignment, its differences, and what
became of the decisions. Start reading at ``compared``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import Survivor
from fidelity.terms import Alignment, Variant
from fidelity.terms.decisions import Decision, DecisionUse
from fidelity.variants.collect import collect
from fidelity.variants.layers import with_layers
from fidelity.variants.set_aside import with_reasons
from fidelity.witnesses.folds import Folds


@dataclass(frozen=True)
class Compared:
    """A survivor compared with its copy.

    Attributes:
        alignment: which letters answer which.
        variants: the differences, causes not yet decided.
        uses: what became of the editor's decisions on it.
    """

    alignment: Alignment
    variants: list[Variant]
    uses: list[DecisionUse]


def compared(
    survivor: Survivor, decisions: Sequence[Decision], folds: Folds, first_number: int = 1
) -> Compared:
    """Compare one survivor with its copy.

    Args:
        survivor: the two texts.
        decisions: the editor's, on any text.
        folds: letterforms counted as equal.
        first_number: number of the first difference.

    Raises:
        UnrelatedTextsError: the two have nothing in common.
    """
    alignment = align_witnesses(survivor.original, survivor.copy, folds)
    if not decisions:
        return Compared(alignment, _differences(alignment, survivor.id, folds, first_number), [])
    from fidelity.variants.decided import with_decided_differences, with_decided_pairs  # seldom needed

    alignment, pairs = with_decided_pairs(decisions, alignment, survivor.id, folds)
    found = _differences(alignment, survivor.id, folds, first_number)
    found, rest = with_decided_differences(decisions, alignment, survivor.id, found)
    return Compared(alignment, found, [*pairs, *rest])


def _differences(alignment: Alignment, text: str, folds: Folds, first_number: int) -> list[Variant]:
    """Collect the differences of a survivor, those in its layers among them, and say which are set aside."""
    found = with_layers(collect(alignment, text, folds, first_number), alignment, text, first_number)
    return with_reasons(found, alignment)
