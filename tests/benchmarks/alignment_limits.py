"""What was promised of the alignment, each figure with its limit and whether it is met.

Arrives: the report of a run of ``alignment.py``. Leaves: a row for each promise that the run measured.
Start reading at ``judged_limits``; two runs are compared by ``compared``.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tabulate import tabulate

Row = dict[str, Any]
# size, library, least ratio of its time to ours: compiled, interpreted
FASTER = (
    (100_000, "rapidfuzz", 1.5, 1 / 6),
    (100_000, "edlib", 5.0, 1 / 1.5),
    (1_000_000, "rapidfuzz", 12.0, 1.0),
    (1_000_000, "edlib", 40.0, 4.0),
)
SPEED_NOISE = 2.0  # per cent
GROWTH = 11.0  # time for ten million letters over that for one million
MEMORY_MB = 100.0  # extra over the texts; the table of steps, which is the result, is not counted
COST_ABOVE = {2.0: 0.0, 5.0: 0.0, 10.0: 0.001, 20.0: 0.001}  # share, by per cent of wrong letters
SAME_COST = 1e-9  # share; sums of the same costs in another order differ by less
# whole processes over a bare Python
PROCESSES = {
    "fidelity --help": 6.0,
    "fidelity --help, interpreted": 6.0,
    "fidelity compare": 15.0,
    "fidelity compare, interpreted": 20.0,
}
OPERATIONS_FOUND = {100_000: 11.0, 10_000: 6.0}  # of 13, on average, by letters
FALSE_OPERATIONS = {100_000: 0.5}  # at most, on average
PEERS = {"rapidfuzz": ("rapidfuzz", "rapidfuzz, hint"), "edlib": ("edlib path",)}


def judged_limits(report: Row) -> list[Row]:
    """Give each promise that this run measured: figure, limit, measured, whether it is met."""
    rows = report["rows"]
    judged = [*_speed(rows), *_growth(rows), *_memory(rows), *_cost(rows)]
    for row in report["startup"]:
        if row["process"] in PROCESSES:
            judged.append(
                _at_most(row["process"] + ", over bare", row["over_bare"], PROCESSES[row["process"]])
            )
    for row in report["operations"]:
        where = f"operations at {row['letters']:,}: "
        judged.append(_at_least(where + "found", row["found"], OPERATIONS_FOUND[row["letters"]]))
        if row["letters"] in FALSE_OPERATIONS:
            judged.append(_at_most(where + "false", row["false"], FALSE_OPERATIONS[row["letters"]]))
    return judged


def _at_least(figure: str, measured: float, limit: float) -> Row:
    met = "yes" if measured >= limit else "no"
    return {"figure": figure, "limit": f">= {limit:.3g}", "measured": measured, "met": met}


def _at_most(figure: str, measured: float, limit: float) -> Row:
    met = "yes" if measured <= limit else "no"
    return {"figure": figure, "limit": f"<= {limit:.3g}", "measured": measured, "met": met}


def _milliseconds(row: Row, names: Iterable[str]) -> float | None:
    """Give the least time of some libraries in a row, None where none was measured."""
    found = [row["times"][name].get("milliseconds") for name in names if name in row["times"]]
    return min((time for time in found if time is not None), default=None)


def _where(row: Row) -> str:
    return f"{row['letters']:,} {row['text']} {row['noise']:g} % {row['loop']}"


def _speed(rows: list[Row]) -> Iterable[Row]:
    """Judge the times of the libraries over ours."""
    for row in rows:
        for letters, library, compiled, interpreted in FASTER:
            if (row["letters"], row["noise"]) != (letters, SPEED_NOISE):
                continue
            theirs = _milliseconds(row, PEERS[library])
            if theirs is not None:
                limit = compiled if row["loop"] == "compiled" else interpreted
                ours = row["times"]["fidelity"]["milliseconds"]
                yield _at_least(f"{_where(row)}: {library}/ours", theirs / ours, limit)


def _growth(rows: list[Row]) -> Iterable[Row]:
    """Judge how the time grows from one to ten million letters."""
    million = {_kind(row): row for row in rows if row["letters"] == 1_000_000}
    for row in rows:
        if row["letters"] == 10_000_000 and _kind(row) in million:
            small = million[_kind(row)]["times"]["fidelity"]["milliseconds"]
            ratio = row["times"]["fidelity"]["milliseconds"] / small
            yield _at_most(f"{_where(row)}: over 1,000,000", ratio, GROWTH)


def _kind(row: Row) -> tuple[str, float, str]:
    return row["text"], row["noise"], row["loop"]


def _memory(rows: list[Row]) -> Iterable[Row]:
    """Judge the largest extra memory, compiled and interpreted."""
    for loop in ("compiled", "interpreted"):
        here = [row for row in rows if row["loop"] == loop]
        if here:
            most = max(here, key=lambda row: float(row["extra_mb"] - row["result_mb"]))
            extra = most["extra_mb"] - most["result_mb"]
            yield _at_most(f"{_where(most)}: extra MB without result (largest)", extra, MEMORY_MB)


def _cost(rows: list[Row]) -> Iterable[Row]:
    """Judge the largest cost above the full programme's, by noise and loop."""
    for loop in ("compiled", "interpreted"):
        for noise, limit in COST_ABOVE.items():
            here = [row for row in rows if (row["loop"], row["noise"]) == (loop, noise)]
            if here:
                most = max(here, key=lambda row: float(row["cost_above"]))
                figure = f"{_where(most)}: cost above (largest)"
                yield _at_most(figure, most["cost_above"], limit + SAME_COST) | {"limit": f"<= {limit:.1%}"}


def compared(report: Row, earlier: Row) -> str:
    """Give a table of this run over an earlier one: our time, the libraries' times, memory.

    A ratio of 0.5 means that this run took half the time. The libraries' ratio tells how much of it
    is the machine.
    """

    def key(row: Row) -> tuple[object, ...]:
        return row["letters"], *_kind(row)

    old = {key(row): row for row in earlier["rows"]}
    table = []
    for row in report["rows"]:
        if key(row) not in old:
            continue
        was = old[key(row)]
        cells: list[object] = [_where(row)]
        for name in ("fidelity", "rapidfuzz", "rapidfuzz, hint", "edlib path"):
            now, then = _milliseconds(row, [name]), _milliseconds(was, [name])
            cells.append(now / then if now is not None and then is not None else None)
        cells.append(row["extra_mb"] - was["extra_mb"])
        table.append(cells)
    headers = ["", "ours", "rapidfuzz", "with hint", "edlib path", "extra MB, difference"]
    return tabulate(table, headers, floatfmt=".3f", missingval="-")
