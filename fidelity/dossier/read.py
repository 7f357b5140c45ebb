"""Read a dossier: one copyist, his copies, the originals that survive, and all other evidence.

Arrives: a folder with a ``dossier.toml``. Leaves: a ``Dossier``, or one ``DataError`` with every
fault of the dossier and its texts. Start reading at ``read_dossier``.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from fidelity.dossier.checking import checking_of
from fidelity.dossier.contents import DOSSIER_FILE, Dossier, LostText, OtherWitness, Survivor
from fidelity.dossier.decisions import decisions_of
from fidelity.dossier.form import OF_ONE, Entry, check_form
from fidelity.dossier.his_marks import his_marks_of, notes_on
from fidelity.dossier.kinds import STATES_OF_LETTERS
from fidelity.dossier.other_copies import BY_ANOTHER, check_transcripts, names_of_copies, other_copies_of
from fidelity.dossier.places import Spot, find_places, syntax_fault
from fidelity.dossier.quires import quires_of
from fidelity.dossier.texts import DossierTexts
from fidelity.dossier.words import word_forms
from fidelity.errors import DataError
from fidelity.settings import Settings
from fidelity.terms import Witness
from fidelity.witnesses.folds import Folds, load_folds
from fidelity.witnesses.source_text import text_of_file

LONGEST_LINE = 20_000  # letters; a list of a hundred paths has a tenth, and TOML takes its time over more


def read_dossier(path: Path) -> Dossier:
    """Read a dossier with all its texts.

    Args:
        path: the folder, or the ``dossier.toml`` in it.

    Raises:
        DataError: anything is wrong in the dossier or in one of its texts; every fault is in
            the one report, with file and line.
    """
    file = path / DOSSIER_FILE if path.is_dir() else path
    if not file.is_file():
        remedy = f"name a folder with a {DOSSIER_FILE}; `fidelity new` lays one out"
        raise DataError("there is no such dossier", file=file, remedy=remedy)
    text = text_of_file(file).replace("\r\n", "\n")
    for number, row in enumerate(text.split("\n"), start=1):
        if len(row) > LONGEST_LINE:
            what = f"this line has more than {LONGEST_LINE:,} letters"
            raise DataError(what, file=file, line=number, remedy="part it: lists may run over several lines")
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise DataError(faults=[syntax_fault(str(error), text, file)]) from None
    except RecursionError:
        raise DataError(
            "lists stand in lists too deep to be read", file=file, remedy="take them apart"
        ) from None
    texts = DossierTexts(find_places(text, file))
    texts.note_digest(file)
    dossier = _dossier(check_form(data, texts.places, texts.faults), texts)
    if texts.faults:
        own = [fault for fault in texts.faults if fault.file == file]
        others = [fault for fault in texts.faults if fault.file != file]
        raise DataError(faults=sorted(own, key=lambda fault: (fault.line or 0, fault.column or 0)) + others)
    return dossier


def _dossier(entries: Mapping[str, list[Entry]], texts: DossierTexts) -> Dossier:
    """Read everything the entries name."""
    single = {name: found[0].values if found else {} for name, found in entries.items()}
    _check_ids(entries, texts)
    check_transcripts(entries["witness"], texts)
    texts.his_marks = his_marks_of(entries["his_marks"], texts)
    dossier = Dossier(
        folder=texts.folder,
        copyist_name=single["copyist"].get("name", ""),
        copyist_dates=single["copyist"].get("dates", ""),
        folds=_folds(single["fold"], texts),
        survivors=tuple(found for entry in entries["survivor"] for found in _survivor(entry, texts)),
        lost=tuple(found for entry in entries["lost"] for found in _lost(entry, texts)),
        witnesses=tuple(found for entry in entries["witness"] for found in _witness(entry, texts)),
        references=tuple(found for entry in entries["reference"] for found in _references(entry, texts)),
        settings=_settings(single["settings"]),
        words=tuple(pair for entry in entries["words"] for pair in word_forms(entry, texts)),
        image_pattern=single["images"].get("pattern", ""),
        his_marks=texts.his_marks,
    )
    dossier = _with_the_editors_word(dossier, entries, texts)
    dossier = replace(dossier, survivors=tuple(_trusting(one, dossier.settings) for one in dossier.survivors))
    dossier = replace(dossier, decisions=decisions_of(texts, dossier.survivors, dossier.lost))
    texts.notes += _note_on_additions(dossier.survivors)
    copies = [survivor.copy for survivor in dossier.survivors] + [text.copy for text in dossier.lost]
    texts.notes += notes_on(dossier.his_marks, copies)
    from fidelity.witnesses.look_alikes import notes_on_files  # not needed to compare two texts

    texts.notes += notes_on_files(texts.folder, texts.texts_read, dossier.folds)
    return replace(dossier, inputs=tuple(sorted(texts.digests.items())), notes=tuple(texts.notes))


def _with_the_editors_word(
    dossier: Dossier, entries: Mapping[str, list[Entry]], texts: DossierTexts
) -> Dossier:
    """Add what the entries say of texts that have been read: dependence, conjectures, rules, parallels."""
    if entries["witness"] or any("depends_on" in entry.values for entry in entries["lost"]):
        dossier = _with_dependence(dossier, entries, texts)
    if entries["conjecture"]:
        from fidelity.dossier.conjectures import conjectures_of  # few dossiers have any

        found = conjectures_of(entries, dossier.survivors, dossier.lost, texts)
        dossier = replace(dossier, conjectures=tuple(found))
    if entries["rule"] or entries["parallel"]:
        from fidelity.dossier.own_rules import rules_of  # as above
        from fidelity.dossier.parallels import declared_of  # as above

        rules = tuple(rules_of(entries, dossier, texts))
        dossier = replace(dossier, rules=rules, parallels=declared_of(entries, dossier, texts))
    return dossier


def _with_dependence(dossier: Dossier, entries: Mapping[str, list[Entry]], texts: DossierTexts) -> Dossier:
    """Add who was copied from whom, and how the copyist's own copies are cited among other witnesses."""
    from fidelity.dossier.dependence import COPY_SIGLUM, dependence_of  # few dossiers have any

    values = entries["copyist"][0].values if entries["copyist"] else {}
    siglum = values.get("siglum", COPY_SIGLUM)
    depends = dependence_of(entries, dossier.survivors, dossier.lost, siglum, texts)
    return replace(dossier, copyist_siglum=siglum, dependence=depends)


def _note_on_additions(survivors: Sequence[Survivor]) -> list[str]:
    """Say, if an original has additions of nobody named, for whose they are taken."""
    if all(len(one.original.hand_names) == 1 for one in survivors):
        return []
    from fidelity.witnesses.tei_header import ADDED_HAND  # slow to import, as it needs the reader of XML

    ids = [one.id for one in survivors if ADDED_HAND in one.original.hand_names[1:]]
    if not ids:
        return []
    return [
        f"{', '.join(ids)}: what the original has added without the name of a hand (⸌abc⸍, TEI add) is taken"
        " as another hand's and set aside; if the scribe added it himself, name his hand in TEI"
        ' (<add hand="#id">), or leave out the signs'
    ]


def _settings(values: Mapping[str, Any]) -> Settings:
    """Give the settings, those of the dossier in place of the defaults."""
    lists = {key: tuple(value) for key, value in values.items() if isinstance(value, list)}
    return replace(Settings(), **{**values, **lists})


def _trusting(survivor: Survivor, settings: Settings) -> Survivor:
    """Let letters of the states that the settings name count as evidence, in original and copy."""
    trusted = frozenset(STATES_OF_LETTERS[name] for name in settings.states_as_evidence)
    original, copy, *others = (
        replace(one, trusted_states=trusted)
        for one in (survivor.original, survivor.copy, *survivor.other_copies)
    )
    return replace(survivor, original=original, copy=copy, other_copies=tuple(others))


def _check_ids(entries: Mapping[str, list[Entry]], texts: DossierTexts) -> None:
    """Report double ids and sigla, and witnesses of texts that are not there."""
    first: dict[tuple[str, str], Spot] = {}
    ids: dict[str, str] = {}
    for entry in [*entries["survivor"], *entries["lost"], *entries["witness"]]:
        key = "siglum" if entry.spot.table == "witness" else "id"
        name, of = entry.values.get(key, ""), entry.values.get("of", "")
        spot = entry.spot._replace(key=key)
        if key == "id":
            ids.setdefault(name, "survivor" if entry.spot.table == "survivor" else "lost text")
        elif of and of not in ids:
            known = ", ".join(f"{what} {each}" for each, what in ids.items() if each)
            texts.fault(spot._replace(key="of"), f"there is no text {of}", f"texts of the dossier: {known}")
        if name and (key + of, name) in first:
            line = texts.places.line(first[key + of, name])
            texts.fault(spot, f"{key} {name} is given twice (first in line {line})", "choose another")
        first.setdefault((key + of, name), spot)
        if key == "siglum" and name and entry.values.get("depends_on") == name:
            remedy = "name the witness it was copied from"
            texts.fault(spot._replace(key="depends_on"), f"{name} cannot depend on itself", remedy)


def _folds(values: Mapping[str, Any], texts: DossierTexts) -> Folds:
    """Take the fold sets and pairs one after the other, so that a fault has its place."""
    sets: list[str] = []
    pairs: list[tuple[str, str]] = []
    named = [("sets", at, name) for at, name in enumerate(values.get("sets", []))]
    given = [("pairs", at, tuple(pair)) for at, pair in enumerate(values.get("pairs", []))]
    for key, at, value in [*named, *given]:
        more = ([*sets, value], pairs) if key == "sets" else (sets, [*pairs, value])
        try:
            load_folds(*more)
        except DataError as error:
            texts.fault(Spot("fold", 0, key, at), error.faults[0].what, error.faults[0].remedy)
        else:
            sets, pairs = more
    return load_folds(sets, pairs)


def _survivor(entry: Entry, texts: DossierTexts) -> Iterator[Survivor]:
    """Read an original and his copy of it."""
    name = entry.values.get("id", "")
    original = texts.text(_of_one(entry, "original"), "original", name)
    copy = texts.text(_of_one(entry, "copy"), "copy", name, script="")
    if original and copy and original.file == copy.file:
        texts.fault(entry.spot._replace(key="copy"), "original and copy are the same file", "name both")
    if original and copy:
        texts.check_fields(entry, original, copy)
    passages = texts.passages(entry, original) if original else ()
    quires = quires_of(entry, original, texts) if original else ()
    unchecked, checked = checking_of(_of_one(entry, "original"), texts)
    others = other_copies_of(_of_one(entry, "copy"), texts, name, script="")
    for one in others:
        texts.check_fields(entry, original or one, one)
    called = entry.values.get("name", ""), names_of_copies(entry, texts)
    if original and copy and entry.whole:
        yield Survivor(name, original, copy, passages, quires, unchecked, checked, others, *called)


def _of_one(entry: Entry, key: str) -> Entry:
    """Give an entry with what is said of the original, or of the copy, alone in place of the common."""
    own = {name: f"{key}_{name}" for name in OF_ONE}
    said = {name: entry.values[owned] for name, owned in own.items() if owned in entry.values}
    return replace(entry, values={**entry.values, **said})


def _lost(entry: Entry, texts: DossierTexts) -> Iterator[LostText]:
    """Read his copy of a lost original."""
    copy = texts.text(entry, "copy", entry.values.get("id", ""))
    others = other_copies_of(entry, texts, entry.values.get("id", ""))
    called = entry.values.get("name", ""), names_of_copies(entry, texts)
    if copy and entry.whole:
        yield LostText(copy.siglum, copy, others, *called)


def _witness(entry: Entry, texts: DossierTexts) -> Iterator[OtherWitness]:
    """Read another witness."""
    values = entry.values
    text = texts.text(entry, "file", values.get("siglum", ""))
    if text and entry.whole:
        source = values.get("depends_on", "")
        whole = source if isinstance(source, str) else ""
        numbered = bool(values.get("numbered")) or bool(text.fields and _cited(text))
        by_another, called = values.get(BY_ANOTHER, False), values.get("name", "")
        yield OtherWitness(values["of"], text, whole, values.get("date", ""), numbered, by_another, called)


def _cited(table: Witness) -> bool:
    """Tell whether the entries of a table are cited otherwise than by counting them."""
    return table.labels != tuple(str(number) for number in range(1, len(table.labels) + 1))


def _references(entry: Entry, texts: DossierTexts) -> Iterator[Witness]:
    """Read texts in the originals' language, each cited by its file name."""
    for file in texts.files(entry, "files"):
        text = texts.read(file, entry.values, file.stem)
        if text:
            yield text
