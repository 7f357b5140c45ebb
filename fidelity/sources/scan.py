"""Find the stretch of a copy that is best explained as taken from a witness, and test it.

Arrives: for each place, in order, whether the copy shares the witness's reading, how likely that is by
coincidence, and how surely the reading is the witness's own. Leaves: the best stretch, its limits, and how
often chance gives as good a one. Start reading at ``Places``, then ``best_stretch`` and ``p_by_position``.

Inside a stretch taken from the witness the copy shares a reading but for what the copyist put right or
spoiled (``OWN_WAY``). Outside it shares one where the witness has kept what the third has altered, where
both descend from one ancestor that had it, or by coincidence:

    P(shared) = 1 - k (1 - q) (1 - s)

with k the probability that the reading is the witness's own alteration (by what the words tell), q that
of the coincidence, s the share that a common ancestor explains. The measure of a stretch is the log of the
likelihood ratio of both against the second alone, each at its best s. The best stretch is looked for in the
same way in every simulated or permuted row, so that the search is paid for. Permuting what is found at
each place over all the places is the test against a common ancestor: its errors are shared wherever they
stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
import numpy.typing as npt

from fidelity.terms.imported import RATHER_THIRD

OWN_WAY = 0.05  # of the witness's readings inside the stretch that the copyist does not follow (chosen)
SHARES = np.array([0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97])
OWN = np.array([0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.97, 0.995])  # k before the words tell
MOST_ORDERS = 50_000  # of what was found; up to so many each is tried, and the figure is exact
DRAWS = 1999
ENOUGH = 200  # draws as good as what was observed: from there on the share is told well enough
AT_ONCE = 200  # draws reckoned together, which bounds the memory
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


def _share_of_as_good(values: Iterator[Floats], observed: float) -> float:
    """Give the share of draws as good as what was observed, that one counted (Davison & Hinkley 1997).

    Drawing ends when so many were as good that the share is not small (Besag & Clifford 1991).
    """
    as_good = total = 0
    for some in values:
        as_good += int((some >= observed - TIE).sum())
        total += len(some)
        if as_good >= ENOUGH:
            break
    return (as_good + 1) / (total + 1)


def p_by_coincidence(places: Places, best: Best, rng: np.random.Generator, draws: int = DRAWS) -> float:
    """Give how often coincidences alone show so good a stretch anywhere.

    Whether a reading is shared is drawn anew at each place, where it stands, with what was found outside
    the best stretch as the share of readings that the third has altered.
    """
    own = places.own(_own_outside(places, best))
    chance = 1 - own * (1 - places.coincidence)
    before = places.fitted()
    no, yes = places.outside(before)

    def values() -> Iterator[Floats]:
        for size in _portions(draws):
            shared = rng.random((size, len(places))) < chance[None, :]
            outside = np.where(shared[:, :, None], yes[None], no[None])
            yield measured(INSIDE[shared.astype(int)], outside)[0]

    return _share_of_as_good(values(), best.measure)


def _own_outside(places: Places, best: Best) -> float:
    """Give k as the places outside the best stretch show it, drawn a little towards one half."""
    outside = np.ones(len(places), dtype=np.bool_)
    outside[best.first : best.last + 1] = False
    shared, direction = places.shared[outside], places.direction[outside]
    rest = Places(shared, places.coincidence[outside], direction)
    likelihood = np.log(4 * OWN * (1 - OWN))  # as if one of two had been seen (chosen)
    for at, before in enumerate(OWN.tolist()):
        no, yes = rest.outside(before)
        likelihood[at] += float(np.where(shared, yes[:, 0], no[:, 0]).sum()) + rest.evidence(before)
    weight = np.exp(likelihood - likelihood.max())
    return float((weight * OWN).sum() / weight.sum())


def _portions(draws: int) -> Iterator[int]:
    """Cut a number of draws into portions."""
    for start in range(0, draws, AT_ONCE):
        yield min(AT_ONCE, draws - start)


def p_by_position(places: Places, best: Best, rng: np.random.Generator, draws: int = DRAWS) -> float:
    """Give how often so good a stretch is seen when what was found is permuted over the places.

    Of few places every order that can be told from the others is tried, and the figure is exact.
    """
    size = len(places)
    no, yes = places.outside(places.fitted())
    outside = np.where(places.shared[:, None], yes, no)
    inside = INSIDE[places.shared.astype(int)]
    alike = _alike(places)
    if _orders(alike) <= MOST_ORDERS:
        orders = np.array(list(_distinct(alike)))
        as_good = 0
        for start in range(0, len(orders), AT_ONCE):
            some = orders[start : start + AT_ONCE]
            as_good += int((measured(inside[some], outside[some])[0] >= best.measure - TIE).sum())
        return as_good / len(orders)

    def values() -> Iterator[Floats]:
        for portion in _portions(draws):
            orders = rng.permuted(np.tile(np.arange(size), (portion, 1)), axis=1)
            yield measured(inside[orders], outside[orders])[0]

    return _share_of_as_good(values(), best.measure)


def _alike(places: Places) -> list[list[int]]:
    """Put together the places at which the same was found."""
    groups: dict[tuple[bool, float, float], list[int]] = {}
    found = zip(places.shared.tolist(), places.coincidence.tolist(), places.direction.tolist(), strict=True)
    for at, what in enumerate(found):
        groups.setdefault(what, []).append(at)
    return list(groups.values())


def _orders(alike: Sequence[Sequence[int]]) -> int:
    """Count the orders that can be told from one another: the multinomial coefficient."""
    count, left = 1, sum(map(len, alike))
    for group in alike:
        count *= comb(left, len(group))
        left -= len(group)
    return count


def _distinct(alike: Sequence[Sequence[int]]) -> Iterator[list[int]]:
    """Give every such order, as a list of places."""
    size = sum(map(len, alike))

    def filled(order: list[int], group: int) -> Iterator[list[int]]:
        if group == len(alike):
            yield order
            return
        free = [at for at in range(size) if order[at] < 0]
        for chosen in combinations(free, len(alike[group])):
            further = list(order)
            for at, place in zip(chosen, alike[group], strict=True):
                further[at] = place
            yield from filled(further, group + 1)

    yield from filled([-1] * size, 0)


def p_of_sharing(places: Places, rng: np.random.Generator, draws: int = DRAWS) -> float:
    """Give how often coincidences and the third's own alterations alone give so much sharing.

    The measure is the log of the likelihood ratio of some share s against none, k free in both. Whether
    readings are shared is drawn with k at its likeliest without any s.
    """
    tables = [places.outside(before) for before in OWN.tolist()]
    no = np.concatenate([table[0] for table in tables], axis=1)
    yes = np.concatenate([table[1] for table in tables], axis=1)
    none = np.tile(SHARES == 0, len(OWN))

    words = np.repeat([places.evidence(before) for before in OWN.tolist()], len(SHARES))

    def measure(shared: Bools) -> tuple[Floats, Ints]:
        likelihood = shared @ (yes - no) + no.sum(axis=0) + words
        without = np.where(none, likelihood, -np.inf)
        return likelihood.max(axis=1) - without.max(axis=1), without.argmax(axis=1)

    observed, at = measure(places.shared[None, :].astype(np.float64).astype(np.bool_))
    chance = np.exp(yes[:, int(at[0])])

    def values() -> Iterator[Floats]:
        for size in _portions(draws):
            yield measure(rng.random((size, len(places))) < chance[None, :])[0]

    return _share_of_as_good(values(), max(float(observed[0]), TIE * 2))


def fisher(inside: tuple[int, int], outside: tuple[int, int]) -> float:
    """Give Fisher's exact test, one-sided: so many or more shared inside (Fisher 1934, sec. 21.02).

    Args:
        inside, outside: how many are shared and how many are not.

    >>> round(fisher((4, 0), (0, 5)), 4)
    0.0079
    """
    within, shared = sum(inside), inside[0] + outside[0]
    total = within + sum(outside)
    ways = sum(
        comb(shared, count) * comb(total - shared, within - count)
        for count in range(inside[0], min(within, shared) + 1)
    )
    return ways / comb(total, within)
