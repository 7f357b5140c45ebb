"""Write decisions one after the other until the process is killed.

    python -m tests.fuzz.killed_writer FOLDER FIRST LAST

prints "ready", then the number of each decision as soon as it is written. Every third decides the
place of the one before once more, so that an earlier line has to be kept apart.
"""

from __future__ import annotations

import sys
from pathlib import Path

from fidelity.dossier.write_decisions import write_decision
from fidelity.terms.decisions import Decision, Ruling


def decision_of(number: int) -> Decision:
    """Give the decision of this number; its reason is found nowhere else."""
    place = number - 1 if number % 3 == 2 else number
    return Decision("X", f"1.{place}", Ruling.KEPT, "wær", reason=f"no. {number};", when="2024-03-31")


def write(folder: Path, first: int, last: int) -> None:
    """Write the decisions from one number to another, telling of each when it is done."""
    print("ready", flush=True)
    for number in range(first, last + 1):
        write_decision(folder, decision_of(number))
        print(number, flush=True)


if __name__ == "__main__":
    write(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
