"""Read the texts that a dossier names, and keep account of every file read.

Arrives: checked entries of the dossier. Leaves: Witnesses, their passages in another script or
language, and the digest of each file. Start reading at ``DossierTexts.text``.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import islice
from pathlib import Path
from typing import Any

from fidelity.dossier.contents import Passage
from fidelity.dossier.form import PASSAGE, Entry, check_entry
from fidelity.dossier.places import Places, Spot
from fidelity.errors import DataError, Fault
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import NO_MARKS, HisMarks
from fidelity.witnesses.read import read_witness, read_xml_file
from fidelity.witnesses.source_text import XML_ENDINGS
from fidelity.witnesses.taken_out import taken_out

NEAR_ENOUGH = 0.7  # of 1; "orignal" is 0.88 like "original", "E/a" 0.67 like "E/b": below it a guess misleads
MOST_LOOKED_AT = 10_000  # files; a dossier has some hundred, but it may stand in somebody's home


class DossierTexts:
    """The files of a dossier while it is being read.

    Attributes:
        places: where everything stands in the dossier.toml.
        faults: what was found wrong, in the dossier and in its texts.
        digests: path within the dossier -> SHA-256 of each file read.
        notes: what the reader should know.
        texts_read: path within the dossier of each text that was read without fault.
        his_marks: the signs that are the copyist's own marks in his copies.
    """

    def __init__(self, places: Places) -> None:
        self.places = places
        self.folder = places.file.parent
        self.faults: list[Fault] = []
        self.digests: dict[str, str] = {}
        self.notes: list[str] = []
        self.texts_read: list[str] = []
        self.his_marks = NO_MARKS

    def fault(self, spot: Spot, what: str, remedy: str = "") -> None:
        """Add a fault of the dossier.toml."""
        self.faults.append(self.places.fault(spot, what, remedy))

    def text(self, entry: Entry, key: str, siglum: str, **about: str) -> Witness | None:
        """Read the file a key names; None where it cannot be read (then there is a fault).

        Args:
            entry: the survivor, lost text or witness.
            key: the key with the path; of several paths the first is read.
            siglum: how the text is cited.
            about: profile, script and language where they differ from the entry's own.
        """
        files = self.files(entry, key)
        his = self.his_marks if key == "copy" else NO_MARKS
        return self.read(files[0], entry.values, siglum, his, **about) if files else None

    def read(
        self, file: Path, values: Mapping[str, Any], siglum: str, his: HisMarks = NO_MARKS, **about: str
    ) -> Witness | None:
        """Read one text as an entry's values say; its faults join the dossier's."""
        how = {key: about.get(key, values.get(key, "")) for key in ("profile", "script", "language")}
        how["profile"] = how["profile"] or "plain"
        try:
            numbered, choice = values.get("numbered", False), values.get("choice", ())
            witness, notes = _read(file, siglum, numbered, choice, how, his)
            name = self.note_digest(file)
        except DataError as error:
            self.faults += [fault for fault in error.faults if fault not in self.faults]
            return None
        self.texts_read.append(name)
        told = [f"{name}: {note}" for note in notes]
        self.notes += [note for note in told if note not in self.notes]  # several entries may name a file
        return replace(witness, file=name)

    def note_digest(self, file: Path) -> str:
        """Enter a file among those read; give its path within the dossier."""
        name = file.relative_to(self.folder).as_posix()
        if name not in self.digests:
            with file.open("rb") as opened:
                import hashlib  # not needed to compare two texts

                self.digests[name] = hashlib.file_digest(opened, "sha256").hexdigest()
        return name

    def files(self, entry: Entry, key: str) -> list[Path]:
        """Give the files a key names, in order; each that cannot be had is a fault."""
        value = entry.values.get(key, [])
        spot = entry.spot._replace(key=key)
        if isinstance(value, str):
            return self._file(value, spot)
        return [file for at, name in enumerate(value) for file in self._file(name, spot._replace(item=at))]

    def _file(self, name: str, spot: Spot) -> list[Path]:
        """Give the file of that name, if it lies in the dossier; else say why it cannot be had."""
        home = Path(os.path.abspath(self.folder))
        file = Path(os.path.abspath(self.folder / name))
        try:
            real, real_home = file.resolve(), home.resolve()
            there = real.exists()
        except (OSError, RuntimeError):  # links that go in a circle, names too long for any file
            self.fault(spot, f"{name} cannot be followed", "mend the link or the name")
            return []
        remedy = "put the file into the dossier and name it from there"
        if not file.is_relative_to(home) or not real.is_relative_to(real_home):
            how = " by a link" if file.is_relative_to(home) else ""
            self.fault(spot, f"{name} leaves the dossier{how}", remedy)
        elif not there:
            self.fault(
                spot, f"there is no file {name}", f"{_did_you_mean(file, home)}paths start at {self.folder}"
            )
        elif not real.is_file():
            self.fault(spot, f"{name} is no file", "name a file in it")
        else:
            return [self.folder / file.relative_to(home)]
        return []

    def check_fields(self, entry: Entry, original: Witness, copy: Witness) -> None:
        """Compare the parallel fields of original and copy, which are aligned one for one as they stand."""
        first, other = (", ".join(one.fields) or "none" for one in (original, copy))
        if first == other:
            return
        what = f"original and copy have other fields: {first}; {other}"
        same_number = len(original.fields) == len(copy.fields)
        if same_number and set(original.fields) != set(copy.fields):
            self.notes.append(
                f"{original.siglum}: {what}; they are taken as answering each other in this order"
            )
        elif original.fields and copy.fields:
            remedy = "give both the same fields in the same order"
            self.fault(entry.spot._replace(key="copy"), what, remedy)
        else:
            self.notes.append(f"{original.siglum}: {what}; only one of the two is a table")

    def passages(self, entry: Entry, original: Witness) -> tuple[Passage, ...]:
        """Give the passages of an original that are in another script or language."""
        found = []
        for at, table in enumerate(entry.values.get("passages", [])):
            spot = entry.spot._replace(key="passages", item=at)
            values = check_entry(table, PASSAGE, spot, self.places, self.faults).values
            passage = self._passage(values, spot, original)
            found += [passage] if passage else []
        return tuple(found)

    def _passage(self, values: Mapping[str, Any], spot: Spot, original: Witness) -> Passage | None:
        """Find one passage in the original."""
        lines: tuple[int, int] | None = (0, len(original.lines))
        field = values.get("field", "")
        if not {"lines", "page", "field"} & values.keys():
            self.fault(spot, "the passage does not say where", 'add lines = "…", page = "…" or field = "…"')
            return None
        if field and field not in original.fields:
            known = ", ".join(original.fields) or "none: it is no table"
            self.fault(spot, f"the original has no field {field}", f"its fields: {known}")
            return None
        if "page" in values:
            on_page = [line for line, page in enumerate(original.pages) if page == values["page"]]
            lines = (on_page[0], on_page[-1] + 1) if on_page else None
        if "lines" in values:
            lines = line_range(values["lines"], original.labels)
        if lines is None:
            self.fault(spot, *_not_there(values, original))
            return None
        return Passage(lines, field, values.get("script", ""), values.get("language", ""))


def _not_there(values: Mapping[str, Any], original: Witness) -> tuple[str, str]:
    """Say that an original has not the lines or the page of a passage, and what it has."""
    if "lines" in values:
        first, last = original.labels[0], original.labels[-1]
        return f"the original has no lines {values['lines']}", f"its lines go from {first} to {last}"
    pages = list(dict.fromkeys(filter(None, original.pages)))
    known = f"its pages go from {pages[0]} to {pages[-1]}" if pages else "it has no page marks"
    return f"the original has no page {values['page']}", known


def _read(
    file: Path, siglum: str, numbered: bool, choice: Sequence[str], how: Mapping[str, str], his: HisMarks
) -> tuple[Witness, tuple[str, ...]]:
    """Read one text, with the notes on what was decided in reading it."""
    if file.suffix.lower() not in XML_ENDINGS:
        from fidelity.witnesses.hints import hints_on  # not needed to compare two texts

        witness = read_witness(file, siglum=siglum, numbered=numbered, his_marks=his, **how)
        return witness, hints_on(witness) if how["profile"] == "plain" else ()
    witness, notes = read_xml_file(file, siglum, choice=choice, **how)
    return taken_out(witness, his), notes


def _did_you_mean(missing: Path, home: Path) -> str:
    """Ask whether a file of the nearest name in the dossier was meant; "" where none is near."""
    from rapidfuzz.distance import Levenshtein  # only needed where something is wrong

    wanted = _without_ending(missing.relative_to(home))
    near: list[tuple[float, float, str]] = []
    files = (Path(folder, name) for folder, _, names in os.walk(home) for name in names)
    for file in islice(files, MOST_LOOKED_AT):
        path = file.relative_to(home)
        alike = Levenshtein.normalized_similarity(wanted, _without_ending(path))
        if file.name.lower() == missing.name.lower():
            alike = max(alike, NEAR_ENOUGH)  # only the folder is another
        if alike >= NEAR_ENOUGH:
            whole = Levenshtein.normalized_similarity(missing.name, file.name)
            near.append((alike, whole, path.as_posix()))
    if not near:
        return ""
    best = max(near)[:2]
    return f"did you mean {' or '.join(sorted(name for *alike, name in near if tuple(alike) == best)[:3])}? "


def _without_ending(path: Path) -> str:
    return path.with_suffix("").as_posix().lower()


def line_range(written: str, labels: tuple[str, ...]) -> tuple[int, int] | None:
    """Find lines as they are cited: "3", "1-3", "12r:1-12v:4", "12r:1-5"; None if there are none.

    >>> line_range("12r:2-3", ("12r:1", "12r:2", "12r:3"))
    (1, 3)
    """
    at = {label: line for line, label in enumerate(labels)}
    if written.strip() in at:
        line = at[written.strip()]
        return line, line + 1
    for dash in re.finditer("[-–]", written):
        first, last = written[: dash.start()].strip(), written[dash.end() :].strip()
        page = first.rpartition(":")[0]
        short = f"{page}:{last}" if page else last
        if first in at and (last in at or short in at):
            begin, end = at[first], at.get(last, at.get(short, -1))
            return (begin, end + 1) if begin <= end else None
    return None
