"""The language of the originals: which letters follow which, and which words there are.

Arrives: the survivors' originals and the reference texts, on the normalised level. Leaves: the
probability of the next letter (``Letters``) and of the next word (``Words``). Start reading at
``Letters.probability``.

Letters: interpolated Kneser-Ney with one discount for each order, up to eight letters (Kneser &
Ney 1995; interpolated form: Chen & Goodman 1999, eq. 21 and sec. 3.3). Lower orders count in how
many different surroundings a letter was met. Words: absolute discounting, pairs leaning on
single words, single words leaning on their letters.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np

ORDER = 8  # letters; measured on prototypes, six loses a little and ten gains nothing
DISCOUNT = 0.75  # where the counts give none: the usual value (Ney, Essen & Kneser 1994)
BITS = 8  # a letter's number in a key of 64 bits: up to 255 letters and "any other"


class Letters:
    """P(next letter | the letters before), interpolated Kneser-Ney.

    Args:
        texts: running texts, normalised; each begins after a word division.
        order: longest run of letters counted, the next letter included (at most eight).
    """

    def __init__(self, texts: Iterable[str], order: int = ORDER) -> None:
        self.order = min(order, 64 // BITS)
        joined = [" " * (self.order - 1) + text + " " for text in texts if text]
        frequent = [letter for letter, _ in Counter("".join(joined)).most_common(2**BITS - 2)]
        self.number = {letter: at for at, letter in enumerate(sorted(frequent), start=1)}
        self.size = len(self.number) + 1  # one more for every letter never met
        self.mask = (1 << BITS * (self.order - 1)) - 1
        self.start = self.context(" " * (self.order - 1))
        self._seen: list[dict[int, float]] = []
        self._left: list[dict[int, float]] = []
        self._memo: dict[int, float] = {}
        arrays = [np.array([self.number.get(x, 0) for x in text], dtype=np.uint64) for text in joined]
        self._count(arrays)

    def context(self, before: str) -> int:
        """Give the number that stands for the last letters before a place."""
        key = 0
        for letter in before[-(self.order - 1) :]:
            key = key << BITS | self.number.get(letter, 0)
        return key & self.mask

    def _count(self, arrays: Sequence[np.ndarray]) -> None:
        """Count the runs of every order and store their discounted shares."""
        longest, counts = _runs(arrays, self.order)
        for length in range(self.order, 0, -1):
            self._store(longest, counts)
            if length > 1:  # the next shorter order counts different letters before it
                shorter = longest & np.uint64((1 << BITS * (length - 1)) - 1)
                longest, counts = np.unique(shorter, return_counts=True)
        self._seen.reverse()
        self._left.reverse()

    def _store(self, runs: np.ndarray, counts: np.ndarray) -> None:
        """Turn the counts of one order into discounted shares and what is left for shorter runs."""
        once, twice = int((counts == 1).sum()), int((counts == 2).sum())
        discount = once / (once + 2 * twice) if once and twice else DISCOUNT
        contexts, where = np.unique(runs >> np.uint64(BITS), return_inverse=True)
        totals = np.bincount(where, weights=counts)
        different = np.bincount(where)
        shares = np.maximum(counts - discount, 0) / totals[where]
        self._seen.append(dict(zip(runs.tolist(), shares.tolist(), strict=True)))
        self._left.append(dict(zip(contexts.tolist(), (discount * different / totals).tolist(), strict=True)))

    def probability(self, letter: str, context: int) -> float:
        """Give P(letter | context), 0-1; any letter never met shares one flat chance.

        >>> model = Letters(["beorh and beorh"], order=3)
        >>> total = sum(model.probability(x, model.context("be")) for x in model.number)
        >>> round(total + model.probability("?", model.context("be")), 9)
        1.0
        """
        number = self.number.get(letter, 0)
        key = (context & self.mask) << BITS | number
        known = self._memo.get(key)
        if known is None:
            known = self._interpolated(number, context)
            self._memo[key] = known
        return known

    def _interpolated(self, number: int, context: int) -> float:
        """Mix the orders, from the flat chance up to the longest context that was met."""
        p = 1.0 / self.size
        for length in range(self.order):
            before = context & ((1 << BITS * length) - 1)
            left = self._left[length].get(before)
            if left is None:
                break
            p = self._seen[length].get(before << BITS | number, 0.0) + left * p
        return p

    def after(self, context: int, letters: str) -> int:
        """Give the context after some more letters."""
        for letter in letters:
            context = (context << BITS | self.number.get(letter, 0)) & self.mask
        return context

    def log_probability(self, letters: str, context: int) -> float:
        """Give the log of P(letters | context), in nats."""
        total = 0.0
        for letter in letters:
            total += math.log(self.probability(letter, context))
            context = self.after(context, letter)
        return total


def _runs(arrays: Sequence[np.ndarray], order: int) -> tuple[np.ndarray, np.ndarray]:
    """Give every run of ``order`` letters as one number, with how often it stands in the texts."""
    found = []
    for numbers in arrays:
        size = len(numbers) - order + 1
        if size <= 0:
            continue
        runs = np.zeros(size, dtype=np.uint64)
        for at in range(order):
            runs = runs << np.uint64(BITS) | numbers[at : at + size]
        found.append(runs)
    if not found:
        return np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.int64)
    return np.unique(np.concatenate(found), return_counts=True)


class Words:
    """P(next word | the word before), with the letters as the last resort.

    Args:
        texts: running texts, normalised.
        letters: the letter model that gives a word never met its chance.
    """

    def __init__(self, texts: Iterable[str], letters: Letters) -> None:
        self.letters = letters
        self.counts: Counter[str] = Counter()
        self.pairs: Counter[tuple[str, str]] = Counter()
        for text in texts:
            words = text.split()
            self.counts.update(words)
            self.pairs.update(pairwise(words))
        self.total = self.counts.total()
        self.before: Counter[str] = Counter()
        self.followers: Counter[str] = Counter()
        for (first, _), count in self.pairs.items():
            self.before[first] += count
            self.followers[first] += 1
        self._memo: dict[tuple[str, str], float] = {}

    def __contains__(self, word: str) -> bool:
        return word in self.counts

    def probability(self, word: str, before: str = "") -> float:
        """Give P(word | word before), 0-1; an empty word before asks for the word alone."""
        single = DISCOUNT * len(self.counts) / self.total if self.total else 1.0
        spelled = math.exp(self.letters.log_probability(word + " ", self.letters.start))
        p = max(self.counts[word] - DISCOUNT, 0) / self.total if self.total else 0.0
        p += single * spelled
        met = self.before[before]
        if met:
            lean = DISCOUNT * self.followers[before] / met
            p = max(self.pairs[before, word] - DISCOUNT, 0) / met + lean * p
        return p

    def gain(self, word: str, before: str = "") -> float:
        """Give how much more probable a word is as a word than letter by letter, in nats.

        About zero for a word never met, so that a text is not drawn to have fewer words.
        """
        known = self._memo.get((before, word))
        if known is None:
            spelled = self.letters.log_probability(word + " ", self.letters.start)
            known = math.log(max(self.probability(word, before), 1e-300)) - spelled
            self._memo[before, word] = known
        return known
