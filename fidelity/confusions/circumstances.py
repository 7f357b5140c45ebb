"""Under which circumstances each confusion happened, and under which it might have.

Arrives: alignments of survivors, their variants, and the confusions to be looked at. Leaves:
``Seats`` for each circumstance: how often, out of how many chances, for every value of it. Start
reading at ``seats_of``.

Circumstances are the place in the word, the letters before and after within the word (as they stand
in the manuscript, ꞅ not s), the word, the script, the hand, the language, the text. Chances are those
of ``count.py``; only for the hand are letters in other hands than the main one looked at as well.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.count import (
    answers_of,
    is_letter_event,
    is_other_form_only,
    kept_words,
    outside_variants,
    where_stands,
)
from fidelity.letters import is_punctuation
from fidelity.terms import Alignment, Circumstance, StepKind, Variant
from fidelity.variants.moves import steps_without_moved
from fidelity.variants.places import Places
from fidelity.variants.set_aside import ANOTHER_HAND, Mask, evidence_in

Pair = tuple[str, str]
Unit = tuple[str, str, str]  # page, script and language: what errors cluster by
Offsets = NDArray[np.intp]

PLACES = ("inside", "first", "last", "alone")  # by starts + 2 * ends
BY_UNIT = (Circumstance.SCRIPT, Circumstance.LANGUAGE, Circumstance.TEXT)  # the same for whole pages


@dataclass
class Seats:
    """How often a confusion happened, and might have, under every value of one circumstance.

    Attributes:
        count: value -> how often.
        chances: value -> out of how many.
        words: value -> the words it happened in.
    """

    count: Counter[str] = field(default_factory=Counter)
    chances: Counter[str] = field(default_factory=Counter)
    words: defaultdict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))


@dataclass
class PairSeats:
    """Everything counted of one confusion.

    Attributes:
        by: circumstance -> its seats.
        units: (text, page, script, language) -> [how often, chances]: for circumstances that hold for
            whole pages, which differ among themselves.
    """

    by: dict[Circumstance, Seats] = field(default_factory=lambda: {kind: Seats() for kind in Circumstance})
    units: defaultdict[tuple[str, Unit], list[int]] = field(
        default_factory=lambda: defaultdict(lambda: [0, 0])
    )


def seats_of(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    pairs: Collection[Pair],
    folded: Callable[[str], str],
) -> dict[Pair, PairSeats]:
    """Count under which circumstances confusions happened and might have.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided.
        places: pages, scripts and languages of each original, by id of the survivor.
        pairs: the confusions, (original, written) in letters.
        folded: puts letters into the form the declared folds count as equal; for the words.
    """
    found = {pair: PairSeats() for pair in sorted(pairs)}
    originals = sorted({original for original, _ in found})
    for text, alignment in alignments.items():
        ours = [variant for variant in variants if variant.text == text]
        if found:
            _add_text(found, originals, text, _Text(alignment, ours, places[text], folded))
    return found


class _Text:
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
        self.codes = np.frombuffer(letters.encode("utf-32-le"), dtype=np.uint32)
        self.border = _border(letters, self.codes)
        self.offered = _offered(alignment, variants, len(letters), self.border)
        self.kept = kept_words(alignment, variants)
        self.places = places
        self.starts = np.array(places.starts, dtype=np.intp)
        self.word_at = np.cumsum(_begins(self.codes, letters)) - 1
        self.words = [_bare(word) for word in folded(letters).lower().split()]

    def chances(self, string: str, clear: Mask | None) -> Offsets:
        """Give the offsets at which letters stand that he answered in kept words."""
        if len(string) > 1:
            return np.fromiter(where_stands(string, self.kept, clear), dtype=np.intp)
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
            numbers, which = np.unique(self.word_at[at], return_inverse=True)
            return which, [self.words[number] for number in numbers.tolist()]
        hands = np.frombuffer(self.original.hands or bytes(len(self.codes)), dtype=np.uint8)
        return np.asarray(hands[at], dtype=np.intp), self.original.hand_names

    def _letters(self, at: Offsets, none: Mask) -> tuple[Offsets, list[str]]:
        """Number and name the letters at some offsets; -1 where there is none to be looked at."""
        names, which = np.unique(self.codes[at], return_inverse=True)
        return np.where(none, -1, which), list(map(chr, names.tolist()))

    def words_at(self, at: Offsets) -> list[str]:
        """Give the word of each offset."""
        return [self.words[number] for number in self.word_at[at].tolist()]

    def unit(self, stretch: int) -> Unit:
        """Give page, script and language of a stretch of the original."""
        places = self.places
        return places.pages[stretch], places.scripts[stretch], places.languages[stretch]

    def units(self, at: Offsets) -> Counter[Unit]:
        """Count offsets by page, script and language."""
        stretches, counts = np.unique(np.searchsorted(self.starts, at, side="right") - 1, return_counts=True)
        found: Counter[Unit] = Counter()
        for stretch, count in zip(stretches.tolist(), counts.tolist(), strict=True):
            found[self.unit(stretch)] += count
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
                where[original, written].append(at)
        return main, others


def _add_text(
    found: Mapping[Pair, PairSeats],
    originals: Sequence[str],
    text: str,
    one: _Text,
) -> None:
    """Add what one survivor shows of every confusion."""
    main, others = one.events()
    chances = {string: one.chances(string, one.good) for string in originals}
    clear = chances if one.clear is one.good else {x: one.chances(x, one.clear) for x in originals}
    inside = [kind for kind in Circumstance if kind not in BY_UNIT]
    counted = {
        (string, kind): _count(one, kind, (clear if kind is Circumstance.HAND else chances)[string], string)
        for string in originals
        for kind in inside
    }
    units = {string: one.units(chances[string]) for string in originals}
    for pair, seats in found.items():
        original = pair[0]
        at = np.array(main.get(pair, []), dtype=np.intp)
        everywhere = np.array(main.get(pair, []) + others.get(pair, []), dtype=np.intp)
        for kind in inside:
            here = everywhere if kind is Circumstance.HAND else at
            seats.by[kind].chances.update(counted[original, kind])
            _add_events(seats.by[kind], one, kind, here, original)
        happened = one.units(at)
        for unit, number in units[original].items():
            sums = seats.units[text, unit]
            sums[0] += happened[unit]
            sums[1] += number
        _add_units(seats, text, one, at, units[original])


def _count(one: _Text, kind: Circumstance, at: Offsets, string: str) -> Counter[str]:
    """Count offsets by the value of a circumstance."""
    numbers, names = one.values(kind, at, len(string))
    found: Counter[str] = Counter()
    for name, count in zip(names, np.bincount(numbers[numbers >= 0]).tolist(), strict=False):
        if count:
            found[name] += count
    return found


def _add_events(seats: Seats, one: _Text, kind: Circumstance, at: Offsets, string: str) -> None:
    """Add the places where a confusion happened to the seats of one circumstance."""
    numbers, names = one.values(kind, at, len(string))
    for number, word in zip(numbers.tolist(), one.words_at(at), strict=True):
        if number >= 0:
            seats.count[names[number]] += 1
            seats.words[names[number]][word] += 1


def _add_units(seats: PairSeats, text: str, one: _Text, at: Offsets, chances: Counter[Unit]) -> None:
    """Add to script, language and text what holds for whole pages."""
    for unit, number in chances.items():
        for kind, value in values_of(text, unit).items():
            seats.by[kind].chances[value] += number
    stretches = np.searchsorted(one.starts, at, side="right") - 1
    for stretch, word in zip(stretches.tolist(), one.words_at(at), strict=True):
        for kind, value in values_of(text, one.unit(stretch)).items():
            seats.by[kind].count[value] += 1
            seats.by[kind].words[value][word] += 1


def values_of(text: str, unit: Unit) -> dict[Circumstance, str]:
    """Give the values of the circumstances that hold for whole pages."""
    return {Circumstance.SCRIPT: unit[1], Circumstance.LANGUAGE: unit[2], Circumstance.TEXT: text}


def _border(letters: str, codes: NDArray[np.uint32]) -> Mask:
    """Tell which letters stand outside words: blanks and stops."""
    outside = [ord(letter) for letter in set(letters) if letter.isspace() or is_punctuation(letter)]
    return np.isin(codes, outside)


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


def _bare(word: str) -> str:
    """Give a word without the stops around it."""
    start, end = 0, len(word)
    while start < end and is_punctuation(word[start]):
        start += 1
    while end > start and is_punctuation(word[end - 1]):
        end -= 1
    return word[start:end]
