"""What the blind test finds: every proposal beside the truth, and the figures drawn from them.

Probabilities and limits of intervals are shares 0-1. Start reading at ``Trial``. A *kind* is what a
proposal would undo ("habit" of spelling, "misreading", "division", "letter", "capital",
"punctuation"), or ``ALL_KINDS``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from fidelity.in_notebook import Tabled
from fidelity.terms.witness import Locus

ALL_KINDS = "all"
KINDS = ("habit", "misreading", "division", "letter", "capital", "punctuation")  # in this order in tables


def kinds_of(found: Iterable[str]) -> list[str]:
    """Give the kinds that occur, in the order of the tables."""
    there = set(found) - {ALL_KINDS}
    return [kind for kind in KINDS if kind in there] + sorted(there - set(KINDS))


@dataclass(frozen=True)
class TrialReading:
    """A proposal made blind on a survivor, beside what the original has.

    Attributes:
        survivor: its id.
        locus: place in the copy.
        transmitted, proposed, original: as printed, on the normalised level.
        probability: what was said, 0-1.
        right: whether the original reads so.
        single: whether it was a proposal for one letter only.
        kind: as the round's own survivors name it.
        context: the whole stretch of the copy, of which ``original`` is the truth, as printed.
        page: the page of the copy with the survivor's id, or what was left out together where there
            are no pages; intervals are clustered by it.
    """

    survivor: str
    locus: Locus
    transmitted: str
    proposed: str
    original: str
    probability: float
    right: bool
    single: bool
    kind: str = "misreading"
    context: str = ""
    page: str = ""

    @property
    def false_alarm(self) -> bool:
        """Whether the copy was right there, so that the proposal would have done harm."""
        return not self.right and self.original == (self.context or self.transmitted)


@dataclass(frozen=True)
class Precision:
    """How proposals of at least one probability fared in the blind test.

    Attributes:
        at_least: the probability, 0-1.
        proposals, right: how many there were and how many were right.
        low, high: limits of the interval for right / proposals, 0-1.
        wrong_places, restored: changed words of the copy, and how many were restored in full.
        kind: of the proposals, and of what went wrong at the wrong places.
    """

    at_least: float
    proposals: int
    right: int
    low: float
    high: float
    wrong_places: int
    restored: int
    kind: str = ALL_KINDS


@dataclass(frozen=True)
class Band:
    """What was said and what was found among proposals of about the same probability.

    Attributes:
        low, high: limits of the band, 0-1, half-open.
        proposals: how many.
        said: mean of the probabilities given.
        found: share that was right; with ``found_low`` and ``found_high`` its interval.
        wrong_places, restored: changed words of the copy, and how many proposals of this band
            restored in full.
        kind: as in ``Precision``.
    """

    low: float
    high: float
    proposals: int
    said: float
    found: float
    found_low: float
    found_high: float
    wrong_places: int = 0
    restored: int = 0
    kind: str = ALL_KINDS


@dataclass(frozen=True)
class BrierParts:
    """The Brier score of the proposals of a kind, and the parts it is the sum of.

    Score = reliability - resolution + uncertainty + within_variance - within_covariance.

    Attributes:
        kind: of the proposals.
        proposals, right: how many, and how many were right.
        score: mean squared difference of probability and outcome, 0-1; 0 is best.
        reliability: how far what was said lay from what was found, band by band; 0 is best.
        resolution: how far what was found differed from band to band; the more the better.
        uncertainty: what somebody who always said the mean would score.
        within_variance, within_covariance: what the bands hide, since not all in a band were said
            to be equally probable.
    """

    kind: str
    proposals: int
    right: int
    score: float
    reliability: float
    resolution: float
    uncertainty: float
    within_variance: float
    within_covariance: float


@dataclass(frozen=True)
class Mistake:
    """A wrong proposal, and why it was believed.

    Attributes:
        reading: the proposal; where the same was proposed at several places, the most probable.
        places: at how many places the same was wrongly proposed.
        reasons: what spoke for it, each in a sentence.
    """

    reading: TrialReading
    places: int
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class Unseen:
    """A wrong place of a survivor at which nothing was proposed.

    Attributes:
        survivor: its id.
        locus: place in the copy.
        transmitted, original: as printed, on the normalised level.
        kind: what went wrong there.
        good_words: whether all words of the copy there stand elsewhere in the originals or the
            reference texts, so that nothing shows.
    """

    survivor: str
    locus: Locus
    transmitted: str
    original: str
    kind: str
    good_words: bool


@dataclass(frozen=True)
class UnseenShare:
    """How many wrong places of one kind went unseen.

    Attributes:
        kind: what went wrong.
        wrong_places: changed words of the copies.
        unseen: at how many of them nothing was proposed.
        low, high: limits of the interval for unseen / wrong_places, 0-1.
        good_words: how many of the unseen are good words in good places.
    """

    kind: str
    wrong_places: int
    unseen: int
    low: float
    high: float
    good_words: int


@dataclass(frozen=True)
class MethodScore:
    """How one way to restore words fared in the same rounds of the blind test.

    Attributes:
        method: its name.
        at_least: the least probability at which it changed anything; None where it gives none.
        changed, right: how much it changed, and how much of that is the original's reading.
        low, high: limits of the interval for right / changed, 0-1.
        wrong_places, restored: changed words of the copy, and how many were restored in full.
        wrong_letters_left: edit distance from the originals after its changes, in letters.
    """

    method: str
    at_least: float | None
    changed: int
    right: int
    low: float
    high: float
    wrong_places: int
    restored: int
    wrong_letters_left: int


@dataclass(frozen=True)
class Suspects:
    """How places marked as corrupt, without a proposal, fared in the blind test.

    Attributes:
        places, corrupt: how many were marked, and how many were corrupt indeed.
        said: mean of the probabilities given; None where none was marked.
        low, high: limits of the interval for corrupt / places, 0-1.
    """

    places: int
    corrupt: int
    said: float | None
    low: float
    high: float

    @property
    def hold(self) -> bool:
        """Whether such marks were right more often than not; where they are not, or untried, none is made."""
        return self.places > 0 and 2 * self.corrupt >= self.places


@dataclass(frozen=True, repr=False)
class Trial(Tabled):
    """The blind test: learn from all survivors but one, propose on that one, compare.

    Attributes:
        left_out: "survivor" or "page" or "lines": what was held out together.
        rounds: how many rounds were made.
        readings: every proposal.
        precisions: at 0.5, 0.8 and 0.9, all kinds together.
        bands: reliability, all kinds together.
        brier: mean squared difference of probability and outcome (Brier 1950, in the one-class
            form, 0-1); None where nothing was proposed.
        wrong_letters: edit distance of the survivors' copies from their originals, in letters.
        wrong_letters_left: the same after every proposal of 0.5 or more.
        kind_precisions, kind_bands: the same, kind by kind.
        brier_parts: of all kinds together, then kind by kind.
        mistakes: the wrong proposals that were held most probable.
        unseen: wrong places at which nothing was proposed.
        unseen_shares: of all kinds together, then kind by kind.
        methods: the simple methods, and this program, in the same rounds.
        suspects: places marked as corrupt, without a proposal; None where that was not tried.
        confidence: of every interval, 0-1.
        report_from: least probability at which anything was proposed, 0-1.
        decisions: what became of the editor's decisions, in a sentence; "" where there are none.
        gaps: readings proposed for what he could not read; no figure of other kinds takes them in.
    """

    left_out: str
    rounds: int
    readings: tuple[TrialReading, ...]
    precisions: tuple[Precision, ...]
    bands: tuple[Band, ...]
    brier: float | None
    wrong_letters: int
    wrong_letters_left: int
    kind_precisions: tuple[Precision, ...] = ()
    kind_bands: tuple[Band, ...] = ()
    brier_parts: tuple[BrierParts, ...] = ()
    mistakes: tuple[Mistake, ...] = ()
    unseen: tuple[Unseen, ...] = ()
    unseen_shares: tuple[UnseenShare, ...] = ()
    methods: tuple[MethodScore, ...] = ()
    suspects: Suspects | None = None
    confidence: float = 0.95
    report_from: float = 0.2
    decisions: str = ""
    gaps: tuple[TrialReading, ...] = ()

    def __repr__(self) -> str:
        return f"<Trial: {self.rounds:,} rounds, {len(self.readings):,} readings proposed blind>"
