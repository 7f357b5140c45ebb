from typing import Any

class Known:
    def __init__(self, tables: tuple[Any, ...], numbers: tuple[float, ...]) -> None: ...

class Ways:
    def __init__(self, found: tuple[Any, ...], scratch: tuple[Any, ...], sizes: tuple[int, ...]) -> None: ...

def carry(
    known: Known,
    ways: Ways,
    copied: Any,
    length: int,
    beam: int,
    behind: float,
    extra: Any,
    tags: int,
    apart: bool,
) -> int: ...
