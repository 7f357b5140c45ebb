"""The transcript of an original before it was checked, and as two readers left it.

Arrives: the entry of a survivor. Leaves: the three texts, which ``trial/proofreading.py`` compares.
Start reading at ``checking_of``.
"""

from __future__ import annotations

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.terms import Witness


def checking_of(entry: Entry, texts: DossierTexts) -> tuple[Witness | None, tuple[Witness, ...]]:
    """Read the original's transcript before it was checked, and as two readers left it."""
    if not {"original_unchecked", "original_checked"} & entry.values.keys():
        return None, ()
    name = entry.values.get("id", "")
    files = texts.files(entry, "original_checked")
    if "original_unchecked" not in entry.values or len(files) != 2:
        key = "original_checked" if "original_checked" in entry.values else "original_unchecked"
        spot = entry.spot._replace(key=key)
        remedy = (
            "name the transcript before checking (original_unchecked) and the two readers' (original_checked)"
        )
        texts.fault(spot, "a transcript that was read twice needs three files", remedy)
        return None, ()
    unchecked = texts.text(entry, "original_unchecked", name)
    versions = [texts.read(file, entry.values, name) for file in files]
    return unchecked, tuple(version for version in versions if version)
