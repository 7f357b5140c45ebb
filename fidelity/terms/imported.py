"""What a copy may have from another witness: peculiar places, and the stretch best explained by them.

Offsets are in letters, from 0, half-open; "as printed" marks fields that are decoded for print.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from math import exp, log

from fidelity.in_notebook import Shown
from fidelity.terms.witness import Locus

RATHER_THIRD = 0.1  # times as likely: from there downward the third was altered rather than the witness


class Sharing(StrEnum):
    """What the copy has at a place where two witnesses differ."""

    SHARED = "shared"  # as the witness asked about
    NOT_SHARED = "not shared"  # as the third witness
    OTHERWISE = "otherwise"  # as neither of them: it says nothing


class Verdict(StrEnum):
    """What is to be said of a copy and another witness."""

    IMPORTED = "imported stretch"
    THROUGHOUT = "shared throughout"
    NO_SIGN = "no sign"
    TOO_LITTLE = "too little to tell"


@dataclass(frozen=True)
class PeculiarLocus:
    """A place where a witness reads otherwise than a third, or than all there is to compare it with.

    Attributes:
        locus: in the copy.
        copy_span: offsets in the copy.
        witness_locus: in the witness.
        reading: what the witness has, as printed ("" where it has nothing).
        copy: what the copy has, as printed.
        third: what the third witness has, as printed.
        third_siglum: which that is; "" where none is extant here.
        last_locus: its last word in the copy.
        words, third_words: the words it stands in, of the witness and of the third, as printed.
        sharing: what the copy has there.
        coincidence: probability that this copyist would come upon the witness's reading by himself,
            where his original had the third's, 0-1.
        kind: what kind of change it would be, which says from what ``coincidence`` was measured.
        measured: whether that was measured on the survivors alone; else a floor was set.
        direction: how many times likelier it is that the witness altered what the third has than the
            reverse, by the words alone; infinite where the third is the original itself.
        set_aside: why it is no evidence; "" if it is.
    """

    locus: Locus
    copy_span: tuple[int, int]
    witness_locus: Locus
    reading: str
    copy: str
    third: str
    third_siglum: str
    words: str
    third_words: str
    sharing: Sharing
    last_locus: Locus
    coincidence: float = 1.0
    kind: str = ""
    measured: bool = True
    direction: float = 1.0
    set_aside: str = ""

    @property
    def proved(self) -> bool:
        """Whether a third witness shows that the reading is this witness's own."""
        return bool(self.third_siglum)

    @property
    def own(self) -> bool:
        """Whether nothing shows that the third was altered here rather than the witness."""
        return self.proved and self.direction > RATHER_THIRD

    @property
    def counts(self) -> bool:
        """Whether it is evidence for or against a stretch taken from the witness."""
        return self.proved and not self.set_aside and self.sharing is not Sharing.OTHERWISE


@dataclass(frozen=True)
class Stretch:
    """The stretch best explained as taken from a witness.

    Attributes:
        first, last: indices of its first and last shared place, among the places that count.
        earliest, latest: the same of the widest stretch among those that together have the
            credibility asked for.
        latest_first, earliest_last: of the narrowest.
        copy_span: offsets in the copy from the first shared place to the end of the last.
        widest_span: from the end of the last place that is surely outside to the next such place.
        widest: its first and its last word.
    """

    first: int
    last: int
    earliest: int
    latest: int
    latest_first: int
    earliest_last: int
    copy_span: tuple[int, int]
    widest_span: tuple[int, int]
    widest: tuple[Locus, Locus]


@dataclass(frozen=True)
class Imported(Shown):
    """What is to be said of one text and one other witness of it.

    Attributes:
        text: id of the text.
        siglum: the witness.
        verdict: in plain words.
        places: every place where the witness is peculiar, in order of the copy.
        stretch: the best one; None where no place is shared.
        weight: -log of the probability that all agreements in the stretch are coincidences, in nats.
        p_value: of so good a stretch by coincidence, the search paid for; None where not tested.
        p_if_common_ancestor: of so good a stretch where agreements may stand anywhere; as above.
        p_throughout: of so much sharing by coincidence, wherever it stands; as above.
        fisher_p: Fisher's exact test, inside against outside; does not pay for the search.
        own_habits: slips of the copyist's own inside the stretch, as printed.
        extant: share of the copy's words that the witness has, 0-1.
        lost: whether the text is lost; else it is a survivor whose original is presumed.
        note: what else should be known.
    """

    text: str
    siglum: str
    verdict: Verdict
    places: tuple[PeculiarLocus, ...] = ()
    stretch: Stretch | None = None
    weight: float = 0.0
    p_value: float | None = None
    p_if_common_ancestor: float | None = None
    p_throughout: float | None = None
    fisher_p: float | None = None
    own_habits: tuple[str, ...] = ()
    extant: float = 0.0
    lost: bool = True
    note: str = ""

    @property
    def counted(self) -> tuple[PeculiarLocus, ...]:
        """The places that are evidence, in order of the copy."""
        return tuple(one for one in self.places if one.counts)


def together(probabilities: Iterable[float]) -> float:
    """Give the weight of several coincidences at once, in nats: -log of the product of their chances."""
    return -sum(log(max(probability, exp(-700))) for probability in probabilities)
