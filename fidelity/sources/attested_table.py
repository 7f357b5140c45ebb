"""Weigh readings collected from many sources in a plain table: names, values, spellings; no text is needed.

Arrives: a table with a row for each source at each place. Leaves: an ``AttestedTable``, or every fault of
the table with its row and column. Start reading at ``attest_table``.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from fidelity.dossier.decision_rows import FileRow, FileRows, rows_of
from fidelity.errors import DataError, Fault
from fidelity.in_notebook import Tabled
from fidelity.letters import NOTHING, encode
from fidelity.settings import Settings
from fidelity.sources.attestation import weighed_readings
from fidelity.sources.descent import Voice, circle_in
from fidelity.sources.rates import LEAST, MOST, WitnessRate
from fidelity.sources.tradition import DECLARED, plain_reading, whole_readings
from fidelity.terms.attestation import AttestedReading
from fidelity.witnesses.folds import NO_FOLDS, Folds

COLUMNS = ("siglum", "reading", "depends_on", "date", "locus", "rate")
MUST = ("siglum", "reading")
LEFT_OUT = frozenset((NOTHING, "om."))  # in the place of a reading: the source leaves the words out
NOT_THE_TRUTH = (
    "This is what the sources say, not what is true: a ratio compares two readings by all that was handed"
    " down, and what speaks for either by itself (sense, language, history) is not in it."
)
WITHOUT_LINE = "A reading without a line of its own stands only in sources without a vote."
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?")
NEAR_ENOUGH = 75  # of 100 in rapidfuzz's ratio: a column named so is taken for a slip of the keyboard


@dataclass(frozen=True)
class Source:
    """One row: what a source has at a place.

    Attributes:
        siglum, reading, depends_on, date, locus: as written.
        rate: wrong letters per 1,000; None where nothing is known.
        line: of the file, from 1.
    """

    siglum: str
    reading: str
    depends_on: str
    date: str
    locus: str
    rate: float | None
    line: int


@dataclass(frozen=True)
class AttestedTable(Tabled):
    """What all sources of a table attest.

    Attributes:
        readings: place by place, the strongest first.
        sources: how many sources there are.
        cautions: what is to be borne in mind, in plain words.
    """

    readings: tuple[AttestedReading, ...]
    sources: int
    cautions: tuple[str, ...]


def attest_table(
    table: Path, folds: Folds = NO_FOLDS, assumed: float = Settings().witness_errors_per_1000
) -> AttestedTable:
    """Weigh the readings of a table.

    Args:
        table: .csv, .tsv, .xlsx or .ods with columns siglum, reading and, if wanted, depends_on (siglum of
        what a source was copied from), date, locus, rate (wrong letters per 1,000).
        folds: letterforms counted as equal.
        assumed: wrong letters per 1,000 of a source without a rate.

    Raises:
        DataError: the table cannot be read or used; every fault with its row and column.
    """
    sources = _Reader(table).sources()
    rates = {one.siglum: WitnessRate(assumed) for one in sources}
    rates |= {one.siglum: WitnessRate(one.rate, "as given") for one in sources if one.rate is not None}
    dates = {one.siglum: one.date for one in sources if one.date}
    readings: list[AttestedReading] = []
    for locus in dict.fromkeys(one.locus for one in sources):
        testimonies, printed = _testimonies([one for one in sources if one.locus == locus], sources, folds)
        whole = whole_readings(testimonies)
        readings += weighed_readings(testimonies, whole, rates, dates, ("", locus), printed)
    return AttestedTable(tuple(readings), len(rates), tuple(_cautions(readings, len(rates))))


def _testimonies(
    here: Sequence[Source], everywhere: Sequence[Source], folds: Folds
) -> tuple[list[Voice], dict[str, str]]:
    """Give what each source has at one place, the silent ones too, and each reading as printed."""
    printed: dict[str, str] = {}
    found: dict[str, Voice] = {}
    for one in here:
        text = "" if one.reading in LEFT_OUT else one.reading
        key = plain_reading(encode(text), folds)
        printed.setdefault(key, one.reading)
        found[one.siglum] = Voice(one.siglum, key, one.depends_on, DECLARED)
    for one in everywhere:
        found.setdefault(one.siglum, Voice(one.siglum, None, one.depends_on, DECLARED))
    return list(found.values()), printed


def _cautions(readings: Sequence[AttestedReading], sources: int) -> Iterator[str]:
    """Say what is to be borne in mind."""
    yield NOT_THE_TRUTH
    without = Counter(siglum for one in readings for siglum, _ in one.set_aside)
    if without and len({one.locus for one in readings}) > 1:
        places = Counter(siglum for one in readings for siglum in one.witnesses)
        told = ", ".join(f"{one} at {without[one]:,} of {places[one]:,}" for one in sorted(without))
        yield (
            "One famous source counts once: where a source only repeats another that is in the table, it has"
            f" no vote; so, of the places for which it has a reading: {told}."
        )
    elif without:
        yield (
            f"One famous source counts once: {len(without)} of {sources} sources only repeat another that is"
            " in the table, and have no vote."
        )
    yield "Sources are independent as far as depends_on says: one that repeats another unsaid counts too."
    if any(not one.lines for one in readings):
        yield WITHOUT_LINE


class _Reader:
    """Reads a table and gathers its faults."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self.text = self._text()
        self.rows: FileRows = rows_of(self.text, COLUMNS)

    def _text(self) -> str:
        """Give the table as text, whatever file it is in."""
        from fidelity.witnesses.spreadsheets import READERS, table_of_sheet

        if self.file.suffix.lower() in READERS:
            return table_of_sheet(self.file, self.faults)
        from fidelity.witnesses.source_text import text_of_file

        return text_of_file(self.file)

    def sources(self) -> list[Source]:
        """Give the rows.

        Raises:
            DataError: something is wrong with them.
        """
        self._check_columns()
        found = [] if self.faults else [self._source(row) for row in self.rows.decisions]
        if not found and not self.faults:
            self.faults.append(Fault("the table has no row", self.file, remedy="add a row for each source"))
        if not self.faults:
            self._check_sigla(found)
        if self.faults:
            raise DataError(faults=self._placed())
        return found

    def _placed(self) -> list[Fault]:
        """Name the cell in faults of a spreadsheet."""
        from fidelity.witnesses.spreadsheets import READERS, with_cells

        if self.file.suffix.lower() not in READERS:
            return self.faults
        return list(with_cells(self.faults, encode(self.text)))

    def _fault(self, row: FileRow, column: str, what: str, remedy: str) -> None:
        """Add a fault of one cell."""
        names = self.rows.names
        at = names.index(column) if column in names else 0
        start = row.starts[at] if at < len(row.starts) else len(row.raw)
        where = len(encode(row.raw[:start])) + 1
        self.faults.append(Fault(what, self.file, row.line, where, row.raw.split("\n")[0], remedy))

    def _check_columns(self) -> None:
        """Look for the columns that must be there, and for names that were meant for known ones."""
        from rapidfuzz import fuzz, process

        if self.rows.head < 0:
            if not self.faults:
                remedy = f"begin with a row that names the columns: {', '.join(COLUMNS)}"
                self.faults.append(Fault("the table is empty", self.file, remedy=remedy))
            return
        head, names = self.rows.rows[self.rows.head], self.rows.names
        for name in dict.fromkeys(names):
            if names.count(name) > 1 and name in COLUMNS:
                self._fault(head, name, f"two columns are named {name}", "keep one of them")
            near = process.extractOne(name.lower(), COLUMNS, scorer=fuzz.ratio, score_cutoff=NEAR_ENOUGH)
            if name not in COLUMNS and near and near[0] not in names:
                self._fault(head, name, f"unknown column {name!r}", f"did you mean {near[0]}?")
        missing = [name for name in MUST if name not in names]
        if missing and not self.faults:
            remedy = f"name the columns in the first row: {', '.join(COLUMNS)}"
            self._fault(head, names[0], f"there is no column {' or '.join(missing)}", remedy)

    def _source(self, row: FileRow) -> Source:
        """Give one row, its cells checked."""
        cells = {name: self.rows.cell(row, name) for name in COLUMNS}
        if not row.closed:
            self._fault(row, self.rows.names[0], "a quotation mark is not closed", "close it, or double it")
        if len(row.cells) > len(self.rows.names):
            what = f"{len(row.cells)} cells where the first row names {len(self.rows.names)}"
            self._fault(row, self.rows.names[-1], what, "quote a cell that has the sign between cells")
        if not cells["siglum"]:
            self._fault(row, "siglum", "this row names no source", "write its siglum")
        if not cells["reading"]:
            remedy = f"take the row out; for a source that leaves the words out write {NOTHING}"
            self._fault(row, "reading", "the reading is empty", remedy)
        return Source(
            **{name: cells[name] for name in COLUMNS if name != "rate"},
            rate=self._rate(row, cells["rate"]),
            line=row.line,
        )

    def _rate(self, row: FileRow, cell: str) -> float | None:
        """Give the rate of a source."""
        if not cell:
            return None
        try:
            rate = float(cell)
        except ValueError:
            number = _NUMBER.search(cell.replace(",", "."))
            near = number[0] if number else 5
            self._fault(row, "rate", f"{cell} is no number", f"write wrong letters per 1,000, as {near}")
            return None
        if not LEAST <= rate <= MOST:
            nearest = min(max(rate, LEAST), MOST) if rate == rate else LEAST
            remedy = f"it goes from {LEAST:g} to {MOST:g}; the nearest is {nearest:g}"
            self._fault(row, "rate", f"a rate of {cell} wrong letters per 1,000 cannot be used", remedy)
        return rate

    def _check_sigla(self, sources: Sequence[Source]) -> None:
        """Look for sources named twice at a place, unknown ones, circles, rates that contradict."""
        rows = {row.line: row for row in self.rows.decisions}
        known = dict.fromkeys(one.siglum for one in sources)
        first: dict[tuple[str, str], int] = {}
        rates: dict[str, Source] = {}
        for one in sources:
            row = rows[one.line]
            at = first.setdefault((one.locus, one.siglum), one.line)
            if at != one.line:
                where = f" at {one.locus}" if one.locus else ""
                what = f"{one.siglum} is named twice{where} (first in row {at})"
                remedy = "one source has one reading at a place; name its hands apart, as A1 and A2"
                self._fault(row, "siglum", what, remedy)
            if one.depends_on == one.siglum:
                self._fault(row, "depends_on", f"{one.siglum} cannot depend on itself", "name its source")
            elif one.depends_on and one.depends_on not in known:
                self._fault(row, "depends_on", f"there is no source {one.depends_on}", _known(one, known))
            if one.rate is not None and rates.setdefault(one.siglum, one).rate != one.rate:
                what = f"{one.siglum} has another rate in row {rates[one.siglum].line}"
                self._fault(row, "rate", what, "give it one rate, or none")
        for locus in dict.fromkeys(one.locus for one in sources):
            self._check_circle([one for one in sources if one.locus == locus], sources, rows)

    def _check_circle(
        self, here: Sequence[Source], everywhere: Sequence[Source], rows: Mapping[int, FileRow]
    ) -> None:
        """Look for sources that depend on each other in a circle at one place."""
        ways = {one.siglum: one.depends_on for one in here}
        for one in everywhere:
            ways.setdefault(one.siglum, one.depends_on)
        circle = circle_in(ways)
        if circle and not self.faults:
            line = next(one.line for one in [*here, *everywhere] if one.siglum == circle[0])
            what = f"a circle: {' from '.join(circle)} cannot all be copied from each other"
            self._fault(rows[line], "depends_on", what, "leave depends_on empty in one of these rows")


def _known(one: Source, known: Mapping[str, None]) -> str:
    """Name the source that was perhaps meant, and all."""
    from rapidfuzz import process  # only needed where something is wrong

    lower = {siglum: siglum.lower() for siglum in known}
    near = process.extractOne(one.depends_on.lower(), lower, score_cutoff=60)
    guess = f"did you mean {near[2]}? " if near else ""
    return f"{guess}sources: {', '.join(known)}; add a row for it, or leave depends_on empty"
