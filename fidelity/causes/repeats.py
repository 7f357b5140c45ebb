"""Tests for errors of the eye that jumps and of the pen that repeats.

Arrives: a variant and its alignment. Leaves: yes or no for eye-skip, skipped lines, dittography
and haplography. Start reading at ``is_eye_skip``.

Eye-skip: the eye comes back to a later like sequence, and what lies between is lost (the vHMML
lexicon's parablepsis; Clark 1914 notes that most often the same word recurs).
"""

from __future__ import annotations

from itertools import takewhile

from fidelity.letters import is_punctuation
from fidelity.terms import Alignment, Phenomenon, Variant
from fidelity.witnesses.folds import Folds

LIKE_LETTERS = 3  # letters alike that can send the eye astray (the least that trade practice counts)


def _bare(letters: str) -> str:
    """Leave out stops, and make one space of every division."""
    return " ".join("".join(x for x in letters if not is_punctuation(x)).split())


def _same_end(first: str, second: str) -> int:
    """Count the letters in which two strings end alike."""
    return _same_start(first[::-1], second[::-1])


def _same_start(first: str, second: str) -> int:
    """Count the letters in which two strings begin alike."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(first, second, strict=False)))


def _is_like(first: str, second: str, at_end: bool) -> bool:
    """Tell whether two strings end (or begin) with the same word or three letters alike."""
    if not first or not second:
        return False
    where = -1 if at_end else 0
    if first.split(" ")[where] == second.split(" ")[where]:
        return True
    return (_same_end if at_end else _same_start)(first, second) >= LIKE_LETTERS


def is_eye_skip(variant: Variant, alignment: Alignment, folds: Folds) -> bool:
    """At least a word is lost, and it begins or ends like the text kept beside it."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return False
    letters = alignment.original.letters
    start, end = variant.original_span
    lost = _bare(folds.fold(letters[start:end]))
    if not _whole_words(letters, start, end) or not lost:
        return False
    reach = len(lost) + 20  # letters of kept text to compare with; more cannot be alike
    before = _bare(folds.fold(letters[max(start - reach, 0) : start]))
    after = _bare(folds.fold(letters[end : end + reach]))
    return _is_like(before, lost, at_end=True) or _is_like(lost, after, at_end=False)


def _whole_words(letters: str, start: int, end: int) -> bool:
    """Tell whether a span holds at least one whole word."""
    if any(letter.isspace() for letter in letters[start:end].strip()):
        return True
    left = start == 0 or letters[start].isspace() or letters[start - 1].isspace()
    right = end == len(letters) or letters[end - 1].isspace() or letters[end].isspace()
    return left and right


def is_line_skip(variant: Variant, alignment: Alignment) -> bool:
    """Whole lines of the original are lost."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return False
    original = alignment.original
    start, end = variant.original_span
    while start < end and original.letters[start].isspace():
        start += 1
    while end > start and original.letters[end - 1].isspace():
        end -= 1
    first, last = original.line_of(start), original.line_of(max(end - 1, start))
    return start < end and original.line_span(first)[0] == start and original.line_span(last)[1] == end


def is_dittography(variant: Variant, alignment: Alignment, folds: Folds) -> bool:
    """What was put in stands beside it already, to the letter.

    Which of two like stretches is the added one cannot be told, nor where it begins: in
    "on þa on þa" the addition may be "on þa " or " þa on"; every such cut is tried.
    """
    if variant.phenomenon is not Phenomenon.ADDITION:
        return False
    start, end = variant.copy_span
    size = end - start
    near = folds.fold(alignment.copy.letters[max(start - 2 * size - 2, 0) : end + 2 * size + 2])
    start -= max(start - 2 * size - 2, 0)
    for shift in range(-size, size + 1):
        first, last = start + shift, start + shift + size
        if first < 0 or last > len(near) or not _slides(near, start, size, shift):
            continue
        added = "".join(near[first:last].split())
        before, after = "".join(near[:first].split()), "".join(near[last:].split())
        if added and (before.endswith(added) or after.startswith(added)):
            return True
    return False


def _slides(letters: str, start: int, size: int, shift: int) -> bool:
    """Tell whether the text is the same when the stretch put in is taken to begin elsewhere."""
    without = letters[:start] + letters[start + size :]
    return letters[: start + shift] + letters[start + shift + size :] == without


def is_haplography(variant: Variant, alignment: Alignment, folds: Folds) -> bool:
    """Less than a word is lost, and the same letters stand beside it: written once for twice."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return False
    start, end = variant.original_span
    letters, size = alignment.original.letters, end - start
    lost = folds.fold(letters[start:end])
    if not lost or any(letter.isspace() for letter in lost):
        return False
    return lost in (folds.fold(letters[max(start - size, 0) : start]), folds.fold(letters[end : end + size]))
