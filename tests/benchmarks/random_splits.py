"""Whether putting in what is proposed pays, however the real copies fall into survivors and lost texts.

Arrives: the number of splits. Leaves: one row for each on the terminal and, if asked, a JSON file. Run it
from the project's root as ``python -m tests.benchmarks.random_splits``; start reading at ``main``.

Each split draws half of a set to learn from and takes the other for lost: of the verses, blocks of about
fifty that follow one another (``real_sets.py``), of the prints, stretches. The dossier is audited with
default settings. In each split, the letters in error that the proposals at 0.9 take away must be more than
those they add.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np
from tabulate import tabulate

from tests.benchmarks.real_copies import write_json
from tests.benchmarks.real_restoring import Outcome, Show, Summary, figures, met, outcomes
from tests.benchmarks.real_sets import RealSet, Task, parser_of_sets, read_options, sets_at_hand
from tests.benchmarks.score_rows import band_rows, show_rows

SPLITS = 20
HEADERS = (
    "split", "at 0.9", "right", "share right", "low", "high", "restored", "taken away at 0.5", "gain 0.9",
    "gain 0.5", "bands missed",
)  # fmt: skip


def splits(one: RealSet, numbers: Sequence[int]) -> list[Task]:
    """Draw the splits with these numbers; the same number gives the same split."""
    return [one.split(np.random.default_rng([number, 5])) for number in numbers]


def row(name: str, one: Summary) -> list[Any]:
    """Give the figures of one split, or of all."""
    return [
        name, one.sure, one.sure_right, one.right, one.low, one.high, one.restored, one.taken_away,
        one.gain_sure, one.gain_settled, one.bands_missed,
    ]  # fmt: skip


def verdict(found: Sequence[Outcome]) -> str:
    """Say in how many splits nothing is gained."""
    gains = [figures([one]).gain_sure for one in found]
    losing = sum(gain <= 0 for gain in gains)
    return (
        f"net gain at 0.9 in each of {len(gains)} splits, in letters: least {min(gains)}; "
        f"must be above zero: {met(not losing)} ({losing} are not)"
    )


def main(show: Show = print) -> None:
    """Run the benchmark and show its figures."""
    parser = parser_of_sets(__doc__)
    parser.add_argument("--splits", type=int, default=SPLITS, help="how many")
    parser.add_argument("--seed", type=int, default=1, help="number of the first; the others follow")
    parser.add_argument("--jobs", type=int, default=1, help="splits judged at a time, each in a process")
    options = read_options(parser)
    numbers = range(options.seed, options.seed + options.splits)
    report: dict[str, list[dict[str, object]]] = {}
    for name, one in sets_at_hand(options, show):
        found = []
        for number, found_one in zip(numbers, outcomes(splits(one, numbers), options.jobs), strict=True):
            found.append(found_one)
            gain = figures([found_one]).gain_sure
            show(f"{name}, split {number}: gain at 0.9 {gain}, {found_one.seconds:.0f} s")
        rows = [row(str(number), figures([some])) for number, some in zip(numbers, found, strict=True)]
        rows.append(row("all", figures(found)))
        show(f"\n{name}\n" + tabulate(rows, headers=HEADERS, floatfmt=".3f", missingval="-"))
        show(verdict(found) + "\n")
        show_rows(band_rows([text for some in found for text in some.found]), show)
        report[name] = [asdict(figures([some])) for some in found]
    write_json(options.json, report)


if __name__ == "__main__":
    main()
