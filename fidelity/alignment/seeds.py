"""Find runs of equal letters that stand just once in either text.

Arrives: two stretches of text as numbers of folded letters. Leaves: runs, lengthened as far as the
letters agree. Start reading at ``runs_between``.

Runs of letters are compared by their hashes (Karp & Rabin 1987, IBM J. Res. Dev. 31), of which a
share chosen by the hash itself is looked at: the same runs are chosen in both texts.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from fidelity.alignment import scan

Hashes = npt.NDArray[np.uint64]
Places = npt.NDArray[np.int64]
Letters = npt.NDArray[np.integer]

FACTOR = 0x9E3779B97F4A7C15  # odd, its bits well mixed: 2**64 over the golden ratio
WORD = 1 << 64
COMPILED = not str(scan.__file__).endswith(".py")
BLOCK = 1 << 15  # letters looked at a time: 256 kB an array stay in the processor's cache


def sampled_grams(letters: Letters, length: int, one_in: int) -> tuple[Hashes, Places]:
    """Give the hashes and places of those runs of letters that their first letters choose.

    Args:
        letters: the text as numbers.
        length: letters in a run.
        one_in: how many runs there are to one that is chosen, a power of two.
    """
    count = max(len(letters) - length + 1, 0)
    below = WORD // one_in if one_in > 1 else 0
    if not count:
        return np.zeros(0, dtype=np.uint64), np.zeros(0, dtype=np.int64)
    if COMPILED and (not below or length * letters.itemsize >= 8):
        hashes, places = np.empty(count, dtype=np.uint64), np.empty(count, dtype=np.int64)
        found = scan.choose_runs(in_bytes(letters), letters.itemsize, length, below, hashes, places)
        return hashes[:found].copy(), places[:found].copy()
    parts = _parts(length, 8 // letters.itemsize)
    places = _chosen(letters, parts[0], count, below) if below else np.arange(count)
    hashes = np.zeros(len(places), dtype=np.uint64)
    done = 0
    for size in parts:
        hashes *= np.uint64(pow(FACTOR, 3, WORD))
        hashes += _together(letters, size)[places + done]
        hashes ^= hashes >> np.uint64(29)  # a sum of products alone gives like hashes to like letters
        done += size
    hashes *= np.uint64(FACTOR)
    return hashes, places


def _chosen(letters: Letters, size: int, count: int, below: int) -> Places:
    """Choose the runs whose first letters have a hash below a number; give their places."""
    first, room = _together(letters, size)[:count], np.empty(BLOCK, dtype=np.uint64)
    found = []
    for start in range(0, count, BLOCK):
        part = first[start : start + BLOCK]
        mixed = np.multiply(part, np.uint64(FACTOR), out=room[: len(part)])
        found.append(np.flatnonzero(mixed < np.uint64(below)) + start)
    return np.concatenate(found)


def in_bytes(letters: Letters) -> npt.NDArray[np.uint8]:
    """Show a text as its bytes."""
    return letters.view(np.uint8)


def _parts(length: int, most: int) -> list[int]:
    """Cut a run into parts that eight bytes hold: as many letters as there is room for, then halves."""
    parts = []
    while length:
        while most > length:
            most //= 2
        parts.append(most)
        length -= most
    return parts


def common_once(
    hashes: Hashes, places: Places, hashes_copy: Hashes, places_copy: Places
) -> tuple[Places, Places]:
    """Give the places of the hashes that stand once in either list, ascending in the first."""
    bits = np.uint64(max(len(hashes), len(hashes_copy), 1).bit_length())
    low = bits + np.uint64(1)
    number = np.arange(len(hashes), dtype=np.uint64)
    number_copy = np.arange(len(hashes_copy), dtype=np.uint64) | (np.uint64(1) << bits)
    merged = np.concatenate((hashes << low | number, hashes_copy << low | number_copy))
    if len(merged) < 2:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    merged.sort()
    top = merged >> low
    like = np.concatenate(([False], top[1:] == top[:-1], [False]))
    first = np.flatnonzero(like[1:-1] & ~like[:-2] & ~like[2:])
    side = (merged >> bits) & np.uint64(1)
    first = first[side[first] < side[first + 1]]
    mask = (np.uint64(1) << bits) - np.uint64(1)
    at = (merged[first] & mask).astype(np.int64)
    at_copy = (merged[first + 1] & mask).astype(np.int64)
    sure = hashes[at] == hashes_copy[at_copy]  # the sorted keys hold a part of the hash only
    at, at_copy = at[sure], at_copy[sure]
    order = np.argsort(at)
    return places[at[order]], places_copy[at_copy[order]]


def runs_between(
    original: Letters,
    copy: Letters,
    length: int,
    one_in: int,
    shortest: int,
    marks: tuple[Hashes, Hashes] | None = None,
) -> npt.NDArray[np.int64]:
    """Give the runs of equal letters around the seeds, in the order of the original.

    Args:
        original, copy: the texts as numbers, folded, in one type.
        length: letters in a seed.
        one_in: how many seeds there are to one that is looked at.
        shortest: letters in the shortest run that is given.
        marks: for each letter of either text a number of the part it belongs to; a seed then has
            to stand once in that part, and is only compared with those of the same part.

    Returns:
        One row for each run: original start, copy start, length.
    """
    hashes, places = sampled_grams(original, length, one_in)
    hashes_copy, places_copy = sampled_grams(copy, length, one_in)
    if marks is not None:
        hashes, hashes_copy = hashes ^ marks[0][places], hashes_copy ^ marks[1][places_copy]
    at, at_copy = common_once(hashes, places, hashes_copy, places_copy)
    if not len(at):
        return np.zeros((0, 3), dtype=np.int64)
    shift = at_copy - at
    onward = np.flatnonzero(shift[1:] == shift[:-1])
    reached = lengthened(original, copy, at[onward] + length, shift[onward], at[onward + 1])
    begins = np.ones(len(at), dtype=np.bool_)
    begins[onward[reached >= at[onward + 1]] + 1] = False
    first = np.flatnonzero(begins)
    last = np.append(first[1:], len(at)) - 1
    shift = shift[first]
    ends = lengthened(original, copy, at[last] + length, shift, None)
    starts = lengthened(original, copy, at[first], shift, None, backward=True)
    runs = np.stack((starts, starts + shift, ends - starts), axis=1)
    runs = runs[runs[:, 2] >= shortest]
    if not len(runs):
        return runs
    runs = runs[np.lexsort((runs[:, 1], runs[:, 0]))]
    new = (runs[1:, 0] != runs[:-1, 0]) | (runs[1:, 1] != runs[:-1, 1])
    return runs[np.concatenate(([True], new))]


def lengthened(
    original: Letters,
    copy: Letters,
    ends: Places,
    shift: Places,
    limit: Places | None,
    backward: bool = False,
) -> Places:
    """Move the ends of runs outward as long as the letters agree.

    Args:
        original, copy: the texts as numbers.
        ends: where the runs end (or begin, where they are to be lengthened backward).
        shift: for each run its place in the copy less that in the original.
        limit: for each run where to go no further, though it may be passed by a few letters.
        backward: whether to go toward the beginning of the text.
    """
    ends = ends.copy()
    if COMPILED:
        texts = in_bytes(original), in_bytes(copy)
        bounds = ends if limit is None else limit
        scan.lengthen(*texts, original.itemsize, ends, shift, bounds, limit is not None, backward)
        return ends
    steps = [size for size in (8, 4, 2, 1) if size * original.itemsize <= 8]
    for size in steps:
        if min(len(original), len(copy)) < size:
            continue
        here, there = _together(original, size), _together(copy, size)
        moving = np.arange(len(ends)) if limit is None else np.flatnonzero(ends < limit)
        while len(moving):
            at = ends[moving] - size if backward else ends[moving]
            at_copy = at + shift[moving]
            inside = (at >= 0) & (at_copy >= 0) & (at < len(here)) & (at_copy < len(there))
            moving, at, at_copy = moving[inside], at[inside], at_copy[inside]
            moving = moving[here[at] == there[at_copy]]
            ends[moving] += -size if backward else size
            if size < steps[0]:
                break  # a larger step has failed, so one step of each smaller size is enough
            if limit is not None:
                moving = moving[ends[moving] < limit[moving]]
    return ends


def _together(letters: Letters, size: int) -> npt.NDArray[np.unsignedinteger]:
    """Show a text as all its runs of so many letters, each as one number."""
    width = letters.itemsize * size
    return np.ndarray((len(letters) - size + 1,), f"<u{width}", letters, strides=(letters.itemsize,))
