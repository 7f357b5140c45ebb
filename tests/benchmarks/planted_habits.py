"""How well planted habits are found: 200 copies of the Völsunga saga, pages alike and unlike.

Arrives: the number of copies. Leaves: a table on the terminal and, if asked, a JSON file. Run it from
the project's root as ``python -m tests.benchmarks.planted_habits``; start reading at ``trial``. The whole
chain has to find the habits: reading, aligning, judging the differences, counting, measuring.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable
from pathlib import Path

from tabulate import tabulate

from tests.planted import SLIP_RATE, confusions_of, plant, random_habits, saga_lines

COPIES = 200
KINDS = {  # habits planted, slip rate, how many times the rate of good pages bad pages have
    "pages alike": (True, SLIP_RATE, 1.0),
    "bad pages 2x": (True, SLIP_RATE, 2.0),
    "bad pages 4x": (True, SLIP_RATE, 4.0),
    "slips 1 %": (True, 5 * SLIP_RATE, 1.0),
    "slips only": (False, SLIP_RATE, 1.0),
}
AIMS = {
    "all_five_found": "at least 0.95",
    "false_share": "at most 0.07",
    "coverage": "0.93-0.97 with pages alike, at least 0.92 with bad pages 2x",
}


def trial(copies: int, with_habits: bool, slip_rate: float, page_spread: float) -> dict[str, float]:
    """Plant and look for habits in so many copies.

    Args:
        copies: how many; each has its own seed.
        with_habits: whether five habits of 1-5 % are planted, or slips alone.
        slip_rate: share of letters that slip.
        page_spread: how many times the rate of good pages bad pages have.

    Returns:
        Share of copies in which all planted habits are systematic, mean share of false ones among
        the systematic (0 where there are none), share of copies with any false one, and share of
        the intervals that hold the true rate. All 0-1.
    """
    lines = saga_lines()
    complete = with_false = held = planted_in_all = 0
    false_shares = 0.0
    for seed in range(copies):
        habits = random_habits(lines, seed) if with_habits else {}
        original, copy, planted = plant(lines, habits, slip_rate, seed, page_spread=page_spread)
        found = {(one.original, one.copy): one for one in confusions_of(original, copy)}
        systematic = {pair for pair, confusion in found.items() if confusion.systematic}
        false = systematic - set(habits)
        complete += set(habits) <= systematic
        with_false += bool(false)
        false_shares += len(false) / max(len(systematic), 1)
        planted_in_all += len(habits)
        limits = {pair: (found[pair].low, found[pair].high) for pair in habits if pair in found}
        held += sum(low <= planted.rates[pair] <= high for pair, (low, high) in limits.items())
    figures = {"false_share": false_shares / copies, "copies_with_false": with_false / copies}
    if with_habits:
        figures |= {"all_five_found": complete / copies, "coverage": held / planted_in_all}
    return figures


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures beside the aims."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--copies", type=int, default=COPIES, help="how many copies of each kind")
    parser.add_argument("--kind", choices=KINDS, action="append", help="only these kinds of copies")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    figures = {kind: trial(options.copies, *KINDS[kind]) for kind in options.kind or KINDS}
    columns = ["all_five_found", "false_share", "copies_with_false", "coverage"]
    rows = [[kind, *(found.get(column) for column in columns)] for kind, found in figures.items()]
    show(tabulate(rows, headers=["", *columns], floatfmt=".4f", missingval="-"))
    show("\n".join(f"aim: {column} {aim}" for column, aim in AIMS.items()))
    if options.json:
        report = {"copies": options.copies, "aims": AIMS, "figures": figures}
        options.json.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
