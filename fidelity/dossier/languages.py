"""In which languages the survivors and the lost texts of a dossier are.

Arrives: a dossier. Leaves: languages, and notes. Start reading at ``languages_of_lost``.
"""

from __future__ import annotations

from fidelity.dossier.contents import Dossier


def languages_of_lost(dossier: Dossier) -> set[str]:
    """Give the languages of the lost texts; nothing unless each of them says its own."""
    languages = {text.copy.language for text in dossier.lost}
    return set() if "" in languages else languages


def not_learned_from(dossier: Dossier) -> list[str]:
    """Say which languages of the survivors teach the model nothing."""
    wanted = languages_of_lost(dossier)
    if not wanted:
        return []
    there = {passage.language for survivor in dossier.survivors for passage in survivor.passages}
    there |= {survivor.original.language for survivor in dossier.survivors}
    return [
        f"passages in {language} are scored but not learned from: no lost text is in that language"
        for language in sorted(there - wanted - {""})
    ]
