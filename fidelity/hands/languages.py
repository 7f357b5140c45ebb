"""Words that another language explains better than the language of the text around them.

Arrives: the words of copies, with the language of each; reference texts. Leaves: runs of words that look
foreign, and how foreign the main hand's own words look. Start reading at ``Tongues``.

A word's score is the log of the ratio of its probability, letter by letter, in the likeliest other language
to that in the text's own. Words in a row with positive scores are a run; its score is their sum.
How high a run must score is drawn from runs of the main hand in the survivors' copies, each scored by what
was learned without it: the tail of their scores is taken to fall off exponentially (Pickands 1975, Annals of
Statistics 3, 119-131, with shape 0; title from memory), so that the limit can be set where a text without any
addition would show a false run in only one case of five.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fidelity.copyist.language import Letters
from fidelity.hands.words import MAIN, Words

ORDER = 6  # letters; words of another language are told by their letters, whole words say little more
HIS_OWN_FROM = 3  # times in one copy; a word that recurs is of the text, whatever it looks like (chosen)
LEAST_LETTERS = 60  # of a language, about ten words; from fewer nothing is learned (chosen)
MOST_LETTERS = 200_000  # learned from in one language; more makes no word clearer and takes longer
LEAST_WORDS = 100  # of the main hand, to know how foreign his own words look (chosen)
UPPER_SHARE = 0.25  # of the main hand's runs, those whose scores show how the tail falls off (chosen)
LEAST_UPPER = 5  # runs among these
FALSE_IN_A_TEXT = 0.2  # false runs to be expected in a text of this size without any addition (chosen)

Scores = NDArray[np.float64]


@dataclass(frozen=True)
class Run:
    """Neighbouring words that look foreign: first, last and one, how much, and like which language."""

    first: int
    end: int
    score: float
    language: str


class Tongues:
    """The languages that words can be told apart by: the text's own, and others.

    Args:
        own: texts in the language of the text that is searched.
        others: language -> texts in it.
    """

    def __init__(self, own: Sequence[str], others: Mapping[str, Sequence[str]]) -> None:
        self._own = Letters([_cut(own)], ORDER)
        self._others = {
            name: Letters([_cut(texts)], ORDER)
            for name, texts in sorted(others.items())
            if sum(map(len, texts)) >= LEAST_LETTERS
        }

    @property
    def others(self) -> tuple[str, ...]:
        """Give the other languages, by name."""
        return tuple(self._others)

    def scores(self, words: Words, asked: NDArray[np.bool_]) -> tuple[Scores, NDArray[np.int64]]:
        """Score the forms of some words: how foreign they look, in nats, and like which of ``others``.

        Returns:
            Both for all forms of the copy; those that no such word has score nothing.
        """
        scores, best = np.zeros(len(words.forms)), np.zeros(len(words.forms), dtype=np.int64)
        wanted = np.unique(words.number[asked])
        wanted = wanted[~words.silent[wanted]]
        if len(wanted):
            bare = [words.bare[at] for at in wanted.tolist()]
            every = np.array([one.log_probabilities(bare) for one in self._others.values()])
            best[wanted] = every.argmax(axis=0)
            scores[wanted] = every.max(axis=0) - self._own.log_probabilities(bare)
        return scores, best

    def runs(self, words: Words, asked: NDArray[np.bool_]) -> Iterator[Run]:
        """Give the runs of a copy, in order.

        Args:
            words: of the copy.
            asked: which of its words may be in a run.
        """
        if not self._others or not len(words):
            return
        form_scores, best = self.scores(words, asked)
        scores, silent = form_scores[words.number], words.silent[words.number]
        inside = asked & ~words.empty[words.number] & (((scores > 0) & (words.times < HIS_OWN_FROM)) | silent)
        edges = np.flatnonzero(np.diff(np.concatenate([[0], inside.astype(np.int8), [0]])))
        for first, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            for a, b in _in_fields(words, first, end):
                spoken = [at for at in range(a, b) if not silent[at]]
                if spoken:
                    a, b = spoken[0], spoken[-1] + 1
                    likest = max(spoken, key=lambda at: scores[at])
                    name = self.others[int(best[words.number[likest]])]
                    yield Run(a, b, float(scores[a:b].sum()), name)


def _in_fields(words: Words, first: int, end: int) -> Iterator[tuple[int, int]]:
    """Cut a stretch of words where another field of an entry begins."""
    cuts = [first, *(at for at in range(first + 1, end) if words.fields[at] != words.fields[at - 1]), end]
    yield from pairwise(cuts)


def _cut(texts: Sequence[str]) -> str:
    """Join texts, up to the most that is learned from."""
    share = MOST_LETTERS // max(len(texts), 1)
    return " ".join(text[: max(share, MOST_LETTERS - sum(map(len, texts)) + len(text))] for text in texts)


def spoken(words: Words, chosen: NDArray[np.bool_]) -> str:
    """Give some words of a copy as a text without stops."""
    return " ".join(words.bare[at] for at in words.number[chosen].tolist() if words.bare[at])


def limit_of(scores: Sequence[float], words: int, size: int) -> float | None:
    """Give the score that a run must reach.

    Args:
        scores: of the main hand's runs, each scored by what was learned without it.
        words: how many words of the main hand these were found in.
        size: words of the text that is searched.

    Returns:
        The score, in nats; None where there are too few words to know.

    >>> exponential = [-10 * math.log((at + 0.5) / 400) for at in range(400)]
    >>> limit = limit_of(exponential, 4000, 4000)
    >>> 70 < limit < 80  # 400 runs in so many words: 10 ln(400 / 0.2) is 76
    True
    """
    if words < LEAST_WORDS:
        return None
    ordered = sorted(scores, reverse=True)
    upper = max(math.ceil(UPPER_SHARE * len(ordered)), min(LEAST_UPPER, len(ordered)))
    if len(ordered) <= upper:
        above, start = ordered, 0.0
    else:
        above, start = ordered[:upper], ordered[upper]
    if not above:
        return 0.0
    excess = sum(above) / len(above) - start
    expected = len(above) / words * size  # runs above the start in a text of this size
    return start + excess * math.log(max(expected / FALSE_IN_A_TEXT, 1.0))


def own_words(words: Words, language: str) -> NDArray[np.bool_]:
    """Tell which words are the main hand's, in a language, or in none that is declared."""
    named = (words.languages == language) | (words.languages == "")
    chosen: NDArray[np.bool_] = (words.layers == MAIN) & named
    return chosen
