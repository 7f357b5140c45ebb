"""Numbered lists out of sequence, and entries out of alphabetical order.

Arrives: the first numbers, or the first words, of lines in order. Leaves: those that do not fit the others.
Start reading at ``out_of_sequence`` and ``out_of_order``.

A list checks an entry from outside. But a scribe may himself have miscounted, and lists are often ordered by
the first letter alone: how far a list is ordered is first found out, and only a list that is nearly in order
is asked at all.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

FEWEST_NUMBERS = 5
FEWEST_ENTRIES = 6  # of six words in no order 26 arrangements of 720 lack one word at most of order
SHARE_OUT = 0.1  # of the entries of a list may be out of order; of more the list is not in order
LEVELS = (100, 3, 2, 1)  # letters by which a list may be ordered, the strictest first
_LETTERS = str.maketrans({"v": "u", "j": "i", "ð": "þ", "ƿ": "w"})
_LIGATURES = (("æ", "ae"), ("œ", "oe"), ("þ", "tz"))  # thorn stands after t


class Misfit(NamedTuple):
    """A member of a list that does not fit.

    Attributes:
        at: its index in the list.
        low: the number or the entry that it must not come before; "" for none.
        high: that it must not come after; "" for none.
    """

    at: int
    low: str
    high: str


def out_of_sequence(numbers: Sequence[int]) -> list[Misfit]:
    """Give the numbers that break a sequence which goes on as if they were others.

    A number is out of sequence if those before and after it differ by two, as far as can be seen two of them
    on one side or one on each side stand in sequence themselves, and it is not the one between.

    >>> out_of_sequence([1, 2, 3, 6, 5, 6, 7])
    [Misfit(at=3, low='4', high='4')]
    >>> out_of_sequence([1, 2, 3, 9, 12, 13, 14])
    []
    """
    found = []
    if len(numbers) < FEWEST_NUMBERS:
        return []
    for at in range(1, len(numbers) - 1):
        before, here, after = numbers[at - 1 : at + 2]
        if after - before != 2 or here == before + 1:
            continue
        support = (at > 1 and numbers[at - 2] == before - 1) + (
            at + 2 < len(numbers) and numbers[at + 2] == after + 1
        )
        if support == 2 or (support and at in (1, len(numbers) - 2)):
            found.append(Misfit(at, str(before + 1), str(before + 1)))
    return found


def out_of_order(words: Sequence[str]) -> tuple[list[Misfit], int]:
    """Give the entries out of alphabetical order, and by how many letters the list is ordered; 0 for none.

    u and v, i and j, þ and ð count as one letter; þ stands after t.

    Args:
        words: the first word of each entry, small, folded.

    >>> out_of_order(["acer", "alnus", "zardea", "baculus", "corylus", "falx", "fornax"])
    ([Misfit(at=2, low='alnus', high='baculus')], 100)
    """
    if len(words) < FEWEST_ENTRIES:
        return [], 0
    most = max(1, int(SHARE_OUT * len(words)))
    for level in LEVELS:
        keys = [alphabetical(word)[:level] for word in words]
        kept = _longest_in_order(keys)
        if len(words) - len(kept) > most or len(set(keys)) < FEWEST_ENTRIES // 2:
            continue
        stay = set(kept)
        return [_misfit(words, kept, at) for at in range(len(words)) if at not in stay], level
    return [], 0


def alphabetical(word: str) -> str:
    """Give a word by which it is put in order.

    >>> alphabetical("ðæt") < alphabetical("uulpes"), alphabetical("tur") < alphabetical("þurh")
    (True, True)
    """
    plain = word.translate(_LETTERS)
    for one, other in _LIGATURES:
        plain = plain.replace(one, other)
    return plain


def fits(word: str, misfit: Misfit, level: int) -> bool:
    """Tell whether a word would stand in order where a misfit stands."""
    key = alphabetical(word)[:level]
    low, high = (alphabetical(one)[:level] for one in (misfit.low, misfit.high))
    return (not misfit.low or low <= key) and (not misfit.high or key <= high)


def or_its_neighbour(words: Sequence[str], misfit: Misfit, level: int) -> list[Misfit]:
    """Give the misfit and, of its two neighbours, those without which it would stand in order itself.

    Which of two entries in the wrong order is the misfit, the order does not say.
    """
    keys = [alphabetical(word)[:level] for word in words]
    found = [misfit]
    for other in (misfit.at - 1, misfit.at + 1):
        if not 0 <= other < len(words):
            continue
        around = range(max(min(other, misfit.at) - 1, 0), min(max(other, misfit.at) + 2, len(words)))
        here = [at for at in around if at != other]
        if all(keys[one] <= keys[after] for one, after in pairwise(here)):
            kept = [at for at in range(len(words)) if at != other]
            found.append(_misfit(words, kept, other))
    return found


def _misfit(words: Sequence[str], kept: Sequence[int], at: int) -> Misfit:
    before = [one for one in kept if one < at]
    after = [one for one in kept if one > at]
    return Misfit(at, words[before[-1]] if before else "", words[after[0]] if after else "")


def _longest_in_order(keys: Sequence[str]) -> list[int]:
    """Give the indices of a longest run of entries in order (patience sorting, n log n)."""
    ends: list[str] = []
    at_end: list[int] = []
    before = [-1] * len(keys)
    for at, key in enumerate(keys):
        place = bisect_right(ends, key)
        before[at] = at_end[place - 1] if place else -1
        ends[place : place + 1] = [key]
        at_end[place : place + 1] = [at]
    run = []
    at = at_end[-1] if at_end else -1
    while at >= 0:
        run.append(at)
        at = before[at]
    return run[::-1]
