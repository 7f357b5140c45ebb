"""Turn what is known of one place, and what became of conjectures, into rows.

Arrives: judged places and conjectures. Leaves: rows for ``conjectures.csv``, the screen and JSON. Start
reading at ``conjecture_rows``; ``place_facts`` is all of one place.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import NO_CHANCE, Row, rate_cells, significant
from fidelity.apparatus.entries_copies import copy_rows
from fidelity.apparatus.entries_decisions import decision_row
from fidelity.apparatus.entries_hands import candidate_row, layer_row
from fidelity.apparatus.entries_marks import mark_row
from fidelity.apparatus.entries_parallels import at_span
from fidelity.dossier import Dossier
from fidelity.judge import Audit
from fidelity.letters import decode
from fidelity.terms import ProposedReading, StepEvidence
from fidelity.terms.conjecture import JudgedUnit, Rival
from fidelity.terms.decisions import Decision

if TYPE_CHECKING:
    from fidelity.place import Done, PlaceFound  # heavy, and whoever has such records has imported it

CONJECTURE_COLUMNS = (
    *("text", "locus", "transmitted", "reading", "by", "probability", "probability_low", "probability_high"),
    *("rank", "of", "judged_as", "steps", "evidence", "why", "note"),
)
_DECIDED = ("locus", "decision", "transmitted", "value", "reason", "who", "when")


def conjecture_rows(audit: Audit) -> list[Row]:
    """Give what became of each conjecture of the dossier, in their order there."""
    return rows_of_conjectures(audit.conjectures, audit.dossier)


def rows_of_conjectures(units: Sequence[JudgedUnit], dossier: Dossier) -> list[Row]:
    """Give what became of the conjectures in some places: those of the dossier first, in their order."""
    copies = {text.id: text.copy.letters for text in dossier.lost}
    number = {id(one): at for at, one in enumerate(dossier.conjectures)}
    found = [(one, rival) for unit in units for rival in unit.rivals for one in rival.conjectures]
    found.sort(key=lambda pair: number.get(id(pair[0]), len(number)))
    return [
        {
            "text": one.text,
            "locus": one.cited,
            "transmitted": decode(copies[one.text][slice(*one.span)]),
            "reading": one.reading,
            "by": one.by,
            **_probability(rival.reading, rival.sort),
            "rank": rival.rank,
            "of": rival.of,
            "judged_as": rival.reading.proposed,
            "steps": rival.reading.steps,
            "evidence": evidence_in_short(rival.reading.evidence),
            "why": rival.why,
            "note": one.note,
        }
        for one, rival in found
    ]


def _probability(reading: ProposedReading, sort: str) -> Row:
    """Give a probability with its range; of the transmitted reading no range was tried."""
    limits = (None, None) if sort == "transmitted" else (reading.probability_low, reading.probability_high)
    low, high = (None if limit is None else significant(limit) for limit in limits)
    return {
        "probability": significant(reading.probability),
        "probability_low": low,
        "probability_high": high,
    }


def evidence_in_short(evidence: Sequence[StepEvidence]) -> tuple[str, ...]:
    """Give how often each operation was seen; where there was no chance, there is no evidence."""
    return tuple(
        f"{one.step} {one.count:,} of {one.chances:,} chances"
        f" ({1000 * one.low:.3g}-{1000 * one.high:.3g} per 1,000)"
        if one.chances
        else f"{one.step} {NO_CHANCE}"
        for one in evidence
    )


def rival_rows(unit: JudgedUnit) -> list[Row]:
    """Give the readings of a unit, the best first."""
    here = tuple(f"{locus} " for locus in dict.fromkeys([unit.locus, *(one.locus for one in unit.proposals)]))
    return [_rival_row(one, here) for one in unit.rivals]


def _rival_row(one: Rival, here: tuple[str, ...]) -> Row:
    """Give one reading of a unit with its evidence; what is cited from ``here`` is not elsewhere."""
    reading = one.reading
    return {
        "rank": one.rank,
        "of": one.of,
        "proposed": reading.proposed,
        "sort": one.sort,
        **_probability(reading, one.sort),
        "tried": reading.tried,
        "tried_right": reading.tried_right,
        "kind": reading.kind,
        "attested": reading.attested,
        "steps": reading.steps,
        "evidence": evidence_in_short(reading.evidence),
        "parallels": reading.parallels,
        "counterexamples": reading.counterexamples,
        "same_rule_elsewhere": tuple(
            cited for cited in reading.same_rule_elsewhere if not cited.startswith(here)
        ),
        "by": tuple(each.by for each in one.conjectures if each.by),
        "conjecture": bool(one.conjectures),
        **({"beside": reading.beside} if reading.beside else {}),
        "why": one.why,
        "ranking_above_unjudged": one.beyond,
        "equally_probable": one.equals,
    }


def proposal_rows(readings: Sequence[ProposedReading]) -> list[Row]:
    """Give in short what the audit proposes, as ``readings.csv`` has it."""
    return [
        {
            "reading": one.number,
            "locus": str(one.locus),
            "transmitted": one.transmitted,
            "proposed": one.proposed,
            "probability": significant(one.probability),
            "probability_low": significant(one.probability_low),
            "probability_high": significant(one.probability_high),
            "kind": one.kind,
            "verdict": one.verdict,
        }
        for one in readings
    ]


def done_row(one: Done) -> Row:
    """Give what he did at a place of a survivor."""
    variant = one.variant
    return {
        "variant": variant.number,
        "locus": str(variant.locus),
        "original": variant.original,
        "copy": variant.copy,
        "original_words": variant.original_words,
        "copy_words": variant.copy_words,
        "phenomenon": str(variant.phenomenon),
        "cause": str(variant.cause),
        "other_causes": tuple(map(str, variant.other_causes)),
        "evidence": variant.evidence,
        "set_aside": variant.set_aside,
        "or_else": variant.or_else,
        "makes_word": variant.makes_word,
        "same_cause_elsewhere": one.same_cause_count,
        "same_cause_at": one.same_cause,
    }


def step_rows(one: Done) -> list[Row]:
    """Give how often he made each operation of a difference, this place among them."""
    return [
        {
            "step": step.step,
            "count": step.count,
            "chances": step.chances,
            **rate_cells(step.count, step.chances, step.low, step.high),
            "parallels": step.parallels,
            "counterexamples": step.counterexamples,
        }
        for step in one.steps
    ]


def decided_row(one: Decision) -> Row:
    """Give what the editor decided of words of a place."""
    row = decision_row(one)
    return {name: row[name] for name in _DECIDED}


def place_facts(found: PlaceFound) -> dict[str, object]:
    """Give everything known of one place, as JSON has it."""
    facts: dict[str, object] = {
        "place": str(found.place),
        "text": found.place.text,
        "lost": found.lost,
        "lines": [{"line": label, "text": letters} for label, letters in found.lines],
        "decisions": [decided_row(one) for one in found.decisions],
        "his_marks": [mark_row(one) for one in found.marks],
        **({"copies": copy_rows(found.copies)} if found.copies else {}),
        "other_hands": [*map(candidate_row, found.candidates), *map(layer_row, found.layers)],
    }
    if not found.lost:
        done = [done_row(one) | {"steps": step_rows(one)} for one in found.done]
        return facts | {"original": found.transmitted, "copy": found.copied, "done": done}
    units = [
        {
            "locus": str(unit.locus),
            "transmitted": unit.transmitted,
            "passage": unit.passage,
            "readings": rival_rows(unit),
            "proposals": proposal_rows(unit.proposals),
            "note": unit.note,
        }
        for unit in found.units
    ]
    from fidelity.apparatus.cautions import cautions  # not needed for a table

    conjectures = rows_of_conjectures(found.units, found.audit.dossier)
    return facts | {
        "transmitted": found.transmitted,
        "units": units,
        "nothing_to_tell_of": found.silent,
        "conjectures": conjectures,
        "pairs_and_checks": at_span(found.audit.parallels, found.place.text, found.place.span),
        "notes": list(found.audit.notes),
        "cautions": cautions(found.audit),
    }
