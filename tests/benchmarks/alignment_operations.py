"""How many planted operations of several letters the alignment learns: the full protocol.

Arrives: nothing. Leaves: for each size, how many of 13 were found and how many false ones, on average
over 20 seeds. Start reading at ``protocol``; what is planted is in ``tests/alignment/made_copies.py``.
"""

from __future__ import annotations

import statistics
from typing import Any

from tests.alignment.made_copies import OPERATIONS, with_operations
from tests.alignment.operations import learned

SEEDS = 20
SIZES = (10_000, 100_000)  # letters
NOISE, RATE = 0.015, 0.02  # other slips, and operations per chance


def protocol() -> list[dict[str, Any]]:
    """Plant and look for the operations, and average over the seeds."""
    rows = []
    for letters in SIZES:
        found, false = [], []
        for seed in range(SEEDS):
            here = set(learned(with_operations(letters, NOISE, RATE, seed=seed)))
            found.append(len(here & set(OPERATIONS)))
            false.append(len(here - set(OPERATIONS)))
        row = {"letters": letters, "seeds": SEEDS, "of": len(OPERATIONS)}
        rows.append(row | {"found": statistics.mean(found), "false": statistics.mean(false)})
    return rows
