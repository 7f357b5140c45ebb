"""Read a text, whatever it is given as: a string, a file, or a Witness.

Arrives: text or the path of a file. Leaves: a ``Witness``, or one ``DataError`` with every fault
and its place. Start reading at ``read_witness``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path

from fidelity.errors import DataError, Fault, UsageError
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import NO_MARKS, HisMarks, with_stand_ins
from fidelity.witnesses.plain import Line, Row, rows_of, witness_of
from fidelity.witnesses.source_text import (
    MOST_FAULTS,
    SHEET_ENDINGS,
    XML_ENDINGS,
    letters_of,
    text_of_file,
)
from fidelity.witnesses.taken_out import taken_out

PROFILES = ("plain", "leiden", "leiden_literary")  # all but the first as in leiden.py

DELIMITERS = {".tsv": "\t", ".csv": ",", **dict.fromkeys(SHEET_ENDINGS, "\t")}  # endings of tables


def read_witness(
    source: str | Path | Witness,
    *,
    siglum: str = "",
    profile: str = "plain",
    numbered: bool = False,
    choice: Sequence[str] = (),
    script: str = "",
    language: str = "",
    his_marks: HisMarks = NO_MARKS,
) -> Witness:
    """Read a manuscript's or a copy's text, as its transcriber gave it.

    Args:
        source: text (a string), a file (a Path: ``.tsv``, ``.csv``, ``.xlsx`` and ``.ods`` are
            tables of parallel fields, ``.xml`` and ``.tei`` are XML of the kinds in
            ``xml_kinds.py``, everything else plain text), or a Witness, which is given back
            untouched.
        siglum: the short sign it is cited by.
        profile: what editorial signs the transcriber used: "plain" for none, "leiden" for those of
            documents, "leiden_literary" where [abc] is what the editor deletes.
        numbered: whether each line begins with its citation and a tab.
        choice: which sides of TEI choices are read ("sic" or "corr", "orig" or "reg", "abbr" or
            "expan"); what is not named is read as it stands in the manuscript, written out.
        script: the script of the main hand.
        language: BCP 47 tag.
        his_marks: of a copy the signs that are its copyist's own marks: they are taken out of the letters.

    Raises:
        DataError: the text is not fit to be read; every fault with line and column.
        UsageError: an unknown profile.

    >>> read_witness("[fol. 3r]\\nþa lanꝺ-\\nᵹemæꞃa").letters
    'þa lanꝺᵹemæꞃa'
    """
    if isinstance(source, Witness):
        return source
    if profile not in PROFILES:
        raise UsageError(f"unknown profile {profile!r}", remedy=f"known profiles: {', '.join(PROFILES)}")
    file = source if isinstance(source, Path) else None
    kind = file.suffix.lower() if file else ""
    if file and kind in XML_ENDINGS:
        return taken_out(read_xml_file(file, siglum, profile, choice, script, language)[0], his_marks)
    faults: list[Fault] = []
    letters = letters_of(_text_of(source, kind, faults), file, faults)
    fields: tuple[str, ...] = ()
    if kind in DELIMITERS:
        from fidelity.witnesses.tables import rows_of_table  # not needed for running text

        fields, rows = rows_of_table(letters, DELIMITERS[kind], file, faults)
    else:
        rows = rows_of(letters, file, numbered, faults)
        faults += _stray_tabs(rows, file)
    lines = _lines_of(rows, profile, file, faults, his_marks)
    if fields:
        from fidelity.witnesses.leiden import without_blanks_at_borders  # as above

        lines = [without_blanks_at_borders(line) for line in lines]
    if not rows and not faults:
        faults.append(Fault("there is no text in it", file, remedy="give a text with at least one line"))
    if kind in SHEET_ENDINGS:
        from fidelity.witnesses.spreadsheets import with_cells

        faults = list(with_cells(faults, letters))
    if faults:
        raise DataError(faults=_shown(faults, file))
    witness = witness_of(lines, rows, line_marks=not fields)
    about = str(file) if file else ""
    witness = replace(witness, siglum=siglum, fields=fields, script=script, language=language, file=about)
    return taken_out(witness, his_marks)


def _stray_tabs(rows: Sequence[Row], file: Path | None) -> Iterator[Fault]:
    """Report tabs in running text: they would part it into fields that have no names."""
    for row in islice((row for row in rows if "\t" in row.text), MOST_FAULTS):
        remedy = (
            "write a blank; or say numbered = true, if the citation stands before it; or name the file .tsv"
        )
        yield row.fault("a tab parts fields, and this text has none", file, row.text.index("\t"), remedy)


def _text_of(source: str | Path, kind: str, faults: list[Fault]) -> str:
    """Give a text as a string; a spreadsheet as a table with tabs."""
    if isinstance(source, str):
        return source
    if kind not in SHEET_ENDINGS:
        return text_of_file(source)
    from fidelity.witnesses.spreadsheets import table_of_sheet  # slow to import, and seldom needed

    return table_of_sheet(source, faults)


def read_xml_file(
    file: Path, siglum: str, profile: str, choice: Sequence[str], script: str, language: str
) -> tuple[Witness, tuple[str, ...]]:
    """Read an XML file, with the notes on what was decided in reading it.

    Siglum, script and language are the file's own where they are given as "".
    """
    from fidelity.witnesses.xml_kinds import read_xml_with_notes  # slow to import

    read, notes = read_xml_with_notes(file, profile, choice)
    siglum, script, language = siglum or read.siglum, script or read.script, language or read.language
    return replace(read, siglum=siglum, script=script, language=language), notes


def _lines_of(
    rows: Sequence[Row], profile: str, file: Path | None, faults: list[Fault], his_marks: HisMarks
) -> list[Line]:
    """Understand the editorial signs of the declared profile."""
    if his_marks:
        rows = [row._replace(text=with_stand_ins(row.text, his_marks)) for row in rows]
    if profile != "plain":
        from fidelity.witnesses.leiden import understand_signs  # slow to import, and seldom needed

        return [understand_signs(row, file, faults, profile) for row in rows]
    return [Line(row.text) for row in rows]


def _shown(faults: list[Fault], file: Path | None) -> list[Fault]:
    """Put the faults in the order of the text, and cut a list that nobody would read."""
    ordered = sorted(faults, key=lambda fault: (fault.line or 10**9, fault.column or 0))
    if len(ordered) <= 2 * MOST_FAULTS:
        return ordered
    more = len(ordered) - 2 * MOST_FAULTS
    return [*ordered[: 2 * MOST_FAULTS], Fault(f"and {more} more faults", file)]
