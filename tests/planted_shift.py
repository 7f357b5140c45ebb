"""Copyists whose habits of spelling change, or do not, between the texts that survive and the one lost.

Arrives: a seed, the change, and the Völsunga saga (see ``planted.py``). Leaves: originals and copies.
Start reading at ``shifting_copyist``.

Pages and texts differ in every habit as chance will have it, so that a change must show beyond that. The
shares of the two habits that change are those of a real copyist, measured before and after the middle of
his text (.87 to .24, .02 to .61).
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tests.planted_plain import SPELLINGS, page_words, stretches

# His habits change between survivors and lost text, or in the middle of this; or the lost original itself
# was spelled otherwise than those that survive.
CHANGES = ("none", "between", "halfway", "exemplar")
SPELLED_SO = 0.75  # of the places in the lost original that his commonest habit would bring about
SURVIVORS, SURVIVOR_LETTERS, LOST_LETTERS = 3, 10_000, 30_000
FALLS, RISES = (0.87, 0.24), (0.02, 0.61)  # what the rate of the two habits is before and after
STEADY = (0.05, 0.9)  # rates of his other habits of spelling
MISREADINGS, MISREAD_RATE = 4, (0.005, 0.03)  # letters that he takes for others, and how often
WORDS = 10  # on a line
PAGE_SPREAD, TEXT_SPREAD = 0.4, 0.2  # s.d. of the log-odds of a habit from page to page, and text to text


@dataclass(frozen=True)
class ShiftingCase:
    """What survives and what is lost; originals and copies line by line, with page marks.

    Attributes:
        survivors: (original, copy) of each.
        lost: the same of the lost text.
        changed: names in ``SPELLINGS`` of the habits that change: the one that falls, the one that rises.
        pages: pages of the lost text before the change.
    """

    survivors: tuple[tuple[str, str], ...]
    lost: tuple[str, str]
    changed: tuple[str, str]
    pages: int


def shifting_copyist(seed: int, change: str) -> ShiftingCase:
    """Let a copyist copy three texts that survive and one that is lost."""
    rng = np.random.default_rng([seed, CHANGES.index(change)])
    falls, rises, *others = rng.permutation(sorted(SPELLINGS)).tolist()
    rates = {falls: FALLS[0], rises: RISES[0]} | {name: float(rng.uniform(*STEADY)) for name in others[:3]}
    shifted = rates | {falls: FALLS[1], rises: RISES[1]}
    *texts, lost = stretches(rng, [SURVIVOR_LETTERS] * SURVIVORS + [LOST_LETTERS])
    letters = sorted({letter for word in lost for letter in word})
    misread = {
        str(one): (str(rng.choice([x for x in letters if x != one])), float(rng.uniform(*MISREAD_RATE)))
        for one in rng.choice(letters, MISREADINGS, replace=False)
    }
    pages = len(page_words(lost))
    change_at = {"between": 0, "halfway": pages // 2}.get(change, pages)
    if change == "exemplar":
        lost = [_written(word, {falls: SPELLED_SO}, {}, rng) for word in lost]
    survivors = tuple(_copied(words, [rates] * len(page_words(words)), misread, rng) for words in texts)
    of_pages = [rates] * change_at + [shifted] * (pages - change_at)
    return ShiftingCase(survivors, _copied(lost, of_pages, misread, rng), (falls, rises), change_at)


def _copied(
    words: Sequence[str],
    rates: Sequence[Mapping[str, float]],
    misread: Mapping[str, tuple[str, float]],
    rng: np.random.Generator,
) -> tuple[str, str]:
    """Copy a text word by word, each page at rates of its own."""
    of_text = {name: rng.normal(0, TEXT_SPREAD) for name in rates[0]}
    original: list[str] = []
    copy: list[str] = []
    for number, (page, general) in enumerate(zip(page_words(words), rates, strict=True), start=1):
        own = {
            name: _moved(rate, of_text[name] + rng.normal(0, PAGE_SPREAD)) for name, rate in general.items()
        }
        original.append(f"[fol. {number}]")
        copy.append(f"[fol. {number}]")
        for start in range(page.start, page.stop, WORDS):
            line = words[start : min(start + WORDS, page.stop)]
            original.append(" ".join(line))
            copy.append(" ".join(_written(word, own, misread, rng) for word in line))
    return "\n".join(original), "\n".join(copy)


def _moved(rate: float, by: float) -> float:
    odds = rate / (1 - rate) * np.exp(by)
    return float(odds / (1 + odds))


def _written(
    word: str,
    rates: Mapping[str, float],
    misread: Mapping[str, tuple[str, float]],
    rng: np.random.Generator,
) -> str:
    """Write a word by his habits, then misread letters of it."""
    for name, rate in rates.items():
        pattern, written = SPELLINGS[name]
        if re.search(pattern, word) and rng.random() < rate:
            word = re.sub(pattern, written, word, count=1)
    return "".join(
        misread[letter][0] if letter in misread and rng.random() < misread[letter][1] else letter
        for letter in word
    )
