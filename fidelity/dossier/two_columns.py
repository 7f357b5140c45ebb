"""Read tables of which two columns belong together, row by row: word forms, pairs of fields.

Arrives: an entry of the dossier that names tables, and the two columns. Leaves: pairs of cells in letters, or
faults. Start reading at ``two_columns``.
"""

from __future__ import annotations

from collections.abc import Iterator

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts


def two_columns(
    entry: Entry, key: str, columns: tuple[str, str], remedy: str, texts: DossierTexts
) -> Iterator[tuple[str, str]]:
    """Give the rows of the tables that an entry names, where both cells have something.

    Args:
        entry: of the dossier.
        key: under which it names the tables.
        columns: that a table must have; it may have others.
        remedy: what to do if it has not both.
        texts: its files; is told what is wrong with them.
    """
    listed = isinstance(entry.values.get(key), list)
    for at, file in enumerate(texts.files(entry, key)):
        table = texts.read(file, entry.values, file.stem)
        if table is None:
            continue
        if not {*columns} <= {*table.fields}:
            spot = entry.spot._replace(key=key, item=at if listed else None)
            there = ", ".join(table.fields) or "none: it is no table"
            what = f"{file.name} has no columns {' and '.join(columns)}"
            texts.fault(spot, what, f"{remedy}; its columns: {there}")
            continue
        first, second = map(table.fields.index, columns)
        for line in range(len(table.lines)):
            cells = [cell.strip() for cell in table.letters[slice(*table.line_span(line))].split("\t")]
            if cells[first] and cells[second]:
                yield cells[first], cells[second]
