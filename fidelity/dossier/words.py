"""Read tables of word forms: an old form and a later form of the same word.

Arrives: an entry [[words]] of the dossier. Leaves: pairs of forms in letters; a form may have several
later ones. Start reading at ``word_forms``.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.terms import Witness

FORM, MODERN = "form", "modern"  # the columns a table must have; it may have others


def word_forms(entry: Entry, texts: DossierTexts) -> Iterator[tuple[str, str]]:
    """Give the pairs (form, later form) of the tables that an entry names, in letters.

    Args:
        entry: [[words]] of the dossier.
        texts: its files; is told what is wrong with them.
    """
    for at, file in enumerate(texts.files(entry, "files")):
        table = texts.read(file, entry.values, file.stem)
        if table is None:
            continue
        if not {FORM, MODERN} <= set(table.fields):
            texts.fault(entry.spot._replace(key="files", item=_item(entry, at)), *_lacks(file, table))
            continue
        first, second = table.fields.index(FORM), table.fields.index(MODERN)
        for line in range(len(table.lines)):
            start, end = table.line_span(line)
            cells = [cell.strip() for cell in table.letters[start:end].split("\t")]
            if cells[first] and cells[second]:
                yield cells[first], cells[second]


def _item(entry: Entry, at: int) -> int | None:
    """Give which item of the list names a file; None where it is the only one and no list."""
    return at if isinstance(entry.values.get("files"), list) else None


def _lacks(file: Path, table: Witness) -> tuple[str, str]:
    """Say what columns a table lacks."""
    there = ", ".join(table.fields) or "none: it is no table"
    remedy = f"name the column of old forms {FORM}, that of later forms {MODERN}; its columns: {there}"
    return f"{file.name} has no columns {FORM} and {MODERN}", remedy
