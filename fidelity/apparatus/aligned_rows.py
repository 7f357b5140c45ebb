"""Turn an alignment into rows: its steps, what was moved, what is in doubt, how it was checked.

Arrives: an alignment and the differences found in it. Leaves: rows for JSON. Start reading at
``step_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fidelity.alignment.check import AlignmentCheck
from fidelity.apparatus.aligned_notes import worst_place
from fidelity.apparatus.cells import Row, significant
from fidelity.letters import decode
from fidelity.terms import Alignment, StepKind, Variant
from fidelity.variants.citations import Citations

if TYPE_CHECKING:
    import numpy as np


def step_rows(alignment: Alignment) -> list[Row]:
    """Give every step of an alignment: together they give back both texts."""
    return _rows_of(alignment, alignment.steps)


def _rows_of(alignment: Alignment, steps: np.ndarray) -> list[Row]:
    """Give some steps between the two texts of an alignment."""
    cited = Citations(alignment.original)
    return [
        {
            "kind": StepKind(kind).name.lower(),
            "original": decode(alignment.original.letters[o0:o1]),
            "copy": decode(alignment.copy.letters[c0:c1]),
            "original_start": o0,
            "original_end": o1,
            "copy_start": c0,
            "copy_end": c1,
            "locus": str(cited.locus(o0)).strip(),
        }
        for o0, o1, c0, c1, kind in steps.tolist()
    ]


def moved_rows(alignment: Alignment) -> list[dict[str, object]]:
    """Give what was moved, with both its places and its own steps."""
    cited = Citations(alignment.original), Citations(alignment.copy)
    rows: list[dict[str, object]] = []
    for block in alignment.moved:
        (o0, o1), (c0, c1) = block.original_span, block.copy_span
        here, there = cited[0].ends(o0, o1), cited[1].ends(c0, c1)
        rows.append(
            {
                "original": decode(alignment.original.letters[o0:o1]),
                "copy": decode(alignment.copy.letters[c0:c1]),
                "original_start": o0,
                "original_end": o1,
                "copy_start": c0,
                "copy_end": c1,
                "locus": str(here[0]),
                "until": str(here[1] or ""),
                "copy_locus": str(there[0]),
                "copy_until": str(there[1] or ""),
                "slips": block.slips,
                "steps": _rows_of(alignment, block.steps),
            }
        )
    return rows


def doubt_rows(variants: Sequence[Variant]) -> list[Row]:
    """Give the differences that an equally good alignment would judge differently."""
    return [
        {
            "locus": str(one.locus),
            "original": one.original,
            "copy": one.copy,
            "phenomenon": str(one.phenomenon),
            "or_else": one.or_else,
            "original_start": one.original_span[0],
            "original_end": one.original_span[1],
            "copy_start": one.copy_span[0],
            "copy_end": one.copy_span[1],
        }
        for one in variants
        if one.alignment_doubt
    ]


def check_row(check: AlignmentCheck, alignment: Alignment) -> Row:
    """Give what was found when stretches were aligned in full."""
    return {
        "stretches": check.stretches,
        "letters": check.letters,
        "cost": significant(check.cost),
        "least": significant(check.least),
        "excess": significant(check.excess),
        "worst": worst_place(check, alignment),
        "worst_excess": significant(check.worst_excess),
    }
