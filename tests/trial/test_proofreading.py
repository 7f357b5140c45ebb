"""What two readers of a transcript both missed."""

from __future__ import annotations

import pytest

from fidelity.trial.proofreading import polya_missed, proofreading
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness


@pytest.mark.parametrize(
    ("first", "second", "both", "missed", "total"), [(30, 25, 5, 100, 150), (30, 24, 20, 2, 36)]
)
def test_published_estimates(first: int, second: int, both: int, missed: float, total: float) -> None:
    """30 and 25 with 5 in common leave 100 of 150; 30 and 24 with 20 in common leave 2 of 36.

    Polya 1976, American Mathematical Monthly 83:42; the first figures are Nahin's, the second from memory.
    All that were made are AB / C: those found by either, and those missed.
    """
    found = polya_missed(first, second, both)
    assert found == missed
    assert first + second - both + missed == total == first * second / both


def test_nothing_in_common_tells_nothing() -> None:
    """Where no mistake was found by both there is no estimate; where none was found there is none to miss."""
    assert polya_missed(3, 4, 0) is None
    assert polya_missed(0, 0, 0) == 0


def test_changes_of_two_readers_are_counted() -> None:
    """Four mistakes, of which one reader mends three, the other two, one of them both: two are missed.

    The places they both changed count even where they read them otherwise.
    """
    unchecked = read_witness("wip haran bite brunwyrt and riscam gegnip")
    first = read_witness("wiþ haran bite brunwyrt and riscan gegniþ")
    second = read_witness("wið haran bite brunwyrte and riscam gegnip")
    found = proofreading("L", unchecked, first, second, NO_FOLDS)
    assert (found.first, found.second, found.both, found.missed) == (3, 2, 1, 2)
    assert found.letters == 35
