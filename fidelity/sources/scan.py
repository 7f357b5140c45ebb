"""Find the stretch of a copy that is best explained as taken from a witness.

Arrives: for each place, in order, whether the copy shares the witness's reading, how likely that is by
coincidence, and how surely the reading is the witness's own. Leaves: the best stretch and its
limits. Start reading at ``Places``, then ``best_stretch``; ``chance.py`` tells how often chance does as well.

Inside a stretch taken from the witness the copy shares a reading but for what the copyist put right or
spoiled (``OWN_WAY``). Outside it shares one where the witness has kept what the third has altered, where
both descend from one ancestor that had it, or by coincidence:

    P(shared) = 1 - k (1 - q) (1 - s)

with k the probability that the reading is the witness's own alteration (by what the words tell), q that
of the coincidence, s the share that a common ancestor explains. The measure of a stretch is the log of the
likelihood ratio of both against the second alone, each at its best s.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.terms.imported import RATHER_THIRD

OWN_WAY = 0.05  # of the witness's readings inside the stretch that the copyist does not follow (chosen)
SHARES = np.array([0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97])
OWN = np.array([0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 0.995])  # k before the words tell
TIE = 1e-9

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
Ints = npt.NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Places:
    """What is found at each place that counts, in order of the copy.

    Attributes:
        shared: whether the copy has the witness's reading.
        coincidence: probability that it has it by coincidence, 0-1.
        direction: how many times likelier the witness altered what the third has than the reverse.
    """

    shared: Bools
    coincidence: Floats
    direction: Floats

    def __len__(self) -> int:
        return len(self.shared)

    def own(self, before: float) -> Floats:
        """Give the probability that each reading is the witness's alteration, by what was thought before."""
        odds = self.direction * before / (1 - before)
        with np.errstate(invalid="ignore"):
            return np.where(np.isinf(self.direction), 1.0, odds / (1 + odds))

    def evidence(self, before: float) -> float:
        """Give the log-likelihood of what the words tell, the same constant left out for every k."""
        tells = self.direction[np.isfinite(self.direction)]
        return float(np.log(before * tells + 1 - before).sum())

    def outside(self, before: float) -> tuple[Floats, Floats]:
        """Give log P(not shared) and log P(shared) outside a stretch, of shape (places, shares)."""
        no = self.own(before)[:, None] * (1 - self.coincidence[:, None]) * (1 - SHARES[None, :])
        no = np.clip(no, 1e-12, 1 - 1e-12)
        return np.log(no), np.log1p(-no)

    def fitted(self) -> float:
        """Give what is to be thought of the readings before the words tell: k at its likeliest, s free.

        Of values as likely the largest is taken: that the witness's readings are its own.
        """
        best, found = -np.inf, float(OWN[-1])
        for before in OWN[::-1].tolist():
            rows = np.where(self.shared[:, None], self.outside(before)[1], self.outside(before)[0])
            likelihood = float(rows.sum(axis=0).max()) + self.evidence(before)
            if likelihood > best + 0.1:
                best, found = likelihood, before
        return found


INSIDE = np.log(np.array([OWN_WAY, 1 - OWN_WAY]))  # log P(not shared), log P(shared) inside


def _best_run(score: Floats) -> tuple[Floats, Ints, Ints]:
    """Give for each row the largest sum over a run of places, its first place and the one after its last."""
    sums = np.concatenate([np.zeros((len(score), 1)), np.cumsum(score, axis=1)], axis=1)
    lowest = np.minimum.accumulate(sums, axis=1)
    gain = sums[:, 1:] - lowest[:, :-1]
    end = gain.argmax(axis=1)
    rows = np.arange(len(score))
    value = gain[rows, end]
    level = lowest[rows, end]
    # the last place at which the sums were so low: the shortest run
    before = np.where(np.arange(sums.shape[1])[None, :] <= end[:, None], sums, np.inf)
    start = before.shape[1] - 1 - (before <= level[:, None] + TIE)[:, ::-1].argmax(axis=1)
    return value, start, end + 1


def measured(inside: Floats, outside: Floats) -> tuple[Floats, Ints, Ints]:
    """Give for each row the measure of its best stretch, its first place and the one after its last.

    Args:
        inside: log-likelihood of each place inside, of shape (rows, places).
        outside: the same outside, at each share, of shape (rows, places, shares).
    """
    rows = np.arange(len(inside))
    sums = np.zeros((outside.shape[0], outside.shape[1] + 1, outside.shape[2]))
    np.cumsum(outside, axis=1, out=sums[:, 1:])
    whole = sums[:, -1]
    at = whole.argmax(axis=1)
    for _ in range(2):
        gain, start, end = _best_run(inside - outside[rows, :, at])
        rest = whole - sums[rows, end] + sums[rows, start]
        within = gain + sums[rows, end, at] - sums[rows, start, at]
        at = rest.argmax(axis=1)
    return within + rest[rows, at] - whole.max(axis=1), start, end


@dataclass(frozen=True)
class Best:
    """The best stretch of a row of places.

    Attributes:
        first, last: its first and its last place.
        measure: log of the likelihood ratio, in nats.
        share: share of the readings outside that a common ancestor explains, at its likeliest.
        earliest, latest: first and last place of the widest stretch of those credible.
        latest_first, earliest_last: of the narrowest.
    """

    first: int
    last: int
    measure: float
    share: float
    earliest: int
    latest: int
    latest_first: int
    earliest_last: int


def best_stretch(places: Places, credibility: float) -> Best | None:
    """Give the stretch that is best explained as taken from the witness; None where nothing is shared.

    Its limits are those of all stretches that together have the credibility asked for, each stretch as
    likely as any other beforehand.

    Args:
        places: in order.
        credibility: 0-1.
    """
    if not places.shared.any():
        return None
    before = places.fitted()
    flags = places.shared.astype(int)
    inside = INSIDE[flags][None, :]
    no, yes = places.outside(before)
    outside = np.where(places.shared[:, None], yes, no)[None, :, :]
    value, start, end = measured(inside, outside)
    first, after = _trimmed(places, int(start[0]), int(end[0]))
    within = np.zeros(len(places), dtype=np.bool_)
    within[first:after] = True
    share = int(outside[0][~within].sum(axis=0).argmax())
    limits = _credible(inside[0] - outside[0][:, share], credibility)
    return Best(first, after - 1, float(value[0]), float(SHARES[share]), *limits)


def _trimmed(places: Places, first: int, after: int) -> tuple[int, int]:
    """Leave out at both ends what the third rather than the witness has altered, if more is left."""
    own = [at for at in range(first, after) if places.shared[at] and places.direction[at] > RATHER_THIRD]
    return (own[0], own[-1] + 1) if own else (first, after)


def _credible(score: Floats, credibility: float) -> tuple[int, int, int, int]:
    """Give earliest first, latest last, latest first and earliest last place of the credible stretches."""
    sums = np.concatenate([[0.0], np.cumsum(score)])
    runs = sums[None, 1:] - sums[:-1, None]  # row: first place, column: last
    runs = np.where(np.tri(len(score), dtype=np.bool_).T, runs, -np.inf)
    chance = np.exp(runs - runs.max())
    order = np.argsort(-chance, axis=None, kind="stable")
    mass = np.cumsum(chance.ravel()[order]) / chance.sum()
    chosen = order[: int(np.searchsorted(mass, credibility)) + 1]
    firsts, lasts = np.divmod(chosen, len(score))
    return int(firsts.min()), int(lasts.max()), int(firsts.max()), int(lasts.min())


def outside_of(places: Places, best: Best) -> Places:
    """Give the places outside the best stretch."""
    outside = np.ones(len(places), dtype=np.bool_)
    outside[best.first : best.last + 1] = False
    return Places(places.shared[outside], places.coincidence[outside], places.direction[outside])
