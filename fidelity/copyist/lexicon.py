"""The words of the originals, ready to be looked up letter by letter in arrays.

Arrives: the words as counted. Leaves: a ``Lexicon``: a tree of their letters, and what each word gains by
being known, by itself and after the word before. Start reading at ``lexicon_of``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from fidelity.copyist.branches import Branches, branches
from fidelity.copyist.language import Words
from fidelity.copyist.letter_runs import DISCOUNT

UNMET = 0  # number of every word never met; as the word before, of every word that nothing is known to follow


@dataclass(frozen=True)
class Lexicon:
    """The words of the originals, numbered from 1.

    Attributes:
        alphabet: the letters of the words; a letter's number is its place.
        tree: from node 0 letter by letter.
        word: for each node the number of the word that ends there, 0 where none does.
        follows: for each word its number as the word before.
        gain: log of what each word gains by being known, nats (``Words.gain`` after no word).
        lean: log of the share of it that is left after each word before, nats.
        pairs: from each word before to the words that were met after it, with the log of what these
            gain there in the place of ``gain`` and ``lean``.
    """

    alphabet: str
    tree: Branches
    word: np.ndarray
    follows: np.ndarray
    gain: np.ndarray
    lean: np.ndarray
    pairs: Branches


def lexicon_of(words: Words) -> Lexicon:
    """Lay out the words as they were counted.

    >>> from fidelity.copyist.language import Letters
    >>> lexicon = lexicon_of(Words(["of ac"], Letters(["of ac"])))
    >>> lexicon.alphabet, lexicon.word.tolist()
    ('acfo', [0, 0, 1, 0, 2])
    """
    spelled, alphabet = sorted(words.counts), "".join(sorted(set().union(*words.counts)))
    tree, ends = _tree(spelled, {letter: at for at, letter in enumerate(alphabet)})
    word = np.zeros(len(tree.first) - 1, dtype=np.int32)
    word[ends] = np.arange(1, len(spelled) + 1)
    logs = words.letters.log_probabilities(spelled)
    counts = np.array([words.counts[one] for one in spelled], dtype=np.float64)
    alone = np.maximum(counts - DISCOUNT, 0) / max(words.total, 1) + words.unmet * np.exp(logs)
    follows = (at if words.before[one] else UNMET for at, one in enumerate(spelled, start=1))
    return Lexicon(
        alphabet,
        tree,
        word,
        np.array([UNMET, *follows], dtype=np.int32),
        np.append(np.log(words.unmet), np.log(alone) - logs),
        np.log([1.0, *(words.lean(one) for one in spelled)]),
        _pairs(words, spelled, alone, logs),
    )


def _tree(spelled: list[str], alphabet: Mapping[str, int]) -> tuple[Branches, np.ndarray]:
    """Put the words' letters into a tree; give also the node at which each word ends."""
    known: dict[tuple[int, int], int] = {}
    ends = []
    for word in spelled:
        node = 0
        for letter in word:
            node = known.setdefault((node, alphabet[letter]), len(known) + 1)
        ends.append(node)
    grown = np.array(list(known), dtype=np.int64).reshape(-1, 2)
    tree = branches(len(known) + 1, grown[:, 0], grown[:, 1], np.arange(1, len(known) + 1))
    return tree, np.array(ends, dtype=np.int64)


def _pairs(words: Words, spelled: list[str], alone: np.ndarray, logs: np.ndarray) -> Branches:
    """Give what each word met after another gains there."""
    number = {word: at for at, word in enumerate(spelled, start=1)}
    met = [
        (number[before], number[word], count, words.before[before], words.lean(before))
        for (before, word), count in words.pairs.items()
    ]
    table = np.array(met, dtype=np.float64).reshape(-1, 5)
    before, word = table[:, 0].astype(np.int64), table[:, 1].astype(np.int64)
    p = np.maximum(table[:, 2] - DISCOUNT, 0) / table[:, 3] + table[:, 4] * alone[word - 1]
    return branches(len(spelled) + 1, before, word, np.zeros(len(word)), np.log(p) - logs[word - 1])
