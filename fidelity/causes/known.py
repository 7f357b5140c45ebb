"""Gather what the tests for causes may use, from the dossier and from the first counts.

Arrives: a dossier with its survivors' alignments; counts and confusions. Leaves: ``Facts`` by survivor,
and the slips that the copyist mended himself, with their causes. Start reading at ``facts_of``.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from fidelity.alignment.align import align_witnesses
from fidelity.causes.coupled import entries_of
from fidelity.causes.decide import decide
from fidelity.causes.facts import Facts, Pair, one_word
from fidelity.confusions.count import AnswerCounts
from fidelity.copyist.tagging import normalise
from fidelity.dossier import Dossier
from fidelity.letters import without_stops
from fidelity.terms import Alignment, Variant
from fidelity.variants.collect import collect
from fidelity.variants.corrections import Correction, first_writing, mended
from fidelity.variants.layers import with_layers
from fidelity.variants.places import Places
from fidelity.variants.set_aside import with_reasons


def known_words(dossier: Dossier) -> frozenset[str]:
    """Give the words of the originals' language as far as the dossier knows them, normalised."""
    texts = [survivor.original for survivor in dossier.survivors] + list(dossier.references)
    found: set[str] = set()
    for witness in texts:
        found.update(without_stops(normalise(witness.letters, dossier.folds)).split())
    return frozenset(found)


def facts_of(
    dossier: Dossier, alignments: Mapping[str, Alignment], places: Mapping[str, Places]
) -> dict[str, Facts]:
    """Give what is known before anything is counted, by id of the survivor."""
    folds, words = dossier.folds, known_words(dossier)
    forms, numbers = modern_forms(dossier), dossier.parallels.numbers
    entries = {pair: where for one in alignments.values() for pair, where in entries_of(one, folds)}
    return {
        text: Facts(
            alignment, folds, places[text], words=words, modern=forms, entries=entries, numbers=numbers
        )
        for text, alignment in alignments.items()
    }


def with_habits(facts: Facts, counts: AnswerCounts, systematic: Collection[Pair]) -> Facts:
    """Add what the second round of deciding causes may use: shares of chances, what is systematic."""
    folds = facts.folds
    shares: dict[Pair, tuple[int, int]] = {}
    chances: dict[str, int] = {}
    for original, pages in counts.chances.items():
        folded = folds.fold(original)
        chances[folded] = chances.get(folded, 0) + sum(pages.values())
    for (original, written), pages in counts.answers.items():
        if (original, written) not in counts.right:
            pair = folds.fold(original), folds.fold(written)
            shares[pair] = (shares.get(pair, (0, 0))[0] + sum(pages.values()), chances[pair[0]])
    habits = frozenset((folds.fold(original), folds.fold(written)) for original, written in systematic)
    return facts.with_other(shares=shares, systematic=habits)


def modern_forms(dossier: Dossier) -> dict[str, frozenset[str]]:
    """Give the later forms of words from the editor's tables, normalised: word -> its later forms."""
    folds = dossier.folds
    modern: defaultdict[str, set[str]] = defaultdict(set)
    for form, later in dossier.words:
        modern[one_word(form, folds).lower()].add(one_word(later, folds).lower())
    return {form: frozenset(later) for form, later in modern.items()}


def mended_slips(
    corrections: Mapping[str, Sequence[Correction]], facts: Mapping[str, Facts], first_number: int
) -> list[Variant]:
    """Give the slips that the copyist mended himself, with their causes.

    His first writing is aligned with the original once more, so that a cancelled reading is judged in
    its place like any other. The spans of these variants are offsets in the first writing.

    Args:
        corrections: by id of the survivor.
        facts: of the final texts, habits included.
        first_number: number of the first variant.
    """
    found: list[Variant] = []
    for text, cancelled in corrections.items():
        if not cancelled:
            continue
        known = facts[text]
        copy, spans = first_writing(known.alignment, cancelled, known.folds)
        alignment = align_witnesses(known.alignment.original, copy, known.folds)
        slips = with_reasons(
            mended(with_layers(collect(alignment, text, known.folds), alignment, text), spans), alignment
        )
        found += decide(slips, {text: replace(known, alignment=alignment, drawn={})})
    return [replace(one, number=first_number + at) for at, one in enumerate(found)]
