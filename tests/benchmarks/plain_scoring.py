"""Score the proposals for a plain copy by the errors that were planted in it.

Arrives: a copy with its planted errors, and proposals. Leaves: how many of the sure ones are right, and for
each wrong word where its right reading is. Start reading at ``scored``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged, word_spans
from fidelity.letters import encode
from fidelity.readings.apply import apply_readings
from fidelity.terms import ProposedReading, Witness
from fidelity.witnesses.read import read_witness
from tests.benchmarks.candidates_seen import RivalReadings
from tests.benchmarks.scoring import (
    FATES,
    SETTLED,
    SURE,
    Judged,
    between_kept_divisions,
    fate,
    is_right,
    judged,
    restored,
    words_around,
)
from tests.planted_mechanisms import Edit
from tests.planted_plain import PlainCase, PlainCopy

SURER = 0.99  # what a method that is not calibrated says comes nearer to 0.9 in truth
WordMethod = Callable[[str], tuple[str, float]]
SEEN = ("never", "once", "2-4 times", "oftener")


class WrongWord(NamedTuple):
    """A wrong word of the copy.

    Attributes:
        error: by what mechanism it went wrong (the first, where there are two).
        seen: how often he makes the very same error in the survivors, one of ``SEEN``.
        fate: what became of it, one of ``FATES``.
        known: whether it is a word of the survivors' originals or the reference: nobody can see it.
    """

    error: str
    seen: str
    fate: str
    known: bool


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
        fates: kind of wrong word -> how many there are.
        channel: level -> (words that a letter channel alone, not calibrated, would change; right ones).
        before: edit distance of copy and original, in letters.
        after_sure, after_settled: the same after all proposals at 0.9 or more, and 0.5 or more, are put in.
        text: all proposals for it, judged.
    """

    seed: int
    mode: str
    errors: int
    wrong_words: int
    sure: Proposals
    fates: Counter[WrongWord]
    channel: dict[float, tuple[int, int]]
    before: int
    after_sure: int
    after_settled: int
    text: Judged | None = None

    @property
    def proposals(self) -> int:
        return self.sure.words + self.sure.letters

    @property
    def right(self) -> int:
        return self.sure.words_right + self.sure.letters_right

    def fated(self, fate: str, **conditions: str | bool) -> int:
        """Count the wrong words with one fate that are as the conditions say."""
        wanted = {"fate": fate, **conditions}
        return sum(
            count
            for one, count in self.fates.items()
            if all(getattr(one, name) == value for name, value in wanted.items())
        )


def scored(
    seed: int,
    mode: str,
    case: PlainCase,
    copy: Witness,
    readings: Sequence[ProposedReading],
    known: Container[str],
    word_by_word: WordMethod,
    reckoned: Sequence[RivalReadings] = (),
) -> Found:
    """Score the proposals for a lost text by what was planted in it.

    Args:
        seed, mode: as in ``Found``.
        case: the copyist's survivors and lost text, as they were planted.
        copy: of the lost text, as the program read it.
        readings: the program's proposals.
        known: words of the survivors' originals and the reference text.
        word_by_word: a simple method, which gives for a copied word an original one and a probability.
        reckoned: what was reckoned up for each place of the copy while it was restored.
    """
    lost = case.lost
    if copy.letters != encode(lost.copy):
        raise AssertionError("the copy was not read as it was written")
    truth = lost.truth()
    after = {
        level: Levenshtein.distance(
            read_witness(apply_readings(copy, readings, level)[0]).letters, encode(lost.original)
        )
        for level in (SURE, SETTLED)
    }
    fates = _fates(case, truth, readings, known, reckoned)
    return Found(
        seed=seed,
        mode=mode,
        errors=len(lost.edits),
        wrong_words=sum(fates.values()),
        sure=_sure(lost.copy, truth, readings),
        fates=fates,
        channel={level: _by_words(lost.copy, truth, word_by_word, level) for level in (SURE, SURER)},
        before=Levenshtein.distance(copy.letters, encode(lost.original)),
        after_sure=after[SURE],
        after_settled=after[SETTLED],
        text=judged(copy, truth, readings, reckoned, known),
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


def _by_words(letters: str, truth: Tagged, method: WordMethod, level: float) -> tuple[int, int]:
    """Count the words that a simple method would change at a level, and those it would set right."""
    changed = right = 0
    for start, end in word_spans(letters):
        best, p = method(letters[start:end])
        if p >= level and best != letters[start:end]:
            changed += 1
            right += best == truth.original(start, end)
    return changed, right


def _fates(
    case: PlainCase,
    truth: Tagged,
    readings: Sequence[ProposedReading],
    known: Container[str],
    reckoned: Sequence[RivalReadings],
) -> Counter[WrongWord]:
    """Count the wrong words by their kind and by what became of them."""
    letters = case.lost.copy
    places = between_kept_divisions(letters, truth)
    wrong = [span for span in places if truth.original(*span) != letters[slice(*span)]]
    sure = set(restored(letters, truth, readings, wrong, SURE))
    times = Counter(what_was_done(one, edit) for one in case.survivors for edit in one.edits)
    fates: Counter[WrongWord] = Counter()
    for span in wrong:
        edit = _edit_at(case.lost, span)
        seen = times[what_was_done(case.lost, edit)]
        its_fate = FATES[0] if span in sure else fate(letters, truth, readings, span, reckoned)
        is_known = all(word in known for word in letters[slice(*span)].split())
        band = SEEN[min(seen, 2) + (seen > 4)]
        fates[WrongWord(edit.cause, band, its_fate, is_known)] += 1
    return fates


def what_was_done(one: PlainCopy, edit: Edit) -> tuple[str, str]:
    """Give the original's letters and what was written for them."""
    return one.original[edit.start : edit.end], edit.written


def _edit_at(lost: PlainCopy, span: tuple[int, int]) -> Edit:
    """Give the first error that touches a wrong word."""
    return next(
        edit
        for edit, (start, end) in zip(lost.edits, lost.copied, strict=True)
        if start <= span[1] and span[0] <= end
    )
