from typing import Any

class Sums:
    readings: int
    def __init__(
        self,
        found: tuple[Any, ...],
        tags: tuple[Any, ...],
        gathered: tuple[Any, ...],
        scratch: tuple[Any, ...],
        sizes: tuple[int, ...],
    ) -> None: ...

def weigh_back(sums: Sums, length: int) -> None: ...
def letters(sums: Sums, length: int) -> None: ...
def readings(
    sums: Sums, length: int, start: int, end: int, border: int, border_after: int, most: int
) -> int: ...
