"""The ranks of readings that were never judged for a proposal, where something is known beside the copy."""

from __future__ import annotations

import math
from types import SimpleNamespace

import pytest

from fidelity.readings.candidates import Candidate, Unit
from fidelity.trial.shares import Shares


class _Telling:
    """Tells the same of every reading: a witness that has something else altogether."""

    def log_likelihood(self, name: str) -> float:
        """Give log of how probable the witness is."""
        return math.log(0.5) if name else 0.0


def test_what_was_never_judged_shares_what_is_left_to_anything_else() -> None:
    """Three of 0.4 each would stand above the judged 0.6 and make 1.2 of 1; they share the 0.1 left."""
    unit = Unit(0, 4, "rece", {}, (), (), beside=_Telling())  # type: ignore[arg-type]
    others = [Candidate(0, 4, 0, "rece", text, 1.0, (), single=False) for text in ("sece", "tece", "wece")]
    sure = SimpleNamespace(probability=lambda _: 0.4)
    shares = Shares((0.6,), 0.3, 1.0, 1.0, frozenset(), unit, math.log(0.5), 0.1)
    found = shares.of_others(others, sure)  # type: ignore[arg-type]
    assert sum(found) == pytest.approx(0.1)
    none = Shares((0.7,), 0.3, 1.0, 1.0, frozenset(), unit, math.log(0.5), 0.0)
    assert none.of_others(others, sure) == [0.0, 0.0, 0.0]  # type: ignore[arg-type]
