"""Tests for errors of the eye that jumps and of the pen that repeats.

Arrives: a variant and the facts. Leaves: what made the test fit, as printed, or "". Start reading at
``eye_skip``.

Eye-skip: the eye comes back to a later like sequence, and what lies between is lost (the vHMML
lexicon's parablepsis; Clark 1914 notes that most often the same word recurs).
"""

from __future__ import annotations

from itertools import takewhile

from fidelity.causes.facts import Facts, shown
from fidelity.letters import is_punctuation
from fidelity.terms import Phenomenon, Variant, Witness

LIKE_LETTERS = 3  # letters alike that can send the eye astray (the least that trade practice counts)
LINE_FROM = 15  # letters; in shorter lines every loss is near some number of lines
LINE_WITHIN = (
    0.15  # of a line: Lowe & Rand 1922 reckon with lines of 29.5 letters, of which few differ by more
)


def _bare(letters: str) -> str:
    """Leave out stops, and make one space of every division."""
    return " ".join("".join(x for x in letters if not is_punctuation(x)).split())


def _same_end(first: str, second: str) -> int:
    """Count the letters in which two strings end alike."""
    return _same_start(first[::-1], second[::-1])


def _same_start(first: str, second: str) -> int:
    """Count the letters in which two strings begin alike."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(first, second, strict=False)))


def _alike(first: str, second: str, at_end: bool) -> str:
    """Give in what two strings end (or begin) alike, if it is the same word or three letters."""
    if not first or not second:
        return ""
    size = (_same_end if at_end else _same_start)(first, second)
    where = -1 if at_end else 0
    if first.split(" ")[where] != second.split(" ")[where] and size < LIKE_LETTERS:
        return ""
    return (first[len(first) - size :] if at_end else first[:size]).strip()


def eye_skip(variant: Variant, facts: Facts) -> str:
    """At least a word is lost, and it begins or ends like the text kept beside it."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return ""
    letters = facts.alignment.original.letters
    start, end = variant.original_span
    lost = _bare(facts.folds.fold(letters[start:end]))
    if not _whole_words(letters, start, end) or not lost:
        return ""
    reach = len(lost) + 20  # letters of kept text to compare with; more cannot be alike
    before = _bare(facts.folds.fold(letters[max(start - reach, 0) : start]))
    after = _bare(facts.folds.fold(letters[end : end + reach]))
    ends, begins = _alike(before, lost, at_end=True), _alike(lost, after, at_end=False)
    found = [f"ends like what stands before: {shown(ends)}"] if ends else []
    found += [f"begins like what stands after: {shown(begins)}"] if begins else []
    return "; ".join(found + _in_lines(facts.alignment.original, start, end)) if found else ""


def _in_lines(original: Witness, start: int, end: int) -> list[str]:
    """Say how many lines a loss fills, where it is near to a whole number of the original's lines."""
    line = original.line_of(start)
    near = range(max(line - 5, 0), min(line + 6, len(original.lines)))
    lengths = sorted(stop - first for first, stop in map(original.line_span, near))
    usual = lengths[len(lengths) // 2]
    lines = round((end - start) / usual) if usual >= LINE_FROM and len(near) > 2 else 0
    if not lines or abs((end - start) / usual - lines) > LINE_WITHIN:
        return []
    return [f"as long as {lines} line{'s' if lines > 1 else ''}"]


def _whole_words(letters: str, start: int, end: int) -> bool:
    """Tell whether a span holds at least one whole word."""
    if any(letter.isspace() for letter in letters[start:end].strip()):
        return True
    left = start == 0 or letters[start].isspace() or letters[start - 1].isspace()
    right = end == len(letters) or letters[end - 1].isspace() or letters[end].isspace()
    return left and right


def line_skip(variant: Variant, facts: Facts) -> str:
    """Whole lines of the original are lost."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return ""
    original = facts.alignment.original
    start, end = variant.original_span
    while start < end and original.letters[start].isspace():
        start += 1
    while end > start and original.letters[end - 1].isspace():
        end -= 1
    first, last = original.line_of(start), original.line_of(max(end - 1, start))
    if start == end or original.line_span(first)[0] != start or original.line_span(last)[1] != end:
        return ""
    labels = dict.fromkeys((original.labels[first], original.labels[last]))
    return f"line{'s' if len(labels) > 1 else ''} {'-'.join(labels)}"


def dittography(variant: Variant, facts: Facts) -> str:
    """What was put in stands beside it already, to the letter.

    Which of two like stretches is the added one cannot be told, nor where it begins: in
    "on þa on þa" the addition may be "on þa " or " þa on"; every such cut is tried.
    """
    if variant.phenomenon is not Phenomenon.ADDITION:
        return ""
    start, end = variant.copy_span
    size = end - start
    letters = facts.alignment.copy.letters
    near = facts.folds.fold(letters[max(start - 2 * size - 2, 0) : end + 2 * size + 2])
    start -= max(start - 2 * size - 2, 0)
    for shift in range(-size, size + 1):
        first, last = start + shift, start + shift + size
        if first < 0 or last > len(near) or not _slides(near, start, size, shift):
            continue
        added = "".join(near[first:last].split())
        before, after = "".join(near[:first].split()), "".join(near[last:].split())
        if added and (before.endswith(added) or after.startswith(added)):
            return f"written twice: {shown(near[first:last])}"
    return ""


def _slides(letters: str, start: int, size: int, shift: int) -> bool:
    """Tell whether the text is the same when the stretch put in is taken to begin elsewhere."""
    without = letters[:start] + letters[start + size :]
    return letters[: start + shift] + letters[start + shift + size :] == without


def haplography(variant: Variant, facts: Facts) -> str:
    """Less than a word is lost, and the same letters stand beside it: written once for twice."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return ""
    start, end = variant.original_span
    letters, size = facts.alignment.original.letters, end - start
    lost = facts.folds.fold(letters[start:end])
    if not lost or any(letter.isspace() for letter in lost):
        return ""
    twice = lost in (
        facts.folds.fold(letters[max(start - size, 0) : start]),
        facts.folds.fold(letters[end : end + size]),
    )
    return f"stood twice: {shown(lost)}" if twice else ""
