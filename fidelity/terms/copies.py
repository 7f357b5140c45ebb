"""Several copies of one text beside each other: places, rates, and from what the other copy was made.

Start reading at ``CopyPlace``. The *first* copy is the one a dossier names first, by which the text is
judged; the *other* copy is a further one by the same man, or another man's transcript of the same original.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from fidelity.terms.witness import Locus

HIS = ""  # stands for the man himself where a copy may be another's


class Beside(StrEnum):
    """How two copies stand to their original at a place where any of the three differs."""

    BOTH_ALIKE = "both wrong alike"
    FIRST_WRONG = "first wrong, other right"
    OTHER_WRONG = "first right, other wrong"
    BOTH_OTHERWISE = "both wrong, otherwise"
    DIFFER = "they differ"  # where the original is lost


class MadeFrom(StrEnum):
    """From what the other copy was made."""

    FIRST = "the first copy"
    ORIGINAL = "the original"
    UNDECIDED = "undecided"


@dataclass(frozen=True)
class CopyPlace:
    """A place at which two copies, or a copy and the original, differ.

    Attributes:
        text: id of the survivor or lost text.
        locus: place in the first copy.
        original: what the original has, as printed; "" where it is lost.
        first, other: what the copies have, as printed.
        other_copy: the other copy: its file, or where another made it his siglum.
        what: how the three stand to each other.
        phenomenon, cause: of the first copy's difference; "" where it has none.
        by: who made the other copy; ``HIS`` for the man himself.
        set_aside: whether it is counted nowhere, since letters of it are no evidence.
        span: of its letters in the first copy.
    """

    text: str
    locus: Locus
    original: str
    first: str
    other: str
    other_copy: str
    what: Beside
    phenomenon: str = ""
    cause: str = ""
    by: str = HIS
    set_aside: bool = False
    span: tuple[int, int] = (0, 0)


@dataclass(frozen=True)
class CopyRate:
    """How often something happened between two copies of a text.

    Attributes:
        text: id of the survivor, or "all" for all copies by that man.
        other_copy: as in ``CopyPlace``; whose they are, where several are put together.
        measure: what was counted.
        count, chances: how often, out of how many words.
        low, high: limits of the interval for count / chances, clustered by page, shares 0-1.
        method: how the interval was made.
        expected: of errors in both alike, how many coincidence would give; None elsewhere.
        p_value: exact probability of as many, or more, by coincidence; None elsewhere.
        made_from: what that says of the other copy; None elsewhere.
    """

    text: str
    other_copy: str
    measure: str
    count: int
    chances: int
    low: float
    high: float
    method: str
    expected: float | None = None
    p_value: float | None = None
    made_from: MadeFrom | None = None


@dataclass(frozen=True)
class CopiesFound:
    """What is told of several copies in one run; nothing where there are none.

    Attributes:
        places: every place at which copies differ, or a copy and the original; by text and other copy.
        rates: how often, by text and other copy, then for all copies by one man together.
        notes: what the reader should know.
    """

    places: tuple[CopyPlace, ...] = ()
    rates: tuple[CopyRate, ...] = ()
    notes: tuple[str, ...] = ()
