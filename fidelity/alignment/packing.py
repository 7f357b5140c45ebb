"""Short runs of letters packed into numbers, so that millions can be counted as arrays.

Arrives: texts as numbers, places in them. Leaves: packed runs and their counts. Start reading at
``packed``.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

LONGEST = 3  # letters a side of an operation

Array = npt.NDArray[Any]


def all_of(starts: Array, ends: Array) -> Array:
    """Give every place of some stretches."""
    sizes = ends - starts
    places: Array = np.arange(int(sizes.sum())) + np.repeat(starts - (np.cumsum(sizes) - sizes), sizes)
    return places


def cut_short(starts: Array, starts_copy: Array, sizes: Array, most: int) -> tuple[Array, Array, Array]:
    """Cut runs that stand in two texts to so many letters at most."""
    parts = -(-sizes // most)
    number = np.arange(int(parts.sum())) - np.repeat(np.cumsum(parts) - parts, parts)
    left = np.repeat(sizes, parts) - number * most
    shift = number * most
    return np.repeat(starts, parts) + shift, np.repeat(starts_copy, parts) + shift, np.minimum(left, most)


def letters_at(text: Array, starts: Array, ends: Array) -> Array:
    """Give up to three letters from each place as numbers from 1, 0 where there is none."""
    at = starts[:, None] + np.arange(LONGEST)
    found = np.zeros(at.shape, dtype=np.int64)
    inside = at < ends[:, None]
    found[inside] = text[at[inside]].astype(np.int64) + 1
    return found


def packed(grams: Array, size: int) -> Array:
    """Put six numbers into two, one for each side."""
    digits = np.array([size * size, size, 1])
    return np.stack((grams[:, :3] @ digits, grams[:, 3:] @ digits), axis=1)


def one_number(keys: Array) -> Array:
    """Put the two numbers of each key into one, the same for the same key and else hardly ever."""
    mixed: Array = (
        keys[:, 0] * np.int64(0x5851F42D4C957F2D) + keys[:, 1]
    )  # a large odd factor; it may overflow
    return mixed


def pack(pair: tuple[str, str], letters: str, size: int) -> list[int]:
    """Put an operation's letters into two numbers."""
    sides = [[letters.index(letter) + 1 for letter in side] + [0] * (LONGEST - len(side)) for side in pair]
    return [int(number) for number in packed(np.array([sides[0] + sides[1]]), size)[0]]


def unpack(numbers: list[int], size: int) -> list[list[int]]:
    """Take the letters' numbers out of two numbers again."""
    return [[number // size**2, number // size % size, number % size] for number in numbers]


def summed(before: tuple[Array, Array], keys: Array) -> tuple[Array, Array]:
    """Add occurrences to counts; keys are rows of numbers."""
    if not len(keys):
        return before
    every = np.concatenate((before[0], keys))
    weights = np.concatenate((before[1], np.ones(len(keys), dtype=np.int64)))
    order = np.lexsort(every.T[::-1])
    every, weights = every[order], weights[order]
    first = np.flatnonzero(np.concatenate(([True], (every[1:] != every[:-1]).any(axis=1))))
    return every[first], np.add.reduceat(weights, first)
