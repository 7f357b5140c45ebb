"""Everything about other hands in a dossier: survivors' layers, candidates in lost texts, mixed letterforms.

Arrives: a dossier with its alignments. Leaves: ``Hands``. Start reading at ``hands_found``.

A candidate is a question to a palaeographer. Beside each stands how many like it, in survivors where the
hands are known, were another hand's in truth.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fidelity.dossier import Dossier
from fidelity.hands.by_letterforms import Tally, in_originals
from fidelity.hands.in_lost import LostSearch, marked_in
from fidelity.hands.learning import Survivors, Trial, tried_of
from fidelity.hands.letterforms import mixtures_of
from fidelity.hands.survivors import BRACKETED, layers_in, shares_of
from fidelity.hands.words import words_of, words_of_survivor
from fidelity.terms import Alignment, Variant
from fidelity.terms.hands import MARKED, Hands, Layer
from fidelity.variants.places import Places, places_of


def hands_found(dossier: Dossier, alignments: Sequence[Alignment], mended: Sequence[Variant] = ()) -> Hands:
    """Say what he did with other hands in the survivors, and look for them in the lost texts.

    Args:
        dossier: as it was judged.
        alignments: one for each survivor, in the dossier's order.
        mended: the slips that he corrected himself.
    """
    confidence, folds = dossier.settings.confidence, dossier.folds
    places = [places_of(one.original, one.passages) for one in dossier.survivors]
    layers = [
        layer
        for one, alignment, where in zip(dossier.survivors, alignments, places, strict=True)
        for layer in layers_in(alignment, one.id, where, folds, mended)
    ]
    tally = Tally()
    candidates, mixtures, searches = in_originals(dossier, places, tally)
    left_out = ""
    if dossier.lost:
        survivors = _survivors(dossier, alignments, places, layers)
        searchers = _searchers(dossier, survivors, tally)
        left_out = survivors.left_out
        _try_marks(dossier, alignments, layers, tally)
        for text in dossier.lost:
            one = LostSearch(text.copy, text.id, words_of(text.copy, text.id, folds), searchers)
            candidates += one.candidates(layers)
            mixtures += mixtures_of(one.forms, text.id, lost=True)
            searches += one.searches
    tried = tried_of(tally.right, tally.wrong, confidence)
    by_kinds = {one.kinds: one for one in tried}
    return Hands(
        layers=tuple(layers),
        shares=tuple(shares_of(layers, confidence)),
        candidates=tuple(replace(one, tried=by_kinds.get(one.kinds)) for one in candidates),
        mixtures=tuple(mixtures),
        searches=tuple(searches),
        tried=tuple(tried),
        left_out=left_out,
        additions=tally.additions,
        additions_found=tally.found,
    )


def _survivors(
    dossier: Dossier, alignments: Sequence[Alignment], places: Sequence[Places], layers: Sequence[Layer]
) -> Survivors:
    """Give the words of the survivors' copies, ready to be learned from."""
    numbered = list(enumerate(layers))
    words = [
        words_of_survivor(
            alignment, one.id, where, dossier.folds, [pair for pair in numbered if pair[1].text == one.id]
        )
        for one, alignment, where in zip(dossier.survivors, alignments, places, strict=True)
    ]
    return Survivors(words, layers, dossier.references, dossier.folds)


def _searchers(dossier: Dossier, survivors: Survivors, tally: Tally) -> Mapping[str, Trial]:
    """Learn the search for each language of the lost texts, and try it on the survivors.

    A text that declares no language is taken to be in that of most words of the survivors.
    """
    common = Counter(name for words in survivors.words for name in words.languages.tolist())
    usual = max(sorted(common), key=lambda name: common[name]) if common else ""
    found: dict[str, Trial] = {}
    for text in dossier.lost:
        language = text.copy.language or usual
        if language not in found:
            size = max(len(one.copy.letters.split()) for one in dossier.lost)
            found[language] = Trial(survivors, language, size)
            outcome = found[language].outcome()
            tally.right += outcome.right
            tally.wrong += outcome.wrong
            tally.additions += outcome.additions
            tally.found += outcome.found
        found.setdefault(text.copy.language, found[language])
    return found


def _try_marks(
    dossier: Dossier, alignments: Sequence[Alignment], layers: Sequence[Layer], tally: Tally
) -> None:
    """Count how many of the words that his copies of survivors mark as added are so in the originals."""
    brackets = any(one.how == BRACKETED for one in layers)
    for survivor, alignment in zip(dossier.survivors, alignments, strict=True):
        own = [one.copy_span for one in layers if one.text == survivor.id and one.copy_span != (0, 0)]
        for start, end in marked_in(alignment.copy, brackets):
            right = any(start < b and a < end for a, b in own)
            (tally.right if right else tally.wrong)[(MARKED,)] += 1
