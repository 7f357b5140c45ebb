"""How fast lost texts are restored, and in how much memory, as they grow.

Arrives: nothing but the names of sets, those of ``real_sets.py``. Leaves: tables on the terminal and, if
asked, a JSON file. Run it from the project's root as ``python -m tests.benchmarks.restoring``; as
``python -m tests.benchmarks.interpreted tests.benchmarks.restoring`` it measures what a user without a
compiler has. Start reading at ``main``.

The model is learned first and laid out; that is not counted. Then the lost copies are restored, every
reading and letter with its features: once, twice over and four times over. Memory is what Python asks for
beyond what was there before (``tracemalloc``), in a run of its own. For scale, in the same run, rapidfuzz
compares every different word of the lost copies with the list of words, up to three letters apart, which
finds no reading and no probability. Seconds are of the processor, one core; the shortest of three runs.
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
import time
import tracemalloc
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
from rapidfuzz.distance import Levenshtein
from rapidfuzz.process import cdist
from tabulate import tabulate

from fidelity.audit import audit, learner_of
from fidelity.copyist.model import Model
from fidelity.judge import judge, told_in_full
from fidelity.readings.candidates import candidates_of
from fidelity.readings.known import COMPILED
from fidelity.readings.lattice import Restorer
from tests.benchmarks.real_sets import Task, by_protocol, lay_out, parser_of_sets, read_options, sets_at_hand

Copy = tuple[str, tuple[int, ...]]  # letters, folded, and where the lines begin
TIMES = (1, 2, 4)  # how often the lost text is restored
RUNS = 3  # of which the shortest counts
APART = 3  # letters, in the comparison with the list of words


@dataclass(frozen=True)
class Speed:
    """Restoring a lost text of so many letters: seconds, letters in a second, MB beyond the model."""

    letters: int
    seconds: float
    letters_per_second: float
    memory_mb: float


@dataclass(frozen=True)
class Measured:
    """What is reported of one set.

    Attributes:
        loop: whether the loop is compiled.
        learned: seconds for learning the model from all survivors.
        laid_out: seconds for laying it out in arrays.
        speeds: of restoring, as the lost text grows.
        compared: seconds for comparing ``words`` different words with ``known`` ones.
    """

    loop: str
    learned: float
    laid_out: float
    speeds: list[Speed]
    compared: float
    words: int
    known: int


def seconds(work: Callable[[], object], runs: int = RUNS) -> float:
    """Give the processor seconds a piece of work takes, the shortest of several runs."""
    taken = []
    for _ in range(runs):
        start = time.process_time()
        work()
        taken.append(time.process_time() - start)
    return min(taken)


def learned(task: Task) -> tuple[Model, list[Copy], int, float]:
    """Learn the model from all survivors; give also the lost copies, the beam and the seconds it took."""
    with tempfile.TemporaryDirectory() as folder:
        lay_out(task, Path(folder))
        found = told_in_full(judge(Path(folder), lambda _: None))
    learner, dossier = learner_of(found), found.dossier
    start = time.process_time()
    model = learner.model_of(learner.tagged)
    taken = time.process_time() - start
    copies = [(dossier.folds.fold(text.copy.letters), text.copy.lines) for text in dossier.lost]
    return model, copies, learner.beam, taken


def repeated(copies: Sequence[Copy], times: int) -> list[Copy]:
    """Let every text go on from its beginning, so many times in all."""
    longer = []
    for letters, lines in copies:
        whole = " ".join([letters] * times)
        starts = tuple(start + at * (len(letters) + 1) for at in range(times) for start in lines)
        longer.append((whole, starts))
    return longer


def restore(copies: Sequence[Copy], model: Model, beam: int) -> int:
    """Restore every text; give the number of candidates, and keep nothing."""
    return sum(
        len(unit.words) + len(unit.letters)
        for letters, lines in copies
        for unit in candidates_of(letters, lines, model, beam)
    )


def memory_mb(work: Callable[[], object]) -> float:
    """Give the most memory a piece of work had at a time, beyond what was there, in MB."""
    tracemalloc.start()
    work()
    _, most = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    return most / 2**20


def measure(task: Task) -> Measured:
    """Restore the lost texts of one set once, twice and four times over."""
    model, copies, beam, taken = learned(task)
    laid_out = seconds(lambda: Restorer(model, beam), runs=1)
    speeds = []
    for times in TIMES:
        longer = repeated(copies, times)
        letters = sum(len(text) for text, _ in longer)
        spent = seconds(lambda longer=longer: restore(longer, model, beam))  # type: ignore[misc]
        memory = memory_mb(lambda longer=longer: restore(longer, model, beam))  # type: ignore[misc]
        speeds.append(Speed(letters, spent, letters / spent, memory))
    words = sorted({word for text, _ in copies for word in text.split()})
    known = sorted(model.words.counts)
    compared = seconds(
        lambda: cdist(
            words, known, scorer=Levenshtein.distance, score_cutoff=APART, dtype=np.uint8, workers=1
        )
    )
    loop = "compiled" if COMPILED else "interpreted"
    return Measured(loop, taken, laid_out, speeds, compared, len(words), len(known))


def audited(task: Task, show: Callable[[str], None]) -> None:
    """Audit the whole dossier in this process, and say how long it took and what was the most memory."""
    with tempfile.TemporaryDirectory() as folder:
        lay_out(task, Path(folder))
        start, processor = time.perf_counter(), time.process_time()
        audit(Path(folder))
        taken, spent = time.perf_counter() - start, time.process_time() - processor
    per_megabyte = 2**20 if sys.platform == "darwin" else 2**10  # bytes on a Mac, kilobytes elsewhere
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / per_megabyte
    show(f"audit: {spent:.1f} s of the processor, {taken:.1f} s by the clock, {most:.0f} MB at most so far")


def show_tables(name: str, found: Measured, show: Callable[[str], None]) -> None:
    """Print the figures of one set."""
    show(f"\n{name}, loop {found.loop}; learned in {found.learned:.2f} s, laid out in {found.laid_out:.2f} s")
    rows = [list(asdict(speed).values()) for speed in found.speeds]
    show(tabulate(rows, headers=["letters", "seconds", "letters/s", "MB more"], floatfmt=",.2f", intfmt=","))
    words = f"{found.words:,} words with {found.known:,}"
    show(f"rapidfuzz, {words}, at most {APART} letters apart: {found.compared:.2f} s")


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures."""
    options = read_options(parser_of_sets(__doc__))
    report: dict[str, Measured] = {}
    for name, one in sets_at_hand(options, show):
        task = by_protocol(one)
        audited(task, show)
        report[name] = measure(task)
        show_tables(name, report[name], show)
    if options.json:
        figures = {name: asdict(one) for name, one in report.items()}
        options.json.write_text(json.dumps(figures, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
