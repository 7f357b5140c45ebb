"""Whether another copy was made from the first, or from the original anew.

Arrives: the errors of the first copy, which of them the other has too, and how probable each would be by
coincidence. Leaves: a ``Dependence``. Start reading at ``dependence``.

Errors that two copies share join them, unless both may have made them by themselves (trade: conjunctive
errors, Maas; identity of reading implies identity of origin or accidental coincidence, Westcott & Hort § 58).
So each error has its own chance of being made twice: what the copyist's letter channel gives it, and never
less than a floor, since a place that is hard to read is hard twice. The number made twice by coincidence is
then a sum of independent trials with chances of their own (Poisson's binomial); its tail is added up exactly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.terms.copies import MadeFrom

# A place misread once is misread again at least so often (chosen: one hard place in twenty).
LEAST_COINCIDENCE = 0.05
SURE = 1e-3  # as many shared errors, or more, by coincidence: then the copies are no two witnesses
# Were the other copy made from the first, he would have left at least this share of its errors (chosen: who
# mends more than four in five has collated his copy with the original, and it is as good as made from it).
LEAST_LEFT = 0.2
TOO_FEW = 0.05  # as few shared errors, or fewer, had he left that share


@dataclass(frozen=True)
class Dependence:
    """What shared errors say of the other copy.

    Attributes:
        errors, shared: of the first copy, and how many of them the other has alike.
        expected: how many coincidence would give.
        p_value: exact probability of as many, or more, by coincidence.
        made_from: the verdict.
    """

    errors: int
    shared: int
    expected: float
    p_value: float
    made_from: MadeFrom


def dependence(chances: Sequence[float], shared: int) -> Dependence:
    """Judge from what the other copy was made.

    Args:
        chances: for each error of the first copy the probability that he makes it again, 0-1.
        shared: how many of them the other copy has alike.

    Returns:
        The verdict: *the first copy* where so many shared errors are no coincidence (``SURE``), *the
        original* where there are too few for a copy of a copy (``TOO_FEW``), else *undecided*.

    >>> str(dependence([0.05] * 20, 12).made_from), str(dependence([0.05] * 20, 1).made_from)
    ('the first copy', 'undecided')
    >>> str(dependence([0.05] * 20, 0).made_from)
    'the original'
    """
    again = [max(p, LEAST_COINCIDENCE) for p in chances]
    numbers = sum_of_trials(again)
    p_value = min(math.fsum(numbers[shared:]), 1.0)
    left = sum_of_trials([max(p, LEAST_LEFT) for p in again])
    if shared and p_value <= SURE:
        verdict = MadeFrom.FIRST
    elif chances and math.fsum(left[: shared + 1]) <= TOO_FEW:
        verdict = MadeFrom.ORIGINAL
    else:
        verdict = MadeFrom.UNDECIDED
    return Dependence(len(chances), shared, math.fsum(again), p_value, verdict)


def sum_of_trials(chances: Sequence[float]) -> list[float]:
    """Give the probability of each number of successes among trials with chances of their own.

    >>> [round(p, 3) for p in sum_of_trials([0.5, 0.2])]
    [0.4, 0.5, 0.1]
    """
    numbers = [1.0]
    for p in chances:
        numbers = [
            (numbers[at] * (1 - p) if at < len(numbers) else 0.0) + (numbers[at - 1] * p if at else 0.0)
            for at in range(len(numbers) + 1)
        ]
    return numbers
