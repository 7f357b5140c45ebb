"""Errors planted by their mechanisms are told for what they are; a small version of the benchmark."""

from __future__ import annotations

from functools import cache

from fidelity.terms import Cause
from tests.benchmarks.planted_causes import NOTHING, Outcome, f1_by_cause, trial
from tests.planted_errors import mechanisms
from tests.planted_mechanisms import plant_mechanisms


@cache
def found() -> Outcome:
    """Judge one copy of the saga, fifteen errors of each mechanism."""
    return trial(copies=1, each=15, seed=21)


def test_causes_are_told() -> None:
    """Macro-averaged F1 of cause given against cause planted is 0.9 or more, of no cause below 0.75."""
    scores = [f1 for _, _, f1 in f1_by_cause(found()).values()]
    assert sum(scores) / len(scores) >= 0.9
    assert min(scores) >= 0.75


def test_every_planted_error_is_found() -> None:
    """No error is missed, and of a hundred differences at most one is where nothing was planted."""
    assert sum(count for (_, given), count in found().items() if given == NOTHING) == 0
    unplanted = sum(count for (planted, _), count in found().items() if planted == NOTHING)
    assert unplanted <= 0.01 * found().total()


def test_nearly_every_cause_is_planted() -> None:
    """Of the vocabulary only what needs other texts is not planted."""
    planted = {cause for cause, _ in found()} - {NOTHING}
    assert set(map(str, Cause)) - planted == {"assimilation", "imported"}


def test_the_same_seed_plants_the_same() -> None:
    """Original, copy and errors depend on the seed alone; what is planted is in the copy."""
    first, again = (plant_mechanisms(mechanisms(3), 2, 3, 4000) for _ in range(2))
    assert (first.original, first.copy, first.edits) == (again.original, again.copy, again.edits)
    assert plant_mechanisms(mechanisms(4), 2, 4, 4000).edits != first.edits
    assert all(edit.written in first.copy.letters for edit in first.edits)
