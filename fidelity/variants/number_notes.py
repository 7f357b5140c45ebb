"""What the user should know of numbers: languages without number words, total words that test nothing.

Arrives: a dossier. Leaves: notes. Start reading at ``notes_on_numbers``.
"""

from __future__ import annotations

from collections.abc import Iterator

from fidelity.dossier import Dossier
from fidelity.letters import decode
from fidelity.variants.numeral_slips import numerals_in
from fidelity.variants.numerals import languages_with_words, main_tag
from fidelity.variants.totals import announced, totals_in, words_of


def notes_on_numbers(dossier: Dossier) -> list[str]:
    """Say which texts' numerals have no words to be held against, and which declared totals test nothing."""
    return [*_without_words(dossier), *_without_totals(dossier)]


def _without_words(dossier: Dossier) -> Iterator[str]:
    """Name the languages of texts with numerals for which no number words are known."""
    if dossier.parallels.numbers:
        return
    texts = [one.original for one in dossier.survivors] + [one.copy for one in dossier.lost]
    for language in dict.fromkeys(one.language for one in texts if one.language):
        if main_tag(language) in languages_with_words():
            continue
        folded = (dossier.folds.fold(one.letters) for one in texts if one.language == language)
        if any(map(numerals_in, folded)):
            yield (
                f"no number words are known for {language}; numerals are still compared with totals and lists"
                " ([[parallel]] numbers declares words)"
            )


def _without_totals(dossier: Dossier) -> Iterator[str]:
    """Name the declared words that announce no total in any lost text."""
    own, fold = dossier.parallels.numbers, dossier.folds.fold
    texts = {one.id: fold(one.copy.letters) for one in dossier.lost}
    for word in dict.fromkeys(dossier.parallels.totals) if texts else ():
        words = (fold(word).lower(),)
        standing = [name for name, text in texts.items() if any(announced(text, words_of(text), words))]
        if not standing:
            yield f"[[parallel]]: “{decode(word)}” (totals) stands in no lost text"
        elif not any(
            any(totals_in(texts[name], numerals_in(texts[name], own), words, ())) for name in standing
        ):
            yield (
                f"[[parallel]]: “{decode(word)}” (totals) stands in {', '.join(standing)}, but nowhere with a"
                " number after it and two numerals before it: no total is tested by it"
            )
