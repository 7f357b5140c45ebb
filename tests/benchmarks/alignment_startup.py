"""How long whole processes of the program take beside a Python that does nothing.

Arrives: nothing. Leaves: rows of medians and ratios. Start reading at ``startup``.

Processes may keep compiled modules, as those of an installed program are kept, even where the
environment forbids it: the compiling of all sources anew, each time, is not what is measured.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path
from textwrap import wrap
from typing import Any

from tests.alignment.made_copies import made_pair

TIMES = 7
LETTERS, NOISE = 10_000, 0.02  # of the two files that are compared
LINE = 60  # letters; any will do
BARE = "python -c pass"


def _commands(folder: Path, interpreted: bool) -> dict[str, list[str]]:
    """Give the commands by the name they are reported under."""
    pair = made_pair(LETTERS, NOISE)
    files = [folder / "original.txt", folder / "copy.txt"]
    for file, text in zip(files, (pair.original, pair.copy), strict=True):
        file.write_text("\n".join(wrap(text, LINE)) + "\n", encoding="utf-8")
    compare = ["compare", *map(str, files)]
    installed = Path(sys.executable).with_name("fidelity")
    fidelity = [str(installed)] if installed.exists() else [sys.executable, "-m", "fidelity"]
    commands = {
        BARE: [sys.executable, "-c", "pass"],
        "fidelity --help": [*fidelity, "--help"],
        "fidelity compare": [*fidelity, *compare],
    }
    if interpreted:
        plain = [sys.executable, "-m", "tests.benchmarks.interpreted", "fidelity"]
        commands["fidelity --help, interpreted"] = [*plain, "--help"]
        commands["fidelity compare, interpreted"] = [*plain, *compare]
    return commands


def seconds_of(command: Sequence[str]) -> float:
    """Give the seconds a whole process takes; one that fails ends the benchmark."""
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    subprocess.run(command, stdout=subprocess.DEVNULL, check=True, env=environment)
    return time.perf_counter() - start


def startup(*, interpreted: bool = True) -> list[dict[str, Any]]:
    """Time each command in turn, after one round to warm the file cache and to compile what is imported.

    Args:
        interpreted: whether to time the same without the compiled loop too.

    Returns:
        A row for each command: median in milliseconds, and over that of a bare Python.
    """
    with tempfile.TemporaryDirectory() as folder:
        commands = _commands(Path(folder), interpreted)
        taken: dict[str, list[float]] = {name: [] for name in commands}
        for number in range(TIMES + 1):
            for name, command in commands.items():
                seconds = seconds_of(command)
                if number:
                    taken[name].append(seconds)
    bare = statistics.median(taken[BARE])
    medians = {name: statistics.median(seconds) for name, seconds in taken.items()}
    return [
        {"process": name, "milliseconds": 1000 * median, "over_bare": median / bare}
        for name, median in medians.items()
    ]
