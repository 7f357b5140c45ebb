"""How probable it is that a witness has this, if what it was copied from had that.

Arrives: a rate of error, or a copyist's own letter channel. Leaves: a probability for every pair of readings.
Start reading at ``WitnessRate.written_given``.

Letter by letter, the forward sum of a memoryless channel (Ristad & Yianilos 1998, IEEE PAMI 20, 522-532),
with one letter a side. Beside it something that no slip of letters explains may happen to a word
(``accidents.py``). The shares are chosen, not measured, and every ratio that rests on them says so.

What is assumed of a witness's rate may be wrong, so it is not taken as known: P(written | original) is
its mean over ``UNSURE`` rates. A copyist whose survivors were counted slips in ways that these do not
show, too: a slip he never made there is as probable as anyone's, not as improbable as his habits alone
would have it; and a word may be misread in most of its letters. Without these, an error of his that is
new would count as a sign that the witness errs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

from fidelity.alignment.channel import ADDED_SHARE, OMITTED_SHARE
from fidelity.sources.accidents import Share, by_accident
from fidelity.terms import LOST_LETTER

EXCHANGED = 0.005  # of words: another word for it, left out, or put in (chosen: one in 200)
JUST_THIS = 0.02  # share of one word among those that could stand for another (chosen: one in 50)
TAKEN_FOR = 8  # letters that a slip is thought to choose among: look-alikes, not the alphabet (chosen)
NEW_SLIPS = 0.2  # share of a copyist's slips that the survivors show nothing of, so any like another (chosen)
HEAPED = 0.3  # slips to the letter in a word that was misread as a whole (chosen)
UNSURE = ((0.25, 0.25), (1.0, 0.5), (4.0, 0.25))  # times an assumed rate, and how probable each is (chosen)
LEAST, MOST = 0.1, 500.0  # errors per 1,000 letters; no witness is taken for perfect, none for random

NOT_NAMED = "\x00"  # a reading that shares no letter with any other

Channel = Callable[[str, str], float]  # original, written -> probability


@dataclass
class WitnessRate:
    """How a witness renders what it was copied from.

    Attributes:
        per_1000: wrong letters per 1,000.
        basis: where the rate comes from, in plain words.
        channel: a copyist's own way with words, the rate beside it for what is new; None where there is none.
        exchanged: share of the words that an accident befalls, 0-1.
        share: how probable each word is as what an accident puts in; None where that is not known.
        doubt: factors of the rate, and how probable each is.
    """

    per_1000: float
    basis: str = "assumed"
    channel: Channel | None = None
    exchanged: float = EXCHANGED
    share: Share | None = None
    doubt: tuple[tuple[float, float], ...] = ((1.0, 1.0),)
    _known: dict[tuple[str, str], float] = field(default_factory=dict, repr=False)

    def written_given(self, original: str, written: str) -> float:
        """Give the probability that it has this where its source had that, 0-1.

        Args:
            original: a reading, folded, without stops; "" where the words were not there, ``NOT_NAMED`` where
                they are not known.
            written: the same of the witness; ``LOST_LETTER`` for any letters that are lost in it.
        """
        known = self._known.get((original, written))
        if known is None:
            known = self._known[original, written] = self._given(original, written)
        return known

    def _given(self, original: str, written: str) -> float:
        if written == LOST_LETTER:
            return 1.0  # says nothing
        if original == NOT_NAMED:
            return self.exchanged * JUST_THIS
        if not original or not written:
            if original == written:
                return 1 - self.exchanged
            return self.exchanged if original else self.exchanged * self._share(written)
        return self.by_letters(original, written) + self._accident(original, written)

    def by_letters(self, original: str, written: str) -> float:
        """Give the probability that it has this where its source had that, letter by letter, 0-1."""
        return (1 - self.exchanged) * self._spelled(original, written)

    def _spelled(self, original: str, written: str) -> float:
        """Give P(written | original) letter by letter, an accident apart."""
        flat = math.fsum(
            weight * forward(original, written, _within(times * self.per_1000) / 1000)
            for times, weight in self.doubt
        )
        if not self.channel or LOST_LETTER in written:
            return flat
        heaped = forward(original, written, HEAPED)
        new = NEW_SLIPS * flat + self.exchanged * heaped
        return (1 - NEW_SLIPS - self.exchanged) * self.channel(original, written) + new

    def _accident(self, original: str, written: str) -> float:
        """Give the probability that it has this by an accident to one word or more, the others spelled."""
        words, others = original.split(), written.split()
        if len(words) == len(others) == 1:
            return self.exchanged * self._share(written)
        return by_accident(words, others, self.exchanged, self._spelled, self._share)

    def _share(self, word: str) -> float:
        """Give the share of a word among those that could stand for another."""
        if self.share is None or LOST_LETTER in word:
            return JUST_THIS
        return math.prod(self.share(one) for one in word.split())

    @property
    def slip(self) -> float:
        """Wrong letters per 1,000, within bounds."""
        return _within(self.per_1000)


def _within(per_1000: float) -> float:
    return min(max(per_1000, LEAST), MOST)


def forward(original: str, written: str, slip: float) -> float:
    """Give P(written | original) where every letter slips alike, any lost letters standing for anything.

    Args:
        original, written: the readings.
        slip: probability that a letter is not copied right, 0-1.

    >>> round(forward("ab", "ab", 0.0), 3), round(forward("abc", "a" + LOST_LETTER, 0.0), 3)
    (1.0, 1.0)
    """
    changed = slip * (1 - OMITTED_SHARE - ADDED_SHARE) / TAKEN_FOR
    left_out, put_in = slip * OMITTED_SHARE, slip * ADDED_SHARE / TAKEN_FOR
    stays = 1 - slip * ADDED_SHARE
    kept = 1 - slip
    row = [0.0] * (len(original) + 1)
    row[0] = 1.0
    for i in range(len(original)):
        row[i + 1] = row[i] * left_out
    for letter in written:
        last, row = row, [0.0] * (len(original) + 1)
        if letter == LOST_LETTER:
            for i in range(len(original) + 1):
                row[i] = last[i] + (row[i - 1] if i else 0.0)
            continue
        row[0] = last[0] * put_in
        for i, of in enumerate(original):
            same = kept if of == letter else changed
            row[i + 1] = last[i] * same + row[i] * left_out + last[i + 1] * put_in
    return min(row[-1] * stays ** (len(original) + 1), 1.0)
