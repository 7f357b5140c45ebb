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

from fidelity.copyist.letter_runs import BITS, DISCOUNT, Order, counted, last, place

ORDER = 8  # letters; measured on prototypes, six loses a little and ten gains nothing
MOST_REMEMBERED = 50_000  # words spelled out at a time: a long text must not need ever more memory


class Letters:
    """P(next letter | the letters before), interpolated Kneser-Ney.

    Every run of letters that was met before some letter is a context with a number; context 0 is
    "whatever stood before". Only the longest context that was met need be kept in mind: what was never
    met after it is asked of the next shorter one, and longer ones never met would ask it too.

    Args:
        texts: running texts, normalised; each begins after a word division.
        order: longest run of letters counted, the next letter included (at most eight).

    Attributes:
        number: number of each letter, from 1; 0 stands for any other.
        size: letters and one more, for every letter never met.
        start: context after a word division and nothing else.
        first: where the letters met after each context begin in the next three arrays.
        follower: numbers of these letters, ascending within a context.
        chance: P(letter | context), 0-1.
        leads_to: the longest context met once the letter is added.
        left: what each context leaves to the next shorter one, 0-1.
        shorter: the next shorter context.
    """

    def __init__(self, texts: Iterable[str], order: int = ORDER) -> None:
        self.order = min(order, 64 // BITS)
        joined = [" " * (self.order - 1) + text + " " for text in texts if text]
        frequent = [letter for letter, _ in Counter("".join(joined)).most_common(2**BITS - 2)]
        self.number = {letter: at for at, letter in enumerate(sorted(frequent), start=1)}
        self.size = len(self.number) + 1
        self._memo: dict[tuple[int, str], tuple[float, int]] = {}
        self._lay_out(counted(list(map(self._numbered, joined)), self.order, self.number.get(" ", 0)))
        self.start = self.context(" " * (self.order - 1))

    def _numbered(self, text: str) -> np.ndarray:
        """Give the number of every letter of a text."""
        codes = np.array([ord(letter) for letter in self.number])  # ascending, as the numbers are
        letters = np.frombuffer(text.encode("utf-32-le", "surrogatepass"), dtype="<u4")
        places = place(codes, letters)
        return np.where(codes[places] == letters, places + 1, 0).astype(np.uint64)

    def _lay_out(self, orders: Sequence[Order]) -> None:
        """Number the contexts of all orders, the shortest first, and mix the orders from below."""
        offsets = np.cumsum([0, *(len(one.contexts) for one in orders)])
        contexts, chances, leads, shorter = [], [], [], [np.zeros(len(orders[0].contexts), dtype=np.int64)]
        chance, led = np.full(1, 1.0 / self.size), np.zeros(1, dtype=np.int64)
        for length, one in enumerate(orders):
            tails = np.zeros(len(one.runs), dtype=np.int64)  # the same runs without their first letter
            if length:
                tails = place(orders[length - 1].runs, one.runs & last(length))
                known = place(orders[length - 1].contexts, one.contexts & last(length - 1))
                shorter.append(offsets[length - 1] + known)
            chance, led = one.shares + one.left[one.where] * chance[tails], led[tails]
            if length + 1 < len(orders):
                longer = orders[length + 1].contexts
                places = place(longer, one.runs)
                led = np.where(longer[places] == one.runs, offsets[length + 1] + places, led)
            contexts.append(offsets[length] + one.where)
            chances.append(chance)
            leads.append(led)
        grown = np.concatenate(contexts)
        self.first = np.searchsorted(grown, np.arange(offsets[-1] + 1)).astype(np.int32)
        self.follower = np.concatenate([one.runs & last(1) for one in orders]).astype(np.int32)
        self.chance, self.leads_to = np.concatenate(chances), np.concatenate(leads).astype(np.int32)
        self.left = np.concatenate([one.left for one in orders])
        self.shorter = np.concatenate(shorter).astype(np.int32)
        self._keys = grown << BITS | self.follower

    def context(self, before: str) -> int:
        """Give the number that stands for the last letters before a place."""
        return self.after(0, before[-self.order :])

    def after(self, context: int, letters: str) -> int:
        """Give the context after some more letters."""
        for letter in letters:
            context = self._step(letter, context)[1]
        return context

    def probability(self, letter: str, context: int) -> float:
        """Give P(letter | context), 0-1; any letter never met shares one flat chance.

        >>> model = Letters(["beorh and beorh"], order=3)
        >>> total = sum(model.probability(x, model.context("be")) for x in model.number)
        >>> round(total + model.probability("?", model.context("be")), 9)
        1.0
        """
        return self._step(letter, context)[0]

    def log_probability(self, letters: str, context: int) -> float:
        """Give the log of P(letters | context), in nats."""
        total = 0.0
        for letter in letters:
            p, context = self._step(letter, context)
            total += math.log(p)
        return total

    def _step(self, letter: str, context: int) -> tuple[float, int]:
        """Give the chance of a letter after a context, and the context it leads to."""
        known = self._memo.get((context, letter))
        if known is None:
            number = np.array([self.number.get(letter, 0)])
            p, after = self._stepped(np.array([context]), number)
            known = float(p[0]), int(after[0])
            self._memo[context, letter] = known
        return known

    def _stepped(self, contexts: np.ndarray, numbers: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Give the chances of many letters, each after its context, and the contexts they lead to."""
        p, contexts, open_still = np.ones(len(contexts)), contexts.copy(), np.arange(len(contexts))
        while len(open_still):
            here = contexts[open_still]
            keys = here << BITS | numbers[open_still]
            places = place(self._keys, keys)
            met = self._keys[places] == keys if len(self._keys) else np.zeros(len(keys), dtype=bool)
            p[open_still[met]] *= self.chance[places[met]]
            contexts[open_still[met]] = self.leads_to[places[met]]
            open_still, here = open_still[~met], here[~met]
            p[open_still] *= self.left[here]
            p[open_still[here == 0]] /= self.size
            contexts[open_still] = self.shorter[here]
            open_still = open_still[here > 0]
        return p, contexts

    def log_probabilities(self, words: Sequence[str]) -> np.ndarray:
        """Give the log of P(word and the division after it | start) for many words, in nats."""
        totals, contexts = np.zeros(len(words)), np.full(len(words), self.start, dtype=np.int64)
        going, at = np.arange(len(words)), 0
        while len(going):
            letters = [words[i][at] if at < len(words[i]) else " " for i in going.tolist()]
            numbers = np.array([self.number.get(letter, 0) for letter in letters])
            p, contexts[going] = self._stepped(contexts[going], numbers)
            totals[going] += np.log(p)
            going = going[[at < len(words[i]) for i in going.tolist()]]
            at += 1
        return totals


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
        self.unmet = DISCOUNT * len(self.counts) / self.total if self.total else 1.0  # chance of all unmet
        self.before: Counter[str] = Counter()
        self.followers: Counter[str] = Counter()
        for (first, _), count in self.pairs.items():
            self.before[first] += count
            self.followers[first] += 1
        self._memo: dict[tuple[str, str], float] = {}
        self._letters_of: dict[str, float] = {}

    def __contains__(self, word: str) -> bool:
        return word in self.counts

    def probability(self, word: str, before: str = "") -> float:
        """Give P(word | word before), 0-1; an empty word before asks for the word alone."""
        spelled = math.exp(self._spelled(word))
        p = max(self.counts[word] - DISCOUNT, 0) / self.total if self.total else 0.0
        p += self.unmet * spelled
        met = self.before[before]
        return max(self.pairs[before, word] - DISCOUNT, 0) / met + self.lean(before) * p if met else p

    def gain(self, word: str, before: str = "") -> float:
        """Give how much more probable a word is as a word than letter by letter, in nats.

        About zero for a word never met, so that a text is not drawn to have fewer words.
        """
        known = self._memo.get((before, word))
        if known is None:
            known = self._gain(word, before)
            self._memo[before, word] = known
        return known

    def _gain(self, word: str, before: str) -> float:
        """Reckon what ``gain`` gives; what is met nowhere gains the same however it is spelled."""
        if word not in self.counts:
            return math.log(self.unmet * self.lean(before))
        return math.log(self.probability(word, before)) - self._spelled(word)

    def _spelled(self, word: str) -> float:
        """Give the log of the chance of a word letter by letter, with the division after it; remembered."""
        known = self._letters_of.get(word)
        if known is None:
            if len(self._letters_of) >= MOST_REMEMBERED:
                self._letters_of.clear()
            known = self.letters.log_probability(word + " ", self.letters.start)
            self._letters_of[word] = known
        return known

    def lean(self, before: str) -> float:
        """Give the share of the chance of a word that it has by itself, whatever stands before it, 0-1."""
        met = self.before[before]
        return DISCOUNT * self.followers[before] / met if met else 1.0
