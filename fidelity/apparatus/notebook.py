"""Set records for a notebook: the compositor whom the records ask (``in_notebook.py``).

Arrives: a record. Leaves: a piece of HTML, or a pandas table. Start reading at ``shown``; what is shown of
each kind of record stands in ``notebook_parts.py`` and beside it, how it looks in ``notebook.html.j2``.

The piece stands by itself in whatever page a notebook is: no style sheet, no script, no colour of its own,
so that it can be read on a light ground and on a dark one. All letters are escaped.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

from fidelity.apparatus.cells import Row
from fidelity.apparatus.notebook_parts import (
    QUOTING,
    Part,
    facts_of,
    in_short,
    locus_parts,
    reading_parts,
    several,
    title,
)
from fidelity.apparatus.notebook_results import (
    attested_parts,
    audit_parts,
    decided_parts,
    habit_parts,
    pattern_parts,
    place_parts,
    rule_parts,
    trial_parts,
    unit_parts,
)
from fidelity.apparatus.notebook_texts import alignment_parts, dossier_parts, witness_parts
from fidelity.apparatus.pandas_tables import pandas_table
from fidelity.apparatus.record_tables import ROWS_OF, listing
from fidelity.apparatus.tables import LETTER_COLUMNS, heading, shown_in
from fidelity.dossier import Dossier
from fidelity.in_notebook import Records
from fidelity.judge import Audit
from fidelity.place import PlaceFound
from fidelity.sources.attested_table import AttestedTable
from fidelity.terms import (
    Alignment,
    Habit,
    Locus,
    Pattern,
    ProposedReading,
    RuleSeen,
    Trial,
    Witness,
)
from fidelity.terms.conjecture import JudgedUnit
from fidelity.variants.withdrawing import Decided

if TYPE_CHECKING:
    import pandas as pd
    from jinja2 import Template

_PARTS: Mapping[type, Callable[[Any], Sequence[Part]]] = {
    Alignment: alignment_parts,
    AttestedTable: attested_parts,
    Audit: audit_parts,
    Decided: decided_parts,
    Dossier: dossier_parts,
    Habit: habit_parts,
    JudgedUnit: unit_parts,
    Locus: locus_parts,
    Pattern: pattern_parts,
    PlaceFound: place_parts,
    ProposedReading: reading_parts,
    Records: lambda records: [several(records)],
    RuleSeen: rule_parts,
    Trial: trial_parts,
    Witness: witness_parts,
}


def shown(record: object) -> str:
    """Set a record as a piece of HTML that stands by itself."""
    return _template().render(parts=_parts(record))


def table(record: object, name: str) -> pd.DataFrame:
    """Give one of a record's tables.

    Args:
        record: any that has tables, or several of one kind.
        name: which table; "" where there is one only.

    Raises:
        UsageError: there is no such table.
    """
    return pandas_table(*listing(record, name))


def _parts(record: object) -> Sequence[Part]:
    """Give what is shown of a record; of one that is a row of a table, what is in the row."""
    known = _PARTS.get(type(record))
    if known is not None:
        return known(record)
    return [title(ROWS_OF[type(record)].one), *facts_of(record)]


@cache
def _template() -> Template:
    """Load what fills in the parts: every letter escaped, nothing undefined."""
    from jinja2 import Environment, PackageLoader, StrictUndefined  # not needed for a table

    environment = Environment(
        loader=PackageLoader("fidelity", "apparatus"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {
        "heading": heading,
        "in_short": in_short,
        "shown_in": lambda cell, column: in_short(shown_in(column, cell)),
    }
    environment.globals |= {"numeric": _numeric, "letter_columns": LETTER_COLUMNS | QUOTING}
    return environment.get_template("notebook.html.j2")


def _numeric(column: str, rows: Sequence[Row]) -> bool:
    """Tell whether a column holds numbers only."""
    cells = [row[column] for row in rows if row[column] is not None]
    return bool(cells) and all(type(cell) in (int, float) for cell in cells)
