"""Whether a confusion happens more, or less, under one value of a circumstance than under the others.

Arrives: ``PairSeats``. Leaves: p-values, two-sided, and which side. Start reading at ``differences``.

Within pages: given how often the confusion happened in all, the number at one value is hypergeometric
(Fisher's exact test). Neighbours and words stand at certain places in the word, and the place explains
much of what they seem to explain: they are tested at each place, and the numbers add up (the exact
form of Mantel & Haenszel 1959, J. Natl Cancer Inst. 22:719-748, from memory). Script, language and
text go by whole pages, and pages differ for many reasons: there the pages are permuted as wholes.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from math import lgamma

import numpy as np

from fidelity.confusions.circumstances import BY_UNIT, WITHIN_PLACES, PairSeats, UnitSeats, values_of
from fidelity.confusions.surroundings import Pair
from fidelity.terms import Circumstance

PERMUTATIONS = 1999  # of pages; the least p is then 0.001

Difference = tuple[float, bool]  # p-value; whether it is more than expected, not less


def differences(
    pair: Pair, values: Sequence[str], kind: Circumstance, seats: PairSeats, seed: int
) -> list[Difference]:
    """Test every value of a circumstance against all others together.

    Args:
        pair: the confusion; it has random numbers of its own.
        values: of the circumstance.
        kind: the circumstance.
        seats: what was counted of the confusion.
        seed: of the permutations.
    """
    if kind in BY_UNIT:
        return _by_pages(pair, values, kind, seats, seed)
    by = seats.by[kind]
    places = list(by.at_place.values()) if kind in WITHIN_PLACES else [(by.count, by.chances)]
    totals = [(sum(count.values()), sum(chances.values())) for count, chances in places]
    known: dict[tuple[int, tuple[tuple[int, int, int], ...]], float] = {}  # many words are alike in this
    found = []
    for value in values:
        tables = tuple(
            (chances[value], *total)
            for (_, chances), total in zip(places, totals, strict=True)
            if chances[value]
        )
        margins = by.count[value], tables
        if margins not in known:
            known[margins] = hypergeometric(*margins)
        expected = sum(here * happened / total for here, happened, total in tables)
        found.append((known[margins], by.count[value] >= expected))
    return found


def hypergeometric(k: int, tables: Sequence[tuple[int, int, int]]) -> float:
    """Give the two-sided probability of k events, given the margins of one or several tables.

    The smaller tail, doubled (Fisher 1935, The Logic of Inductive Inference, JRSS 98:48-51, has the
    tail, from memory); of several tables the sum of their events.

    Args:
        k: events under one value, in all tables.
        tables: of each (chances under the value, events in all, chances in all).

    >>> round(hypergeometric(3, [(4, 4, 8)]), 4)  # 17/70, doubled: Fisher 1935, Design of Experiments, ch. 2
    0.4857
    """
    shares, least = np.ones(1), 0
    for chances, happened, total in tables:
        first, last = max(0, chances + happened - total), min(chances, happened)
        whole = _log_choose(total, chances)
        logs = [
            _log_choose(happened, x) + _log_choose(total - happened, chances - x) - whole
            for x in range(first, last + 1)
        ]
        shares = np.convolve(shares, np.exp(logs))
        least += first
    at = k - least
    return float(min(1.0, 2 * min(shares[at:].sum(), shares[: at + 1].sum())))


def _log_choose(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def _by_pages(
    pair: Pair, values: Sequence[str], kind: Circumstance, seats: PairSeats, seed: int
) -> list[Difference]:
    """Test values that hold for whole pages by permuting the pages, two-sided.

    What is permuted is by how much a page has more events than its chances, place in the word by
    place, let expect, in units of the root of its chances: the excess of a large page varies more.
    """
    pages: defaultdict[tuple[str, ...], UnitSeats] = defaultdict(UnitSeats)  # all of a page is one
    for (text, unit), numbers in sorted(seats.units.items(), key=lambda one: one[0]):
        if numbers.chances.total():
            page = pages[text, unit[0], values_of(text, unit)[kind]]
            page.count += numbers.count
            page.chances.update(numbers.chances)
    places = seats.by[Circumstance.PLACE]
    rates = {place: places.count[place] / chances for place, chances in places.chances.items() if chances}
    roots = np.sqrt([page.chances.total() for page in pages.values()])
    excess = np.array([_excess(page, rates) for page in pages.values()]) / roots
    here = np.array([value for _, _, value in pages])
    random = np.random.default_rng([seed, *map(ord, "".join(pair))])
    drawn = random.permuted(np.tile(excess, (PERMUTATIONS, 1)), axis=1)
    found = []
    for value in values:
        mine = here == value
        seen, others = excess[mine] @ roots[mine], drawn[:, mine] @ roots[mine]
        near = 1e-9 * (1 + abs(seen))  # sums of the same numbers in another order
        tails = ((others >= seen - near).sum(), (others <= seen + near).sum())
        found.append((float(min(1.0, 2 * (1 + min(tails)) / (PERMUTATIONS + 1))), bool(seen >= 0)))
    return found


def _excess(unit: UnitSeats, rates: Mapping[str, float]) -> float:
    """Give by how much a page has more events than are expected there."""
    return unit.count - sum(rates[place] * chances for place, chances in unit.chances.items())
