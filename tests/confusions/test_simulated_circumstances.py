"""Rates by circumstance on simulated copyists: coverage, power and false alarms, on a small scale.

``tests/benchmarks/simulated_circumstances.py`` gives the same figures from a hundred copyists of each kind.
"""

from __future__ import annotations

from functools import cache

import pytest

from fidelity.terms import Circumstance, Tendency
from tests.benchmarks.simulated_circumstances import SIZE, TEXTS, Copyist, Figures, copyist

KINDS: dict[str, tuple[Circumstance | None, float]] = {
    "nothing": (None, 2.0),
    "place": (Circumstance.PLACE, 1.0),
    "letter": (Circumstance.AFTER, 2.0),
    "script": (Circumstance.SCRIPT, 1.0),
}


@cache
def simulated(kind: str) -> Copyist:
    return copyist(1, *KINDS[kind])


def figures_of(kind: str) -> dict[str, float]:
    figures = Figures()
    figures.add(simulated(kind))
    return figures.shares()


def test_what_stands_around_a_letter_is_what_the_chain_finds() -> None:
    """Chances under every value are those counted here letter by letter, but for a few lost in variants."""
    made = simulated("nothing")
    letters = made.exemplar.letters
    assert len(made.exemplar.lines) == TEXTS * SIZE
    told = [one for habit in made.habits for one in habit.rates if one.chances >= 50]
    assert len(told) > 50
    for one in told:
        here = (letters == one.original) & (made.exemplar.around[one.circumstance] == one.value)
        assert 0.97 * here.sum() <= one.chances <= here.sum(), (one.circumstance, one.value)


@pytest.mark.parametrize("kind", KINDS)
def test_intervals_hold_the_true_rates(kind: str) -> None:
    """Of the 95 % intervals of a copyist's five habits nine in ten hold the rate that was planted."""
    found = figures_of(kind)
    assert found["coverage all"] >= 0.9
    assert found["width few"] < 0.5 and found["width all"] < 0.6  # of Jeffreys' intervals, unpooled


@pytest.mark.parametrize("kind", ["place", "script"])
def test_planted_circumstances_are_found(kind: str) -> None:
    """What happens only at words' ends, or three times as often in one script, is found to do so."""
    assert len(simulated(kind).planted) == 2
    assert figures_of(kind)["power"] == 1


def test_nothing_is_found_where_nothing_was_planted() -> None:
    """Of all values of a copyist who errs alike everywhere, on bad pages more, hardly one stands out."""
    told = [one for habit in simulated("nothing").habits for one in habit.rates]
    assert len(told) > 200
    assert sum(one.tendency is not Tendency.NONE for one in told) <= 1
