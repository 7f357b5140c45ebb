"""Read a man's other copies of a text, and their names; check what is said of other men's transcripts.

Arrives: checked entries. Leaves: the copies after the first, and faults. Start reading at
``other_copies_of``.
"""

from __future__ import annotations

import posixpath
from collections.abc import Sequence
from pathlib import Path

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.terms import Witness

BY_ANOTHER = "from_original"  # the key of a witness that is another man's transcript of the same original


def other_copies_of(entry: Entry, texts: DossierTexts, siglum: str, **about: str) -> tuple[Witness, ...]:
    """Read the copies that stand after the first under ``copy``.

    Args:
        entry: of a survivor or a lost text, as its copy is to be read, the first one read.
        texts: the files of the dossier; is told of a file that is named twice, or is the original.
        siglum: how the text is cited.
        about: script and the like where they differ from the entry's own.
    """
    named = entry.values.get("copy")
    if not isinstance(named, list):
        return ()
    found = []
    names = [posixpath.normpath(name) for name in named]
    for at, file in enumerate(_files(entry, texts)):
        spot = entry.spot._replace(key="copy", item=at)
        if names[at] in names[:at]:
            texts.fault(spot, f"{names[at]} is named twice", "name each copy once, the first one first")
        elif at and names[at] == posixpath.normpath(entry.values.get("original", "-")):
            texts.fault(spot, f"{names[at]} is the original", "name his copies alone")
        elif at and file and (copy := texts.read(file, entry.values, siglum, texts.his_marks, **about)):
            found.append(copy)
    return tuple(found)


def names_of_copies(entry: Entry, texts: DossierTexts) -> tuple[str, ...]:
    """Give what a man's copies of a text are, in words, in the order of ``copy``; one name is the first's.

    Args:
        entry: of a survivor or a lost text.
        texts: is told of more names than copies.
    """
    named, copies = entry.values.get("copy_name", ()), entry.values.get("copy", "")
    names = (named,) if isinstance(named, str) else tuple(named)
    number = len(copies) if isinstance(copies, list) else 1
    if len(names) > number:
        spot = entry.spot._replace(key="copy_name", item=number)
        what = f"copy_name has {len(names)} names, copy {number} file{'s' if number > 1 else ''}"
        texts.fault(spot, what, "give each copy one name, in the order of copy")
    return names


def _files(entry: Entry, texts: DossierTexts) -> list[Path | None]:
    """Give the file of each copy, None where it cannot be had: that was told when the first was read."""
    told, found = list(texts.faults), list[Path | None]()
    for name in entry.values["copy"]:
        alone = Entry(entry.spot, {"copy": name})
        found.append(next(iter(texts.files(alone, "copy")), None))
    texts.faults = told
    return found


def check_transcripts(entries: Sequence[Entry], texts: DossierTexts) -> None:
    """Report transcripts that are said to be made from the original and from another copy as well."""
    for entry in entries:
        if entry.values.get(BY_ANOTHER) and entry.values.get("depends_on"):
            depends = entry.values["depends_on"]
            what = f"the witness is said to depend on {depends}, and to be made from the original"
            remedy = f"leave out {BY_ANOTHER} if it was copied from another copy, else depends_on"
            texts.fault(entry.spot._replace(key=BY_ANOTHER), what, remedy)
