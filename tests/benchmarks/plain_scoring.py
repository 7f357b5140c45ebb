"""Score the proposals for a plain copy by the errors that were planted in it.

Arrives: a copy with its planted errors, and proposals. Leaves: how many of the sure ones are right, and for
each wrong word where its right reading is. Start reading at ``scored``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged
from fidelity.letters import encode
from fidelity.readings.apply import apply_readings
from fidelity.terms import ProposedReading, Witness
from fidelity.witnesses.read import read_witness
from tests.benchmarks.scoring import between_kept_divisions, is_right, restored, words_around
from tests.planted_plain import PlainCopy

SURE, SETTLED = 0.9, 0.5
# What became of a wrong word: a sure proposal restores it; the right reading is proposed at less, or is named
# as a rival of another proposal, or is nowhere.
FATES = ("sure", "0.5-0.9", "0.2-0.5", "rival", "nowhere")


@dataclass(frozen=True)
class Proposals:
    """Proposals at 0.9 or more, and how many of them are right: for whole words, and for letters."""

    words: int
    words_right: int
    letters: int
    letters_right: int


@dataclass(frozen=True)
class Found:
    """What was found of one copyist.

    Attributes:
        seed: of the copyist.
        mode: "none" or "text": whether there was a reference text.
        errors: planted in the lost text, the longer skips among them.
        wrong_words: words of the copy that the original has otherwise.
        sure: proposals at 0.9 or more.
        fates: (kind of error, what became of it, whether the wrong word is a known word) -> wrong words.
        before: edit distance of copy and original, in letters.
        after_sure, after_settled: the same after all proposals at 0.9 or more, and 0.5 or more, are put in.
    """

    seed: int
    mode: str
    errors: int
    wrong_words: int
    sure: Proposals
    fates: Counter[tuple[str, str, bool]]
    before: int
    after_sure: int
    after_settled: int

    @property
    def proposals(self) -> int:
        return self.sure.words + self.sure.letters

    @property
    def right(self) -> int:
        return self.sure.words_right + self.sure.letters_right

    def fated(self, fate: str, kind: str = "", known: bool | None = None) -> int:
        """Count the wrong words with one fate: all, of one kind of error, (in)visible ones."""
        return sum(
            count
            for (of, what, is_known), count in self.fates.items()
            if what == fate and kind in ("", of) and known in (None, is_known)
        )


def scored(
    seed: int,
    mode: str,
    lost: PlainCopy,
    copy: Witness,
    readings: Sequence[ProposedReading],
    known: set[str],
) -> Found:
    """Score the proposals for a lost text by what was planted in it."""
    if copy.letters != encode(lost.copy):
        raise AssertionError("the copy was not read as it was written")
    truth = lost.truth()
    after = {
        level: Levenshtein.distance(
            read_witness(apply_readings(copy, readings, level)[0]).letters, encode(lost.original)
        )
        for level in (SURE, SETTLED)
    }
    fates = _fates(lost, truth, readings, known)
    return Found(
        seed=seed,
        mode=mode,
        errors=len(lost.edits),
        wrong_words=sum(fates.values()),
        sure=_sure(lost.copy, truth, readings),
        fates=fates,
        before=Levenshtein.distance(copy.letters, encode(lost.original)),
        after_sure=after[SURE],
        after_settled=after[SETTLED],
    )


def _sure(letters: str, truth: Tagged, readings: Sequence[ProposedReading]) -> Proposals:
    """Count the proposals at 0.9 or more, and those of them that are right."""
    counts = {True: [0, 0], False: [0, 0]}
    for one in readings:
        if one.probability >= SURE:
            whole = words_around(letters, *one.copy_span) == one.copy_span
            counts[whole][0] += 1
            counts[whole][1] += is_right(letters, truth, one)
    return Proposals(*counts[True], *counts[False])


def _fates(
    lost: PlainCopy, truth: Tagged, readings: Sequence[ProposedReading], known: set[str]
) -> Counter[tuple[str, str, bool]]:
    """Count what became of the wrong words, by the kind of error."""
    letters = lost.copy
    places = between_kept_divisions(letters, truth)
    wrong = [span for span in places if truth.original(*span) != letters[slice(*span)]]
    sure = set(restored(letters, truth, readings, wrong, SURE))
    fates: Counter[tuple[str, str, bool]] = Counter()
    for span in wrong:
        fate = FATES[0] if span in sure else _lesser_fate(letters, truth, readings, span)
        is_known = set(letters[slice(*span)].split()) <= known
        fates[_kind(lost, span), fate, is_known] += 1
    return fates


def _kind(lost: PlainCopy, span: tuple[int, int]) -> str:
    """Give by what mechanism a word went wrong (the first, where there are two)."""
    touching = (
        edit.cause
        for edit, (start, end) in zip(lost.edits, lost.copied, strict=True)
        if start <= span[1] and span[0] <= end
    )
    return next(touching)


def _lesser_fate(
    letters: str, truth: Tagged, readings: Sequence[ProposedReading], span: tuple[int, int]
) -> str:
    """Tell where the right reading of a wrong word is, if no sure proposal restores it."""
    best = 0.0
    rival = False
    for one in readings:
        start, end = one.copy_span
        if not (start < span[1] and span[0] < end):
            continue
        first, last = min(start, span[0]), max(end, span[1])
        meant = truth.original(first, last)
        if letters[first:start] + one.proposed + letters[end:last] == meant:
            best = max(best, one.probability)
        rival |= any(
            letters[first:start] + other + letters[end:last] == meant for other, _ in one.alternatives
        )
    if best:
        return FATES[1] if best >= SETTLED else FATES[2]
    return FATES[3] if rival else FATES[4]
