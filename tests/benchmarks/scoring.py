"""Score proposals for texts whose originals survive after all.

Arrives: proposals, and what the original has at every letter of the copy. Leaves: which are right, and for
each wrong word where its right reading is. Start reading at ``judged``; the figures over many texts are
in ``score_rows.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged
from fidelity.letters import encode
from fidelity.readings.apply import without_overlap
from fidelity.terms import ProposedReading, Witness
from tests.benchmarks.candidates_seen import RivalReadings

SURE, SETTLED = 0.9, 0.5
LEVELS = (SETTLED, 0.8, SURE)
# What became of a wrong word: a sure proposal restores it; the right reading is proposed at less; it was
# judged, but another was preferred; it was reckoned up while restoring, but given up before it was judged; it
# is nowhere among what was reckoned up.
FATES = ("sure", "0.5-0.9", "0.2-0.5", "outweighed", "given up", "nowhere")


@dataclass(frozen=True)
class Judged:
    """The proposals for one text.

    Attributes:
        said: probability of each proposal.
        right: whether it was right.
        kinds: what kind of error each would undo.
        places: where each begins, letters from the start of the text.
        wrong_words: words of the copy that are not what the original has; words wrongly divided or
            joined count as one.
        restored: at each level, how many of them are after all proposals of so much are put in.
        fates: what became of a wrong word, and whether it is a word that is known -> how many there are.
        ranges: of each proposal the shares that, it says, may be right of such in one more text.
    """

    said: tuple[float, ...]
    right: tuple[bool, ...]
    kinds: tuple[str, ...]
    places: tuple[int, ...]
    wrong_words: int
    restored: tuple[int, ...]
    fates: Counter[tuple[str, bool]]
    ranges: tuple[tuple[float, float], ...] = ()


def judged(
    copy: Witness,
    truth: Tagged,
    readings: Sequence[ProposedReading],
    reckoned: Sequence[RivalReadings] = (),
    known: Container[str] = frozenset(),
) -> Judged:
    """Judge the proposals for one text by its original.

    Args:
        copy: the transcript.
        truth: what the original has at each letter of it.
        readings: the proposals.
        reckoned: what was reckoned up for each place of it while it was restored.
        known: words of the survivors' originals and the reference texts.
    """
    letters = copy.letters
    places = between_kept_divisions(letters, truth)
    wrong = [span for span in places if truth.original(*span) != letters[slice(*span)]]
    sure = set(restored(letters, truth, readings, wrong, SURE))
    fates = Counter(
        (
            FATES[0] if span in sure else fate(letters, truth, readings, span, reckoned),
            all(word in known for word in letters[slice(*span)].split()),
        )
        for span in wrong
    )
    return Judged(
        said=tuple(one.probability for one in readings),
        right=tuple(is_right(letters, truth, one) for one in readings),
        kinds=tuple(one.kind for one in readings),
        places=tuple(one.copy_span[0] for one in readings),
        wrong_words=len(wrong),
        restored=tuple(len(restored(letters, truth, readings, wrong, level)) for level in LEVELS),
        fates=fates,
        ranges=tuple((one.probability_low, one.probability_high) for one in readings),
    )


def fate(
    letters: str,
    truth: Tagged,
    readings: Sequence[ProposedReading],
    span: tuple[int, int],
    reckoned: Sequence[RivalReadings] = (),
) -> str:
    """Tell where the right reading of a wrong word is, if no sure proposal restores it; one of ``FATES``."""
    best, is_rival = 0.0, False
    for one in readings:
        start, end = one.copy_span
        if not (start < span[1] and span[0] < end):
            continue
        first, last = min(start, span[0]), max(end, span[1])
        meant = truth.original(first, last)
        if letters[first:start] + encode(one.proposed) + letters[end:last] == meant:
            best = max(best, one.probability)
        is_rival |= any(
            letters[first:start] + encode(other) + letters[end:last] == meant for other, _ in one.alternatives
        )
    if best:
        return FATES[1] if best >= SETTLED else FATES[2]
    meant = truth.original(*span)
    around = [one for one in reckoned if one.start <= span[0] and span[1] <= one.end]
    if is_rival or any(_has(one.judged, meant, letters[one.start : one.end]) for one in around):
        return FATES[3]
    return FATES[4] if any(_has(one.all, meant, letters[one.start : one.end]) for one in around) else FATES[5]


def _has(readings: Sequence[str], meant: str, transmitted: str) -> bool:
    """Tell whether a reading of a longer stretch has these words oftener than the copy has them there."""
    words = f" {meant} "
    here = f" {transmitted} ".count(words)
    return any(f" {reading} ".count(words) > here for reading in readings)


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
