"""Which letters of an original the copyist kept, and where they stand.

Arrives: an alignment with its variants, and where pages begin. Leaves: counts, masks and offsets. Start
reading at ``kept_letters``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fidelity.letters import is_punctuation
from fidelity.terms import Alignment, Phenomenon, StepKind, Variant
from fidelity.variants.moves import steps_without_moved
from fidelity.variants.places import Places
from fidelity.variants.set_aside import Codes, Mask, codes_of, evidence_in

Offsets = NDArray[np.intp]
Kept = Counter[tuple[str, str, str]]  # letter, what answers it, page


def kept_letters(alignment: Alignment, variants: Sequence[Variant], places: Places) -> Kept:
    """Count the letters kept, with the page they stand on: clear, main hand, no stops or spaces.

    A letter within a variant (the i of in → ui, or of a replaced word) is not kept, though it recurs.
    """
    original, copy = alignment.original, alignment.copy
    found: Kept = Counter()
    good = outside_variants(evidence_in(alignment), variants, len(original.letters))
    answer = np.full(len(original.letters), -1, dtype=np.intp)  # where in the copy the same letter stands
    for o0, o1, c0, c1, kind in steps_without_moved(alignment):
        if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
            answer[o0:o1] = np.arange(c0, c1)
        elif kind == StepKind.KEPT and o1 - o0 == 1 and good[o0]:  # a sign written out, as declared
            found[original.letters[o0], copy.letters[c0:c1], places.page(o0)] += 1
    letters, written = codes_of(original.letters), codes_of(copy.letters)
    at = np.flatnonzero((answer >= 0) & good & ~outside_words(original.letters, letters))
    names, number = np.unique(np.concatenate([letters[at], written[answer[at]]]), return_inverse=True)
    first, second = number[: len(at)], number[len(at) :]
    keys, counts = np.unique(
        (places.stretches(at) * len(names) + first) * len(names) + second, return_counts=True
    )
    for key, count in zip(keys.tolist(), counts.tolist(), strict=True):
        rest, copied = divmod(key, len(names))
        stretch, letter = divmod(rest, len(names))
        found[chr(names[letter]), chr(names[copied]), places.page_of(stretch)] += count
    return found


def outside_words(letters: str, codes: Codes) -> Mask:
    """Tell which letters stand outside words: blanks and stops.

    Args:
        letters: of a text.
        codes: the same letters as numbers.
    """
    outside = [ord(letter) for letter in set(letters) if letter.isspace() or is_punctuation(letter)]
    return np.isin(codes, outside)


def outside_variants(good: Mask | None, variants: Sequence[Variant], size: int) -> Mask:
    """Tell which letters are evidence and stand in no variant; words exchanged are words kept.

    Args:
        good: which letters are evidence; None for all.
        variants: of the survivor.
        size: letters of its original.
    """
    outside = np.ones(size, dtype=np.bool_) if good is None else good.copy()
    for variant in variants:
        if variant.phenomenon is not Phenomenon.TRANSPOSITION:
            outside[slice(*variant.original_span)] = False
    return outside


def where_stands(string: str, kept: Codes, good: Mask | None) -> Offsets:
    """Give the offsets at which a string of letters stands, every letter of it evidence."""
    size = max(len(kept) - len(string) + 1, 0)
    offsets = np.flatnonzero(kept[:size] == ord(string[0]))
    for place, letter in enumerate(string[1:], start=1):
        offsets = offsets[kept[offsets + place] == ord(letter)]
    if good is not None:
        for place in range(len(string)):
            offsets = offsets[good[offsets + place]]
    return offsets


def bare_word(word: str) -> str:
    """Give a word without the stops around it.

    >>> bare_word(".miꝺ.")
    'miꝺ'
    """
    start, end = 0, len(word)
    while start < end and is_punctuation(word[start]):
        start += 1
    while end > start and is_punctuation(word[end - 1]):
        end -= 1
    return word[start:end]
