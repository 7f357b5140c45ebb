"""Turn what was found into the rows of the tables, one kind of row for each table.

Arrives: the records of an audit. Leaves: rows, each a mapping from column to cell; the same rows
make the CSV files, the JSON, the tables on the terminal and the page. Start reading at
``TABLES``, which names every table with its columns in their order.

Rates and their limits are per 1,000 chances, probabilities 0-1, both cut to a fixed number of
significant digits so that two runs give the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from fidelity.apparatus.cells import ALL, RATE, Row, evidence_cell, rate_cells, significant
from fidelity.apparatus.entries_attestation import ATTESTATION_COLUMNS, attestation_rows
from fidelity.apparatus.entries_copies import COPY_COLUMNS, COPY_RATE_COLUMNS, copy_rate_rows, copy_rows
from fidelity.apparatus.entries_decisions import DECISION_COLUMNS, decision_rows
from fidelity.apparatus.entries_habits import (
    CIRCUMSTANCE_COLUMNS,
    HABIT_COLUMNS,
    LOOK_COLUMNS,
    PATTERN_COLUMNS,
    circumstance_rows,
    habit_rows,
    look_rows,
    pattern_rows,
)
from fidelity.apparatus.entries_hands import HAND_TABLES
from fidelity.apparatus.entries_imported import IMPORTED_TABLES
from fidelity.apparatus.entries_marks import (
    FLAG_RATE_COLUMNS,
    FLAGGED_COLUMNS,
    flag_rate_rows,
    flagged_rows,
)
from fidelity.apparatus.entries_outlook import (
    CHECK_COLUMNS,
    DRIFT_COLUMNS,
    FORECAST_COLUMNS,
    PAGE_COLUMNS,
    check_rows,
    drift_rows,
    forecast_rows,
    page_rows,
)
from fidelity.apparatus.entries_parallels import PARALLEL_COLUMNS, parallel_rows
from fidelity.apparatus.entries_place import CONJECTURE_COLUMNS, conjecture_rows
from fidelity.apparatus.entries_recheck import RECHECK_COLUMNS, RESCUED_COLUMNS, recheck_rows, rescued_rows
from fidelity.apparatus.entries_rules import (
    PLACE_COLUMNS,
    RULE_COLUMNS,
    SHIFT_COLUMNS,
    place_rows,
    rule_rows,
    shift_rows,
)
from fidelity.apparatus.entries_trial import TRIAL_TABLES, scope_of
from fidelity.confusions.table import COLUMNS as CONFUSION_COLUMNS
from fidelity.judge import Audit
from fidelity.terms import DECIDED, Confusion, Hands, ProposedReading, Score, Trial, Variant
from fidelity.variants.citations import in_short


def score_rows(scores: Sequence[Score]) -> list[Row]:
    """Give the score card: one row for each survivor and measure."""
    return [
        {
            "text": score.text,
            "measure": score.measure,
            "errors": score.errors,
            "chances": score.chances,
            **rate_cells(score.errors, score.chances, score.low, score.high),
            "method": score.method,
        }
        for score in scores
    ]


def score_card(scores: Sequence[Score]) -> tuple[tuple[str, ...], list[Row]]:
    """Give the score card as it is shown: one row for each measure, the survivors side by side.

    Returns:
        The columns, and the rows: errors and chances over all survivors, rate per 1,000 with its
        interval, then the rate of each survivor (None where it offered no chance).
    """
    texts = tuple(dict.fromkeys(score.text for score in scores if score.text != ALL))
    texts = texts if len(texts) > 1 else ()  # a single survivor is all there is
    rows = [
        {column: cell for column, cell in row.items() if column not in ("text", "method")}
        | {f"in {text}": None for text in texts}
        for row in score_rows([score for score in scores if score.text == ALL])
    ]
    by_measure = {row["measure"]: row for row in rows}
    for row in score_rows([score for score in scores if score.text != ALL]):
        if texts and row["measure"] in by_measure:
            by_measure[row["measure"]][f"in {row['text']}"] = row["rate_per_1000"]
    return ("measure", "errors", "chances", *RATE, *(f"in {text}" for text in texts)), rows


def variant_rows(variants: Sequence[Variant]) -> list[Row]:
    """Give the differences between originals and copies, one row each.

    A long stretch is given by its first and last words: where it begins and ends is cited. For what
    was moved, the place in the copy is where it now stands.
    """
    return [
        {
            "variant": variant.number,
            "text": variant.text,
            "locus": str(variant.locus),
            "original": in_short(variant.original),
            "copy": in_short(variant.copy),
            "phenomenon": str(variant.phenomenon),
            "cause": str(variant.cause),
            "other_causes": tuple(map(str, variant.other_causes)),
            "hand": variant.hand,
            "set_aside": variant.set_aside,
            "makes_word": variant.makes_word,
            "original_words": in_short(variant.original_words),
            "copy_words": in_short(variant.copy_words),
            "alignment_doubt": variant.alignment_doubt,
            "or_else": variant.or_else,
            "until": str(variant.last_locus or ""),
            "copy_locus": str(variant.copy_locus or ""),
            "copy_until": str(variant.copy_last_locus or ""),
            "evidence": variant.evidence,
            "corrected": variant.corrected,
        }
        for variant in variants
    ]


def confusion_rows(confusions: Sequence[Confusion]) -> list[Row]:
    """Give the letter confusions, as ``confusions.csv`` has them."""
    return [
        {
            "original": confusion.original,
            "copy": confusion.copy,
            "folded": confusion.folded,
            "count": confusion.count,
            "chances": confusion.chances,
            "rate_per_1000": significant(1000 * confusion.rate),
            "low": significant(1000 * confusion.low),
            "high": significant(1000 * confusion.high),
            "expected": significant(confusion.expected),
            "p_value": significant(confusion.p_value),
            "q_value": significant(confusion.q_value),
            "systematic": confusion.systematic,
            "p_original_given_copy": significant(confusion.p_original_given_copy),
            "loci": tuple(map(str, confusion.loci)),
        }
        for confusion in confusions
    ]


def reading_rows(readings: Sequence[ProposedReading]) -> list[Row]:
    """Give the proposed readings, each with its evidence and its place in the copy."""
    return [_reading_row(reading) for reading in readings]


def _reading_row(reading: ProposedReading) -> Row:
    """Give the row of one proposed reading; "copy_start" and "copy_end" count letters from 0."""
    start, end = reading.copy_span
    return {
        "reading": reading.number,
        "text": reading.text,
        "locus": str(reading.locus),
        "transmitted": reading.transmitted,
        "proposed": reading.proposed,
        "probability": significant(reading.probability),
        "ground": reading.ground,
        "verdict": reading.verdict,
        "kind": reading.kind,
        "steps": reading.steps,
        "parallels": reading.parallels,
        "counterexamples": reading.counterexamples,
        "alternatives": tuple((text, round(p, 3)) for text, p in reading.alternatives),
        "same_rule_elsewhere": reading.same_rule_elsewhere,
        "count": reading.count,
        "chances": reading.chances,
        **rate_cells(reading.count, reading.chances, reading.low, reading.high),
        "evidence": evidence_cell(reading.evidence),
        "copy_start": start,
        "copy_end": end,
        "context": reading.context,
        "passage": reading.passage,
        "attested": reading.attested,
        "scope": scope_of(reading.single),
        "probability_low": significant(reading.probability_low),
        "probability_high": significant(reading.probability_high),
        "tried": reading.tried,
        "tried_right": reading.tried_right,
        "tried_kind": reading.tried_kind,
        "tried_of_kind": reading.tried_of_kind,
        "right_of_kind": reading.right_of_kind,
        "note": "; ".join(filter(None, (reading.note, *reading.beside))),
        "decision": reading.decision,
        **(dict.fromkeys(_NOT_RECKONED) if reading.kind == DECIDED else {}),
    }


_NOT_RECKONED = (
    "probability",
    "probability_low",
    "probability_high",
    "tried",
    "tried_right",
    "tried_of_kind",
    "right_of_kind",
)


class Table(NamedTuple):
    """One table of an audit: its columns in their order, and how its rows are made."""

    columns: tuple[str, ...]
    rows: Callable[[Audit], list[Row]]


def _columns(names: str) -> tuple[str, ...]:
    return tuple(names.split())


def _levels(audit: Audit) -> tuple[float, float]:
    """Give the confidence of the intervals and the false-discovery rate of the finds."""
    return audit.dossier.settings.confidence, audit.dossier.settings.false_discovery


def _of_trial(rows: Callable[[Trial], Sequence[Row]]) -> Callable[[Audit], list[Row]]:
    """Give the rows of a table of the blind test; none where there was no such test."""
    return lambda audit: list(rows(audit.trial)) if audit.trial else []


def _of_hands(rows: Callable[[Hands], list[Row]]) -> Callable[[Audit], list[Row]]:
    """Give the rows of a table about other hands."""
    return lambda audit: rows(audit.hands)


TABLES: Mapping[str, Table] = {
    "scores": Table(
        ("text", "measure", "errors", "chances", *RATE, "method"), lambda audit: score_rows(audit.scores)
    ),
    "variants": Table(
        _columns(
            "variant text locus original copy phenomenon cause other_causes hand set_aside makes_word"
            " original_words copy_words alignment_doubt or_else until copy_locus copy_until evidence"
            " corrected"
        ),
        lambda audit: variant_rows([*audit.variants, *audit.mended]),
    ),
    "confusions": Table(CONFUSION_COLUMNS, lambda audit: confusion_rows(audit.confusions)),
    "patterns": Table(PATTERN_COLUMNS, lambda audit: pattern_rows(audit.patterns)),
    "look_at": Table(LOOK_COLUMNS, lambda audit: look_rows(audit.patterns)),
    "habits": Table(HABIT_COLUMNS, lambda audit: habit_rows(audit.habits, *_levels(audit))),
    "circumstances": Table(CIRCUMSTANCE_COLUMNS, lambda audit: circumstance_rows(audit.habits)),
    "recheck": Table(RECHECK_COLUMNS, recheck_rows),
    "rescued": Table(RESCUED_COLUMNS, rescued_rows),
    **{name: Table(*table) for name, table in IMPORTED_TABLES.items()},
    "readings": Table(
        _columns(
            "reading text locus transmitted proposed probability ground verdict kind steps parallels"
            " counterexamples alternatives same_rule_elsewhere count chances rate_per_1000 low high evidence"
            " copy_start copy_end context passage attested scope probability_low probability_high tried"
            " tried_right tried_kind tried_of_kind right_of_kind note decision"
        ),
        lambda audit: reading_rows([*audit.readings, *audit.decided]),
    ),
    "consistency": Table(RULE_COLUMNS, lambda audit: rule_rows(audit.rules)),
    "consistency_places": Table(PLACE_COLUMNS, lambda audit: place_rows(audit.rule_places)),
    **{name: Table(columns, _of_hands(rows)) for name, (columns, rows) in HAND_TABLES.items()},
    "parallels": Table(PARALLEL_COLUMNS, lambda audit: parallel_rows(audit.parallels)),
    "conjectures": Table(CONJECTURE_COLUMNS, conjecture_rows),
    "attestation": Table(ATTESTATION_COLUMNS, lambda audit: attestation_rows(audit.attestation)),
    "copies": Table(COPY_COLUMNS, lambda audit: copy_rows(audit.copies.places)),
    "copies_rates": Table(COPY_RATE_COLUMNS, lambda audit: copy_rate_rows(audit.copies.rates)),
    "flagged": Table(FLAGGED_COLUMNS, lambda audit: flagged_rows(audit.flagged)),
    "flagged_rates": Table(FLAG_RATE_COLUMNS, lambda audit: flag_rate_rows(audit.flag_rates)),
    "transfer": Table(SHIFT_COLUMNS, lambda audit: shift_rows(audit.shifts)),
    **{name: Table(columns, _of_trial(rows)) for name, (columns, rows) in TRIAL_TABLES.items()},
    "drift": Table(DRIFT_COLUMNS, lambda audit: drift_rows(audit.course.drifts)),
    "page_rates": Table(PAGE_COLUMNS, lambda audit: page_rows(audit.course.pages)),
    "forecast": Table(FORECAST_COLUMNS, lambda audit: forecast_rows(audit.outlook.forecasts, audit.trial)),
    "forecast_trial": Table(CHECK_COLUMNS, lambda audit: check_rows(audit.outlook.checks)),
    "decisions": Table(DECISION_COLUMNS, lambda audit: decision_rows(audit.decisions)),
}
