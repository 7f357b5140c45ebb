"""Tell what a change of several letters would cost as so many slips of one letter.

Arrives: how often each letter was answered by each. Leaves: a function that prices a change. Start
reading at ``letter_by_letter``.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import numpy.typing as npt

from fidelity.alignment.channel import ADDED_SHARE, FIRST_SLIP_RATE, OMITTED_SHARE, PRIOR_STRENGTH

Array = npt.NDArray[Any]


def letter_by_letter(singles: Array, letters: list[str]) -> Callable[[str, str], float]:
    """Give the function that tells what a change costs letter by letter, in nats."""
    number_of = {letter: number for number, letter in enumerate(letters)}
    seen = singles.sum(axis=1)
    wrong = float(singles.sum() - np.trace(singles))
    slip = (wrong + FIRST_SLIP_RATE * 20) / (float(singles.sum()) + 20)  # as the channel has it
    total = float(seen.sum())

    def one(o: str, c: str) -> float:
        count = float(singles[number_of[o], number_of[c]])
        share = (OMITTED_SHARE if not c else 1 / len(letters)) if o else ADDED_SHARE / len(letters)
        among = float(seen[number_of[o]]) if o else total
        flat = 1 - slip if o == c else slip * share
        return -math.log((count + PRIOR_STRENGTH * flat) / (among + PRIOR_STRENGTH))

    @cache
    def price(o: str, c: str) -> float:
        if not o and not c:
            return 0.0
        ways = []
        if o:
            ways.append(one(o[0], "") + price(o[1:], c))
        if c:
            ways.append(one("", c[0]) + price(o, c[1:]))
        if o and c:
            ways.append(one(o[0], c[0]) + price(o[1:], c[1:]))
        return min(ways)

    return price
