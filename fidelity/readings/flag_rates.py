"""How honest his marks are: how many of his errors he marked, how many of the marked words are wrong.

Arrives: what the survivors show of his marks. Leaves: rates with their intervals, and the likelihood ratio
of a mark. Start reading at ``flag_rates``; ``Weights.ratios`` is what a mark says of a word.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TypeVar

from fidelity.confusions.intervals import clustered
from fidelity.readings.flagged import GapSeen, Seen, WordSeen
from fidelity.terms import FlagRate, MarkKind
from fidelity.terms.marks import ON_WORDS

_One = TypeVar("_One", WordSeen, GapSeen)
DOUBTS = frozenset({MarkKind.DOUBT, MarkKind.LINE_DOUBT})
# So many marked words, wrong as often as any word is, are taken to be seen before any is: a beta prior on
# the share of the marked words that are wrong, which leans on a mark that says nothing (chosen).
AS_MANY = 4.0


def flag_rates(seen: Seen, confidence: float) -> list[FlagRate]:
    """Give the rates, those for which there was an occasion.

    Args:
        seen: of the survivors.
        confidence: of the intervals, 0-1.
    """
    found = list(_of_words(seen.words, confidence)) if any(one.kinds for one in seen.words) else []
    return [*found, *_of_gaps(seen.gaps, confidence)]


def _of_words(words: Iterable[WordSeen], confidence: float) -> Iterator[FlagRate]:
    some = list(words)
    wrong = [one for one in some if one.wrong]
    if any(one.kinds & DOUBTS for one in some):
        yield _rate("wrong words that he queried", wrong, lambda one: bool(one.kinds & DOUBTS), confidence)
    for kind in ON_WORDS:
        marked = [one for one in some if kind in one.kinds]
        if not marked:
            continue
        if kind is MarkKind.VOUCHED:
            yield _rate("vouched words that are right", marked, lambda one: not one.wrong, confidence)
        else:
            where = "words" if kind is MarkKind.DOUBT else "words of lines queried in the margin"
            name = "queried words that are wrong" if kind is MarkKind.DOUBT else f"{where} that are wrong"
            yield _rate(name, marked, lambda one: one.wrong, confidence)
    rest = [one for one in some if not one.kinds]
    yield _rate("unmarked words that are wrong", rest, lambda one: one.wrong, confidence)


def _of_gaps(gaps: Iterable[GapSeen], confidence: float) -> Iterator[FlagRate]:
    counted = [one for one in gaps if one.gap.shown is not None and one.lost is not None]
    if not counted:
        return
    off = {id(one): abs((one.gap.shown or 0) - (one.lost or 0)) for one in counted}
    yield _rate("gaps whose number of letters is right", counted, lambda one: not off[id(one)], confidence)
    yield _rate("gaps whose number is right within one", counted, lambda one: off[id(one)] <= 1, confidence)
    shown, lost = (sum(one.gap.shown or 0 for one in counted), sum(one.lost or 0 for one in counted))
    yield FlagRate("letters he showed as lost, against the originals'", shown, lost, None, None, "total")


def _rate(
    measure: str, some: Iterable[_One], happened: Callable[[_One], bool], confidence: float
) -> FlagRate:
    """Give one rate with an interval clustered by page."""
    some = list(some)
    chances = Counter(one.page for one in some)
    count = Counter(one.page for one in some if happened(one))
    low, high, method = clustered(count, chances, confidence) if some else (0.0, 1.0, "no chance")
    return FlagRate(measure, count.total(), chances.total(), low, high, method)


@dataclass(frozen=True)
class Weight:
    """What one kind of mark says of a word.

    Attributes:
        kind: of the mark.
        marked_wrong, marked: words of the survivors so marked, the wrong ones and all.
        unmarked_wrong, unmarked: words without any mark.
        if_wrong, if_right: log of how many times as probable the mark is on a wrong word, or on a right
            one, as on any, nats.
    """

    kind: MarkKind
    marked_wrong: int
    marked: int
    unmarked_wrong: int
    unmarked: int
    if_wrong: float
    if_right: float

    def in_words(self) -> str:
        """Say what the mark is worth, as the evidence of a proposal does."""
        where = "in a line he queries in the margin" if self.kind is MarkKind.LINE_DOUBT else ""
        said = "he vouches for the word" if self.kind is MarkKind.VOUCHED else where or "he queries the word"
        if not self.marked:
            return f"{said}; no word of the survivors is so marked: that tells nothing"
        are = "is" if self.marked_wrong == 1 else "are"
        return (
            f"{said}; of {self.marked:,} words of the survivors so marked {self.marked_wrong:,} {are} wrong,"
            f" of unmarked {self.unmarked_wrong:,} of {self.unmarked:,}"
        )


def weights_of(seen: Seen) -> dict[MarkKind, Weight]:
    """Give what each kind of mark says of a word.

    By Bayes' rule P(mark | wrong) / P(mark) = P(wrong | mark) / P(wrong), and so with right. P(wrong) is the
    share of all words that are wrong, P(wrong | mark) the mean of a beta posterior: its prior has that share
    as mean and counts as ``AS_MANY`` words. Of a mark never seen both are the same, and it says nothing.

    Args:
        seen: of the survivors, or some of them.
    """
    wrong, all_words = sum(one.wrong for one in seen.words), len(seen.words)
    share = (wrong + 0.5) / (all_words + 1)  # the mean of Jeffreys' posterior
    plain = [one.wrong for one in seen.words if not one.kinds]
    found = {}
    for kind in ON_WORDS:
        marked = [one.wrong for one in seen.words if kind in one.kinds]
        if_marked = (sum(marked) + AS_MANY * share) / (len(marked) + AS_MANY)
        ratios = math.log(if_marked / share), math.log((1 - if_marked) / (1 - share))
        found[kind] = Weight(kind, sum(marked), len(marked), sum(plain), len(plain), *ratios)
    return found
