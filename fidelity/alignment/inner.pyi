from typing import Any

INFINITE: float

def fill(
    original_grams: Any,
    copy_grams: Any,
    original_folded: Any,
    copy_folded: Any,
    original_length: int,
    copy_length: int,
    table: Any,
    columns: int,
    multi_originals: Any,
    multi_copies: Any,
    multi_count: int,
    gap_open: float,
    original_gaps: Any,
    copy_gaps: Any,
    swap_cost: float,
    lows: Any,
    width: int,
    rows: Any,
    omissions: Any,
    back: bytearray,
) -> float: ...
def walk(back: bytearray, lows: Any, width: int, original_length: int, copy_length: int) -> list[int]: ...
