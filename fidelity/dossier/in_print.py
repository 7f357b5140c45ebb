"""The letter confusions that are in print for the scripts of a dossier.

Arrives: a dossier. Leaves: pairs of letters. Start reading at ``published_for``.
"""

from __future__ import annotations

from fidelity.dossier.contents import Dossier
from fidelity.witnesses.folds import published_pairs


def published_for(dossier: Dossier) -> frozenset[tuple[str, str]]:
    """Give the confusions in print for the scripts of the dossier, folded, single letters misread."""
    scripts = {text.copy.script for text in dossier.lost}
    for survivor in dossier.survivors:
        scripts |= {survivor.original.script, *(passage.script for passage in survivor.passages)}
    folds = dossier.folds
    return frozenset(
        (folds.fold(original), folds.fold(misread))
        for script in sorted(scripts - {""})
        for original, misread in published_pairs(script)
        if original and len(misread) == 1
    )
