"""What is measured of the alignment in a process of its own: time, memory, cost above the full programme's.

Arrives: on the command line what to measure and a case as JSON. Leaves: the figures as JSON on the
terminal. ``alignment.py`` runs it; start reading at ``times`` and ``memory_and_gap``. Whether the inner
loop is compiled depends on how the process was started (``interpreted.py``).
"""

from __future__ import annotations

import json
import resource
import statistics
import sys
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import edlib
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.check import check_alignment
from fidelity.terms import Witness
from tests.alignment.made_copies import made_pair
from tests.benchmarks.interpreted import compiled_modules

MOST_RUNS = 15  # of a method that takes next to no time
LEAST_RUNS, PATIENCE = 3, 15.0  # so many runs, unless one of them takes so many seconds
BUDGET = 20.0  # seconds for further runs of one method
HINT_MARGIN = 1.25  # a user guesses the share of wrong letters; a quarter more was the fastest hint at 100k
WARM_UP = 100_000  # letters; from here on a tenth of the text warms up, below the whole
SYMBOLS = 256  # edlib takes no more different letters, both texts together
OURS, PLAIN, HINTED, EDLIB = "fidelity", "rapidfuzz", "rapidfuzz, hint", "edlib path"
Method = Callable[[str, str], object]


@dataclass(frozen=True)
class Case:
    """One pair of texts, and who is to align it.

    Attributes:
        letters, noise, formulaic: as in ``made_pair``.
        peers: names of the libraries measured beside.
        limit: seconds; a library that would take longer is left out.
    """

    letters: int
    noise: float
    formulaic: bool
    peers: tuple[str, ...] = ()
    limit: float = 120.0


def _methods(case: Case) -> dict[str, Method]:
    """Give what can align a pair of texts, each in the same form."""

    def ours(original: str, copy: str) -> object:
        return align_witnesses(Witness("O", original), Witness("C", copy))

    def hinted(original: str, copy: str) -> object:
        hint = round(HINT_MARGIN * case.noise * len(original))
        return Levenshtein.editops(original, copy, score_hint=hint)

    known: dict[str, Method] = {
        PLAIN: Levenshtein.editops,
        HINTED: hinted,
        EDLIB: lambda original, copy: edlib.align(original, copy, task="path"),
    }
    return {OURS: ours} | {name: known[name] for name in case.peers}


def times(case: Case) -> dict[str, dict[str, float | int | str]]:
    """Time each method in turn, round after round.

    Returns:
        For each method the median in milliseconds and the number of runs, or why it was left out.
    """
    pair = made_pair(case.letters, case.noise, formulaic=case.formulaic)
    methods = _methods(case)
    found: dict[str, dict[str, float | int | str]] = {}
    for name, method in list(methods.items()):
        too_long = _warm_up(name, method, pair.original, pair.copy, case.limit)
        if too_long:
            found[name] = {"left_out": too_long}
            del methods[name]
    calls = {name: _call(name, method, pair.original, pair.copy) for name, method in methods.items()}
    taken = interleaved(calls)
    for name, seconds in taken.items():
        found[name] = {"milliseconds": 1000 * statistics.median(seconds), "runs": len(seconds)}
    return found


def _call(name: str, method: Method, original: str, copy: str) -> Callable[[], object]:
    """Give a call without arguments; the witnesses of our own are made beforehand."""
    if name == OURS:
        witnesses = Witness("O", original), Witness("C", copy)
        return lambda: align_witnesses(*witnesses)
    return lambda: method(original, copy)


def interleaved(calls: Mapping[str, Callable[[], object]]) -> dict[str, list[float]]:
    """Run each call in turn, round after round, and give the seconds of each run."""
    taken: dict[str, list[float]] = {name: [] for name in calls}
    for _ in range(MOST_RUNS):
        for name, call in calls.items():
            before = taken[name]
            last = before[-1] if before else 0.0
            few = len(before) < LEAST_RUNS and last <= PATIENCE
            if before and not few and sum(before) + last > BUDGET:
                continue
            start = time.perf_counter()
            result = call()
            before.append(time.perf_counter() - start)
            del result
    return taken


def _warm_up(name: str, method: Method, original: str, copy: str, limit: float) -> str:
    """Warm a method up on a part of the texts; say so if the whole would take too long."""
    if name == EDLIB and len(set(original + copy)) > SYMBOLS:
        return f"over {SYMBOLS} letters"
    share = 10 if len(original) >= WARM_UP else 1
    start = time.perf_counter()
    method(original[: len(original) // share], copy[: len(copy) // share])
    seconds = time.perf_counter() - start
    whole = seconds * share**2  # the libraries' cost grows as the square, ours in proportion
    if name == OURS or share == 1 or whole <= limit:
        return ""
    return f"over {limit:.0f} s (about {whole:.0f})"


def memory_and_gap(case: Case, original_file: str, copy_file: str) -> dict[str, float]:
    """Measure what an alignment needs above its texts, then what it costs above the full programme.

    The texts are read from files, since making them would leave its own peak behind.

    Returns:
        ``extra_mb``: peak of the whole process less what it held before the call, with imports,
        texts and a first small alignment done; ``result_mb``: the table of steps, part of that;
        ``cost_above``: share by which sampled stretches cost more than the full programme's
        alignment of them, 0 where there is no difference; ``checked_letters``: letters in them.
    """
    warm = made_pair(2_000, case.noise, formulaic=case.formulaic)
    align_witnesses(Witness("O", warm.original), Witness("C", warm.copy))
    original, copy = (Witness(file, _read(file)) for file in (original_file, copy_file))
    before = _held_now()
    alignment = align_witnesses(original, copy)
    found: dict[str, float] = {
        "extra_mb": max(_peak() - before, 0.0),  # the system counts the two apart, to within 0.5 MB
        "result_mb": alignment.steps.nbytes / 2**20,
        "steps": len(alignment.steps),
        "rounds": alignment.rounds,
        "cost": alignment.cost,
    }
    check = check_alignment(alignment)
    return found | {"cost_above": check.excess, "checked_letters": check.letters}


def _read(file: str) -> str:
    """Read a text without more room than its bytes and its letters."""
    return Path(file).read_bytes().decode("latin-1")


def _peak() -> float:
    """Give the most memory this process ever held, in MB."""
    status = Path("/proc/self/status")
    if status.exists():  # a process begins with the peak of the one that started it; not so this figure
        peak = next(line for line in status.read_text().splitlines() if line.startswith("VmHWM"))
        return int(peak.split()[1]) / 2**10
    per_megabyte = 2**20 if sys.platform == "darwin" else 2**10  # bytes on a Mac, kilobytes elsewhere
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / per_megabyte


def _held_now() -> float:
    """Give the memory this process holds, in MB; its peak where the system does not tell."""
    status = Path("/proc/self/statm")
    if not status.exists():
        return _peak()
    return int(status.read_text().split()[1]) * resource.getpagesize() / 2**20


def main() -> None:
    """Measure what the command line says and print the figures, with what was compiled."""
    what, case, *files = sys.argv[1:]
    wanted = Case(**json.loads(case))
    found = times(wanted) if what == "times" else memory_and_gap(wanted, *files)
    print(json.dumps({"compiled": compiled_modules(), "figures": found}))


if __name__ == "__main__":
    main()
