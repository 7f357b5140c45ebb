"""Bring other copies to bear on the readings of the first.

Arrives: ``Compared`` copies, the survivors' alignments. Leaves: what ``beside.py`` asks for: further
readings, and how probable the other copies' words are, had the original had each reading. Start reading at
``CopiesBeside``.

In a round of the blind test everything is learned without what is left out: the letter channel, the shares of
errors mended and of slips, and from what the other copies were made.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.channel import LetterChannel
from fidelity.copyist.tagging import normalise
from fidelity.readings.beside import Beside, LeftOut, joined
from fidelity.readings.copies_compared import Compared, Word
from fidelity.readings.copies_worth import LEAST, LONGEST, Worth, Written, duller, worth_of
from fidelity.readings.simple import NoisyChannel, learned_channel
from fidelity.terms import Alignment
from fidelity.terms.copies import HIS
from fidelity.witnesses.folds import Folds

Spans = dict[int, list[tuple[int, int]]]  # index of a survivor -> spans of its first copy
Maker = tuple[str, int]


class CopiesBeside:
    """Knows the other copies of all texts.

    Args:
        compared: every other copy beside the first.
        alignments: of the survivors with their first copies.
        folds: letterforms counted as equal.
    """

    def __init__(self, compared: Sequence[Compared], alignments: Sequence[Alignment], folds: Folds) -> None:
        self.compared, self.alignments, self.folds = compared, alignments, folds
        self._worths: dict[tuple[Maker, LeftOut], Worth] = {}
        self._channels: dict[tuple[str, LeftOut], LetterChannel] = {}
        self._own: dict[tuple[str, int], Alignment] = {}

    def survivor(self, number: int, left_out: LeftOut) -> Beside | None:
        """Give what is known beside a survivor's copy, its rates learned without what is left out."""
        return self._beside([one for one in self.compared if one.survivor == number], left_out)

    def lost(self, text: str) -> Beside | None:
        """Give what is known beside the copy of a lost text."""
        return self._beside([one for one in self.compared if one.survivor is None and one.text == text], ())

    def _beside(self, some: Sequence[Compared], left_out: LeftOut) -> Beside | None:
        with_worth = [(one, self.worth(one.maker, left_out)) for one in some]
        return joined(_Copy(one, worth, self.folds) for one, worth in with_worth if worth.is_evidence)

    def worth(self, maker: Maker, left_out: LeftOut = ()) -> Worth:
        """Give what the other copies by one man are worth, by what is not left out."""
        key = maker, tuple(left_out)
        if key not in self._worths:
            some = [one for one in self.compared if one.maker == maker and one.survivor is not None]
            self._worths[key] = self.worth_in(some, left_out, maker[0])
        return self._worths[key]

    def worth_in(self, some: Sequence[Compared], left_out: LeftOut = (), by: str | None = None) -> Worth:
        """Give what other copies by one man are worth, by these of survivors alone."""
        by, out = some[0].by if by is None else by, _spans(left_out)
        words = [
            word
            for one in some
            for word in one.words
            if word.counted and not _is_out(word, out.get(one.survivor or 0, ()))
        ]
        pen, theirs = self._channel(HIS, tuple(left_out)), self._channel(by, tuple(left_out))
        return worth_of(by, words, _writing(theirs), _writing(pen), pen.slip_rate)

    def _channel(self, by: str, left_out: LeftOut) -> LetterChannel:
        """Give the letter channel of one man; of another of whom no survivor tells, our man's made duller."""
        if (by, left_out) not in self._channels:
            out = _spans(left_out)
            if by == HIS:
                found = learned_channel(self.alignments, self.folds, out)
            else:
                found = self._of_another(by, out) or duller(self._channel(HIS, left_out))
            self._channels[by, left_out] = found
        return self._channels[by, left_out]

    def _of_another(self, by: str, out: Spans) -> LetterChannel | None:
        """Learn another man's letter channel from his transcripts of survivors; None without any."""
        theirs = [one for one in self.compared if one.by == by and one.survivor is not None]
        alignments, left_out = [], {}
        for at, one in enumerate(theirs):
            alignments.append(self._with_original(one))
            spans = [one.to_other.span(*span) for span in out.get(one.survivor or 0, ())]
            left_out[at] = [span for span in spans if span]
        return learned_channel(alignments, self.folds, left_out) if alignments else None

    def _with_original(self, one: Compared) -> Alignment:
        """Align another man's transcript of a survivor with the original."""
        survivor = one.survivor or 0
        if (one.by, survivor) not in self._own:
            original = self.alignments[survivor].original
            self._own[one.by, survivor] = align_witnesses(original, one.other, self.folds)
        return self._own[one.by, survivor]


def _spans(left_out: LeftOut) -> Spans:
    """Give what is left out by survivor."""
    found: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
    for survivor, start, end in left_out:
        found[survivor].append((start, end))
    return dict(found)


def _is_out(word: Word, spans: Sequence[tuple[int, int]]) -> bool:
    """Tell whether a word has letters in what is left out."""
    return any(word.start < end and start < max(word.end, word.start + 1) for start, end in spans)


def _writing(channel: LetterChannel) -> Written:
    """Give P(written | original) by a letter channel; each pair is reckoned once."""
    return cache(NoisyChannel(channel, {}).written_given)


@dataclass(frozen=True)
class _Copy:
    """One other copy, and what it is worth."""

    compared: Compared
    worth: Worth
    folds: Folds

    def at(self, start: int, end: int) -> CopyTelling | None:
        """Give what the other copy has for a span of the first; None where that cannot be told."""
        of = self.compared
        span = of.to_other.span(start, end)
        if span is None or of.to_other.is_skip(start, end) or not of.other_letters[slice(*span)].all():
            return None
        other = normalise(" ".join(of.other.letters[slice(*span)].split()), self.folds)
        first = normalise(" ".join(of.copy.letters[start:end].split()), self.folds)
        if max(len(first), len(other)) > LONGEST:
            return None
        return CopyTelling(self.worth, of.other_copy, first, other, self.folds)


@dataclass(frozen=True)
class CopyTelling:
    """What another copy says of a unit.

    Attributes:
        worth: what it is worth.
        other_copy: its name.
        first, other: what the copies have, normalised.
        folds: letterforms counted as equal.
    """

    worth: Worth
    other_copy: str
    first: str
    other: str
    folds: Folds

    @property
    def further(self) -> tuple[str, ...]:
        """Give the other copy's words, where they differ."""
        return (self.other,) if self.other not in ("", self.first) else ()

    def letter_odds(self, reading: str) -> float:
        """Give the log odds of writing the first copy's word for this one, against copying it right; nats."""
        written, first = self.worth.pen, self.first
        return math.log(max(written(reading, first), LEAST) / max(written(first, first), LEAST))

    @property
    def told(self) -> tuple[str, ...]:
        """Say what the other copy has."""
        return (self.worth.in_words(self.other_copy, self.first, self.other),)

    def log_likelihood(self, reading: str | None) -> float:
        """Give the log of the probability of the other copy's words, had the original this reading; nats."""
        reading = None if reading is None or len(reading) > LONGEST else normalise(reading, self.folds)
        return self.worth.log_likelihood(reading, self.first, self.other)


def beside_copies(
    compared: Sequence[Compared], alignments: Sequence[Alignment], folds: Folds
) -> tuple[CopiesBeside, ...]:
    """Give what knows the other copies; nothing where there are none."""
    return (CopiesBeside(compared, alignments, folds),) if compared else ()
