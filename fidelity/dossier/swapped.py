"""Survivors whose original and copy were perhaps named the wrong way round.

Arrives: a dossier. Leaves: notes. Start reading at ``perhaps_swapped``.
"""

from __future__ import annotations

from fidelity.dossier.contents import Dossier
from fidelity.witnesses.folds import letterform_value


def perhaps_swapped(dossier: Dossier) -> list[str]:
    """Point out a survivor whose copy, not its original, is written in old letterforms."""
    found = []
    for survivor in dossier.survivors:
        old = [
            {letter for letter in set(text.letters) if letterform_value(letter) != letter}
            for text in (survivor.original, survivor.copy)
        ]
        if old[1] and not old[0]:
            letters = " ".join(sorted(old[1]))
            found.append(f"{survivor.id}: {letters} stand in the copy alone; is the original named first?")
    return found
