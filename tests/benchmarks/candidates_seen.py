"""Look on while the program restores: what it reckons up for each place of a text before it chooses.

Arrives: nothing; the program's own run is watched. Leaves: for each text the readings of every stretch in
which there is more than one, so that it can be told whether the right one was among them. Start reading at
``watched``.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

from fidelity.readings import restore


class RivalReadings(NamedTuple):
    """What was reckoned up for one stretch of a text.

    Attributes:
        start, end: the stretch, in letters of the copy.
        judged: readings whose chance was judged.
        all: every reading that was reckoned up.
    """

    start: int
    end: int
    judged: tuple[str, ...]
    all: tuple[str, ...]


Seen = dict[str, list[RivalReadings]]
RECKONS = "candidates_of"  # the function of ``restore`` that is watched


@contextmanager
def watched() -> Iterator[Seen]:
    """Note what is reckoned up for the lost texts; gives it by the letters of the copy.

    The program runs as it would: only what it hands from restoring to choosing is written down on the way.
    """
    seen: Seen = {}
    reckon = getattr(restore, RECKONS)

    def noted(copied: str, *others: Any, **named: Any) -> Iterator[Any]:
        stretches = seen.setdefault(copied, [])
        for unit in reckon(copied, *others, **named):
            if unit.words or len(unit.readings) > 1:
                judged = tuple(one.proposed for one in unit.words)
                every = tuple(dict.fromkeys([*unit.readings, *judged]))
                stretches.append(RivalReadings(unit.start, unit.end, judged, every))
            yield unit

    setattr(restore, RECKONS, noted)
    try:
        yield seen
    finally:
        setattr(restore, RECKONS, reckon)
