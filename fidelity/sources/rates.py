"""How probable it is that a witness has this, if what it was copied from had that.

Arrives: a rate of error, or a copyist's own letter channel. Leaves: a probability for every pair of readings.
Start reading at ``WitnessRate.written_given``.

Letter by letter, the forward sum of a memoryless channel (Ristad & Yianilos 1998, IEEE PAMI 20, 522-532),
with one letter a side. Beside it something that no slip of letters explains may happen to a word, so that no
single witness weighs without bound. The shares are chosen, not measured, and every ratio that rests on them
says so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from fidelity.alignment.channel import ADDED_SHARE, OMITTED_SHARE
from fidelity.terms import LOST_LETTER

EXCHANGED = 0.005  # of words: another word for it, left out, or put in (chosen: one in 200)
JUST_THIS = 0.02  # share of one word among those that could stand for another (chosen: one in 50)
TAKEN_FOR = 8  # letters that a slip is thought to choose among: look-alikes, not the alphabet (chosen)
LEAST, MOST = 0.1, 500.0  # errors per 1,000 letters; no witness is taken for perfect, none for random

Channel = Callable[[str, str], float]  # original, written -> probability


@dataclass
class WitnessRate:
    """How a witness renders what it was copied from.

    Attributes:
        per_1000: wrong letters per 1,000.
        basis: where the rate comes from, in plain words.
        channel: a copyist's own way with words, in the place of the rate; None where there is none.
    """

    per_1000: float
    basis: str = "assumed"
    channel: Channel | None = None
    _known: dict[tuple[str, str], float] = field(default_factory=dict, repr=False)

    def written_given(self, original: str, written: str) -> float:
        """Give the probability that it has this where its source had that, 0-1.

        Args:
            original: a reading, folded, without stops; "" where the words were not there.
            written: the same of the witness; ``LOST_LETTER`` for any letters that are lost in it.
        """
        known = self._known.get((original, written))
        if known is None:
            known = self._known[original, written] = self._given(original, written)
        return known

    @property
    def elsewhere(self) -> float:
        """The probability of a reading that nothing named explains, 0-1."""
        return EXCHANGED * JUST_THIS

    def _given(self, original: str, written: str) -> float:
        if written == LOST_LETTER:
            return 1.0  # says nothing
        if not original or not written:
            if original == written:
                return 1 - EXCHANGED
            return EXCHANGED if original else self.elsewhere
        if self.channel and LOST_LETTER not in written:
            spelled = self.channel(original, written)
        else:
            spelled = forward(original, written, self.slip / 1000)
        return (1 - EXCHANGED) * spelled + self.elsewhere

    @property
    def slip(self) -> float:
        """Wrong letters per 1,000, within bounds."""
        return min(max(self.per_1000, LEAST), MOST)


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
