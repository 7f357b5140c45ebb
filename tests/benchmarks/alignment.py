"""How fast and how well made-up copies are aligned, beside two general libraries; one table out.

Arrives: sizes, shares of wrong letters, kinds of text. Leaves: tables on the terminal and, if asked, a
JSON file by which two runs can be compared. Run it from the project's root as
``python -m tests.benchmarks.alignment``; start reading at ``main``. The texts are made by
``tests/alignment/made_copies.py``; each row is measured in a process of its own
(``alignment_runs.py``), ours and the libraries in turn.

The libraries align at unit cost, one letter a side. A score hint is the number of edits that a user
can guess, a quarter above the share of wrong letters asked for: the true number is not known to him.
"""

from __future__ import annotations

import argparse
import json
import os
import platform
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from importlib.metadata import version
from pathlib import Path
from typing import Any

from tabulate import tabulate

from tests.alignment.made_copies import made_pair
from tests.benchmarks.alignment_limits import compared, judged_limits
from tests.benchmarks.alignment_operations import protocol
from tests.benchmarks.alignment_startup import startup

SIZES = (1_000, 10_000, 100_000, 1_000_000, 10_000_000)
NOISE = (2.0, 5.0, 10.0, 20.0)  # per cent of the letters
PEERS = ("rapidfuzz", "rapidfuzz, hint", "edlib path")
PEERS_TO = 1_000_000  # letters; beyond, the libraries take hours or more memory than there is
INTERPRETED_NOISE = 2.0  # per cent at which the interpreted loop is measured too, and no more
LIMIT = 120.0  # seconds after which a library is left out
CODING = "latin-1"  # of the files of made texts
Row = dict[str, Any]


def run_apart(what: str, row: Row, peers: Sequence[str], limit: float, files: Sequence[Path] = ()) -> Row:
    """Measure one row in a process of its own; a process that fails ends the benchmark.

    Raises:
        RuntimeError: the row was to be measured compiled and nothing is, or the other way about.
    """
    case = {
        "letters": row["letters"],
        "noise": row["noise"] / 100,
        "formulaic": row["text"] == "formulaic",
        "peers": list(peers),
        "limit": limit,
    }
    interpreted = ["tests.benchmarks.interpreted"] if row["loop"] == "interpreted" else []
    command = [sys.executable, "-m", *interpreted, "tests.benchmarks.alignment_runs", what, json.dumps(case)]
    done = subprocess.run([*command, *map(str, files)], stdout=subprocess.PIPE, text=True, check=True)
    report: Row = json.loads(done.stdout)
    if bool(report["compiled"]) != (row["loop"] == "compiled"):
        raise RuntimeError(f"asked for the {row['loop']} loop; compiled are: {report['compiled'] or 'none'}")
    figures: Row = report["figures"]
    return figures


def measure_row(row: Row, limit: float, folder: Path) -> Row:
    """Measure time, memory and cost above the full programme for one size, text, noise and loop."""
    peers = [] if row["letters"] > PEERS_TO else list(PEERS)
    if row["loop"] == "interpreted":  # without a hint it is slower by far there, and takes long twice
        peers = [name for name in peers if name != PEERS[0] or row["letters"] <= 10_000]
    pair = made_pair(row["letters"], row["noise"] / 100, formulaic=row["text"] == "formulaic")
    files = [folder / "original.txt", folder / "copy.txt"]
    for file, text in zip(files, (pair.original, pair.copy), strict=True):
        file.write_text(text, encoding=CODING)
    del pair
    found = run_apart("memory", row, [], limit, files)
    return row | {"times": run_apart("times", row, peers, limit)} | found


def wanted_rows(options: argparse.Namespace) -> list[Row]:
    """List what is to be measured, small texts first."""
    kinds = [kind for kind in ("plain", "formulaic") if getattr(options, kind)] or ["plain", "formulaic"]
    rows = []
    for letters in options.sizes:
        for text in kinds:
            for noise in options.noise:
                rows.append({"letters": letters, "text": text, "noise": noise, "loop": "compiled"})
                if noise == INTERPRETED_NOISE and options.interpreted:
                    rows.append(rows[-1] | {"loop": "interpreted"})
    return rows


def shown_row(row: Row) -> list[object]:
    """Put one row into the cells of the table."""
    times: dict[str, Row] = row["times"]
    ours = times["fidelity"]["milliseconds"]
    cells: list[object] = [f"{row['letters']:,}", row["text"], f"{row['noise']:g} %", row["loop"], ours]
    cells += [_time_or_reason(times.get(name)) for name in PEERS]
    for names in (PEERS[:2], PEERS[2:]):
        measured = [times[name]["milliseconds"] for name in names if "milliseconds" in times.get(name, {})]
        cells.append(min(measured) / ours if measured else None)
    cells += [row["extra_mb"], row["result_mb"]]
    cells.append(f"{100 * row['cost_above']:.4f} %")
    return cells


def _time_or_reason(found: Row | None) -> object:
    """Give a median in milliseconds, or why there is none."""
    if found is None:
        return None
    return f"{found['milliseconds']:.2f}" if "milliseconds" in found else found["left_out"]


HEADERS = [
    *("letters", "text", "noise", "loop", "ours ms", "rapidfuzz ms", "with hint ms", "edlib path ms"),
    *("rapidfuzz/ours", "edlib/ours", "extra MB", "of it result MB", "cost above full"),
]


def shown(report: Row) -> str:
    """Give the tables of a run: rows, whole processes, planted operations, limits."""
    parts = [tabulate([shown_row(row) for row in report["rows"]], HEADERS, floatfmt=".2f", missingval="-")]
    for name in ("startup", "operations", "limits"):
        if report[name]:
            parts.append(f"{name}\n" + tabulate(report[name], headers="keys", floatfmt=".3f", missingval="-"))
    return "\n\n".join(parts)


def machine() -> Row:
    """Name the machine and the versions that a figure depends on."""
    names = ("numpy", "rapidfuzz", "edlib", "Cython")
    found = {name: version(name) for name in names}
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    where = {"system": platform.platform(), "cores": cores, "python": platform.python_version()}
    return where | found


def parsed() -> argparse.Namespace:
    """Read the command line."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--sizes", type=int, nargs="*", default=SIZES, help="lengths in letters")
    parser.add_argument("--noise", type=float, nargs="+", default=NOISE, help="per cent of wrong letters")
    parser.add_argument("--plain", action="store_true", help="only running text")
    parser.add_argument("--formulaic", action="store_true", help="only text full of formulas")
    parser.add_argument("--limit", type=float, default=LIMIT, help="seconds a library may take")
    parser.add_argument(
        "--no-interpreted", dest="interpreted", action="store_false", help="leave out the interpreted loop"
    )
    parser.add_argument("--startup", action="store_true", help="measure whole processes too")
    parser.add_argument("--operations", action="store_true", help="the planted operations, 20 seeds, too")
    parser.add_argument("--out", type=Path, help="where to write the figures")
    parser.add_argument("--against", type=Path, help="figures of an earlier run to compare with")
    return parser.parse_args()


def main(show: Callable[[str], None] = print) -> int:
    """Run the benchmark; 1 where a limit that was measured is not met."""
    options = parsed()
    report: Row = {"machine": machine(), "rows": [], "startup": [], "operations": []}
    with tempfile.TemporaryDirectory() as folder:
        for row in wanted_rows(options):
            report["rows"].append(measure_row(row, options.limit, Path(folder)))
            show(tabulate([shown_row(report["rows"][-1])], tablefmt="plain", floatfmt=".2f", missingval="-"))
    if options.startup:
        report["startup"] = startup(interpreted=options.interpreted)
    if options.operations:
        report["operations"] = protocol()
    report["limits"] = judged_limits(report)
    show("\n" + shown(report) + "\n\n" + ", ".join(f"{k} {v}" for k, v in report["machine"].items()))
    if options.against:
        earlier = json.loads(options.against.read_text(encoding="utf-8"))
        show("\nthis run over the earlier one\n" + compared(report, earlier))
    if options.out:
        options.out.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")
    return int(any(limit["met"] == "no" for limit in report["limits"]))


if __name__ == "__main__":
    sys.exit(main())
