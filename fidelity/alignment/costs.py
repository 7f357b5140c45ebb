"""The channel's costs in the form that the programme reads: tables of numbers.

Arrives: a letter channel. Leaves: ``Costs``. Start reading at ``costs_from``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import numpy.typing as npt

from fidelity.alignment.channel import GAP_OPEN, SWAP_COST, gap_costs
from fidelity.alignment.texts import Ints

Floats = npt.NDArray[np.float64]

FINEST = 2.0**32  # the programme reckons in whole numbers, so many to a nat: sums are exact, and ways of
# equal cost are equal in any order of adding, compiled or not
NEVER = 1e300  # the cost of what is no operation
UNREACHED = 1 << 61  # the same in whole numbers, above the cost of any text and far from overflow


class Channel(Protocol):
    """Whatever gives costs: a ``LetterChannel``, or a list of costs in a test."""

    @property
    def original_letters(self) -> list[str]:
        """The letters of the original, in the order of the rows of ``costs``."""
        ...

    @property
    def copy_letters(self) -> list[str]:
        """The letters of the copy, in the order of its columns."""
        ...

    def several(self) -> dict[tuple[str, str], float]:
        """Give the cost of each operation of more than one letter on a side."""
        ...

    def costs(self) -> Floats:
        """Give the costs of all operations of at most one letter a side, the last row and column for none."""
        ...


@dataclass(frozen=True, eq=False)
class Costs:
    """The costs of every operation.

    Attributes:
        table: row 0 for no letters of the original, then a row for each letter by its number (from
            1), then one for each longer gram; columns the same for the copy. In whole numbers,
            ``FINEST`` to a nat, as are the next three.
        whole_gaps: for each letter its cost inside a long gap, and 0 for a border between windows.
        whole_gap_open, whole_swap: cost of a long gap, and of an exchange.
        exact: the table in nats.
        original_grams, copy_grams: the longer grams with their rows and columns, each gram as the
            numbers of its letters.
        lengths: pairs of lengths of the operations of several letters.
        gaps: for each letter its cost inside a long gap, in nats.
        gap_open, swap: cost of a long gap, and of an exchange, in nats.
    """

    table: npt.NDArray[np.int64]
    whole_gaps: npt.NDArray[np.int64]
    whole_gap_open: int
    whole_swap: int
    exact: Floats
    original_grams: Mapping[tuple[int, ...], int]
    copy_grams: Mapping[tuple[int, ...], int]
    lengths: Ints
    gaps: Floats
    gap_open: float
    swap: float


def costs_from(channel: Channel, letters: str, gap_open: float = GAP_OPEN, swap: float = SWAP_COST) -> Costs:
    """Put the channel's costs into tables.

    Args:
        channel: what gives the costs.
        letters: the letters of both texts; a letter's number is its place here.
        gap_open, swap: cost of a long gap beside its letters, and of an exchange of neighbours.
    """
    number_of = {letter: number for number, letter in enumerate(letters)}
    several = {
        pair: cost
        for pair, cost in channel.several().items()
        if all(letter in number_of for letter in pair[0] + pair[1])
    }
    rows = _grams((o for o, _ in several), number_of)
    columns = _grams((c for _, c in several), number_of)
    count = len(letters) + 1
    table = np.full((count + len(rows), count + len(columns)), NEVER)
    given = channel.costs()
    sides = []
    for known in (channel.original_letters, channel.copy_letters):
        at = [place for place, letter in enumerate(known) if letter in number_of]
        sides.append(([*at, len(known)], [*(number_of[known[place]] + 1 for place in at), 0]))
    table[np.ix_(sides[0][1], sides[1][1])] = given[np.ix_(sides[0][0], sides[1][0])]
    table[0, 0] = NEVER
    for (o, c), cost in several.items():
        there, here = (tuple(number_of[letter] for letter in side) for side in (o, c))
        row = rows[there] if len(there) > 1 else sum(there) + len(there)
        table[row, columns[here] if len(here) > 1 else sum(here) + len(here)] = cost
    whole = np.full(table.shape, UNREACHED)
    whole[table < NEVER] = np.round(table[table < NEVER] * FINEST).astype(np.int64)
    gaps = np.array(gap_costs(letters))
    lengths = sorted({(len(o), len(c)) for o, c in several} - {(1, 1), (1, 0), (0, 1)})
    return Costs(
        whole,
        np.append(np.round(gaps * FINEST), 0).astype(np.int64),
        round(gap_open * FINEST),
        round(swap * FINEST),
        table,
        rows,
        columns,
        np.array(lengths, dtype=np.int32).reshape(-1, 2),
        gaps,
        gap_open,
        swap,
    )


def _grams(grams: Iterable[str], number_of: Mapping[str, int]) -> dict[tuple[int, ...], int]:
    """Number the grams of two and three letters, after the single letters."""
    longer = sorted({gram for gram in grams if len(gram) > 1})
    return {
        tuple(number_of[letter] for letter in gram): len(number_of) + 1 + at for at, gram in enumerate(longer)
    }


def gram_numbers(letters: Ints, grams: Mapping[tuple[int, ...], int], count: int) -> Ints:
    """Give for each place the rows of the 1, 2 and 3 letters that end there, -1 for none.

    Args:
        letters: numbers of letters from 0, -1 for a border between windows.
        grams: the longer grams.
        count: how many different letters there are.
    """
    found = np.full((3, len(letters)), -1, dtype=np.int32)
    found[0] = letters + 1
    if not grams:
        return found
    if len(letters) < 3:
        return _short(found, letters, grams)
    base = count + 1
    pairs = np.full(base * base, -1, dtype=np.int32)
    prefixes = {gram[:2]: number for number, gram in enumerate(sorted(g for g in grams if len(g) == 3))}
    for gram, number in grams.items():
        if len(gram) == 2:
            pairs[(gram[0] + 1) * base + gram[1] + 1] = number
    keys = found[0, :-1] * base + found[0, 1:]
    found[1, 1:] = pairs[keys]
    if prefixes:
        first = np.full(base * base, -1, dtype=np.int32)
        third = np.full((len(prefixes) + 1, base), -1, dtype=np.int32)
        order = {prefix: at for at, prefix in enumerate(prefixes)}
        for gram, number in grams.items():
            if len(gram) == 3:
                first[(gram[0] + 1) * base + gram[1] + 1] = order[gram[:2]]
                third[order[gram[:2]], gram[2] + 1] = number
        found[2, 2:] = third[first[keys[:-1]], found[0, 2:]]  # the last row, for -1, holds nothing
    return found


def _short(found: Ints, letters: Ints, grams: Mapping[tuple[int, ...], int]) -> Ints:
    """Look the grams up one by one, where there are hardly any letters."""
    numbers = letters.tolist()
    for size in (2, 3):
        for end in range(size, len(numbers) + 1):
            found[size - 1, end - 1] = grams.get(tuple(numbers[end - size : end]), -1)
    return found
