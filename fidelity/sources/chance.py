"""How often chance gives as good a stretch as the best one of a copy.

Arrives: places and their best stretch. Leaves: p-values. Start reading at ``p_by_coincidence`` and
``p_by_position``.

The best stretch is looked for in the same way in every simulated or permuted row, so that the search is paid
for. Permuting what is found at each place over all the places is the test against a common ancestor: its
errors are shared wherever they stand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import comb

import numpy as np

from fidelity.sources.scan import (
    INSIDE,
    OWN,
    SHARES,
    TIE,
    Best,
    Bools,
    Floats,
    Ints,
    Places,
    measured,
    outside_of,
)

MOST_ORDERS = 50_000  # of what was found; up to so many each is tried, and the figure is exact
DRAWS = 1999
ENOUGH = 200  # draws as good as what was observed: from there on the share is told well enough
AT_ONCE = 200  # draws reckoned together, which bounds the memory


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
    rest = outside_of(places, best)
    likelihood = np.log(4 * OWN * (1 - OWN))  # as if one of two had been seen (chosen)
    for at, before in enumerate(OWN.tolist()):
        no, yes = rest.outside(before)
        likelihood[at] += float(np.where(rest.shared, yes[:, 0], no[:, 0]).sum()) + rest.evidence(before)
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
