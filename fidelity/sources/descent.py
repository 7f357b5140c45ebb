"""Who was copied from whom at one place: lines of descent, each with one vote.

Arrives: what each witness has at the place, and from what it was copied there. Leaves: those without a vote,
with the ground; the independent lines; how probable all that is, given each reading. Start reading at
``lines_of``, then ``likelihood``.

A copy of a witness that is extant has no vote of its own: eliminatio codicum descriptorum (Maas, *Textual
Criticism*, § 8). Copies of one that is lost at the place speak for it, together with one vote: the likelihood
is summed over what it may have had (Felsenstein 1981, J. Mol. Evol. 17, 368-376, from memory; over two
generations it is plain arithmetic).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fidelity.sources.rates import WitnessRate


@dataclass(frozen=True)
class Voice:
    """What a witness has at one place.

    Attributes:
        siglum: the witness.
        reading: folded, without stops; "" for an omission, None where it is not extant.
        source: siglum of what it was copied from here; "" where it is independent.
        ground: how that is known, in plain words.
    """

    siglum: str
    reading: str | None
    source: str = ""
    ground: str = ""


@dataclass(frozen=True)
class Line:
    """A line of descent that no other witness stands above.

    Attributes:
        root: the siglum it is named by; itself perhaps not extant here.
        speakers: its witnesses that have a say here.
        reading: what they have, where they agree; None where they do not.
    """

    root: str
    speakers: tuple[str, ...]
    reading: str | None


def circle_in(sources: Mapping[str, str]) -> tuple[str, ...]:
    """Give the witnesses that depend on each other in a circle, the first again last; () if none do.

    >>> circle_in({"A": "B", "B": "C", "C": "B"})
    ('B', 'C', 'B')
    """
    for start in sources:
        way = [start]
        while (at := sources.get(way[-1], "")) and at not in way:
            way.append(at)
        if at:
            return (*way[way.index(at) :], at)
    return ()


def set_aside(testimonies: Sequence[Voice]) -> dict[str, str]:
    """Give the ground for each witness that has no vote: something it was copied from is extant here."""
    known = {one.siglum: one for one in testimonies}
    found = {}
    for one in testimonies:
        at = one
        while one.reading is not None and at.source in known:
            at = known[at.source]
            if at.reading is not None:
                ground = f" ({one.ground})" if one.ground else ""
                found[one.siglum] = f"copied from {at.siglum}{ground}"
                break
    return found


def lines_of(testimonies: Sequence[Voice]) -> list[Line]:
    """Give the independent lines that have a say."""
    known = {one.siglum: one for one in testimonies}
    without = set_aside(testimonies)
    speakers: dict[str, list[Voice]] = {}
    for one in testimonies:
        if one.reading is None or one.siglum in without:
            continue
        root = one
        while root.source in known:
            root = known[root.source]
        speakers.setdefault(root.siglum, []).append(one)
    found = []
    for siglum, some in speakers.items():
        readings = {one.reading for one in some}
        agreed = next(iter(readings)) if len(readings) == 1 else None
        found.append(Line(siglum, tuple(one.siglum for one in some), agreed))
    return found


def likelihood(
    testimonies: Sequence[Voice], readings: Sequence[str], rates: Mapping[str, WitnessRate]
) -> dict[str, float]:
    """Give the log of the probability of all that is attested, for each reading at the head; in nats.

    Args:
        testimonies: of all witnesses at one place.
        readings: that may have stood there, and in lost copies between.
        rates: how each witness renders its source.
    """
    below: dict[str, list[Voice]] = {}
    known = {one.siglum for one in testimonies}
    for one in testimonies:
        below.setdefault(one.source if one.source in known else "", []).append(one)

    def of(one: Voice, head: str) -> float:
        """Give the probability of what a witness and its copies have, its source having the reading."""
        rate = rates[one.siglum]
        if one.reading is not None:
            return rate.written_given(head, one.reading)
        copies = below.get(one.siglum, [])
        if not any(_says(copy, below) for copy in copies):
            return 1.0
        return math.fsum(
            rate.written_given(head, middle) * math.prod(of(copy, middle) for copy in copies)
            for middle in readings
        )

    return {head: sum(math.log(max(of(one, head), 1e-300)) for one in below.get("", [])) for head in readings}


def _says(one: Voice, below: Mapping[str, Sequence[Voice]]) -> bool:
    """Tell whether a witness, or a copy of it, is extant."""
    return one.reading is not None or any(_says(copy, below) for copy in below.get(one.siglum, []))


def pairs_of(lines: Sequence[Line]) -> Iterator[tuple[str, str]]:
    """Give each line's name and the reading it has, those that are divided left out."""
    return ((line.root, line.reading) for line in lines if line.reading is not None)
