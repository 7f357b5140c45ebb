"""How long it takes to collate many witnesses, beside edit operations of every witness with the main one.

Arrives: how many witnesses, how long. Leaves: a table on the terminal. Run it from the project's root as
``python -m tests.benchmarks.collation``; start reading at ``main``.

The witnesses are made here, with a fixed seed: copies of copies of one invented text in a tree, each with
slips of letters, words left out and put in, and every fifth with a leaf lost. That every witness can be had
back letter for letter is looked at in the same run. The peer is ``rapidfuzz.distance.Levenshtein.editops``
of each witness with the main one, which aligns pairs only, at unit cost, and collates nothing.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable, Sequence

import numpy as np
from rapidfuzz.distance import Levenshtein
from tabulate import tabulate

from fidelity.sources.collate import Given, collate
from fidelity.terms import Witness

WITNESSES, LETTERS, RATE = 20, 20_000, 0.02
WANTED = 30.0  # seconds for 20 witnesses of 20,000 letters, with the compiled loop
SEED = 8


def made_tradition(number: int, letters: int, rate: float, seed: int) -> list[str]:
    """Make witnesses that descend from one text, each copied from one made before it."""
    drawn = random.Random(seed)
    forms = ["".join(drawn.choices("aeionrstþdhlmgwfcubyæ", k=drawn.randint(2, 9))) for _ in range(900)]
    weights = 1 / np.arange(1, len(forms) + 1)
    words = drawn.choices(forms, weights=list(weights), k=letters // 5)
    texts = [_cut(words, letters)]
    while len(texts) < number:
        copied = _copied(drawn.choice(texts), rate, drawn)
        if len(texts) % 5 == 4:
            start = drawn.randrange(len(copied) - len(copied) // 10)
            copied = copied[:start] + copied[start + len(copied) // 10 :]
        texts.append(copied)
    return [" ".join(words) for words in texts]


def _cut(words: Sequence[str], letters: int) -> list[str]:
    """Give the first words, so many letters with the blanks."""
    ends = np.cumsum([len(word) + 1 for word in words])
    return list(words[: int(np.searchsorted(ends, letters))])


def _copied(words: Sequence[str], rate: float, drawn: random.Random) -> list[str]:
    """Copy words with slips of letters; now and then a word is left out or put in."""
    made = []
    for word in words:
        chance = drawn.random()
        if chance < rate / 10:
            continue
        slipped = "".join(
            drawn.choice(["", "e", "n", letter * 2]) if drawn.random() < rate else letter for letter in word
        )
        made += [slipped or word, "swa"] if chance > 1 - rate / 10 else [slipped or word]
    return made


def measured(texts: Sequence[str]) -> tuple[float, float, int, bool]:
    """Give the seconds of the collation and of the peer, the loci, and whether all texts came back."""
    given = [Given(f"W{at}", Witness(f"W{at}", text)) for at, text in enumerate(texts)]
    begun = time.perf_counter()
    found = collate(given[0], given[1:])
    between = time.perf_counter()
    for text in texts[1:]:
        Levenshtein.editops(texts[0], text)
    ended = time.perf_counter()
    same = all(found.recovered(one.siglum) == one.witness.letters for one in given)
    return between - begun, ended - between, len(found.loci), same


def main(show: Callable[[str], None] = print) -> int:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    options.add_argument("--witnesses", type=int, nargs="+", default=[5, 10, WITNESSES])
    options.add_argument("--letters", type=int, default=LETTERS)
    options.add_argument("--rate", type=float, default=RATE, help="slips a letter at each copying")
    chosen = options.parse_args()
    rows = []
    for number in chosen.witnesses:
        seconds, peer, loci, same = measured(made_tradition(number, chosen.letters, chosen.rate, SEED))
        rows.append((number, chosen.letters, loci, same, seconds, peer, seconds / peer))
    heads = ("witnesses", "letters", "loci", "had back", "seconds", "editops pairwise", "ratio")
    show(tabulate(rows, heads, floatfmt=".3g"))
    show(f"wanted: {WITNESSES} witnesses of {LETTERS:,} letters in under {WANTED:g} s")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
