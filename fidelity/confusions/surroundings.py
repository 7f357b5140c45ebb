"""What stands around each letter of an original, and which of its letters are chances.

Arrives: an alignment with its variants, and where pages and scripts begin. Leaves: ``Surroundings``,
which can be asked for the chances of some letters, and for the value of a circumstance at offsets.
Start reading there.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.count import (
    answers_of,
    is_letter_event,
    is_other_form_only,
    kept_words,
)
from fidelity.confusions.kept import (
    Offsets,
    bare_word,
    outside_variants,
    outside_words,
    where_stands,
)
from fidelity.terms import Alignment, Circumstance, StepKind, Variant
from fidelity.variants.moves import steps_without_moved
from fidelity.variants.places import Places
from fidelity.variants.set_aside import ANOTHER_HAND, Mask, codes_of, evidence_in

Pair = tuple[str, str]
Unit = tuple[str, str, str]  # page, script and language: what errors cluster by

PLACES = ("inside", "first", "last", "alone")  # by starts + 2 * ends


class Surroundings:
    """One original, letter by letter: which letters are chances, and what stands around them."""

    def __init__(
        self,
        alignment: Alignment,
        variants: Sequence[Variant],
        places: Places,
        folded: Callable[[str], str],
    ) -> None:
        self.original = alignment.original
        self.variants = variants
        self.good = evidence_in(alignment)
        self.clear = evidence_in(alignment, any_hand=True) if self.original.hands else self.good
        letters = self.original.letters
        self.codes = codes_of(letters)
        self.border = outside_words(letters, self.codes)
        self.offered = _offered(alignment, variants, len(letters), self.border)
        self.kept = kept_words(alignment, variants)
        self.places = places
        self.word_at = np.cumsum(_begins(self.codes, letters)) - 1
        tokens = folded(letters).lower().split()
        bare = {word: bare_word(word) for word in set(tokens)}
        self.words = sorted(set(bare.values()))
        number = {word: at for at, word in enumerate(self.words)}
        number_of = {word: number[form] for word, form in bare.items()}
        self.word_of = np.array([number_of[word] for word in tokens], dtype=np.intp)

    def chances(self, string: str, clear: Mask | None) -> Offsets:
        """Give the offsets at which letters stand that he answered in kept words."""
        if len(string) > 1:
            return where_stands(string, self.kept, clear)
        stands = self.offered & (self.codes == ord(string))
        return np.flatnonzero(stands if clear is None else stands & clear)

    def values(self, kind: Circumstance, at: Offsets, size: int) -> tuple[Offsets, Sequence[str]]:
        """Give, for letters that begin at some offsets, the value of a circumstance: numbers and names.

        Args:
            kind: the circumstance.
            at: offsets in the original.
            size: how many letters.

        Returns:
            For each offset the number of its value, -1 where it has none; the names of the values.
        """
        ends = at + size
        first = (at == 0) | self.border[at - 1]
        last = (ends == len(self.codes)) | self.border[np.minimum(ends, len(self.codes) - 1)]
        if kind is Circumstance.PLACE:
            return np.asarray(first + 2 * last, dtype=np.intp), PLACES
        if kind is Circumstance.BEFORE:
            return self._letters(at - 1, first)
        if kind is Circumstance.AFTER:
            return self._letters(np.minimum(ends, len(self.codes) - 1), last)
        if kind is Circumstance.WORD:
            numbers, which = np.unique(self.word_of[self.word_at[at]], return_inverse=True)
            return which, [self.words[number] for number in numbers.tolist()]
        hands = np.frombuffer(self.original.hands or bytes(len(self.codes)), dtype=np.uint8)
        return np.asarray(hands[at], dtype=np.intp), self.original.hand_names

    def _letters(self, at: Offsets, none: Mask) -> tuple[Offsets, list[str]]:
        """Number and name the letters at some offsets; -1 where there is none to be looked at."""
        names, which = np.unique(self.codes[at], return_inverse=True)
        return np.where(none, -1, which), list(map(chr, names.tolist()))

    def words_at(self, at: Offsets) -> list[str]:
        """Give the word of each offset."""
        return [self.words[number] for number in self.word_of[self.word_at[at]].tolist()]

    def unit(self, stretch: int) -> Unit:
        """Give page, script and language of a stretch of the original."""
        places = self.places
        return places.pages[stretch], places.scripts[stretch], places.languages[stretch]

    def units(self, at: Offsets, size: int) -> defaultdict[Unit, Counter[str]]:
        """Count letters that begin at some offsets: page, script and language -> place in the word."""
        stretches = self.places.stretches(at)
        places, names = self.values(Circumstance.PLACE, at, size)
        found: defaultdict[Unit, Counter[str]] = defaultdict(Counter)
        both, counts = np.unique(stretches * len(PLACES) + places, return_counts=True)
        for number, count in zip(both.tolist(), counts.tolist(), strict=True):
            stretch, place = divmod(number, len(PLACES))
            found[self.unit(stretch)][names[place]] += count
        return found

    def events(self) -> tuple[dict[Pair, list[int]], dict[Pair, list[int]]]:
        """Give where each confusion happened: in the main hand, and in other hands."""
        main: defaultdict[Pair, list[int]] = defaultdict(list)
        others: defaultdict[Pair, list[int]] = defaultdict(list)
        for variant in self.variants:
            if variant.set_aside not in ("", ANOTHER_HAND) or not is_letter_event(variant):
                continue
            where = others if variant.set_aside else main
            for at, original, written in answers_of(variant):
                if self.clear is None or self.clear[at : at + len(original)].all():
                    where[original, written].append(at)
        return main, others


def _begins(codes: NDArray[np.uint32], letters: str) -> NDArray[np.intp]:
    """Mark the first letter of every word, a stop at its start included, as ``str.split`` parts them."""
    blank: Mask = np.isin(codes, [ord(letter) for letter in set(letters) if letter.isspace()])
    before = np.concatenate([[True], blank[:-1]])
    return np.asarray(~blank & before, dtype=np.intp)


def _offered(alignment: Alignment, variants: Sequence[Variant], size: int, border: Mask) -> Mask:
    """Tell which letters he answered in kept words, as ``count_answers`` counts them."""
    offered = np.zeros(size, dtype=np.bool_)
    for o0, o1, c0, c1, kind in steps_without_moved(alignment):
        if kind == StepKind.KEPT and (o1 - o0 == c1 - c0 or o1 - o0 == 1):
            offered[o0:o1] = True
    offered &= outside_variants(~border, variants, size)
    for variant in variants:
        if variant.set_aside not in ("", ANOTHER_HAND):
            continue
        if is_other_form_only(variant):
            offered[slice(*variant.original_span)] = True
        elif is_letter_event(variant):
            for at, original, _ in answers_of(variant):
                offered[at : at + len(original)] = True
    return offered
