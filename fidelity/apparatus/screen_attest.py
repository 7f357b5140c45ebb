"""Show on the terminal what sources attest.

Arrives: an ``AttestedTable``. Leaves: text. Start reading at ``attest_screen``.
"""

from __future__ import annotations

from fidelity.apparatus.entries_attestation import by_place, shown_rows
from fidelity.apparatus.tables import paragraphs, titled
from fidelity.letters import NOTHING
from fidelity.sources.attested_table import AttestedTable
from fidelity.terms.attestation import AttestedReading

SHOWN = ("attested", "independent_lines", "lines", "earliest_date", "likelihood_ratio", "against")


def attest_screen(found: AttestedTable, width: int) -> str:
    """Give the readings of each place, who has no vote and why, what the ratios rest on, and cautions."""
    parts = []
    for locus, readings in by_place(found.readings):
        parts.append(titled(locus or "Readings", SHOWN, shown_rows(readings), width))
        parts.append(paragraphs(_below(readings), width))
    parts.append(paragraphs(found.cautions, width))
    return "\n\n".join(parts)


def _below(readings: list[AttestedReading]) -> list[str]:
    """Say who has no vote at a place, and what the ratios rest on."""
    told = [
        f"No vote: {siglum}, {ground}; it has {(one.reading or NOTHING).removesuffix('.')}."
        for one in readings
        for siglum, ground in one.set_aside
    ]
    if len(readings) == 1:
        return [*told, "All have this reading."]
    return [*told, f"The ratio is against the strongest other reading. Assumed: {readings[0].assumptions}."]
