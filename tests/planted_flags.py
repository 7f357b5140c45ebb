"""A copyist's own marks, put into plain copies: queries, vouchings, and letters he could not read.

Arrives: a plain copy with its planted errors. Leaves: the same with marks, and the original of every word of
it. Start reading at ``flagged_copy``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from fidelity.copyist.tagging import word_spans
from fidelity.witnesses.his_marks import HisMarks
from tests.planted_plain import PlainCopy

SIGNS = HisMarks(letter_unread=("_",), some_unread=("…",), doubtful=("(?)",), vouched=("[sic]",))
QUERIED, QUERIED_RIGHT = 0.4, 0.01  # shares of the wrong, and of the right words, that he queries
VOUCHED, VOUCHED_WRONG = 0.01, 0.002  # of the right, and of the wrong ones, that he vouches for
GAP_EVERY = 90  # words; one in so many he could not read, or not all of it
WHOLE, UNCOUNTED = 0.3, 0.15  # of the gaps: those that take a whole word; those without a number
COUNTS_WELL = 0.7  # of the others; else he shows a letter more or less
LONG_ENOUGH = 4  # letters of a word of which he reads a part


@dataclass(frozen=True)
class FlaggedCopy:
    """A copy with marks.

    Attributes:
        marked: with all his signs.
        unmarked: with his gaps, but no sign on any word.
        originals: for each word of either what the original has there.
        gaps: numbers of the words with gaps.
    """

    marked: str
    unmarked: str
    originals: tuple[str, ...]
    gaps: tuple[int, ...]


def flagged_copy(copy: PlainCopy, rng: np.random.Generator) -> FlaggedCopy:
    """Let a copyist mark some of his errors, and leave letters unread where he wrote rightly otherwise."""
    truth = copy.truth()
    marked, unmarked, originals, gaps = list[str](), list[str](), list[str](), list[int]()
    for number, (start, end) in enumerate(word_spans(truth.copied)):
        word, original = truth.copied[start:end], truth.original(start, end)
        right = original == word
        sign = ""
        if right and rng.random() * GAP_EVERY < 1 and len(word) > 1:
            word = _with_gap(word, rng)
            gaps.append(number)
        elif rng.random() < (QUERIED_RIGHT if right else QUERIED):
            sign = "(?)"
        elif rng.random() < (VOUCHED if right else VOUCHED_WRONG):
            sign = "[sic]"
        marked.append(word + sign)
        unmarked.append(word)
        originals.append(original)
    return FlaggedCopy(" ".join(marked), " ".join(unmarked), tuple(originals), tuple(gaps))


def _with_gap(word: str, rng: np.random.Generator) -> str:
    """Leave letters of a word unread."""
    first, last = 0, len(word)
    if rng.random() >= WHOLE and len(word) >= LONG_ENOUGH:
        size = int(rng.integers(1, len(word) - 1))
        first = int(rng.integers(0, len(word) - size + 1))
        last = first + size
    if rng.random() < UNCOUNTED:
        return word[:first] + "…" + word[last:]
    off = 0 if rng.random() < COUNTS_WELL else int(rng.choice([-1, 1]))
    return word[:first] + "_" * max(last - first + off, 1) + word[last:]
