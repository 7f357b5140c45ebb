"""What copyists teach about proposals, to calibrate others: makes ``fidelity/readings/experience.py``.

Arrives: the numbers of simulated copyists; the halves of the real sets that are learned from, where they
are at hand. Leaves: the module, on the terminal or in a file. Run it from the project's root as ``python -m
tests.benchmarks.experience --write fidelity/readings/experience.py`` whenever features or the model change;
start reading at ``main``.

Each of these copyists is judged by his survivors held out in turn, of the real ones also parts of a
twentieth, a tenth and a quarter, drawn at random, since few survivors teach less and are believed too
much. One regression is fitted to all their candidates. Each copyist counts for as much as any other,
however many candidates he gave.
"""

from __future__ import annotations

import argparse
import tempfile
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import numpy as np

from fidelity.audit import hold_out_survivors, judge, learner_of
from fidelity.dossier import Dossier, read_dossier
from fidelity.readings.calibrate import Experience, design, fitted
from fidelity.readings.calibrating import Calibrating, Judgements, Sort
from tests.benchmarks.plain_copies import dossier_of
from tests.benchmarks.real_sets import SETS, Task, benchmark_folder, lay_out
from tests.planted_plain import plain_copies

FIRST, LAST = 101, 112  # copyists; 1 to 20 are kept for measuring
SHARES, DRAWS = (5, 10, 25), 3  # per cent of a real set's survivors; a draw in three has no reference text
AS_MANY = 400.0  # candidates that each dossier counts for at most
FIRMNESS = 1.0  # of the prior towards nothing
DIGITS = 4
Cases = tuple[str, int, int]  # name, share in per cent (or seed), draw


def cases(first: int, last: int) -> Iterator[Cases]:
    """Name the dossiers that are learned from."""
    for seed in range(first, last + 1):
        yield "none", seed, 0
        yield "text", seed, 0
    folder = benchmark_folder()
    for name in SETS:
        if folder is not None and (folder / name).is_dir():
            yield name, 100, 0
            yield from ((name, share, draw) for share in SHARES for draw in range(DRAWS))


def judgements(case: Cases) -> dict[Sort, Judgements]:
    """Hold the survivors of one dossier out in turn and judge what is proposed on them."""
    name, number, draw = case
    if name not in SETS:
        dossier = replace(dossier_of(plain_copies(number), name), lost=())
    else:
        folder = benchmark_folder()
        if folder is None:
            raise FileNotFoundError(name)
        rng = np.random.default_rng([number, draw])
        task = SETS[name](folder / name).fewer(number / 100, rng, has_references=draw != 1)
        dossier = _of_real_set(replace(task, lost=[], truth=[]))
    found = judge(dossier)
    held = hold_out_survivors(found, learner_of(found), lambda _: None)
    calibrating = Calibrating(held, experiences={})
    return {sort: calibrating.asked(sort, frozenset()) for sort in Sort}


def _of_real_set(task: Task) -> Dossier:
    with tempfile.TemporaryDirectory() as folder:
        lay_out(task, Path(folder))
        return read_dossier(Path(folder))


def pooled(some: Sequence[Judgements]) -> Experience:
    """Fit one regression to the candidates of all dossiers."""
    x = np.concatenate([one.features for one in some])
    y = np.concatenate([one.right for one in some]).astype(float)
    weights = np.concatenate([one.weights * min(1.0, AS_MANY / one.weights.sum()) for one in some])
    centres = np.average(x, axis=0, weights=weights)
    spread = np.sqrt(np.average((x - centres) ** 2, axis=0, weights=weights))
    scales = np.where(spread > 1e-6, spread, 1.0)
    table = design(x, centres, scales)
    nothing = np.zeros(table.shape[1])
    constant, *rest = fitted(table, y, nothing, weights, np.full(len(nothing), FIRMNESS)).tolist()
    width = len(centres)
    columns = [centres.tolist(), scales.tolist(), rest[:width], rest[width:]]
    return Experience(round(constant, DIGITS), *(tuple(round(n, DIGITS) for n in one) for one in columns))


def printed(experiences: dict[Sort, Experience], counts: dict[Sort, int], names: int) -> str:
    """Print the module."""
    lines = [
        '"""What held-out candidates of other copyists taught: where the calibration starts from.',
        "",
        "Made by ``python -m tests.benchmarks.experience``, which says of whom; not to be edited by hand.",
        "Features stand in the order of ``features.py``.",
        '"""',
        "",
        "from __future__ import annotations",
        "",
        "from fidelity.readings.calibrate import Experience",
        "",
        f"# Of {names} dossiers: {', '.join(f'{count:,} {sort.value}s' for sort, count in counts.items())}.",
    ]
    for sort, one in experiences.items():
        lines.append(f"{sort.name}S = Experience(")
        lines.append(f"    constant={one.constant},")
        for name in ("centres", "scales", "slopes", "bends"):
            lines += [f"    {name}=(", *(f"        {number}," for number in getattr(one, name)), "    ),"]
        lines.append(")")
    return "\n".join(lines) + "\n"


def main(show: Callable[[str], None] = print) -> None:
    """Learn the experience and print it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seeds", nargs=2, type=int, default=(FIRST, LAST), metavar=("FROM", "TO"))
    parser.add_argument("--jobs", type=int, default=2, help="processes at a time")
    parser.add_argument("--write", type=Path, help="the module to write; else it is printed")
    options = parser.parse_args()
    names = list(cases(*options.seeds))
    found: dict[Sort, list[Judgements]] = {sort: [] for sort in Sort}
    with ProcessPoolExecutor(options.jobs, get_context("spawn")) as pool:
        for judged in pool.map(judgements, names):
            for sort, one in judged.items():
                if len(one.right):
                    found[sort].append(one)
    counts = {sort: sum(len(one.right) for one in some) for sort, some in found.items()}
    text = printed({sort: pooled(some) for sort, some in found.items()}, counts, len(names))
    if options.write:
        options.write.write_text(text, encoding="utf-8")
    else:
        show(text)


if __name__ == "__main__":
    main()
