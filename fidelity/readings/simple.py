"""The simple ways to restore a word, against which the whole model is measured.

Arrives: one copied word, and what the survivors teach: known words, remembered words, a letter
channel. Leaves: the word proposed, or every rival with its probability. Start reading at
``posterior``, then ``NoisyChannel``.

None of these looks beyond its word, so none can set a word division right. They are here so that
the same test may show what the whole model adds to them.

The noisy channel is plain Bayes: P(original | written) is proportional to P(written | original)
times P(original) (for words: Kernighan, Church & Gale 1990, Proc. COLING 2, 205-210; with
operations of several letters: Brill & Moore 2000, Proc. ACL 38).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from typing import TypeVar

from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import count_answers_of
from fidelity.alignment.channel import SWAP_COST, AnswerTotals, LetterChannel
from fidelity.alignment.steps import steps_outside
from fidelity.copyist.language import Words
from fidelity.copyist.model import WordMemory
from fidelity.terms import Alignment
from fidelity.witnesses.folds import Folds

Key = TypeVar("Key", bound=Hashable)

NEAR = 2  # letters: Damerau (Comm. ACM 7, 1964; from memory) found four slips in five to be of one
RECURRING = 2  # a confusion seen twice is tried anywhere; one seen once is left to the known words
MOST_KNOWN = 40  # known words that are weighed; more are never near rivals
MOST_REWRITTEN = 40  # the same for strings that are in no list


def nearest_form(word: str, known_words: Mapping[str, int]) -> str:
    """Give the known word with the fewest letters wrong; the word itself if it is known.

    Args:
        word: as transmitted, normalised.
        known_words: form -> how often it is met; of forms equally near the more frequent is
            taken, then the first in the alphabet.

    Returns:
        The form; the word as transmitted where nothing is within two letters.

    >>> nearest_form("hworcan", {"hwostan": 3, "hwitan": 9}), nearest_form("rlecg", {"secgan": 1})
    ('hwostan', 'rlecg')
    """
    if word in known_words:
        return word
    near = words_within(NEAR, word, list(known_words))
    ranked = sorted(near, key=lambda pair: (pair[1], -known_words[pair[0]], pair[0]))
    return ranked[0][0] if ranked else word


def words_within(far: int, word: str, known: Sequence[str]) -> list[tuple[str, int]]:
    """Give the known words at most so many letters from a word, with their distance."""
    found = process.extract(word, known, scorer=Levenshtein.distance, score_cutoff=far, limit=None)
    return [(form, int(distance)) for form, distance, _ in found]


def remembered(word: str, memory: WordMemory) -> tuple[str, float]:
    """Give the original word that this written word most often stood for in the survivors.

    Args:
        word: as transmitted, normalised.
        memory: of the survivors.

    Returns:
        The original word and its share of the places, 0-1; the word itself and 0 where it was
        never met. Of words met equally often the transmitted one is taken, then the first in
        the alphabet.
    """
    seen = memory.seen(word)
    if not seen:
        return word, 0.0
    best = min(seen, key=lambda original: (-seen[original], original != word, original))
    return best, seen[best] / seen.total()


def products(
    prior: Mapping[str, float], derivations: Mapping[str, float] | Iterable[tuple[str, float]]
) -> dict[str, float]:
    """Give P(original) * P(written | original) for every candidate.

    Args:
        prior: candidate -> P(original).
        derivations: candidate -> P(written | original); or pairs, where several ways of writing
            lead from one candidate to what is written: they are added.
    """
    pairs = derivations.items() if isinstance(derivations, Mapping) else derivations
    found: dict[str, float] = {}
    for candidate, p in pairs:
        found[candidate] = found.get(candidate, 0.0) + prior.get(candidate, 0.0) * p
    return found


def posterior(
    prior: Mapping[str, float], derivations: Mapping[str, float] | Iterable[tuple[str, float]]
) -> dict[str, float]:
    """Give P(original | written) for every candidate: Bayes' rule; they sum to 1.

    The rate of a confusion is not its posterior. Of 445 written r, 400 stood for r and 45 for s,
    though s is miswritten 15 times in a hundred:

    >>> found = posterior({"s": 300 / 700, "r": 400 / 700}, {"s": 0.15, "r": 1.0})
    >>> round(found["s"], 3)
    0.101

    Args:
        prior: candidate -> P(original); need not sum to 1.
        derivations: as for ``products``.

    Returns:
        Candidate -> probability; all 0 where no candidate is possible.
    """
    found = products(prior, derivations)
    total = math.fsum(found.values())
    return {candidate: p / total if total else 0.0 for candidate, p in found.items()}


def learned_channel(
    alignments: Sequence[Alignment],
    folds: Folds,
    left_out: Mapping[int, Sequence[tuple[int, int]]] | None = None,
) -> LetterChannel:
    """Learn one letter channel from all survivors together, on folded letters.

    Args:
        alignments: of the survivors, at least one.
        folds: letterforms counted as equal.
        left_out: index of a survivor -> spans of its copy that teach nothing, where there are any.
    """
    texts = [(folds.fold(one.original.letters), folds.fold(one.copy.letters)) for one in alignments]
    steps = [steps_outside(one.steps, (left_out or {}).get(at, ())) for at, one in enumerate(alignments)]
    counted = [count_answers_of(some, *pair) for some, pair in zip(steps, texts, strict=True)]
    several = _added_up(one.several for one in counted)
    learned = [
        original if some is one.steps else "".join(original[a:b] for a, b in some[:, :2].tolist())
        for some, one, (original, _) in zip(steps, alignments, texts, strict=True)
    ]
    totals = AnswerTotals(
        singles=_added_up(one.singles for one in counted),
        added=_added_up(one.added for one in counted),
        several=several,
        several_chances={o: sum(original.count(o) for original in learned) for o, _ in several if o},
    )
    letters, written = ("".join(side) for side in zip(*texts, strict=True))
    return LetterChannel(letters, written, lambda o, c: o == c, totals)


def _added_up(tables: Iterable[Mapping[Key, float]]) -> dict[Key, float]:
    """Add the counts of several tables."""
    total: dict[Key, float] = {}
    for table in tables:
        for key, count in table.items():
            total[key] = total.get(key, 0.0) + count
    return total


class NoisyChannel:
    """Plain Bayes for one word: the letter channel times the probability of the word.

    Args:
        channel: how the copyist answers letters.
        prior: P(original word): a model of words, or the probabilities themselves.
        known_words: forms to be tried where they are near; those of the prior if None.
    """

    def __init__(
        self,
        channel: LetterChannel,
        prior: Words | Mapping[str, float],
        known_words: Mapping[str, float] | None = None,
    ) -> None:
        self.channel, self.prior = channel, prior
        if known_words is None:
            known_words = prior.counts if isinstance(prior, Words) else prior
        self.known = sorted(known_words, key=lambda word: (-known_words[word], word))
        self._single: dict[tuple[str, str], float] = {}
        self._several: defaultdict[tuple[str, str], list[tuple[str, str, float]]] = defaultdict(list)
        for (original, written), cost in sorted(channel.several().items()):
            self._several[original[-1:], written[-1:]].append((original, written, math.exp(-cost)))
        put_in = math.fsum(self._operation("", letter) for letter in channel.copy_letters)
        self._nothing_put_in = max(1.0 - put_in, 0.0)
        self._rewrites = list(self._recurring())
        self._memo: dict[str, dict[str, float]] = {}

    def _recurring(self) -> Iterator[tuple[str, str, float]]:
        """Give the confusions worth trying anywhere: original, written, probability."""
        totals = self.channel.totals
        for (original, written), count in totals.singles.items():
            if count >= RECURRING and written and not self.channel.same(original, written):
                yield original, written, self._operation(original, written)
        for written, count in totals.added.items():
            if count >= RECURRING:
                yield "", written, self._operation("", written)
        for (original, written), cost in self.channel.several().items():
            if written:
                yield original, written, math.exp(-cost)

    def _operation(self, original: str, written: str) -> float:
        """Give the probability of one letter answered by one, by none, or put in."""
        known = self._single.get((original, written))
        if known is None:
            known = math.exp(-self.channel.cost(original, written))
            self._single[original, written] = known
        return known

    def written_given(self, original: str, written: str) -> float:
        """Give P(written | original): the sum over all ways of operations that lead there.

        The forward sum of a memoryless letter channel (Ristad & Yianilos 1998, IEEE PAMI 20,
        522-532), with operations of up to three letters and exchanges of neighbours. At each
        letter of the original, and at the end, the pen may put letters in; that it stops doing so
        has its probability too, so that single-letter operations sum to at most 1.
        """
        ways = [[0.0] * (len(written) + 1) for _ in range(len(original) + 1)]
        ways[0][0] = 1.0
        for i in range(len(original) + 1):
            for j in range(len(written) + 1):
                if i or j:
                    ways[i][j] = self._into(ways, original, written, i, j)
        return ways[-1][-1] * self._nothing_put_in ** (len(original) + 1)

    def _into(self, ways: list[list[float]], original: str, written: str, i: int, j: int) -> float:
        """Add up the ways into one cell of the forward sum."""
        o, w = original[i - 1 : i], written[j - 1 : j]
        total = 0.0
        if i:
            total += ways[i - 1][j] * self._operation(o, "")
        if j:
            total += ways[i][j - 1] * self._operation("", w)
        if i and j:
            total += ways[i - 1][j - 1] * self._operation(o, w)
        for key in {(o, w), (o, ""), ("", w)}:
            for before, after, p in self._several.get(key, ()):
                m, n = len(before), len(after)
                if (
                    original.endswith(before, i - m, i)
                    and written.endswith(after, j - n, j)
                    and m <= i
                    and n <= j
                ):
                    total += ways[i - m][j - n] * p
        if i > 1 and j > 1 and o != w and original[i - 2 : i] == w + o and written[j - 2 : j] == o + w:
            total += ways[i - 2][j - 2] * math.exp(-SWAP_COST)
        return total

    def original(self, word: str) -> float:
        """Give P(original word), whatever is written."""
        if isinstance(self.prior, Words):
            return self.prior.probability(word)
        return self.prior.get(word, 0.0)

    def candidates(self, written: str) -> list[str]:
        """Give what may have stood there: the word itself, near known words, and rewritten ones."""
        near = sorted(words_within(NEAR, written, self.known), key=lambda pair: pair[1])[:MOST_KNOWN]
        rewritten: dict[str, float] = {}
        for original, letters, p in self._rewrites:
            at = written.find(letters)
            while at >= 0:
                word = written[:at] + original + written[at + len(letters) :]
                if word and not any(letter.isspace() for letter in word):
                    rewritten[word] = max(rewritten.get(word, 0.0), p * self.original(word))
                at = written.find(letters, at + 1)
        best = sorted(rewritten, key=lambda word: (-rewritten[word], word))[:MOST_REWRITTEN]
        return list(dict.fromkeys([written, *(word for word, _ in near), *best]))

    def answers(self, written: str) -> dict[str, float]:
        """Give P(original | written) for every candidate, the transmitted word among them."""
        known = self._memo.get(written)
        if known is None:
            candidates = self.candidates(written)
            known = posterior(
                {word: self.original(word) for word in candidates},
                {word: self.written_given(word, written) for word in candidates},
            )
            self._memo[written] = known
        return known

    def best(self, written: str) -> tuple[str, float]:
        """Give the likeliest original word and its probability, 0-1; as transmitted where all are 0."""
        answers = self.answers(written)
        word = min(answers, key=lambda word: (-answers[word], word != written, word))
        return word, answers[word]
