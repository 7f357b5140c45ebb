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
from collections.abc import Sequence
from functools import lru_cache
from math import exp, lgamma

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.circumstances import BY_UNIT, WITHIN_PLACES, PairSeats, value_of
from fidelity.confusions.surroundings import PLACES
from fidelity.terms import Circumstance
from fidelity.variants.set_aside import Mask

PERMUTATIONS = 1999  # of pages; the least p is then 0.001
FIRST_PERMUTATIONS = 199  # are enough where nothing is to be found (Besag & Clifford 1991 stop so, too):
ENOUGH = 1e-17  # of a tail: smaller shares change no digit of it
HOPELESS = 0.05  # a p-value that with ten times as many would hardly become a find

Floats = NDArray[np.float64]
Difference = tuple[float, bool]  # p-value; whether it is more than expected, not less


def differences(values: Sequence[str], kind: Circumstance, seats: PairSeats, seed: int) -> list[Difference]:
    """Test every value of a circumstance against all others together.

    Args:
        values: of the circumstance.
        kind: the circumstance.
        seats: what was counted of the confusion.
        seed: of the permutations.
    """
    if kind in BY_UNIT:
        return _by_pages(values, kind, seats, seed)
    by = seats.by[kind]
    places = list(by.at_place.values()) if kind in WITHIN_PLACES else [(by.count, by.chances)]
    totals = [(sum(count.values()), sum(chances.values())) for count, chances in places]
    margins = np.array([[chances[value] for value in values] for _, chances in places], dtype=np.int64)
    happened = np.array([by.count[value] for value in values], dtype=np.int64)
    alike, which = np.unique(np.vstack([happened, margins]), axis=1, return_inverse=True)
    found = []
    for k, *here in alike.T.tolist():  # many words are alike in this
        tables = [(chances, *total) for chances, total in zip(here, totals, strict=True) if chances]
        expected = sum(chances * events / total for chances, events, total in tables)
        found.append((hypergeometric(k, tables), k >= expected))
    return [found[number] for number in which.ravel().tolist()]


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
    if len(tables) == 1:
        return _of_one_table(k, *tables[0])
    shares, least = np.ones(1), 0
    for table in tables:
        first, these = _shares(*table)
        shares, least = np.convolve(shares, these), least + first
    at = k - least
    return float(min(1.0, 2 * min(shares[at:].sum(), shares[: at + 1].sum())))


def _of_one_table(k: int, chances: int, happened: int, total: int) -> float:
    """Give ``hypergeometric`` of a single table: the tail away from the likeliest number, summed up.

    Where that is more than a half, the other tail is what is left of 1, and k itself.
    """
    first, last = max(0, chances + happened - total), min(chances, happened)
    if not first <= k <= last:
        return 0.0
    rest = total - happened - chances
    likeliest = (chances + 1) * (happened + 1) // (total + 2)
    share = here = tail = _share(k, chances, happened, total)
    if k >= likeliest:
        for x in range(k, last):
            share *= (happened - x) * (chances - x) / ((x + 1) * (rest + x + 1))
            tail += share
            if share < ENOUGH * tail:
                break
    else:
        for x in range(k, first, -1):
            share *= x * (rest + x) / ((happened - x + 1) * (chances - x + 1))
            tail += share
            if share < ENOUGH * tail:
                break
    return min(1.0, 2 * min(tail, 1 - tail + here))


def _share(x: int, chances: int, happened: int, total: int) -> float:
    """Give the probability of x events under the value."""
    logs = _log_choose(happened, x) + _log_choose(total - happened, chances - x)
    return exp(logs - _log_choose(total, chances))


def _shares(chances: int, happened: int, total: int) -> tuple[int, list[float]]:
    """Give the least number of events there can be, and the probability of it and of each after it.

    Each from the one beside it, from the likeliest outwards: that one alone needs factorials.
    """
    first, last = max(0, chances + happened - total), min(chances, happened)
    top = min(max((chances + 1) * (happened + 1) // (total + 2), first), last)
    rest = total - happened - chances
    start = _share(top, chances, happened, total)
    upward, share = [start], start
    for x in range(top, last):
        share *= (happened - x) * (chances - x) / ((x + 1) * (rest + x + 1))
        upward.append(share)
    downward, share = [], start
    for x in range(top, first, -1):
        share *= x * (rest + x) / ((happened - x + 1) * (chances - x + 1))
        downward.append(share)
    return first, downward[::-1] + upward


def _log_choose(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def _by_pages(values: Sequence[str], kind: Circumstance, seats: PairSeats, seed: int) -> list[Difference]:
    """Test values that hold for whole pages by permuting the pages, two-sided.

    What is permuted is by how much a page has more events than its chances, place in the word by
    place, let expect, in units of the root of its chances: the excess of a large page varies more.
    """
    number = {place: at for at, place in enumerate(PLACES, start=1)}
    pages: defaultdict[tuple[str, ...], list[int]] = defaultdict(lambda: [0] * (1 + len(PLACES)))
    for (text, unit), seen in sorted(seats.units.items(), key=lambda one: one[0]):
        if not any(seen.chances.values()):
            continue
        page = pages[text, unit[0], value_of(kind, text, unit)]  # all of a page is one
        page[0] += seen.count
        for place, chances in seen.chances.items():
            page[number[place]] += chances
    counted = np.array(list(pages.values()), dtype=np.float64)
    by = seats.by[Circumstance.PLACE]
    rates = np.array([by.count[place] / max(by.chances[place], 1) for place in PLACES])
    roots = np.sqrt(counted[:, 1:].sum(axis=1))
    excess = (counted[:, 0] - counted[:, 1:] @ rates) / roots
    here = np.array([value for _, _, value in pages])
    mine = [here == value for value in values]
    found: list[Difference] = []
    for draws in (FIRST_PERMUTATIONS, PERMUTATIONS):
        found = [_by_draws(excess, _drawn(seed, draws, one.tobytes()), roots, one) for one in mine]
        if min(found)[0] > HOPELESS:
            break
    return found


@lru_cache(maxsize=4)
def _orders(seed: int, pages: int, draws: int) -> NDArray[np.int32]:
    """Give random orders of so many pages, one to the row; the same for all confusions."""
    order = np.tile(np.arange(pages, dtype=np.int32), (draws, 1))
    return np.random.default_rng(seed).permuted(order, axis=1)


@lru_cache(maxsize=16)  # most confusions are met on the same pages: on all
def _drawn(seed: int, draws: int, mine: bytes) -> NDArray[np.intp]:
    """Give which pages come in place of those of one value, order by order.

    Args:
        seed: of the orders.
        draws: how many orders.
        mine: of each page whether it is one of that value: booleans.
    """
    chosen = np.frombuffer(mine, dtype=np.bool_)
    return _orders(seed, len(chosen), draws)[:, chosen].astype(np.intp)


def _by_draws(excess: Floats, drawn: NDArray[np.intp], roots: Floats, mine: Mask) -> Difference:
    """Give the p-value of the pages of one value among permutations of all, two-sided."""
    seen, others = excess[mine] @ roots[mine], excess[drawn] @ roots[mine]
    near = 1e-9 * (1 + abs(seen))  # sums of the same numbers in another order
    tails = ((others >= seen - near).sum(), (others <= seen + near).sum())
    return float(min(1.0, 2 * (1 + min(tails)) / (len(drawn) + 1))), bool(seen >= 0)
