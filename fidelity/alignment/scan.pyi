from typing import Any

def choose_places(letters: Any, width: int, count: int, below: int, places: Any) -> int: ...
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
