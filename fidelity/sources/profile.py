"""A text that grows: everything that any witness has, in one order, and where each witness has it.

Arrives: the steps of an alignment between what is there so far and one more witness. Leaves: for every letter
of what has grown the letters of each witness. Start reading at ``Profile.with_witness``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]

LEAF = (
    200  # letters, some three lines: what a witness lacks in one piece beyond this it is taken to have lost
)


@dataclass(frozen=True, eq=False)
class Column:
    """Where a witness stands in the grown text.

    Attributes:
        at: for each border between letters of the grown text the offset in the witness, from 0 to its end.
        there: for each letter of the grown text whether the witness is extant there.
    """

    at: Ints
    there: Flags

    def with_gaps(self, places: Ints, counts: Ints) -> Column:
        """Give the same where letters that this witness has not were put into the grown text.

        Args:
            places: offsets at which they were put in, ascending.
            counts: how many at each.
        """
        last = len(self.there) - 1
        beside = self.there[np.clip(places - 1, 0, last)] & self.there[np.clip(places, 0, last)]
        where = np.repeat(places, counts)
        return Column(
            np.insert(self.at, where, self.at[where]), np.insert(self.there, where, np.repeat(beside, counts))
        )


@dataclass
class _Growing:
    """A witness on its way into the grown text."""

    at: list[Ints] = field(default_factory=list)
    letters: list[str] = field(default_factory=list)
    places: list[int] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)

    def answer(self, letters: str, offsets: Ints) -> None:
        """Let letters of the grown text be answered; ``offsets`` are those of their first borders."""
        self.letters.append(letters)
        self.at.append(offsets)

    def put_in(self, place: int, letters: str, start: int) -> None:
        """Put letters that only this witness has into the grown text."""
        self.answer(letters, np.arange(start, start + len(letters)))
        self.places.append(place)
        self.counts.append(len(letters))


@dataclass(frozen=True, eq=False)
class Profile:
    """What any witness has so far.

    Attributes:
        letters: in one order; where witnesses differ those of the first.
        columns: where each witness stands in it, in the order in which they came.
    """

    letters: str
    columns: tuple[Column, ...]

    @classmethod
    def of(cls, letters: str) -> Profile:
        """Begin with one witness."""
        return cls(letters, (Column(np.arange(len(letters) + 1), np.ones(len(letters), dtype=np.bool_)),))

    def with_witness(
        self, steps: npt.NDArray[Any], letters: str, absent: Sequence[tuple[int, int]] = ()
    ) -> Profile:
        """Let the text grow by one witness.

        Words that it alone has are put in; single letters stay with the word they stand in.

        Args:
            steps: the alignment of what is there with the witness, as ``Alignment.steps``.
            letters: of the witness.
            absent: stretches of what is there so far for which it is known not to be extant.
        """
        growing = _Growing()
        before = 0  # letters that the witness has more before the first letter of a word
        for o0, o1, c0, c1, _ in steps.tolist():
            if o1 > o0:
                offsets = np.minimum(np.arange(c0, c0 + o1 - o0), c1)
                offsets[0] -= before
                growing.answer(self.letters[o0:o1], offsets)
            elif any(map(str.isspace, letters[c0:c1])):
                growing.put_in(o0, letters[c0 - before : c1], c0 - before)
            elif not o0 or self.letters[o0 - 1].isspace():
                before += c1 - c0
                continue
            before = 0
        at = np.concatenate([*growing.at, np.array([len(letters)])]).astype(np.int64)
        at[0] = 0
        grown = "".join(growing.letters)
        places, counts = np.array(growing.places, dtype=np.int64), np.array(growing.counts, dtype=np.int64)
        olds = self.columns
        if len(places):
            olds = tuple(column.with_gaps(places, counts) for column in olds)
        there = _there(at)
        for start, end in absent:
            first, last = (one + int(counts[places <= one].sum()) for one in (start, end - 1))
            there[first : last + 1] = False
        return Profile(grown, (*olds, Column(at, there)))


def _there(at: Ints) -> Flags:
    """Tell where a witness is extant: not before it begins, after it ends, or where a leaf of it is gone."""
    there = np.ones(len(at) - 1, dtype=np.bool_)
    for start, end in lacking(at):
        if start == 0 or end == len(there) or end - start > LEAF:
            there[start:end] = False
    return there


def lacking(at: Ints) -> list[tuple[int, int]]:
    """Give the stretches of the grown text for which a witness has no letter."""
    none = np.concatenate([[False], np.diff(at) == 0, [False]])
    edges = np.flatnonzero(none[1:] != none[:-1]).tolist()
    return list(zip(edges[::2], edges[1::2], strict=True))
