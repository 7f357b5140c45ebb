"""Which tables a record has: of an audit those of its files, of others what their commands print.

Arrives: a record. Leaves: its tables by name, each made when it is asked for. Start reading at
``tables_of``; ``ROWS_OF`` says of which records one makes one row.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from typing import Any, NamedTuple

from fidelity.apparatus.aligned_rows import moved_rows, step_rows
from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries import (
    TABLES,
    confusion_rows,
    reading_rows,
    score_rows,
    variant_rows,
)
from fidelity.apparatus.entries_attestation import attestation_rows
from fidelity.apparatus.entries_check import fold_rows, state_rows, unknown_rows
from fidelity.apparatus.entries_decisions import decision_rows
from fidelity.apparatus.entries_habits import pattern_rows
from fidelity.apparatus.entries_imported import imported_rows
from fidelity.apparatus.entries_marks import flag_rate_rows, flagged_rows
from fidelity.apparatus.entries_place import done_row, rival_rows, rows_of_conjectures
from fidelity.apparatus.entries_place import step_rows as steps_at
from fidelity.apparatus.entries_rules import place_rows, rule_rows, shift_rows
from fidelity.apparatus.entries_texts import text_rows
from fidelity.apparatus.entries_trial import TRIAL_TABLES
from fidelity.apparatus.screen_rule import rule_row
from fidelity.dossier import Dossier
from fidelity.errors import UsageError
from fidelity.in_notebook import Records
from fidelity.judge import Audit
from fidelity.place import PlaceFound
from fidelity.sources.attested_table import AttestedTable
from fidelity.terms import (
    Alignment,
    Confusion,
    Flagged,
    FlagRate,
    Pattern,
    ProposedReading,
    RulePlace,
    RuleSeen,
    RuleUse,
    Score,
    Shift,
    Trial,
    Variant,
)
from fidelity.terms.attestation import AttestedReading
from fidelity.terms.decisions import DecisionUse
from fidelity.terms.imported import Imported


class RowsOf(NamedTuple):
    """How records of one kind are made into rows: the table that holds them, who makes it, what one is."""

    table: str
    rows: Callable[[Sequence[Any]], Sequence[Row]]
    one: str


ROWS_OF: Mapping[type, RowsOf] = {
    Score: RowsOf("scores", score_rows, "A score"),
    Variant: RowsOf("variants", variant_rows, "A difference"),
    Confusion: RowsOf("confusions", confusion_rows, "A confusion of letters"),
    Pattern: RowsOf("patterns", pattern_rows, "A kind of error"),
    ProposedReading: RowsOf("readings", reading_rows, "A proposed reading"),
    RuleUse: RowsOf("consistency", rule_rows, "A rule run over everything"),
    RulePlace: RowsOf("consistency_places", place_rows, "A place of a rule"),
    Shift: RowsOf("transfer", shift_rows, "Outside the survivors' evidence"),
    DecisionUse: RowsOf("decisions", decision_rows, "A decision of the editor"),
    Flagged: RowsOf("flagged", flagged_rows, "A mark of the copyist's"),
    FlagRate: RowsOf("flagged_rates", flag_rate_rows, "How honest his marks are"),
    Imported: RowsOf("imported", imported_rows, "A text beside another witness"),
    AttestedReading: RowsOf("attestation", attestation_rows, "What witnesses attest"),
}


class Listing(NamedTuple):
    """A table, made: its columns in their order, and its rows."""

    columns: tuple[str, ...]
    rows: Sequence[Row]


Made = Callable[[], Listing]


def listing(record: object, name: str = "") -> Listing:
    """Make one of a record's tables.

    Args:
        record: any that has tables, or several of one kind.
        name: which table; "" where there is one only.

    Raises:
        UsageError: there is no such table; those there are are named.
    """
    made = tables_of(record)
    if name == "" and len(made) == 1:
        return next(iter(made.values()))()
    if name not in made:
        wrong = f"there is no table {name!r} here" if name else "there are several tables here"
        raise UsageError(wrong, remedy=f"name one of: {', '.join(made)}")
    return made[name]()


def tables_of(record: object) -> Mapping[str, Made]:
    """Give the tables of a record by name, none of them made yet."""
    if isinstance(record, Audit):
        return {
            name: partial(_of_columns, table.columns, table.rows, record) for name, table in TABLES.items()
        }
    if isinstance(record, Trial):
        made = TRIAL_TABLES.items()
        return {name: partial(_of_columns, columns, rows, record) for name, (columns, rows) in made}
    if isinstance(record, Records):
        return {"these": partial(records_listing, record)}
    for kind, tables in _WITHOUT_FILES.items():
        if isinstance(record, kind):
            return {name: partial(_of_rows, rows, record) for name, rows in tables(record).items()}
    raise TypeError(f"{type(record).__name__} has no tables")  # a fault of this program, not of its user


def records_listing(records: Sequence[object]) -> Listing:
    """Make the table of several records of one kind; none of them, no columns.

    Raises:
        UsageError: no table has such records for rows.
    """
    if not records:
        return Listing((), [])
    if type(records[0]) not in ROWS_OF:
        known = ", ".join(kind.__name__ for kind in ROWS_OF)
        raise UsageError(f"{type(records[0]).__name__} makes no row of a table", remedy=f"these do: {known}")
    of = ROWS_OF[type(records[0])]
    return Listing(TABLES[of.table].columns, of.rows(records))


def _of_columns(columns: tuple[str, ...], rows: Callable[[Any], Sequence[Row]], record: object) -> Listing:
    return Listing(columns, rows(record))


def _of_rows(rows: Callable[[Any], Sequence[Row]], record: object) -> Listing:
    """Make a table whose columns are those of its first row."""
    made = rows(record)
    return Listing(tuple(made[0]) if made else (), made)


_Rows = Mapping[str, Callable[[Any], Sequence[Row]]]


def _of_place(found: PlaceFound) -> _Rows:
    """Give the tables of one place: of a lost text its readings, of a survivor what he did there."""
    if found.lost:
        return {"readings": _readings_at, "conjectures": _conjectures_at}
    return {"done": lambda of: [done_row(one) for one in of.done], "steps": _steps_at}


def _readings_at(found: PlaceFound) -> list[Row]:
    return [
        {"locus": str(unit.locus), "transmitted": unit.transmitted} | row | {"beside": row.get("beside", ())}
        for unit in found.units
        for row in rival_rows(unit)
    ]


def _conjectures_at(found: PlaceFound) -> list[Row]:
    return rows_of_conjectures(found.units, found.audit.dossier)


def _steps_at(found: PlaceFound) -> list[Row]:
    return [{"variant": one.variant.number} | row for one in found.done for row in steps_at(one)]


def _moved(alignment: Alignment) -> list[Row]:
    """Give what was moved, without the steps inside it."""
    rows = moved_rows(alignment)
    return [{name: cell for name, cell in row.items() if name != "steps"} for row in rows]  # type: ignore[misc]


def _part_of_rule(name: str) -> Callable[[RuleSeen], Sequence[Row]]:
    """Give what makes one list of what is known of a rule."""
    return lambda rule: rule_row(rule)[name]  # type: ignore[return-value]


# Tables that no file holds: what the command of that name prints.
_WITHOUT_FILES: Mapping[type, Callable[[Any], _Rows]] = {
    Alignment: lambda _: {"steps": step_rows, "moved": _moved},
    Dossier: lambda _: {
        "texts": text_rows,
        "states": state_rows,
        "folds": fold_rows,
        "unknown_letters": unknown_rows,
    },
    AttestedTable: lambda _: {"attestation": lambda found: attestation_rows(found.readings)},
    PlaceFound: _of_place,
    RuleSeen: lambda _: {
        name: _part_of_rule(name) for name in ("followed", "copied_right", "circumstances", "look_at")
    },
}
