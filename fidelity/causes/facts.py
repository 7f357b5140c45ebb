"""What the tests for causes may use, and how they print what they found.

Arrives: a survivor's alignment, and what is known of the copyist. Leaves: ``Facts``. Start reading
there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache, cached_property

from fidelity.copyist.tagging import normalise
from fidelity.letters import NOTHING, SPACE, decode, encode, is_punctuation, without_stops
from fidelity.terms import Alignment, Variant, Witness
from fidelity.variants.places import Places
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import Folds, published_confusions

Pair = tuple[str, str]
Test = Callable[[Variant, "Facts"], str]  # gives what made it fit, as printed; "" where it does not fit

WORDS_COUNTED = 5_000  # words of a survivor, evenly spread: a share of a hundredth within a seventh


@dataclass(frozen=True)
class Vocabulary:
    """The letters and words of an original, counted when they are asked for.

    Attributes:
        original: the text.
        folds: letterforms counted as equal.
    """

    original: Witness
    folds: Folds

    @cached_property
    def written(self) -> Counter[str]:
        """Count the letters of the original."""
        return Counter(self.original.letters)

    @cached_property
    def alphabet(self) -> frozenset[str]:
        """Give the letters of the original's words."""
        return frozenset(bare(self.folds.fold(self.original.letters)).replace(" ", ""))

    @cached_property
    def words(self) -> list[str]:
        """Give the original's words, folded; of a long text some, evenly spread."""
        words = bare(self.folds.fold(self.original.letters)).split()
        return words[:: max(len(words) // WORDS_COUNTED, 1)]

    @cached_property
    def _standing(self) -> dict[tuple[int, int], Counter[str]]:
        return {}

    def standing(self, place: int, letters: str) -> int:
        """Count the words that have these letters at this place.

        Places count from the start of the word (0, 1, …) and from its end (-1 for its last letter, of
        the letters' own last). The place of whole words is ``WHOLE_WORD``.
        """
        size = len(letters) if place != WHOLE_WORD else 0
        if (place, size) not in self._standing:
            self._standing[place, size] = Counter(letters_at(self.words, place, size))
        return self._standing[place, size][letters]


@dataclass(frozen=True)
class Facts:
    """What the tests may use about one survivor and about the copyist.

    Attributes:
        alignment: the survivor's.
        folds: letterforms counted as equal.
        places: pages and scripts of the original.
        shares: folded (original, written) -> (count, chances), over all survivors.
        systematic: folded pairs found systematic beyond chance.
        words: the originals' known words, normalised.
        modern: word -> its later forms, all normalised, from the editor's tables.
        entries: pairs of parallel fields that stand in the survivors' originals, folded.
        numbers: number words that the dossier declares, folded and small, with their values.
        changed: line of the original -> its variants; filled by ``decide``.
        drawn: what letters were drawn from, as it was found out; the same in each round of deciding.
    """

    alignment: Alignment
    folds: Folds
    places: Places
    shares: Mapping[Pair, tuple[int, int]] = field(default_factory=dict)
    systematic: frozenset[Pair] = frozenset()
    words: Collection[str] = frozenset()
    modern: Mapping[str, frozenset[str]] = field(default_factory=dict)
    entries: Mapping[Pair, str] = field(default_factory=dict)
    numbers: Mapping[str, int] = field(default_factory=dict)
    changed: Mapping[int, Sequence[Variant]] = field(default_factory=dict)
    drawn: dict[tuple[str, tuple[int, int], tuple[int, int]], tuple[float, str] | None] = field(
        default_factory=dict
    )

    def with_changed(self, changed: Mapping[int, Sequence[Variant]]) -> Facts:
        """Give the same facts with the variants of each line of the original."""
        return self.with_other(changed=changed)

    def with_other(self, **other: object) -> Facts:
        """Give the same facts about the same text with some replaced; its words are not counted anew."""
        made = replace(self, **other)  # type: ignore[arg-type]
        vars(made)["vocabulary"] = self.vocabulary
        return made

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """Give the words of the original."""
        return Vocabulary(self.alignment.original, self.folds)

    def folded(self, variant: Variant) -> list[Pair]:
        """Give the answers a variant is made of, folded."""
        return [(self.folds.fold(o), self.folds.fold(c)) for o, c in variant.pairs]

    def both(self, variant: Variant) -> Pair:
        """Give both sides of a variant, folded."""
        known = self._both.get(variant.pairs)
        if known is None:
            original, copy = both(variant)
            known = self._both[variant.pairs] = self.folds.fold(original), self.folds.fold(copy)
        return known

    @cached_property
    def _both(self) -> dict[tuple[Pair, ...], Pair]:
        return {}  # the same few answers are given again and again, and most tests ask for them

    def published(self, variant: Variant) -> Mapping[Pair, str]:
        """Give the confusions in print for the script a variant's original is in, folded, with source."""
        script = self.places.script(variant.original_span[0])
        if script not in self._published:
            self._published[script] = self._in_print(script)
        return self._published[script]

    @cached_property
    def _published(self) -> dict[str, Mapping[Pair, str]]:
        return {"": {}}

    def _in_print(self, script: str) -> Mapping[Pair, str]:
        found: dict[Pair, str] = {}
        for one in published_confusions(script):
            pair = self.folds.fold(one.original), self.folds.fold(one.misread)
            found.setdefault(pair, one.source)
        return found

    @cached_property
    def dropped(self) -> Counter[str]:
        """Count in how many of this survivor's changes each letter was answered by another, or by none."""
        variants = (variant for line in self.changed.values() for variant in line)
        return Counter(original for variant in variants for original, _ in variant.pairs)


WHOLE_WORD = 1000  # a place beyond the letters of any word
MOST_LETTERS = 3  # a longer string stands in too few words to be counted


def letters_at(words: Sequence[str], place: int, size: int) -> list[str]:
    """Give so many letters at one place of each word that has them there.

    >>> letters_at(["stan", "on"], 1, 2), letters_at(["stan", "on"], -1, 2)
    (['ta'], ['an', 'on'])
    """
    if place == WHOLE_WORD:
        return list(words)
    if place >= 0:
        return [word[place : place + size] for word in words if len(word) >= place + size]
    end = place + 1
    return [word[end - size : end or None] for word in words if len(word) + end >= size]


@cache
def conventions() -> frozenset[Pair]:
    """Give the exchanges of letters that are spelling, not misreading, in letters."""
    rows = published_table("spelling_conventions.tsv", ("original", "copy"))
    return frozenset((encode(row["original"]), encode(row["copy"])) for row in rows)


def both(variant: Variant) -> Pair:
    """Give both sides of a variant in letters."""
    if len(variant.pairs) == 1:
        return variant.pairs[0]
    return "".join(o for o, _ in variant.pairs), "".join(c for _, c in variant.pairs)


def shown(letters: str) -> str:
    """Give letters as evidence has them: printed, nothing made visible."""
    return decode(letters).strip() or (SPACE if letters else NOTHING)


def step(original: str, copy: str) -> str:
    """Give an answer as evidence has it: s→r."""
    return f"{shown(original)}→{shown(copy)}"


def bare(letters: str) -> str:
    """Leave out stops, and put every letter in its small form; divisions stay."""
    return without_stops(letters.lower())


def one_word(letters: str, folds: Folds) -> str:
    """Give a single word as the lists of words have it; "" for several or none."""
    words = normalise(letters, folds).split()
    return without_stops(words[0]) if len(words) == 1 else ""


def is_whole_words(letters: str, start: int, end: int) -> bool:
    """Tell whether a span is one whole word or more; stops and divisions at its ends may be with it."""
    if not any(not letter.isspace() and not is_punctuation(letter) for letter in letters[start:end]):
        return False
    left = start == 0 or letters[start].isspace() or letters[start - 1].isspace()
    right = end == len(letters) or letters[end - 1].isspace() or letters[end].isspace()
    return left and (right or is_punctuation(letters[end]))
