"""Learn from the survivors what additions look like, and try it on survivors kept out.

Arrives: the words of the survivors' copies, additions marked. Leaves: what is known for the search of a text
in one language, and how many of the candidates it makes are additions. Start reading at ``Survivors``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.intervals import jeffreys
from fidelity.copyist.tagging import normalise
from fidelity.hands.languages import LEAST_LETTERS, Tongues, limit_of, own_words, spoken
from fidelity.hands.openings import Openings, openings_of, runs_of_layers
from fidelity.hands.search import Learned, search
from fidelity.hands.words import MAIN, Column, Words
from fidelity.letters import without_stops
from fidelity.terms import Witness
from fidelity.terms.hands import KEPT_APART, Layer, Tried
from fidelity.witnesses.folds import Folds

PARTS = 10  # into which survivors are cut where fewer than two have additions, as in the blind test

Mask = NDArray[np.bool_]
Kinds = tuple[str, ...]


@dataclass(frozen=True)
class Outcome:
    """What a trial on the survivors gave.

    Attributes:
        right, wrong: grounds -> how many of their candidates were other hands' words, and how many not.
        additions: how many additions there were to be found.
        found: how many of them were.
    """

    right: Counter[Kinds]
    wrong: Counter[Kinds]
    additions: int
    found: int


class Survivors:
    """The survivors' copies, from which a search is learned and on which it is tried.

    Args:
        words: of each copy; ``Words.layers`` are places in ``layers``.
        layers: what he did with the layers of all survivors.
        references: further texts in known languages.
        folds: letterforms counted as equal.
    """

    def __init__(
        self, words: Sequence[Words], layers: Sequence[Layer], references: Sequence[Witness], folds: Folds
    ) -> None:
        self.words, self.layers = words, layers
        self._references = references
        self._folds = folds
        apart = {number for number, one in enumerate(layers) if one.done == KEPT_APART}
        self.seen = [
            ~np.isin(one.layers, list(apart)) for one in words
        ]  # what the copy itself keeps apart is known
        with_additions = sum(
            bool(((one.layers != MAIN) & seen).any()) for one, seen in zip(words, self.seen, strict=True)
        )
        self.left_out = "survivor" if with_additions > 1 else "tenth of the lines"
        self.parts: list[Column] = [
            np.full(len(one), at, dtype=np.int64)
            if with_additions > 1
            else PARTS * one.lines // len(one.witness.lines)
            for at, one in enumerate(words)
        ]

    @cached_property
    def _reference_texts(self) -> list[tuple[str, str]]:
        """Give the reference texts as the copies' words are given, each with its language."""
        return [
            (one.language, without_stops(normalise(one.letters, self._folds).lower()))
            for one in self._references
        ]

    @property
    def numbers(self) -> list[int]:
        """Give the numbers of the parts."""
        return sorted(set(np.concatenate([[], *self.parts]).astype(int).tolist()))

    def openings(self, without: int | None = None) -> Openings:
        """Learn how additions begin, from all survivors but one part."""
        return openings_of(list(zip(self.words, self._kept(without), strict=True)), self.layers)

    def tongues(self, language: str, without: int | None = None) -> Tongues | None:
        """Learn the languages, from all survivors but one part; None where there is nothing to compare with.

        Args:
            language: of the text that is searched.
            without: number of the part that is kept out.
        """
        own = [text for name, text in self._reference_texts if name in ("", language)]
        others: defaultdict[str, list[str]] = defaultdict(list)
        for name, text in self._reference_texts:
            if name not in ("", language):
                others[name].append(text)
        for words, kept in zip(self.words, self._kept(without), strict=True):
            own.append(spoken(words, own_words(words, language) & kept))
            for name in sorted(set(words.languages.tolist()) - {"", language}):
                others[name].append(spoken(words, (words.languages == name) & (words.layers == MAIN) & kept))
        if sum(map(len, own)) < LEAST_LETTERS:
            return None
        found = Tongues([text for text in own if text], others)
        return found if found.others else None

    def _kept(self, without: int | None) -> list[Mask]:
        """Give the words that may be learned from: all but those of one part."""
        return [
            part != without if without is not None else np.ones(len(part), dtype=bool) for part in self.parts
        ]

    def in_language(self, words: Words, language: str) -> Mask:
        """Tell which words stand where a text in a language is, or nothing is declared."""
        chosen: Mask = (words.languages == language) | (words.languages == "")
        return chosen


class Trial:
    """All that is learned for the search of texts in one language, and how it fares on the survivors.

    Args:
        survivors: the copies.
        language: of the texts that are searched.
        size: words of the longest of them.
    """

    def __init__(self, survivors: Survivors, language: str, size: int) -> None:
        self._survivors, self._language, self._size = survivors, language, size
        whole = survivors.tongues(language)
        self._tongues = (
            {part: survivors.tongues(language, part) for part in survivors.numbers} if whole else {}
        )
        self._own = dict(self._scores_of_own_words())
        self.learned = Learned(survivors.openings(), whole, self._limit(None) if whole else None)
        self.own_words = sum(count for _, count in self._own.values())

    def _scores_of_own_words(self) -> Iterator[tuple[int, tuple[list[float], int]]]:
        """Score the main hand's runs of every part by what was learned without it; count its words."""
        for part, tongues in self._tongues.items():
            scores: list[float] = []
            count = 0
            for words, parts in zip(self._survivors.words, self._survivors.parts, strict=True):
                asked = own_words(words, self._language) & (parts == part)
                if tongues is not None and asked.any():
                    scores += [run.score for run in tongues.runs(words, asked)]
                    count += int(asked.sum())
            yield part, (scores, count)

    def _limit(self, without: int | None) -> float | None:
        """Give the score that a run in another language must reach, learned without one part."""
        kept = [found for part, found in self._own.items() if part != without]
        return limit_of(
            [score for scores, _ in kept for score in scores], sum(n for _, n in kept), self._size
        )

    def outcome(self) -> Outcome:
        """Search every part of the survivors' copies by what was learned without it."""
        done = Outcome(Counter(), Counter(), 0, 0)
        for part in self._survivors.numbers:
            learned = Learned(self._survivors.openings(part), self._tongues.get(part), self._limit(part))
            for at, words in enumerate(self._survivors.words):
                done = self._searched(at, words, part, learned, done)
        return done

    def _searched(self, at: int, words: Words, part: int, learned: Learned, done: Outcome) -> Outcome:
        """Search one part of one copy, and add what came of it."""
        asked = (self._survivors.parts[at] == part) & self._survivors.seen[at]
        asked &= self._survivors.in_language(words, self._language)
        hit: set[int] = set()
        for one in search(words, asked, learned)[0]:
            met = {layer for layer in words.layers[one.first : one.end].tolist() if layer != MAIN}
            (done.right if met else done.wrong)[one.kinds] += 1
            hit |= met
        there = {layer for layer, first, _ in runs_of_layers(words) if asked[first]}
        return Outcome(done.right, done.wrong, done.additions + len(there), done.found + len(hit & there))


def tried_of(right: Counter[Kinds], wrong: Counter[Kinds], confidence: float) -> list[Tried]:
    """Say for each kind of ground how many candidates it made in the survivors, and how many were right."""
    found = []
    for kinds in sorted({*right, *wrong}):
        total = right[kinds] + wrong[kinds]
        found.append(Tried(kinds, total, right[kinds], *jeffreys(right[kinds], total, confidence)))
    return found
