"""What his doubts and his vouchings say of the readings of a unit.

Arrives: what the survivors show of his marks, the copies. Leaves: for a unit with marked words how probable
the marks would be, had the original had each reading. Start reading at ``MarkedWords``.

Where no word of a unit is marked nothing is said of it. The weight of a mark is learned from the survivors;
in a round of the blind test from those that are not left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import word_spans
from fidelity.letters import without_stops
from fidelity.readings.beside import Beside, LeftOut
from fidelity.readings.flag_rates import Weight, weights_of
from fidelity.readings.flagged import Seen, kinds_on
from fidelity.terms import MarkKind, Witness
from fidelity.terms.marks import ON_WORDS
from fidelity.witnesses.folds import Folds


class MarkedWords:
    """Knows the marks on the words of all his copies.

    Args:
        seen: what the survivors show of them.
        survivors: their copies, in the dossier's order.
        lost: the copies of the lost texts, by id.
        folds: letterforms counted as equal.
    """

    def __init__(
        self, seen: Seen, survivors: Sequence[Witness], lost: Mapping[str, Witness], folds: Folds
    ) -> None:
        self.seen, self.survivors, self.copies, self.folds = seen, survivors, lost, folds

    def survivor(self, number: int, left_out: LeftOut) -> Beside | None:
        """Give what is known beside a survivor's copy, its rates learned without what is left out."""
        return self._of(self.survivors[number], self.seen.without(left_out))

    def lost(self, text: str) -> Beside | None:
        """Give what is known beside the copy of a lost text."""
        return self._of(self.copies[text], self.seen)

    def _of(self, copy: Witness, seen: Seen) -> Beside | None:
        if not any(mark.kind in ON_WORDS for mark in copy.marks):
            return None
        return _Marked(copy, self.folds.fold(copy.letters), weights_of(seen))


@dataclass(frozen=True)
class _Marked:
    """The marks on the words of one copy, and what each is worth."""

    copy: Witness
    copied: str
    weights: Mapping[MarkKind, Weight]

    def at(self, start: int, end: int) -> MarksTelling | None:
        """Give what the marks on the words of a span say; None where there is none."""
        if not kinds_on(self.copy, start, end):
            return None
        spans = [(start + one, start + other) for one, other in word_spans(self.copied[start:end])]
        return MarksTelling(
            tuple(without_stops(self.copied[one:other]) for one, other in spans),
            tuple(tuple(sorted(kinds_on(self.copy, *span))) for span in spans),
            self.weights,
        )


@dataclass(frozen=True)
class MarksTelling:
    """What the marks on the words of a unit say.

    Attributes:
        words: of the copy, folded, without stops.
        marks: the kinds of the marks on each.
        weights: what each kind is worth.
    """

    words: tuple[str, ...]
    marks: tuple[tuple[MarkKind, ...], ...]
    weights: Mapping[MarkKind, Weight]

    @property
    def further(self) -> tuple[str, ...]:
        """Marks bring in no reading of their own."""
        return ()

    def letter_odds(self, reading: str) -> float:  # noqa: ARG002
        """Marks say nothing of letters."""
        return 0.0

    @property
    def told(self) -> tuple[str, ...]:
        """Give what the marks are worth, a clause for each kind."""
        kinds = dict.fromkeys(kind for some in self.marks for kind in some)
        return tuple(self.weights[kind].in_words() for kind in kinds)

    def log_likelihood(self, reading: str | None) -> float:
        """Give the log of the probability of the marks, had the original this reading; nats.

        A marked word is wrong where the reading has another, or none, for it; if the original had something
        else that is not named, all marked words are taken to be wrong.
        """
        return sum(
            self.weights[kind].if_right if right else self.weights[kind].if_wrong
            for kinds, right in zip(self.marks, self._right(reading), strict=True)
            for kind in kinds
        )

    def _right(self, reading: str | None) -> list[bool]:
        """Tell of each copied word whether a reading leaves it as it stands."""
        right = [False] * len(self.words)
        if reading is not None:
            others = [bare for word in reading.split() if (bare := without_stops(word))]
            for code in Levenshtein.opcodes(self.words, others):
                if code.tag == "equal":
                    right[code.src_start : code.src_end] = [True] * (code.src_end - code.src_start)
        return right
