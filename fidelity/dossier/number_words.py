"""Read tables of number words: a value and a word for it, where the program knows none of a language.

Arrives: an entry [[parallel]] with numbers. Leaves: words in letters, folded and small, with their values.
Start reading at ``number_words``.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from fidelity.dossier.decision_rows import FileRow, FileRows, rows_of
from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.errors import DataError, Fault
from fidelity.letters import encode
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.source_text import text_of_file

VALUE, WORD = "value", "word"  # the columns a table must have; it may have others


def number_words(entry: Entry, texts: DossierTexts, folds: Folds, known: Mapping[str, int]) -> dict[str, int]:
    """Give the number words of the tables that an entry names.

    Args:
        entry: [[parallel]] of the dossier, with numbers.
        texts: its files; is told what is wrong with them: columns, values, a word with two values.
        folds: letterforms counted as equal.
        known: words that other entries have declared.
    """
    found: dict[str, int] = {}
    for file in texts.files(entry, "numbers"):
        try:
            rows = rows_of(text_of_file(file), (VALUE, WORD))
        except DataError as error:
            texts.faults += error.faults
            continue
        texts.note_digest(file)
        missing = [name for name in (VALUE, WORD) if name not in rows.names]
        if missing:
            there = ", ".join(filter(None, rows.names)) or "none"
            remedy = f"name the columns {VALUE} and {WORD} in the first row; its columns: {there}"
            texts.faults.append(
                Fault(f"there is no column {' or '.join(missing)}", file, 1, 1, remedy=remedy)
            )
            continue
        for row in rows.decisions:
            word, value = _checked(row, rows, file, texts)
            bare = folds.fold(encode(word)).lower()
            if not bare or value is None:
                continue
            before = found.get(bare, known.get(bare, value))
            if before != value:
                remedy = "give it one value; the other line stands before"
                texts.faults.append(_fault(row, rows, file, WORD, f"{word} is {before} already", remedy))
            found.setdefault(bare, value)
    return found


def _checked(row: FileRow, rows: FileRows, file: Path, texts: DossierTexts) -> tuple[str, int | None]:
    """Give word and value of a row; what cannot be used is a fault."""
    word, value = rows.cell(row, WORD), rows.cell(row, VALUE)
    if not value.isdecimal() or not int(value):
        what, remedy = (
            f"{value or 'nothing'} is no whole number",
            "write the value in figures, 1 or more, as 5",
        )
        texts.faults.append(_fault(row, rows, file, VALUE, what, remedy))
        return word, None
    if len(word.split()) != 1:
        what = f"“{word}” is more than one word" if word else "there is no word"
        remedy = "write the one word that stands after the numeral"
        texts.faults.append(_fault(row, rows, file, WORD, what, remedy))
        return "", None
    return word, int(value)


def _fault(row: FileRow, rows: FileRows, file: Path, column: str, what: str, remedy: str) -> Fault:
    """Make the fault of one cell."""
    at = rows.names.index(column)
    start = row.starts[at] if at < len(row.starts) else len(row.raw)
    where = len(encode(row.raw[:start])) + 1
    return Fault(what, file, row.line, where, row.raw.split("\n")[0], remedy)
