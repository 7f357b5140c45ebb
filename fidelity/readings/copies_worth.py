"""What the other copies of a man are worth: learned on the survivors of which he left several.

Arrives: ``Compared`` copies of survivors, the letter channel. Leaves: ``Worth``, by which another copy of a
text bears on its readings. Start reading at ``worth_of``, then ``Worth.log_likelihood``.

Two ways in which another copy f may have come about, where the first has d and the original o:

- *made from the first*: he writes what he reads there, d, but for slips of the pen (a share s of the words),
  unless he mends an error (a share c of them): then he writes o;
- *made from the original anew*: he writes o but for the errors of his eye.

Which of them holds is judged by shared errors (``copy_of_copy.py``); where that is undecided, either counts
half. c has the prior Beta(1, 1), as if one error had been mended and one not; s the prior mean of the share
of words wrong in the first copies, worth ten words. How often an error is made again by one who copies anew
has the prior mean that the letter channel gives, at least ``LEAST_COINCIDENCE``, worth four errors.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from fidelity.alignment.channel import AnswerTotals, LetterChannel
from fidelity.letters import decode
from fidelity.readings.copies_compared import Word
from fidelity.readings.copy_of_copy import LEAST_COINCIDENCE, Dependence, dependence
from fidelity.terms.copies import HIS, Beside, MadeFrom

PRIOR_MENDED, PRIOR_LEFT = 1.0, 1.0
PRIOR_WORDS, PRIOR_ERRORS = 10.0, 4.0
LETTERS_A_WORD = 5.0  # only where no survivor has several copies: his slips a letter, times this
LONGEST = 60  # letters of a stretch whose writing is reckoned; longer ones are left out
LEAST = 1e-30  # nothing is held less probable
# Of a man of whom no survivor tells nobody knows the habits: a word may be wrong in any one way so often
# (chosen: one confusion in fifty a habit of his, made in one of twenty words that allow it).
UNKNOWN_HABIT = 1e-3
DULLER = 0.1  # of his counts when they stand for another man's, of whom no survivor tells

Key = TypeVar("Key", bound=Hashable)
Written = Callable[[str, str], float]  # P(what is written | original), letter by letter


@dataclass(frozen=True)
class Worth:
    """What another copy by one man is worth.

    Attributes:
        by: who made it.
        dependence: what shared errors say.
        mended: c, the share of its errors that he mends.
        slips: s, the share of words in which the pen slips.
        again: how often an error of the first copy is made again by one who copies anew.
        written: P(written | original) of him who made the other copy.
        pen: the same of the man himself, for slips of his pen.
        words: of survivors that he wrote.
        differ, other_right, first_right: words of survivors in which the copies differ, and in how many of
            them the other is right, and the first.
    """

    by: str
    dependence: Dependence
    mended: float
    slips: float
    again: float
    written: Written
    pen: Written
    words: int
    differ: int
    other_right: int
    first_right: int

    def log_likelihood(self, original: str | None, first: str, other: str) -> float:
        """Give the log of the probability that the other copy has this word; nats.

        Args:
            original: what the original had; None for anything that is not named.
            first, other: what the copies have, normalised.
        """
        made = self.dependence.made_from
        if made is MadeFrom.UNDECIDED:
            return math.log(
                (self._from_first(original, first, other) + self._anew(original, first, other)) / 2
            )
        way = self._from_first if made is MadeFrom.FIRST else self._anew
        return math.log(way(original, first, other))

    def _from_first(self, original: str | None, first: str, other: str) -> float:
        """Give the probability of a word of a copy made from the first."""
        slip = 1 - self.slips if other == first else self.slips * self._slip(first, other)
        if original == first:
            return max(slip, LEAST)
        mended = self.mended if original == other else 0.0
        return max(mended + (1 - self.mended) * slip, LEAST)

    def _slip(self, read: str, written: str) -> float:
        """Give the probability that a slip of the pen gives this."""
        return self.pen(read, written) / max(1 - self.pen(read, read), LEAST)

    def _anew(self, original: str | None, first: str, other: str) -> float:
        """Give the probability of a word of a copy made from the original."""
        if original is None:
            return self.again if other == first else max(min(self.again, self.written(first, other)), LEAST)
        found = max(self.written(original, other), LEAST if self.by == HIS or self.words else UNKNOWN_HABIT)
        return max(found, self.again if other == first != original else 0.0)

    @property
    def is_evidence(self) -> bool:
        """Whether the other copy tells of the original: another's copy of the first copy does not."""
        return self.by == HIS or self.dependence.made_from is not MadeFrom.FIRST

    def in_words(self, other_copy: str, first: str, other: str) -> str:
        """Say what the other copy has, and what that is worth."""
        who = f"his other copy ({other_copy})" if self.by == HIS else f"{other_copy}, another's transcript,"
        if first == other:
            return f"{who} has the same"
        has = f"{who} has {decode(other) or 'nothing'}"
        if not self.differ:
            return f"{has}; no survivor shows what that is worth"
        return (
            f"{has}; where the two differ in the survivors it is right {self.other_right} of {self.differ}"
            f" times, the first copy {self.first_right}"
        )


def worth_of(by: str, words: Sequence[Word], written: Written, pen: Written, slip_rate: float) -> Worth:
    """Learn what another copy is worth.

    Args:
        by: who made it.
        words: of the survivors that have such a copy; those that count.
        written: P(written | original) of its maker.
        pen: the same of the man himself.
        slip_rate: his slips for each letter, where no word is given.
    """
    stands = [word.place.what if word.place else None for word in words]
    wrong = [word for word in words if word.original != word.first]
    shared = stands.count(Beside.BOTH_ALIKE)
    mended, new = stands.count(Beside.FIRST_WRONG), stands.count(Beside.OTHER_WRONG)
    otherwise = stands.count(Beside.BOTH_OTHERWISE)
    chances = [_again(word, written) for word in wrong]
    found = dependence(chances, shared)
    share = (len(wrong) + 0.5) / (len(words) + 1) if words else min(slip_rate * LETTERS_A_WORD, 0.5)
    typical = max(math.fsum(chances) / len(chances) if chances else 0.0, LEAST_COINCIDENCE)
    return Worth(
        by=by,
        dependence=found,
        mended=(mended + PRIOR_MENDED) / (len(wrong) + PRIOR_MENDED + PRIOR_LEFT),
        slips=(new + otherwise + PRIOR_WORDS * share) / (len(words) - mended + PRIOR_WORDS),
        again=(shared + PRIOR_ERRORS * typical) / (len(wrong) + PRIOR_ERRORS),
        written=written,
        pen=pen,
        words=len(words),
        differ=mended + new + otherwise,
        other_right=mended,
        first_right=new,
    )


def _again(word: Word, written: Written) -> float:
    """Give the probability that an error of the first copy is made again by one who copies anew."""
    if max(len(word.original or ""), len(word.first)) > LONGEST:
        return LEAST_COINCIDENCE
    return max(written(word.original or "", word.first), LEAST_COINCIDENCE)


def duller(channel: LetterChannel) -> LetterChannel:
    """Give a channel of a man of whom nothing is known but that he copied as others do.

    A tenth of our man's counts: what is his alone weighs little against the flat guess.
    """
    totals = channel.totals
    return LetterChannel(
        channel.original_letters,
        channel.copy_letters,
        channel.same,
        AnswerTotals(
            singles=_scaled(totals.singles.items()),
            added=_scaled(totals.added.items()),
            several=_scaled(totals.several.items()),
            several_chances=totals.several_chances,
        ),
    )


def _scaled(counts: Iterable[tuple[Key, float]]) -> dict[Key, float]:
    return {key: DULLER * count for key, count in counts}
