"""What of the survivors teaches the model: their copies as tagged letters, and what of them teaches nothing.

Arrives: a survivor and its alignment. Leaves: ``Tagged``. Start reading at ``tagged_copy``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.copyist.tagging import Tagged, in_scripts, tag_alignment, without_passages
from fidelity.dossier import Dossier, Survivor
from fidelity.terms import Alignment, Phenomenon, Variant
from fidelity.variants.places import places_of
from fidelity.variants.set_aside import set_aside_by_editor


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


def tagged_copy(
    survivor: Survivor, alignment: Alignment, dossier: Dossier, variants: Sequence[Variant]
) -> Tagged:
    """Tag a survivor's copy; moved words, and passages in a language no lost text has, teach nothing."""
    places = places_of(survivor.original, survivor.passages)
    tagged = in_scripts(tag_alignment(alignment, dossier.folds), alignment, places)
    others = [variant.original_span for variant in variants if _is_moved(variant, survivor.id)]
    others += set_aside_by_editor(variants, survivor.id)
    if wanted := languages_of_lost(dossier):
        others += places.in_other_languages(wanted)
    return without_passages(tagged, alignment, others)


def _is_moved(variant: Variant, text: str) -> bool:
    """Tell whether words stand in another order: what answers what there is no slip of the pen."""
    moved = variant.phenomenon is Phenomenon.TRANSPOSITION
    return moved and variant.text == text and " " in variant.original.strip()
