"""How well real copies are restored, beside the simple methods: two sets whose originals survive.

Arrives: nothing but the names of sets. Leaves: tables on the terminal and, if asked, a JSON file.
Run it from the project's root as ``python -m tests.benchmarks.real_copies``; start reading at
``main``. The texts are not part of the project: the environment variable FIDELITY_BENCHMARKS names
the folder that holds them, each set in a folder of its own:

- ``parzifal``: ``exemplar.txt`` and ``copy.txt``, verse for verse, and ``exemplar_elsewhere.txt``, more
  of the exemplar. Learned from verses 1-1553; the rest is taken for the copy of a lost original.
- ``prints``: ``original/NNN.txt`` and ``copy/NNN.txt``, stretches of print as one reader took them.
  Learned from the even stretches; the odd ones are taken for lost.

The program runs in a process of its own and is shown a dossier, in which the originals of the lost
texts are not. They are looked at here alone, to score.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from multiprocessing import get_context
from pathlib import Path

from rapidfuzz.distance import Levenshtein
from tabulate import tabulate

from fidelity.alignment.align import align_witnesses
from fidelity.audit import audit
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.model import WordMemory
from fidelity.copyist.tagging import Tagged, tag_alignment
from fidelity.readings.apply import apply_readings
from fidelity.readings.simple import NoisyChannel, learned_channel, nearest_form, remembered
from fidelity.terms import ProposedReading, Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.scoring import Judged, band_rows, brier, judged, level_rows

VARIABLE = "FIDELITY_BENCHMARKS"
BESIDE = Path(__file__).parents[3] / "shared" / "benchmarks"  # where the texts may lie if nothing is named
LEARNED_VERSES = 1553  # of 3,106
SETTLED = 0.5  # what is more probable than not is put in


@dataclass(frozen=True)
class Task:
    """What is learned from, what is to be restored, and, kept apart, the truth.

    Attributes:
        survivors: pairs of original and copy.
        lost: copies of the originals taken for lost.
        references: more text in the originals' language.
        truth: the lost originals, for scoring.
    """

    survivors: Sequence[tuple[str, str]]
    lost: Sequence[str]
    references: Sequence[str]
    truth: Sequence[str]


@dataclass(frozen=True)
class Run:
    """What the program proposed, how long it took in seconds, and its peak memory in MB."""

    readings: tuple[ProposedReading, ...]
    seconds: float
    memory: float


@dataclass(frozen=True)
class Figures:
    """What is reported of one set: rows of three tables, and the figures over all."""

    methods: list[dict[str, str | float]]
    levels: list[dict[str, float | None]]
    bands: list[dict[str, float]]
    brier: float | None
    seconds: float
    memory_mb: float


def parzifal(folder: Path) -> Task:
    """Give the medieval copy: one survivor, one lost text, and the exemplar elsewhere."""
    original, copy = (_read(folder / name).splitlines() for name in ("exemplar.txt", "copy.txt"))
    first, last = slice(None, LEARNED_VERSES), slice(LEARNED_VERSES, None)
    return Task(
        survivors=[("\n".join(original[first]), "\n".join(copy[first]))],
        lost=["\n".join(copy[last])],
        references=[_read(folder / "exemplar_elsewhere.txt")],
        truth=["\n".join(original[last])],
    )


def prints(folder: Path) -> Task:
    """Give the stretches of print: even ones survive, odd ones are lost."""
    files = sorted((folder / "original").glob("*.txt"))
    pairs = [(_read(file), _read(folder / "copy" / file.name)) for file in files]
    odd = [int(file.stem) % 2 == 1 for file in files]
    lost = [pair for pair, is_odd in zip(pairs, odd, strict=True) if is_odd]
    return Task(
        survivors=[pair for pair, is_odd in zip(pairs, odd, strict=True) if not is_odd],
        lost=[copy for _, copy in lost],
        references=[],
        truth=[original for original, _ in lost],
    )


SETS: Mapping[str, Callable[[Path], Task]] = {"parzifal": parzifal, "prints": prints}


def _read(file: Path) -> str:
    return file.read_text(encoding="utf-8")


def lay_out(task: Task, folder: Path) -> None:
    """Write the dossier that the program is shown; nothing of the truth is in it."""
    parts = ['[copyist]\nname = "the copyist"\n']
    for number, (original, copy) in enumerate(task.survivors):
        (folder / f"S{number:03}_original.txt").write_text(original, encoding="utf-8")
        (folder / f"S{number:03}_copy.txt").write_text(copy, encoding="utf-8")
        files = f'original = "S{number:03}_original.txt"\ncopy = "S{number:03}_copy.txt"\n'
        parts.append(f'[[survivor]]\nid = "S{number:03}"\n{files}')
    for number, copy in enumerate(task.lost):
        (folder / f"L{number:03}.txt").write_text(copy, encoding="utf-8")
        parts.append(f'[[lost]]\nid = "L{number:03}"\ncopy = "L{number:03}.txt"\n')
    for number, text in enumerate(task.references):
        (folder / f"R{number:03}.txt").write_text(text, encoding="utf-8")
        parts.append(f'[[reference]]\nfiles = ["R{number:03}.txt"]\n')
    (folder / "dossier.toml").write_text("\n".join(parts), encoding="utf-8")


def restore(folder: Path) -> Run:
    """Audit a dossier; runs in a process of its own, so that its memory is its own."""
    start = time.perf_counter()
    readings = audit(folder).readings
    kilobytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss  # bytes on a Mac, kilobytes elsewhere
    per_megabyte = 2**20 if sys.platform == "darwin" else 2**10
    return Run(readings, time.perf_counter() - start, kilobytes / per_megabyte)


def simple_methods(task: Task) -> dict[str, Callable[[str], str]]:
    """Learn the simple methods from the survivors; each gives a word for a word."""
    witnesses = [(read_witness(original), read_witness(copy)) for original, copy in task.survivors]
    alignments = [align_witnesses(*pair) for pair in witnesses]
    texts = [original.letters for original, _ in witnesses]
    texts += [read_witness(text).letters for text in task.references]
    words = Words(texts, Letters(texts))
    memory = WordMemory(tag_alignment(alignment, NO_FOLDS) for alignment in alignments)
    noisy = NoisyChannel(learned_channel(alignments, NO_FOLDS), words)

    def if_settled(word: str, found: tuple[str, float]) -> str:
        return found[0] if found[1] >= SETTLED else word

    return {
        "as transmitted": lambda word: word,
        "nearest form": lambda word: nearest_form(word, words.counts),
        "word memory": lambda word: if_settled(word, remembered(word, memory)),
        "letter channel": lambda word: if_settled(word, noisy.best(word)),
    }


def put_in(copies: Sequence[Witness], method: Callable[[str], str]) -> list[str]:
    """Restore the copies word by word, each different word once."""
    known = {word: method(word) for word in {word for copy in copies for word in copy.letters.split()}}
    return [" ".join(known[word] for word in copy.letters.split()) for copy in copies]


def wrong_letters(texts: Sequence[str], truth: Sequence[Witness]) -> int:
    """Add up the edit distances from the originals, in letters."""
    return sum(Levenshtein.distance(text, one.letters) for text, one in zip(texts, truth, strict=True))


def proposals_put_in(copies: Sequence[Witness], run: Run) -> list[str]:
    """Put every settled proposal into the copies."""
    found = []
    for number, copy in enumerate(copies):
        own = [one for one in run.readings if one.text == f"L{number:03}"]
        found.append(read_witness(apply_readings(copy, own, SETTLED)[0]).letters)
    return found


def truth_of(copy: Witness, original: Witness) -> Tagged:
    """Give what the original had at each letter of a copy."""
    return tag_alignment(align_witnesses(original, copy), NO_FOLDS)


def measure(task: Task) -> Figures:
    """Restore with every method and score."""
    with tempfile.TemporaryDirectory() as folder:
        lay_out(task, Path(folder))
        with ProcessPoolExecutor(1, get_context("spawn")) as pool:
            run = pool.submit(restore, Path(folder)).result()
    copies, truth = [read_witness(copy) for copy in task.lost], [read_witness(text) for text in task.truth]
    letters = {name: put_in(copies, method) for name, method in simple_methods(task).items()}
    letters["fidelity"] = proposals_put_in(copies, run)
    before = wrong_letters([copy.letters for copy in copies], truth)
    after = {name: wrong_letters(texts, truth) for name, texts in letters.items()}
    found: list[Judged] = []
    for number, (copy, original) in enumerate(zip(copies, truth, strict=True)):
        own = [one for one in run.readings if one.text == f"L{number:03}"]
        found.append(judged(copy, truth_of(copy, original), own))
    methods: list[dict[str, str | float]] = [
        {"method": name, "wrong": before, "left": count, "percent_taken_away": 100 * (1 - count / before)}
        for name, count in after.items()
    ]
    return Figures(methods, level_rows(found), band_rows(found), brier(found), run.seconds, run.memory)


def show_tables(name: str, figures: Figures, show: Callable[[str], None]) -> None:
    """Print the figures of one set."""
    score = "no proposals" if figures.brier is None else f"Brier {figures.brier:.3f}"
    show(f"\n{name}: {figures.seconds:.0f} s, {figures.memory_mb:.0f} MB, {score}")
    for rows in (figures.methods, figures.levels, figures.bands):
        table = [list(row.values()) for row in rows]
        show(tabulate(table, headers=list(rows[0]) if rows else (), floatfmt=".3f", missingval="-") + "\n")


def benchmark_folder() -> Path | None:
    """Find the texts: where the environment says, else beside the project; None where they are not."""
    named = os.environ.get(VARIABLE)
    folder = Path(named) if named else BESIDE
    return folder if folder.is_dir() else None


def asked_for(description: str | None, sets: Iterable[str]) -> argparse.Namespace:
    """Read from the command line which sets are wanted, and where their figures go."""
    parser = argparse.ArgumentParser(description=description, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("sets", nargs="*", help=f"which sets: {', '.join(sets)}; all if none is named")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    unknown = set(options.sets) - set(sets)
    if unknown:
        parser.error(f"no such set: {', '.join(sorted(unknown))}")
    return options


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures."""
    options = asked_for(__doc__, SETS)
    folder = benchmark_folder()
    report: dict[str, Figures] = {}
    for name in options.sets or SETS:
        if folder is None or not (folder / name).is_dir():
            show(f"{name}: skipped, its texts are not there; {VARIABLE} must name the folder that holds them")
            continue
        report[name] = measure(SETS[name](folder / name))
        show_tables(name, report[name], show)
    if options.json:
        options.json.write_text(
            json.dumps({name: asdict(one) for name, one in report.items()}, indent=2) + "\n", encoding="utf-8"
        )


if __name__ == "__main__":
    main()
