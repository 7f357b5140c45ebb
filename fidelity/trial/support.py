"""What range of shares one more text may show for a probability, and when the figure alone says too much.

Arrives: the blind test and proposals for lost texts. Leaves: the proposals, each with what the
held-out proposals believed about as much bear out for a text that is none of the survivors. Start
reading at ``with_support``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

from fidelity.confusions.intervals import jeffreys
from fidelity.terms import CORRUPT, GAP, ProposedReading, Trial, TrialReading
from fidelity.trial.interval import ENOUGH_CLUSTERS
from fidelity.trial.measures import right_interval
from fidelity.trial.of_its_kind import KINDS_APART, of_its_kind
from fidelity.trial.unlike import of_a_text, spread_between, text_spread

# Believed about as much: within half a band of the tables, a tenth of which is wide; where fewer than
# ENOUGH lie there, within a whole band on either side. Beyond, what was said differs from what was asked.
ABOUT, FARTHEST = 0.05, 0.1
ENOUGH = 30  # an interval from 30 at 0.9 is about as wide as FIGURE_WIDTH: with fewer none is narrower
# A figure of two digits says that 0.85 is not 0.75. It stands where the blind test can tell it from
# figures a whole band away on either side, that is where its interval is no wider than two bands.
FIGURE_WIDTH = 0.2


class Support(NamedTuple):
    """What held-out proposals believed about as much bear out.

    Attributes:
        tried, right: how many there were, and how many were right.
        low, high: the shares that one more text may be expected to show, 0-1 (``unlike.py``); 0 to 1
            where none was tried.
        kind: what kind they were of; "" where all kinds had to be asked.
        of_kind, right_of_kind: where all had to be asked, how many were of the kind, and how many of
            these were right.
    """

    tried: int
    right: int
    low: float
    high: float
    kind: str = ""
    of_kind: int = 0
    right_of_kind: int = 0


NOTHING_TRIED = Support(0, 0, 0.0, 1.0)


class Supporter:
    """Asks a blind test what it supports.

    Of proposals for single letters and for whole readings only the like are asked; of these those
    of the same kind, where they are enough, for habits of spelling and misreadings fare unlike. Where they
    are few, all are asked, and it counts how few of the kind there were and how unlike kinds are. Of
    readings for gaps none but those are asked, be they few.

    Args:
        trial: the blind test, or None where there was none.
    """

    def __init__(self, trial: Trial | None) -> None:
        self.confidence = trial.confidence if trial else 0.0
        self.by_group: dict[tuple[str, bool], list[TrialReading]] = {}
        for one in (*trial.readings, *trial.gaps) if trial else ():
            for kind in (one.kind,) if one.kind == GAP else (one.kind, ""):
                self.by_group.setdefault((kind, one.single), []).append(one)
        self.suspects = trial.suspects if trial else None
        self.spread = text_spread(trial.readings if trial else ())
        self.apart = {single: self._kinds_apart(single) for single in (True, False)}
        self._memo: dict[tuple[float, str, bool], Support] = {}

    def of_reading(self, reading: ProposedReading) -> Support:
        """Give what it supports for a reading; nothing of what another witness has, for it tries none."""
        if reading.by_witness:
            return NOTHING_TRIED
        if not reading.is_proposal:
            return self.of_suspects()
        return self.of(reading.probability, reading.kind, reading.single)

    def of(self, probability: float, kind: str, single: bool) -> Support:
        """Give what the blind test supports for a probability.

        Args:
            probability: as said, 0-1.
            kind: of the proposal.
            single: whether it is for one letter only.
        """
        key = round(probability, 2), kind, single
        if key not in self._memo:
            near, of_kind = self._near(*key)
            own = [one for one in near if one.kind == kind]
            counts = (0, 0) if of_kind else (len(own), sum(one.right for one in own))
            limits = self._limits(near, None if of_kind else (*counts, self.apart[single]))
            self._memo[key] = Support(len(near), sum(one.right for one in near), *limits, of_kind, *counts)
        return self._memo[key]

    def _kinds_apart(self, single: bool) -> float:
        """Give by how much kinds differ, among the proposals for whole readings or for single letters."""
        some = self.by_group.get(("", single), [])
        return spread_between(some, [one.kind for one in some], KINDS_APART)

    def _limits(
        self, near: Sequence[TrialReading], of_kind: tuple[int, int, float] | None
    ) -> tuple[float, float]:
        """Give the range of shares that a text unlike the survivors as these are unlike may show.

        Of a few pages nothing is to be learned of how pages differ: the spread of texts allows for that.

        Args:
            near: what was tried.
            of_kind: where others of them were asked too, how many were of the kind, how many of these
                right, and by how much kinds differ.
        """
        if not near:
            return 0.0, 1.0
        right, rest = sum(one.right for one in near), len(near)
        if len({one.page for one in near}) < ENOUGH_CLUSTERS:
            limits = jeffreys(right, rest, self.confidence)
        else:
            limits = right_interval(near, self.confidence)
        share = (right + 0.5) / (rest + 1)
        if of_kind:
            own, right, apart = of_kind
            low, share, high = of_its_kind(limits, right, own, apart, self.confidence)
            limits = low, high
        return of_a_text(share, limits, self.spread, self.confidence)

    def of_suspects(self) -> Support:
        """Give what it supports for a place that is marked as corrupt, without a proposal."""
        some = self.suspects
        if some is None or not some.places:
            return NOTHING_TRIED
        return Support(some.places, some.corrupt, some.low, some.high, CORRUPT)

    def _near(self, probability: float, kind: str, single: bool) -> tuple[list[TrialReading], str]:
        """Give the held-out proposals to ask: the like and the near first."""
        if kind == GAP:  # what was proposed elsewhere says nothing of gaps, however few these are
            gaps = self.by_group.get((GAP, single), ())
            return [one for one in gaps if abs(one.probability - probability) <= FARTHEST], GAP
        near: list[TrialReading] = []
        for group in ((kind, single), ("", single)):
            for reach in (ABOUT, FARTHEST):
                near = [
                    one for one in self.by_group.get(group, ()) if abs(one.probability - probability) <= reach
                ]
                if len(near) >= ENOUGH:
                    return near, group[0]
        return near, ""


def figure_is_supported(probability: float, low: float, high: float) -> bool:
    """Tell whether a probability may stand as a figure, or the range must stand in its place.

    >>> figure_is_supported(0.83, 0.76, 0.9), figure_is_supported(0.83, 0.6, 0.95)
    (True, False)
    >>> figure_is_supported(0.83, 0.5, 0.6)  # the blind test says otherwise
    False
    """
    return low <= probability <= high and high - low <= FIGURE_WIDTH


def with_support(readings: Sequence[ProposedReading], trial: Trial | None) -> list[ProposedReading]:
    """Give proposals with what the blind test supports for each.

    Args:
        readings: for the lost texts.
        trial: the blind test; None where there was none.
    """
    supporter = Supporter(trial)
    return [supported(one, supporter.of_reading(one)) for one in readings]


def supported(reading: ProposedReading, support: Support) -> ProposedReading:
    """Give a reading with what supports it written down."""
    return replace(
        reading,
        tried=support.tried,
        tried_right=support.right,
        tried_kind=support.kind,
        tried_of_kind=support.of_kind,
        right_of_kind=support.right_of_kind,
        probability_low=support.low,
        probability_high=support.high,
        borne_out=figure_is_supported(reading.probability, support.low, support.high),
    )
