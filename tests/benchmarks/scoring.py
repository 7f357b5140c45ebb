"""Score proposals for texts whose originals survive after all.

Arrives: proposals, and what the original has at every letter of the copy. Leaves: which are right,
and the figures over all of them. Start reading at ``judged``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged
from fidelity.letters import encode
from fidelity.readings.apply import without_overlap
from fidelity.terms import ProposedReading, Witness

LEVELS = (0.5, 0.8, 0.9)
BANDS = (0.2, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


@dataclass(frozen=True)
class Judged:
    """The proposals for one text.

    Attributes:
        said: probability of each proposal.
        right: whether it was right.
        wrong_words: words of the copy that are not what the original has; words wrongly divided or
            joined count as one.
        restored: at each level, how many of them are after all proposals of so much are put in.
    """

    said: tuple[float, ...]
    right: tuple[bool, ...]
    wrong_words: int
    restored: tuple[int, ...]


def judged(copy: Witness, truth: Tagged, readings: Sequence[ProposedReading]) -> Judged:
    """Judge the proposals for one text by its original.

    Args:
        copy: the transcript.
        truth: what the original has at each letter of it.
        readings: the proposals.
    """
    places = between_kept_divisions(copy.letters, truth)
    wrong = [span for span in places if truth.original(*span) != copy.letters[slice(*span)]]
    return Judged(
        said=tuple(one.probability for one in readings),
        right=tuple(is_right(copy.letters, truth, one) for one in readings),
        wrong_words=len(wrong),
        restored=tuple(len(restored(copy.letters, truth, readings, wrong, level)) for level in LEVELS),
    )


def between_kept_divisions(letters: str, truth: Tagged) -> list[tuple[int, int]]:
    """Cut a copy at the word divisions that the original has too."""
    kept = [at for at, letter in enumerate(letters) if letter.isspace() and truth.tags[at] == letter]
    return [(start + 1, end) for start, end in pairwise([-1, *kept, len(letters)]) if end > start + 1]


def is_right(letters: str, truth: Tagged, reading: ProposedReading) -> bool:
    """Tell whether a proposal is right.

    A reading of whole words is right when it is what the original has there. One of letters within
    a word is right when it brings the word nearer to the original by its full size.
    """
    start, end = reading.copy_span
    proposed, transmitted = encode(reading.proposed), letters[start:end]
    first, last = words_around(letters, start, end)
    if (first, last) == (start, end):
        return proposed == truth.original(start, end)
    meant, written = truth.original(first, last), letters[first:last]
    edited = letters[first:start] + proposed + letters[end:last]
    size = Levenshtein.distance(transmitted, proposed)
    return Levenshtein.distance(edited, meant) == Levenshtein.distance(written, meant) - size


def words_around(letters: str, start: int, end: int) -> tuple[int, int]:
    """Widen a span to the whole words it touches; a division touches the words on both sides."""
    while start > 0 and not letters[start - 1].isspace():
        start -= 1
    while end < len(letters) and not letters[end].isspace():
        end += 1
    return start, end


def restored(
    letters: str,
    truth: Tagged,
    readings: Sequence[ProposedReading],
    wrong: Sequence[tuple[int, int]],
    level: float,
) -> list[tuple[int, int]]:
    """Give the wrong words that are right after every proposal of so much is put in."""
    settled = [one for one in readings if one.probability >= level]
    edits = sorted((*one.copy_span, encode(one.proposed)) for one in without_overlap(settled))
    found = []
    for start, end in wrong:
        touching = [edit for edit in edits if edit[0] < end and start < edit[1]]
        if not touching:
            continue
        first, last = min(start, touching[0][0]), max(end, touching[-1][1])
        if "".join(_edited(letters, touching, first, last)) == truth.original(first, last):
            found.append((start, end))
    return found


def _edited(letters: str, edits: Sequence[tuple[int, int, str]], start: int, end: int) -> Iterator[str]:
    """Give a stretch with edits put in; they are in order and do not touch."""
    for first, last, text in edits:
        yield letters[start:first] + text
        start = last
    yield letters[start:end]


def _all(found: Sequence[Judged]) -> list[tuple[float, bool]]:
    """Give the proposals of all texts: what was said of each, and whether it was right."""
    return [pair for one in found for pair in zip(one.said, one.right, strict=True)]


def level_rows(found: Sequence[Judged]) -> list[dict[str, float | None]]:
    """Say how the proposals of at least each level fared."""
    rows: list[dict[str, float | None]] = []
    wrong = sum(one.wrong_words for one in found)
    for number, level in enumerate(LEVELS):
        right = [is_so for said, is_so in _all(found) if said >= level]
        rows.append(
            {
                "at_least": level,
                "proposals": len(right),
                "precision": sum(right) / len(right) if right else None,
                "wrong_words": wrong,
                "restored": sum(one.restored[number] for one in found) / max(wrong, 1),
            }
        )
    return rows


def band_rows(found: Sequence[Judged]) -> list[dict[str, float]]:
    """Set what was said beside what was found, band by band."""
    rows = []
    for low, high in pairwise(BANDS):
        some = [(said, right) for said, right in _all(found) if low <= said < high or said == high == 1]
        if some:
            said, right = (sum(side) / len(some) for side in zip(*some, strict=True))
            rows.append({"from": low, "to": high, "proposals": len(some), "said": said, "found": right})
    return rows


def brier(found: Sequence[Judged]) -> float | None:
    """Give the mean squared difference of probability and outcome (Brier 1950, one-class form).

    None where nothing was proposed.
    """
    pairs = _all(found)
    return sum((said - right) ** 2 for said, right in pairs) / len(pairs) if pairs else None
