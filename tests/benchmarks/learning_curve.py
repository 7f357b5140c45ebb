"""What fewer survivors, or no reference text, make of what is proposed for real copies.

Arrives: the shares of the survivors to learn from, and how often each is drawn. Leaves: one row for each
share on the terminal and, if asked, a JSON file. Run it from the project's root as ``python -m
tests.benchmarks.learning_curve``; start reading at ``main``.

What is learned from is drawn out of the half that the set's protocol learns from (``real_sets.py``): of the
verses, blocks of about fifty that follow one another, of the prints, stretches. The lost half is the same
throughout. Draws of one share are told together. At a twentieth, with a hundred proposals at 0.9 or more,
these are still to be right 85 times in a hundred: the less is known, the less is proposed, but no worse.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict

import numpy as np
from tabulate import tabulate

from tests.benchmarks.random_splits import HEADERS, row
from tests.benchmarks.real_copies import write_json
from tests.benchmarks.real_restoring import Outcome, Show, beside, figures, met, outcomes
from tests.benchmarks.real_sets import RealSet, Task, parser_of_sets, read_options, sets_at_hand

SHARES = (5, 10, 25, 50, 100)  # percent of the survivors
DRAWS = 20  # of the smallest share; larger ones are drawn less often, for they differ less
FEWEST, FEWEST_RIGHT, FEWEST_PROPOSALS = 5, 0.85, 100  # percent; must be right; on so many proposals


def draws_of(share: int, most: int) -> int:
    """Give how often a share is drawn: the smallest ``most`` times, all survivors once."""
    return 1 if share >= 100 else max(round(most * FEWEST / share), 1)


def tasks(one: RealSet, shares: Sequence[int], most: int) -> Iterator[tuple[str, int, Task]]:
    """Give name, share and task of every draw; last, all survivors without reference text."""
    for share in shares:
        for draw in range(1, draws_of(share, most) + 1):
            yield f"{share} %", share, one.fewer(share / 100, np.random.default_rng([draw, share, 6]))
    if one.references:
        for share in sorted({min(shares), max(shares)}):
            for draw in range(1, draws_of(share, most) + 1):
                rng = np.random.default_rng([draw, share, 6])
                yield f"{share} %, no reference", share, one.fewer(share / 100, rng, has_references=False)


def verdict(name: str, found: Sequence[Outcome]) -> list[str]:
    """Set the smallest share beside what it must be."""
    one = figures(found)
    enough = f"{one.sure} proposals at 0.9; must {FEWEST_PROPOSALS}: {met(one.sure >= FEWEST_PROPOSALS)}"
    if one.right is None:
        return [f"{name}: {enough}"]
    limits = f"({one.low:.3f}-{one.high:.3f}, Wilson 95 %)"
    return [f"{name}: {enough}", beside(f"{name}: right at 0.9 {limits}", one.right, FEWEST_RIGHT)]


def main(show: Show = print) -> None:
    """Run the benchmark and show its figures."""
    parser = parser_of_sets(__doc__)
    parser.add_argument("--shares", type=int, nargs="+", default=SHARES, help="of the survivors, in percent")
    parser.add_argument("--draws", type=int, default=DRAWS, help=f"of {FEWEST} %%; of more, fewer")
    parser.add_argument("--jobs", type=int, default=1, help="draws judged at a time, each in a process")
    options = read_options(parser)
    report: dict[str, dict[str, list[dict[str, object]]]] = {}
    for name, one in sets_at_hand(options, show):
        named = list(tasks(one, options.shares, options.draws))
        found: dict[str, list[Outcome]] = {}
        run = outcomes([task for _, _, task in named], options.jobs)
        for (share, _, _), some in zip(named, run, strict=True):
            found.setdefault(share, []).append(some)
            sure = figures([some])
            show(f"{name}, {share}: {sure.sure_right}/{sure.sure} right at 0.9, {some.seconds:.0f} s")
        rows = [row(f"{share} ({len(some)})", figures(some)) for share, some in found.items()]
        headers = ("survivors (draws)", *HEADERS[1:])
        show(f"\n{name}\n" + tabulate(rows, headers=headers, floatfmt=".3f", missingval="-"))
        for share, number in {share: number for share, number, _ in named}.items():
            if number == FEWEST:
                show("\n".join(verdict(share, found[share])))
        report[name] = {share: [asdict(figures([text])) for text in some] for share, some in found.items()}
    write_json(options.json, report)


if __name__ == "__main__":
    main()
