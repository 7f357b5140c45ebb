"""Restore the lost texts of one task by the whole program, and score what it proposes.

Arrives: a ``Task`` (``real_sets.py``). Leaves: an ``Outcome``: every proposal judged, letters in error before
and after, time and memory. Start reading at ``outcome``; several outcomes together are told by ``figures``.

The program is shown a dossier, in which the originals of the lost texts are not. They are looked at here
alone, to score.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.audit import audit
from fidelity.confusions.intervals import wilson
from fidelity.copyist.tagging import Tagged, tag_alignment
from fidelity.readings.apply import apply_readings
from fidelity.terms import ProposedReading, Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.candidates_seen import Seen, watched
from tests.benchmarks.real_sets import Task, lay_out
from tests.benchmarks.score_rows import bands_missed
from tests.benchmarks.scoring import LEVELS, SETTLED, SURE, Judged, judged


@dataclass(frozen=True)
class Run:
    """What the program proposed and reckoned up, how long it took in seconds, and its peak memory in MB."""

    readings: tuple[ProposedReading, ...]
    seen: Seen
    seconds: float
    memory: float


@dataclass(frozen=True)
class Outcome:
    """What became of the lost texts of one task.

    Attributes:
        found: the proposals of each text, judged.
        wrong: letters in error before anything is put in.
        left: level -> the same after all proposals of so much are put in.
        seconds, memory: of the audit, peak memory in MB (of its process, if it had one to itself).
    """

    found: tuple[Judged, ...]
    wrong: int
    left: dict[float, int]
    seconds: float
    memory: float


def restore(folder: Path) -> Run:
    """Audit a dossier."""
    start = time.perf_counter()
    with watched() as seen:
        readings = tuple(one for one in audit(folder).readings if one.is_proposal)
    kilobytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss  # bytes on a Mac, kilobytes elsewhere
    per_megabyte = 2**20 if sys.platform == "darwin" else 2**10
    return Run(readings, seen, time.perf_counter() - start, kilobytes / per_megabyte)


def wrong_letters(texts: Sequence[str], truth: Sequence[Witness]) -> int:
    """Add up the edit distances from the originals, in letters."""
    return sum(Levenshtein.distance(text, one.letters) for text, one in zip(texts, truth, strict=True))


def truth_of(copy: Witness, original: Witness) -> Tagged:
    """Give what the original had at each letter of a copy."""
    return tag_alignment(align_witnesses(original, copy), NO_FOLDS)


def outcome(task: Task) -> Outcome:
    """Restore the lost texts of a task and score them; runs well in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        lay_out(task, Path(folder))
        run = restore(Path(folder))
    copies, truth = [read_witness(copy) for copy in task.lost], [read_witness(text) for text in task.truth]
    known = {word for text in _taught(task) for word in read_witness(text).letters.split()}
    if unseen := [copy.letters[:40] for copy in copies if copy.letters not in run.seen]:
        raise AssertionError(f"what is reckoned up can no longer be watched: {unseen[0]}")
    found, put_in = [], {level: list[str]() for level in LEVELS}
    for number, (copy, original) in enumerate(zip(copies, truth, strict=True)):
        own = [one for one in run.readings if one.text == f"L{number:03}"]
        found.append(judged(copy, truth_of(copy, original), own, run.seen[copy.letters], known))
        for level, texts in put_in.items():
            texts.append(read_witness(apply_readings(copy, own, level)[0]).letters)
    return Outcome(
        found=tuple(found),
        wrong=wrong_letters([copy.letters for copy in copies], truth),
        left={level: wrong_letters(texts, truth) for level, texts in put_in.items()},
        seconds=run.seconds,
        memory=run.memory,
    )


def _taught(task: Task) -> list[str]:
    return [*(original for original, _ in task.survivors), *task.references]


def outcomes(tasks: Sequence[Task], jobs: int) -> Iterator[Outcome]:
    """Restore several tasks, so many at a time, each in a fresh process; gives them in order."""
    with ProcessPoolExecutor(jobs, get_context("spawn"), max_tasks_per_child=1) as pool:
        yield from pool.map(outcome, tasks)


@dataclass(frozen=True)
class Summary:
    """The figures of one outcome, or of several taken together.

    Attributes:
        sure, sure_right: proposals at 0.9 or more, letters included, and how many are right.
        low, high: Wilson's 95 % limits of the share that is right; proposals taken for independent.
        restored: share of the wrong words that the proposals at 0.9 set right.
        taken_away: share of the wrong letters that the proposals at 0.5 take away.
        gain_sure, gain_settled: letters in error taken away, less those added, at 0.9 and at 0.5.
        bands_missed: bands of 200 proposals or more whose interval misses what they said.
    """

    sure: int
    sure_right: int
    low: float
    high: float
    restored: float
    taken_away: float
    gain_sure: int
    gain_settled: int
    bands_missed: int

    @property
    def right(self) -> float | None:
        return self.sure_right / self.sure if self.sure else None


def figures(some: Sequence[Outcome]) -> Summary:
    """Take outcomes together: counts are added, shares are of all."""
    found = [text for one in some for text in one.found]
    sure = [right for one in found for said, right in zip(one.said, one.right, strict=True) if said >= SURE]
    low, high = wilson(sum(sure), len(sure))
    wrong = sum(one.wrong for one in some)
    left = {level: sum(one.left[level] for one in some) for level in LEVELS}
    return Summary(
        sure=len(sure),
        sure_right=sum(sure),
        low=low,
        high=high,
        restored=sum(one.restored[LEVELS.index(SURE)] for one in found)
        / max(sum(one.wrong_words for one in found), 1),
        taken_away=1 - left[SETTLED] / max(wrong, 1),
        gain_sure=wrong - left[SURE],
        gain_settled=wrong - left[SETTLED],
        bands_missed=len(bands_missed(found)),
    )


def beside(name: str, value: float, must: float, aim: float | None = None) -> str:
    """Set a figure beside what it must be, and what is aimed at."""
    line = f"{name}: {value:.3f}; must {must}: {met(value >= must)}"
    return line if aim is None else f"{line}, aim {aim}: {met(value >= aim)}"


def met(is_so: bool) -> str:
    """Say whether a figure is what it must be."""
    return "met" if is_so else "NOT met"


Show = Callable[[str], None]
