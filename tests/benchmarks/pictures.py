"""What the pictures of an audit cost, beside an empty plot of matplotlib saved in the same four ways.

Run ``python -m tests.benchmarks.pictures``; it judges the long demo first. Times are of one core
(``process_time``), the least of five; a ratio of 1 says that a picture takes no longer than an empty plot.
"""

from __future__ import annotations

import io
import time
from collections.abc import Callable

from tabulate import tabulate

import fidelity
from fidelity.apparatus.pictures.of_audit import pictures_of
from fidelity.apparatus.pictures.picture import DOTS_PER_INCH
from fidelity.apparatus.pictures.sheet import PRINT, SCREEN, drawing_on
from fidelity.witnesses.data import data_folder

ROUNDS = 5


def least(done: Callable[[], object]) -> float:
    """Give the seconds of one core that something takes, the least of some rounds."""
    taken = []
    for _ in range(ROUNDS):
        begun = time.process_time()
        done()
        taken.append(time.process_time() - begun)
    return min(taken)


def empty_plots() -> None:
    """Save an empty plot for the page, and one for print in three formats, with matplotlib alone."""
    from matplotlib.figure import Figure

    for sheet, kinds in ((SCREEN, ("svg",)), (PRINT, ("svg", "pdf", "png"))):
        with drawing_on(sheet):
            figure = Figure(figsize=(sheet.width / 72, sheet.width / 72))
            figure.add_subplot().set_xlabel("nothing")
            for kind in kinds:
                figure.savefig(io.BytesIO(), format=kind, dpi=DOTS_PER_INCH)


def main() -> None:
    """Print the table."""
    audit = fidelity.audit(data_folder("demo_pairs") / "wickenby_long")
    empty_plots()  # what is imported and read once counts for neither
    empty = least(empty_plots)
    rows: list[tuple[str, float, float, float]] = []
    for one in pictures_of(audit):
        page, files = least(one.inline), least(one.files)
        rows.append((one.name, page, files, (page + files) / empty))
    rows.append(("all", sum(row[1] for row in rows), sum(row[2] for row in rows), float("nan")))
    print(tabulate(rows, headers=("picture", "page, s", "files, s", "empty plots"), floatfmt=".2f"))


if __name__ == "__main__":
    main()
