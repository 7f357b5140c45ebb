"""Turn the texts of a dossier, and what was changed in one, into rows.

Arrives: a dossier, or the changes made by applying proposals. Leaves: rows. Start reading at
``text_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.cells import Row, significant
from fidelity.dossier import Dossier
from fidelity.readings.apply import Change
from fidelity.terms import LOST_LETTER, Witness

CHANGE_COLUMNS = ("reading", "text", "locus", "transmitted", "proposed", "probability")


def change_rows(changes: Sequence[Change]) -> list[Row]:
    """Give what was changed when proposals were applied."""
    return [
        {
            "reading": change.reading,
            "text": change.locus.text,
            "locus": str(change.locus),
            "transmitted": change.transmitted,
            "proposed": change.proposed,
            "probability": significant(change.probability),
        }
        for change in changes
    ]


def text_rows(dossier: Dossier) -> list[Row]:
    """Give the size of every text of a dossier, and what it is there for."""
    texts = [
        (one.id, role, witness)
        for one in dossier.survivors
        for role, witness in (("original", one.original), ("copy", one.copy))
    ]
    texts += [(one.id, "copy of a lost original", one.copy) for one in dossier.lost]
    texts += [(one.witness.siglum, f"witness of {one.of}", one.witness) for one in dossier.witnesses]
    texts += [(one.siglum, "reference", one) for one in dossier.references]
    return [{"text": name, "role": role, **_size(witness)} for name, role, witness in texts]


def _size(witness: Witness) -> Row:
    """Count letters (spaces and lost letters apart), words and lines of a text."""
    words = witness.letters.split()
    letters = sum(map(len, words)) - witness.letters.count(LOST_LETTER)
    return {
        "letters": letters,
        "words": len(words),
        "lines": len(witness.lines),
        "script": witness.script,
        "language": witness.language,
        "file": witness.file,
    }
