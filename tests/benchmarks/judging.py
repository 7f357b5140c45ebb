"""How long it takes to judge aligned survivors: variants, confusions, causes, drift, forecast.

Arrives: sizes in letters. Leaves: a table of seconds by size, beside the alignment's own time, and
whether the time is in proportion to the letters. Run it from the project's root as
``python -m tests.benchmarks.judging``; start reading at ``main``.

Each size is four survivors and a lost text of a quarter as much by one copyist, in pages of 2,000
letters, with two per cent of wrong letters, half of them his own confusions; each is measured in a
process of its own.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import time
from pathlib import Path

from tabulate import tabulate

from fidelity.alignment.align import align_witnesses
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.judge import judge, told_in_full
from fidelity.settings import Settings
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.read import read_witness
from tests.alignment.made_copies import made_texts

SIZES = (125_000, 250_000, 500_000, 1_000_000)
SURVIVORS = 4
LINE, PAGE_LINES = 80, 25  # letters to the line, lines to the page
NOISE = 0.02
TIMES_ALIGNMENT, SECONDS = 5, 10  # what is allowed for a million letters


def dossier_of(letters: int, seed: int = 1) -> Dossier:
    """Make a dossier of so many letters of originals that survive."""
    pairs = made_texts(letters + letters // SURVIVORS, NOISE, SURVIVORS + 1, seed=seed)
    survivors = tuple(
        Survivor(
            f"S{number}",
            read_witness(in_lines(pair.original), siglum=f"S{number}"),
            read_witness(in_lines(pair.copy), siglum="copy"),
        )
        for number, pair in enumerate(pairs[:SURVIVORS], start=1)
    )
    lost = LostText("X", read_witness(in_lines(pairs[-1].copy), siglum="X"))
    return Dossier(Path(), "", "", Folds(), survivors, (lost,), (), (), Settings())


def in_lines(text: str) -> str:
    """Lay a text out in lines and pages."""
    lines: list[str] = []
    line: list[str] = []
    size = 0
    for word in text.split():
        line.append(word)
        size += len(word) + 1
        if size >= LINE:
            lines.append(" ".join(line))
            line, size = [], 0
    lines.append(" ".join(line))
    pages = [lines[at : at + PAGE_LINES] for at in range(0, len(lines), PAGE_LINES)]
    marks = (f"[fol. {number // 2 + 1}{'rv'[number % 2]}]" for number in range(len(pages)))
    return "\n".join(row for mark, page in zip(marks, pages, strict=True) for row in (mark, *page))


def measured(letters: int) -> tuple[float, float, float, int]:
    """Give the seconds of the alignment, of judging without it, of telling habits in full; variants."""
    dossier = dossier_of(letters)
    small = dossier_of(4_000)
    told_in_full(judge(small))  # what is read and prepared once
    start = time.perf_counter()
    for survivor in dossier.survivors:
        align_witnesses(survivor.original, survivor.copy, dossier.folds)
    aligned = time.perf_counter() - start
    start = time.perf_counter()
    found = judge(dossier)
    judged = time.perf_counter() - start - aligned
    start = time.perf_counter()
    told_in_full(found)
    return aligned, judged, time.perf_counter() - start, len(found.variants)


def _one(letters: int) -> None:
    """Measure one size, and print it for the process that asked."""
    aligned, judged, told, variants = measured(letters)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(aligned, judged, told, variants, memory)


def main() -> None:
    """Measure, and print the table."""
    options = argparse.ArgumentParser(description=__doc__.split("\n")[0] if __doc__ else "")
    options.add_argument("--sizes", type=int, nargs="+", default=SIZES, help="letters of the survivors")
    options.add_argument("--one", type=int, help=argparse.SUPPRESS)
    chosen = options.parse_args()
    if chosen.one:
        _one(chosen.one)
        return
    rows = []
    for letters in chosen.sizes:
        command = [sys.executable, "-m", "tests.benchmarks.judging", "--one", str(letters)]
        printed = subprocess.run(command, capture_output=True, text=True, check=True).stdout
        aligned, judged, told, variants, memory = map(float, printed.split()[-5:])
        allowed = (TIMES_ALIGNMENT * aligned + SECONDS) * letters / 1_000_000
        both = judged + told
        rows.append(
            (letters, variants, aligned, judged, told, both / letters * 1e6, allowed, both <= allowed, memory)
        )
    names = (
        "letters",
        "variants",
        "alignment s",
        "judging s",
        "habits s",
        "s per million",
        "allowed s",
        "met",
        "MB",
    )
    print(tabulate(rows, headers=names, floatfmt=",.2f", intfmt=",", disable_numparse=False))


if __name__ == "__main__":
    main()
