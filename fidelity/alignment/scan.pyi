from typing import Any

def choose_runs(letters: Any, width: int, length: int, below: int, hashes: Any, places: Any) -> int: ...
def lengthen(
    original: Any,
    copy: Any,
    width: int,
    ends: Any,
    shift: Any,
    limit: Any,
    limited: bool,
    backward: bool,
) -> None: ...
def prove_paths(
    shapes: Any,
    windows: int,
    original_grams: Any,
    copy_grams: Any,
    stride: int,
    stride_copy: int,
    original_folded: Any,
    copy_folded: Any,
    table: Any,
    columns: int,
    several: bool,
    least: Any,
    omitted: Any,
    added: Any,
    proved: Any,
) -> None: ...
def find_changes(
    steps: Any,
    original: Any,
    copy: Any,
    width: int,
    spaces: Any,
    single: Any,
    several: Any,
    members: Any,
    found: Any,
) -> None: ...
def price_steps(
    steps: Any,
    original: Any,
    copy: Any,
    width: int,
    table: Any,
    columns: int,
    gaps: Any,
    gap_open: float,
    never: float,
    prices: Any,
    others: Any,
) -> int: ...
def find_along(
    original: Any, copy: Any, width: int, windows: Any, near: int, shortest: int, runs: Any
) -> int: ...
