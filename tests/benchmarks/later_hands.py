"""How many planted glosses of later hands are found in a lost text, and how many candidates are false.

Arrives: how many glosses, in how many draws. Leaves: tables on the terminal. Run it from the project's root
as ``python -m tests.benchmarks.later_hands``; start reading at ``trial``.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass, field

import numpy as np
from tabulate import tabulate

from fidelity.hands.find import hands_found
from fidelity.hands.words import words_of
from fidelity.terms.hands import Hands
from tests.planted_glosses import SORTS, PlantedGlosses, planted_glosses


@dataclass
class Outcome:
    """What became of planted glosses, added up over all draws.

    Attributes:
        planted, found: glosses by sort.
        right, false: candidates in the lost texts by their grounds.
        tried, tried_right: the same in the survivors, as it is said beside the candidates.
        words: words of the lost texts.
        false_words: what was false, as printed.
    """

    planted: Counter[str] = field(default_factory=Counter)
    found: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    false: Counter[str] = field(default_factory=Counter)
    tried: Counter[str] = field(default_factory=Counter)
    tried_right: Counter[str] = field(default_factory=Counter)
    words: int = 0
    false_words: list[str] = field(default_factory=list)


def marked(planted: PlantedGlosses, hands: Hands, done: Outcome) -> None:
    """Mark the candidates of one dossier, and add them up."""
    text = planted.dossier.lost[0]
    words = words_of(text.copy, text.id, planted.dossier.folds)
    hit: set[int] = set()
    done.words += len(words)
    for one in hands.candidates:
        places = set(np.flatnonzero((words.ends > one.span[0]) & (words.starts < one.span[1])).tolist())
        met = [at for at, (_, gloss) in enumerate(planted.lost) if gloss & places]
        hit |= set(met)
        (done.right if met else done.false)[" and ".join(one.kinds)] += 1
        done.false_words += [] if met else [f"{one.words} ({' and '.join(one.kinds)})"]
    done.planted.update(sort for sort, _ in planted.lost)
    done.found.update(planted.lost[at][0] for at in hit)
    for one_tried in hands.tried:
        kinds = " and ".join(one_tried.kinds)
        done.tried[kinds] += one_tried.candidates
        done.tried_right[kinds] += one_tried.right


def trial(draws: int, in_survivors: int, in_lost: int, own: int = 0, first_seed: int = 1) -> Outcome:
    """Plant and search so many times.

    Args:
        draws: how many dossiers.
        in_survivors: glosses of each sort in each survivor in prose.
        in_lost: glosses of each sort in the lost text.
        own: how often in each text in prose the main hand itself writes what glosses begin with.
        first_seed: of the first dossier.
    """
    done = Outcome()
    for seed in range(first_seed, first_seed + draws):
        planted = planted_glosses(seed, in_survivors, in_lost, own)
        marked(planted, hands_found(planted.dossier, planted.alignments), done)
    return done


def told(done: Outcome) -> str:
    """Give the tables."""
    sorts = [(sort, done.planted[sort], done.found[sort]) for sort in SORTS]
    kinds = [
        (kind, done.right[kind], done.false[kind], done.tried_right[kind], done.tried[kind])
        for kind in sorted({*done.right, *done.false, *done.tried})
    ]
    return "\n\n".join(
        [
            tabulate(sorts, ("planted in the lost text", "number", "found")),
            tabulate(kinds, ("grounds", "right", "false", "right in survivors", "of")),
            f"{done.false.total()} false in {done.words:,} words: {', '.join(done.false_words)}",
        ]
    )


def main() -> None:
    """Print what was found."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=10)
    parser.add_argument(
        "--in-survivors", type=int, default=3, help="glosses of each sort in each survivor in prose"
    )
    parser.add_argument("--in-lost", type=int, default=5, help="glosses of each sort in the lost text")
    parser.add_argument("--own", type=int, default=0, help="the main hand's own uel in each text in prose")
    parser.add_argument("--seed", type=int, default=1, help="1 to 10 to measure, 101 and more to tune")
    asked = parser.parse_args()
    print(told(trial(asked.draws, asked.in_survivors, asked.in_lost, asked.own, asked.seed)))


if __name__ == "__main__":
    main()
