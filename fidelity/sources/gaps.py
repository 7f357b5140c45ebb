"""Losses in a witness: what it is silent about, and where in the row of words its signs for them stand.

Arrives: a witness with signs for losses of unknown length, aligned without them. Leaves: its ``Column`` with
them. Start reading at ``with_gap_signs``.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fidelity.sources.profile import Column, Ints, lacking
from fidelity.terms import LOST_LETTER, State, Witness

Flags = npt.NDArray[np.bool_]

BESIDE = 3  # letters beside a loss that may have been put to like ones beyond it (chosen)


def kept_letters(witness: Witness) -> Flags:
    """Tell which letters are aligned: all but those that stand for a loss of unknown length."""
    if not witness.states:
        return np.ones(len(witness), dtype=np.bool_)
    known: Flags = np.frombuffer(witness.states, dtype=np.uint8) != State.LOST_UNKNOWN
    return known


def with_gap_signs(column: Column, kept: Flags, letters: str, read: str) -> Column:
    """Give offsets in the whole witness, signs for losses included; at a loss it is not extant.

    A sign stands with the word of which letters are left, before it or after it.

    Args:
        column: of the witness without the signs.
        kept: for each of its letters whether it is none of them.
        letters: what has grown, folded.
        read: the witness without the signs, folded.
    """
    if kept.all():
        return column
    settled = _towards_losses(column.at, letters, read, _losses(kept))
    column = Column(settled, column.there | (np.diff(settled) > 0))
    whole = np.append(np.flatnonzero(kept), len(kept))  # offset after the signs that stand before a letter
    before = np.insert(np.flatnonzero(kept) + 1, 0, 0)  # offset right after the letter before
    at, there = whole[column.at], column.there.copy()
    for start, end in lacking(column.at):
        border = column.at[start]
        if before[border] != whole[border]:
            at_word = start == 0 or letters[start - 1].isspace()
            at[start : end if at_word and end < len(letters) else start + 1] = before[border]
            there[start:end] = False
    at[0], at[-1] = 0, len(kept)
    return Column(at, there)


def lost_left_out(column: Column, witness: Witness) -> Column:
    """Let the main witness, too, say nothing where its letters are lost."""
    if LOST_LETTER not in witness.letters:
        return column
    signs = np.flatnonzero(np.array(list(witness.letters)) == LOST_LETTER)
    there = column.there.copy()
    there[np.clip(np.searchsorted(column.at, signs, side="right") - 1, 0, len(there) - 1)] = False
    return Column(column.at, there)


def _towards_losses(at: Ints, letters: str, read: str, borders: Ints) -> Ints:
    """Let the letters beside a loss stand beside what is lost.

    A few letters between a loss and what the witness lacks, answering nothing better where they stand than
    they would on the other side of it, are moved there: else it would leave words out, and lose nothing.
    """
    at = at.copy()
    for start, end in lacking(at):
        border = int(at[start])
        for size in range(1, BESIDE + 1):
            before, after = border - size, border + size
            if after in borders and _fits(at, (start, end), (end, border, size), letters, read):
                at[start : start + size] = np.arange(border, after)
                at[start + size : end + size] = after
                break
            if before in borders and _fits(
                at, (end - size, end), (start - size, before, size), letters, read
            ):
                at[start - size : end - size] = before
                at[end - size : end] = np.arange(before, border)
                break
    return at


def _fits(at: Ints, there: tuple[int, int], now: tuple[int, int, int], letters: str, read: str) -> bool:
    """Tell whether letters that stand one for one at one place answer as many at another."""
    place, offset, size = now
    if place < 0 or place + size > len(letters) or there[1] - there[0] < size or offset < 0:
        return False
    if not (at[place : place + size + 1] == np.arange(offset, offset + size + 1)).all():
        return False
    some = read[offset : offset + size]
    new = letters[there[0] : there[0] + size]
    old = letters[place : place + size]
    if any(map(str.isspace, some)):
        return False
    return sum(map(str.__eq__, some, new)) >= sum(map(str.__eq__, some, old))


def _losses(kept: Flags) -> Ints:
    """Give the offsets, in the witness without signs, at which a sign stands."""
    return np.unique(np.cumsum(kept)[~kept])
