"""Read tables of word forms: an old form and a later form of the same word.

Arrives: an entry [[words]] of the dossier. Leaves: pairs of forms in letters; a form may have several
later ones. Start reading at ``word_forms``.
"""

from __future__ import annotations

from collections.abc import Iterator

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.dossier.two_columns import two_columns

FORM, MODERN = "form", "modern"  # the columns a table must have; it may have others


def word_forms(entry: Entry, texts: DossierTexts) -> Iterator[tuple[str, str]]:
    """Give the pairs (form, later form) of the tables that an entry names, in letters.

    Args:
        entry: [[words]] of the dossier.
        texts: its files; is told what is wrong with them.
    """
    remedy = f"name the column of old forms {FORM}, that of later forms {MODERN}"
    return two_columns(entry, "files", (FORM, MODERN), remedy, texts)
