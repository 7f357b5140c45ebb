"""How well the causes of planted errors are told: confusion matrix of cause given against cause planted.

Arrives: the number of copies and of errors of each mechanism. Leaves: tables on the terminal. Run it
from the project's root as ``python -m tests.benchmarks.planted_causes``; start reading at ``trial``.
The whole chain judges the copies: aligning, collecting, deciding.
"""

from __future__ import annotations

import argparse
from bisect import bisect_left
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from tabulate import tabulate

from fidelity.audit import Audit, judge
from fidelity.dossier import Dossier, Survivor
from fidelity.settings import Settings
from fidelity.terms import Phenomenon, Variant
from fidelity.witnesses.folds import load_folds
from tests.planted_errors import mechanisms
from tests.planted_mechanisms import FOLD_PAIRS, MODERN, Edit, PlantedCauses, plant_mechanisms

NOTHING = "-"  # nothing was planted there; or nothing was found there
COPIES, EACH = 5, 20
Outcome = Counter[tuple[str, str]]  # (cause planted, cause given) -> how often


def judged(planted: PlantedCauses) -> Audit:
    """Judge a copy with planted errors; the tables of word forms and of folds are given."""
    survivor = Survivor("V", planted.original, planted.copy)
    folds = load_folds([], FOLD_PAIRS)
    words = tuple(MODERN.items())
    return judge(Dossier(Path(), "", "", folds, (survivor,), (), (), (), Settings(), words=words))


def outcome(planted: PlantedCauses) -> Outcome:
    """Count (cause planted, cause given), each planted error once; what was not planted stands apart.

    An error is judged by the difference found at its place that holds most letters.
    """
    found: Outcome = Counter()
    variants = sorted(judged(planted).variants, key=lambda one: one.original_span)
    starts = [one.original_span[0] for one in variants]
    met: set[int] = set()
    for edit in planted.edits:
        near = range(bisect_left(starts, edit.start - 80), bisect_left(starts, edit.end + 3))
        here = [at for at in near if _touches(variants[at], edit)]
        met |= set(here)
        best = max(here, key=lambda at: _size(variants[at]), default=None)
        found[edit.cause, NOTHING if best is None else _cause(variants[best])] += 1
    found.update((NOTHING, _cause(one)) for at, one in enumerate(variants) if at not in met)
    return found


def _cause(variant: Variant) -> str:
    return "division" if variant.phenomenon is Phenomenon.DIVISION else str(variant.cause)


def _touches(variant: Variant, edit: Edit) -> bool:
    start, end = variant.original_span
    before = 0 if variant.original else len(edit.written)  # of like words which was put in cannot be told
    return start <= edit.end + 1 and end >= edit.start - 1 - before


def _size(variant: Variant) -> int:
    return len(variant.original) + len(variant.copy)


def f1_by_cause(found: Mapping[tuple[str, str], int]) -> dict[str, tuple[float, float, float]]:
    """Give precision, recall and F1 of every cause that was planted, 0-1."""
    scores = {}
    for cause in sorted({planted for planted, _ in found} - {NOTHING}):
        right = found.get((cause, cause), 0)
        given = sum(count for (_, other), count in found.items() if other == cause)
        planted = sum(count for (other, _), count in found.items() if other == cause)
        scores[cause] = (right / max(given, 1), right / planted, 2 * right / (given + planted))
    return scores


def trial(copies: int, each: int, words: int | None = None, seed: int = 1) -> Outcome:
    """Plant and judge so many copies.

    Args:
        copies: how many; each has its own hand and seed.
        each: errors of each mechanism in each copy.
        words: only so many words of the saga.
        seed: of the first copy.
    """
    found: Outcome = Counter()
    for number in range(seed, seed + copies):
        found += outcome(plant_mechanisms(mechanisms(number), each, number, words))
    return found


def matrix(found: Mapping[tuple[str, str], int]) -> str:
    """Give the confusion matrix as lists: each planted cause with what was given for it."""
    rows = []
    for cause, (precision, recall, f1) in f1_by_cause(found).items():
        given = Counter({other: count for (planted, other), count in found.items() if planted == cause})
        told = ", ".join(f"{other} {count}" for other, count in given.most_common())
        rows.append((cause, str(given.total()), f"{precision:.3f}", f"{recall:.3f}", f"{f1:.3f}", told))
    extra = Counter({other: count for (planted, other), count in found.items() if planted == NOTHING})
    rows.append(("nothing", "", "", "", "", ", ".join(f"{one} {n}" for one, n in extra.most_common())))
    return tabulate(rows, ("planted", "number", "precision", "recall", "F1", "given"), disable_numparse=True)


def main() -> None:
    """Print the confusion matrix and F1 by cause."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--copies", type=int, default=COPIES)
    parser.add_argument("--each", type=int, default=EACH, help="errors of each mechanism in a copy")
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    found = trial(asked.copies, asked.each, seed=asked.seed)
    print(matrix(found))
    scores = [f1 for _, _, f1 in f1_by_cause(found).values()]
    print(f"\nmacro-averaged F1 {sum(scores) / len(scores):.3f}, lowest {min(scores):.3f}")


if __name__ == "__main__":
    main()
