"""Turn what the tradition says into rows: readings, lines of descent, strength.

Arrives: attested readings. Leaves: the rows of ``attestation.csv``, what summary and page say of them, and
all of a table of sources as JSON has it. Start reading at ``attestation_rows``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import Row, significant, where_the_rest_is, with_gaps
from fidelity.judge import Audit
from fidelity.letters import NOTHING
from fidelity.terms import OPE_CODICUM
from fidelity.terms.attestation import AttestedReading

if TYPE_CHECKING:
    from fidelity.sources.attested_table import AttestedTable  # not needed to compare two texts

ATTESTATION_COLUMNS = (
    *("text", "locus", "reading", "witnesses", "independent_lines", "lines", "set_aside", "earliest_date"),
    *("likelihood_ratio", "against", "assumptions"),
)
MOST_SHOWN = 40  # rows on the page; attestation.csv has all
CAUTION = (
    "What witnesses attest is what the tradition says; it does not announce the truth. A likelihood ratio"
    " rests on the assumptions beside it: witnesses err by themselves and alike, at a rate that is assumed"
    " where none was measured, and a copy of what is extant is without a vote only where that was declared."
    " Probabilities of readings ope codicum rest on the same; the blind test tries none of them."
)


def attestation_rows(readings: Sequence[AttestedReading]) -> list[Row]:
    """Give one row for each reading of each place at which witnesses differ."""
    return [
        {
            "text": one.text,
            "locus": one.locus,
            "reading": one.reading,
            "witnesses": one.witnesses,
            "independent_lines": len(one.lines),
            "lines": one.lines,
            "set_aside": tuple(f"{siglum}: {ground}" for siglum, ground in one.set_aside),
            "earliest_date": one.earliest,
            "likelihood_ratio": None
            if math.isinf(one.likelihood_ratio)
            else significant(one.likelihood_ratio),
            "against": one.against,
            "assumptions": one.assumptions,
        }
        for one in readings
    ]


def shown_rows(readings: Sequence[AttestedReading]) -> list[Row]:
    """Give the same for a reader: words that are left out have a sign, lost letters a gap."""
    return [
        row
        | {
            "attested": _for_a_reader(one.reading),
            "against": _for_a_reader(one.against) if row["likelihood_ratio"] else "",
        }
        for one, row in zip(readings, attestation_rows(readings), strict=True)
    ]


def _for_a_reader(reading: str) -> str:
    return with_gaps(reading) or NOTHING


def attestation_summary(audit: Audit) -> dict[str, object]:
    """Give what the summary says of other witnesses; nothing where there are none."""
    if not audit.attestation:
        return {}
    without = sorted({f"{siglum}: {ground}" for one in audit.attestation for siglum, ground in one.set_aside})
    codicum = [one for one in audit.readings if one.ground == OPE_CODICUM]
    return {
        "attestation": {
            "places": len({(one.text, one.locus) for one in audit.attestation}),
            "readings": len(audit.attestation),
            "without_a_vote": without,
            "proposed_ope_codicum": len(codicum),
            "caution": CAUTION,
        }
    }


def attestation_content(audit: Audit) -> dict[str, object] | None:
    """Give what the page shows of other witnesses; None where there are none."""
    if not audit.attestation:
        return None
    rows = shown_rows(audit.attestation)
    return {
        "caution": CAUTION,
        "rows": rows[:MOST_SHOWN],
        "note": where_the_rest_is(len(rows), MOST_SHOWN, "attestation.csv", ", each with its assumptions"),
    }


def table_facts(found: AttestedTable) -> dict[str, object]:
    """Give all that was found in a table of sources, as JSON has it."""
    return {
        "sources": found.sources,
        "readings": [
            {name: cell for name, cell in row.items() if name != "text"}
            for row in attestation_rows(found.readings)
        ],
        "cautions": list(found.cautions),
    }


def by_place(readings: Sequence[AttestedReading]) -> list[tuple[str, list[AttestedReading]]]:
    """Give the readings of each place together."""
    return [(locus, list(some)) for locus, some in groupby(readings, key=lambda one: one.locus)]
