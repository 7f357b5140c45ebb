"""Give rows as a pandas table: the CSV file's columns and rows, as values to reckon with.

Arrives: columns and rows of ``entries.py``. Leaves: a pandas ``DataFrame``. Start reading at
``pandas_table``.

The rows are numbered from 0 and no column is made an index, so that the columns are those of the file. What
a column holds follows from its cells: whole numbers, numbers, True and False, letters, or tuples where the
file has a list. Where a cell is missing, whole numbers and True and False stand in pandas' kinds that know
a missing value (``Int64``, ``boolean``); a number is missing as NaN. A column without any value is of no
kind (``object``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from fidelity.apparatus.cells import Cell

if TYPE_CHECKING:
    import pandas as pd


def pandas_table(columns: Sequence[str], rows: Sequence[Mapping[str, Cell]]) -> pd.DataFrame:
    """Give rows as a pandas table.

    >>> found = pandas_table(("copy", "count", "rate"), [{"copy": "r", "count": 13, "rate": None}])
    >>> found["count"].sum(), found["rate"].isna().all()
    (np.int64(13), np.True_)
    """
    import pandas as pd  # takes longer to import than two texts to compare: nothing else may wait for it

    cells = {column: [row[column] for row in rows] for column in columns}
    made = {name: pd.Series(column, dtype=_kind(column)) for name, column in cells.items()}
    return pd.DataFrame(made, columns=list(columns), index=range(len(rows)))


def _kind(cells: Sequence[Cell]) -> str | None:
    """Say of what kind a column is, as pandas names it; None for letters, which pandas knows by itself.

    >>> _kind([1, 2]), _kind([1, None]), _kind([1, 0.5, None]), _kind([True, None]), _kind([("E 1.1",)])
    ('int64', 'Int64', 'float64', 'boolean', 'object')
    """
    known = {type(cell) for cell in cells if cell is not None}
    missing = any(cell is None for cell in cells)
    if known == {bool}:
        return "boolean" if missing else "bool"
    if known == {int}:
        return "Int64" if missing else "int64"
    if known and known <= {int, float}:
        return "float64"
    return None if known == {str} else "object"
