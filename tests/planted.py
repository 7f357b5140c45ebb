"""Copies with planted confusions: what was planted is known, so what is found can be marked.

Arrives: an open text (the Völsunga saga, Old Norse, from the package ``norsecorpus``, MIT
licence), habits with their rates, a rate of chance slips. Leaves: original and copy, line by
line, and the rates that went into them. Start reading at ``plant``.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from textwrap import wrap

import numpy as np

import fidelity
from fidelity.confusions.count import AnswerCounts
from fidelity.terms import Confusion, Locus

Pair = tuple[str, str]

LINE_LENGTH = 60  # letters; any will do
# Of letters: a careful scribe's rate. Lawlor 1916, Proc. Royal Irish Academy 33 C, p. 248: nearly 250
# errors in about 2,900 lines of 28-50 letters.
SLIP_RATE = 0.002


@cache
def saga_lines() -> tuple[str, ...]:
    """Give the Völsunga saga in lower-case letters and spaces, about 2,000 lines."""
    folder = files("norsecorpus") / "data" / "heimskringla" / "Völsunga_saga" / "txt"
    text = (folder / "complete.txt").read_text(encoding="utf-8").lower()
    return tuple(wrap(" ".join(re.findall(r"[^\W\d_]+", text)), LINE_LENGTH))


@dataclass(frozen=True)
class Planted:
    """What was planted in a copy.

    Attributes:
        rates: habit -> its true rate, the slips that hit the same pair included, 0-1.
        counts: every wrong pair -> how often it is in the copy.
        pages: each page's share of the general error rate, 1 where it is average.
    """

    rates: dict[Pair, float]
    counts: Counter[Pair]
    pages: tuple[float, ...]


def plant(
    text_lines: Sequence[str],
    habits: Mapping[Pair, float],
    slip_rate: float = SLIP_RATE,
    seed: int = 1,
    page_lines: int = 50,
    page_spread: float = 1.0,
) -> tuple[list[str], list[str], Planted]:
    """Copy a text with known habits and chance slips, letter for letter.

    Args:
        text_lines: the original, one string for each line.
        habits: (original letter, written letter) -> rate, 0-1.
        slip_rate: share of the letters that become any other letter of the text, all alike.
        seed: of the random draws.
        page_lines: lines on a page.
        page_spread: how many times the rate of a good page a bad page has; half the pages, drawn
            at random, are bad ones. 1: all alike.

    Returns:
        The original's lines, the copy's lines, and what was planted.
    """
    rng = np.random.default_rng(seed)
    original = np.array(list("\n".join(text_lines)))
    page = np.repeat(np.arange(len(text_lines)) // page_lines, [len(line) + 1 for line in text_lines])
    page = page[: len(original)]
    share = rng.choice([2 / (1 + page_spread), 2 * page_spread / (1 + page_spread)], int(page[-1]) + 1)
    letters = np.array(sorted(set(original.tolist()) - set(" \n")))
    drawn = rng.random(len(original)) / share[page]
    copy = original.copy()
    done: dict[str, float] = defaultdict(float)
    for (letter, written), rate in habits.items():
        hit = (original == letter) & (drawn >= done[letter]) & (drawn < done[letter] + rate)
        copy[hit] = written
        done[letter] += rate
    spent = np.select([original == letter for letter in done], list(done.values()), 0.0) if done else 0.0
    slips = np.flatnonzero(np.isin(original, letters) & (drawn >= spent) & (drawn < spent + slip_rate))
    # any letter but the right one: step 1 to n-1 places round the alphabet
    steps = rng.integers(1, len(letters), len(slips))
    copy[slips] = letters[(np.searchsorted(letters, original[slips]) + steps) % len(letters)]
    wrong = original != copy
    counts = Counter(zip(original[wrong].tolist(), copy[wrong].tolist(), strict=True))
    rates = {pair: rate + slip_rate / (len(letters) - 1) for pair, rate in habits.items()}
    planted = Planted(rates, counts, tuple(share.tolist()))
    return list(text_lines), "".join(copy.tolist()).split("\n"), planted


def random_habits(text_lines: Sequence[str], seed: int, least: int = 1000) -> dict[Pair, float]:
    """Draw five habits at 1, 2, 3, 4 and 5 % among the letters with enough chances.

    Args:
        text_lines: the original.
        seed: of the random draws.
        least: how often a letter must stand in the text.
    """
    rng = np.random.default_rng(seed)
    frequent = Counter("".join(text_lines).replace(" ", ""))
    originals = rng.permutation(sorted(letter for letter, count in frequent.items() if count >= least))[:5]
    habits = {}
    for letter, rate in zip(originals.tolist(), (0.01, 0.02, 0.03, 0.04, 0.05), strict=True):
        others = sorted(set(frequent) - {letter})
        habits[letter, str(rng.choice(others))] = rate
    return habits


def confusions_of(
    original_lines: Sequence[str], copy_lines: Sequence[str], page_lines: int = 50
) -> list[Confusion]:
    """Let the whole chain find the confusions: reading, aligning, judging, counting, measuring.

    Args:
        original_lines: the original.
        copy_lines: the copy.
        page_lines: lines on a page.
    """
    paged = [
        line if number % page_lines else f"[p. {number // page_lines + 1}]\n{line}"
        for number, line in enumerate(original_lines)
    ]
    return list(fidelity.compare("\n".join(paged), "\n".join(copy_lines)).confusions)


def answers_of(
    original_lines: Sequence[str], copy_lines: Sequence[str], page_lines: int = 50
) -> AnswerCounts:
    """Count the answers where original and copy are known to agree place by place.

    The whole chain has to find the places itself: see ``confusions_of``.

    Args:
        original_lines: the original.
        copy_lines: the copy, each line as long as the original's.
        page_lines: lines on a page.
    """
    answers: dict[Pair, Counter[str]] = defaultdict(Counter)
    chances: dict[str, Counter[str]] = defaultdict(Counter)
    loci: dict[Pair, list[Locus]] = defaultdict(list)
    words: dict[Pair, set[str]] = defaultdict(set)
    for first in range(0, len(original_lines), page_lines):
        page = f"P {first // page_lines + 1}"
        lines = range(first, min(first + page_lines, len(original_lines)))
        pairs: Counter[Pair] = Counter()
        for number in lines:
            pairs.update(zip(original_lines[number], copy_lines[number], strict=True))
            _note_wrong(original_lines[number], copy_lines[number], number + 1, loci, words)
        for pair, count in pairs.items():
            if pair != (" ", " "):
                answers[pair][page] += count
                chances[pair[0]][page] += count
    return AnswerCounts(
        answers=answers,
        chances=chances,
        right=frozenset((letter, letter) for letter in chances),
        loci={pair: tuple(places) for pair, places in loci.items()},
        words={pair: frozenset(found) for pair, found in words.items()},
    )


def _note_wrong(
    original: str, copy: str, line: int, loci: dict[Pair, list[Locus]], words: dict[Pair, set[str]]
) -> None:
    """Note place and word of each wrong letter of a line."""
    if original == copy:
        return
    start = 0
    for number, word in enumerate(original.split(" "), start=1):
        for letter, written in zip(word, copy[start:], strict=False):
            if letter != written:
                loci[letter, written].append(Locus("P", str(line), number))
                words[letter, written].add(word)
        start += len(word) + 1
