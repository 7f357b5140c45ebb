"""Find where two texts surely answer each other, so that only what lies between is weighed.

Arrives: two texts in folded letters. Leaves: stretches of equal letters, in the same order in
both. Start reading at ``anchors_between``.

A run of letters that stands once in either text is taken as a candidate; of all candidates the
longest chain in the same order in both is kept (longest increasing subsequence, Fredman 1975),
each run is lengthened as far as the letters agree, and its ends are trimmed so that the weighted
programme decides them.
"""

from __future__ import annotations

from bisect import bisect_left

GRAM_LENGTHS = (12, 8, 6)  # tried in turn; measured on prototypes: 12 anchors most texts at 2-6 % noise
LARGEST_WINDOW = {12: 10**9, 8: 40_000, 6: 3_000}  # letters a side; a short run is only telling nearby
SMALL_WINDOW = 2_500  # cells; not worth cutting further
TRIM = {12: 4, 8: 3, 6: 2}  # letters left to the weighted programme at either end
SHORTEST = {12: 8, 8: 4, 6: 2}  # letters that an anchor must keep after trimming

Anchor = tuple[int, int, int]  # original start, copy start, length


def unique_grams(text: str, start: int, end: int, length: int) -> dict[str, int]:
    """Give the runs of this length that stand just once in the stretch, with their place."""
    places: dict[str, int] = {}
    twice: set[str] = set()
    for at in range(start, end - length + 1):
        gram = text[at : at + length]
        if gram in places:
            twice.add(gram)
        else:
            places[gram] = at
    for gram in twice:
        del places[gram]
    return places


def longest_chain(pairs: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Keep the longest sequence of pairs that ascends on both sides; pairs come sorted.

    >>> longest_chain([(1, 7), (2, 2), (3, 3), (5, 9)])
    [(2, 2), (3, 3), (5, 9)]
    """
    tails: list[int] = []
    tail_at: list[int] = []
    before = [-1] * len(pairs)
    for at, (_, place) in enumerate(pairs):
        rank = bisect_left(tails, place)
        if rank == len(tails):
            tails.append(place)
            tail_at.append(at)
        else:
            tails[rank] = place
            tail_at[rank] = at
        before[at] = tail_at[rank - 1] if rank else -1
    chain = []
    at = tail_at[-1] if tail_at else -1
    while at >= 0:
        chain.append(pairs[at])
        at = before[at]
    return chain[::-1]


def _lengthened(
    original: str, copy: str, chain: list[tuple[int, int]], window: tuple[int, int, int, int], length: int
) -> list[Anchor]:
    """Lengthen each seed as far as the letters agree, trim it, and drop what overlaps."""
    original_start, original_end, copy_start, copy_end = window
    anchors: list[Anchor] = []
    done_original, done_copy = original_start, copy_start
    for seed_original, seed_copy in chain:
        if seed_original < done_original or seed_copy < done_copy:
            continue
        first, first_copy = seed_original, seed_copy
        while (
            first > done_original and first_copy > done_copy and original[first - 1] == copy[first_copy - 1]
        ):
            first, first_copy = first - 1, first_copy - 1
        last, last_copy = seed_original + length, seed_copy + length
        while last < original_end and last_copy < copy_end and original[last] == copy[last_copy]:
            last, last_copy = last + 1, last_copy + 1
        done_original, done_copy = last, last_copy
        kept = last - first - 2 * TRIM[length]
        if kept >= SHORTEST[length]:
            anchors.append((first + TRIM[length], first_copy + TRIM[length], kept))
    return anchors


def anchors_between(original: str, copy: str, window: tuple[int, int, int, int]) -> list[Anchor]:
    """Find the anchors of one window, cutting what lies between them further while it pays.

    Args:
        original, copy: the two texts in folded letters.
        window: original start, original end, copy start, copy end.

    Returns:
        Anchors in order: (original start, copy start, length); letters there are equal.
    """
    anchors: list[Anchor] = []
    waiting = [(window, 0)]
    while waiting:
        (o0, o1, c0, c1), level = waiting.pop()
        if level == len(GRAM_LENGTHS) or (o1 - o0) * (c1 - c0) <= SMALL_WINDOW:
            continue
        length = GRAM_LENGTHS[level]
        found: list[Anchor] = []
        if max(o1 - o0, c1 - c0) <= LARGEST_WINDOW[length]:
            in_original = unique_grams(original, o0, o1, length)
            in_copy = unique_grams(copy, c0, c1, length)
            pairs = sorted((in_original[gram], in_copy[gram]) for gram in in_original.keys() & in_copy.keys())
            found = _lengthened(original, copy, longest_chain(pairs), (o0, o1, c0, c1), length)
        anchors.extend(found)
        for start, start_copy, size in [*found, (o1, c1, 0)]:
            waiting.append(((o0, start, c0, start_copy), level + 1))
            o0, c0 = start + size, start_copy + size
    return sorted(anchors)
