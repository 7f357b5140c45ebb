"""Of a kind of which little was tried, what all kinds show is only where one starts."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import expit
from scipy.stats import norm

from fidelity.trial.of_its_kind import of_its_kind
from fidelity.trial.support import ENOUGH, Supporter
from tests.trial.test_support import many, trial_of


def test_the_posterior_is_that_of_the_integral() -> None:
    """Quantiles agree with those of scipy's quadrature over the same prior and likelihood."""
    low, middle, high = of_its_kind((0.8, 0.9), 2, 7, 0.6, 0.95)
    logit = [np.log(p / (1 - p)) for p in (0.8, 0.9)]
    centre, unsure = sum(logit) / 2, (logit[1] - logit[0]) / 2 / norm.ppf(0.975)

    def density(x: float) -> float:
        return float(norm.pdf(x, centre, np.hypot(unsure, 0.6)) * expit(x) ** 2 * expit(-x) ** 5)

    whole = quad(density, -8, 8)[0]
    for share, found in ((0.025, low), (0.5, middle), (0.975, high)):
        below = quad(density, -8, float(np.log(found / (1 - found))))[0] / whole
        assert below == pytest.approx(share, abs=0.01)


def test_what_was_tried_of_the_kind_counts() -> None:
    """None right of twenty-five speaks louder than what all kinds show; all right of nine agrees with it."""
    all_kinds = (0.93, 0.99)
    assert of_its_kind(all_kinds, 0, 25, 0.5, 0.95)[2] < 0.8
    assert of_its_kind(all_kinds, 9, 9, 0.5, 0.95)[0] > of_its_kind(all_kinds, 0, 0, 0.5, 0.95)[0]


def test_ranges_hold_the_share_of_a_kind() -> None:
    """Of 400 kinds around a known share, five tried of each, 92 or more ranges of a hundred hold theirs."""
    draw = np.random.default_rng(3)
    held = 0
    for _ in range(400):
        share = float(expit(np.log(0.9 / 0.1) + draw.normal(0, 0.8)))
        low, _, high = of_its_kind((0.899, 0.901), int(draw.binomial(5, share)), 5, 0.8, 0.95)
        held += low <= share <= high
    assert held >= 368


def test_a_kind_that_fares_ill_is_told_from_the_rest() -> None:
    """Of 300 said .8, 240 are right, and of ten of another kind none: a range of its own says so."""
    readings = many(300, 0.8, 0.8) + many(10, 0.8, 0.0, "punctuation")
    supporter = Supporter(trial_of(readings))
    stop, other = (supporter.of(0.8, kind, single=False) for kind in ("punctuation", "division"))
    assert (stop.tried, stop.of_kind, stop.right_of_kind) == (310, 10, 0)
    assert (other.of_kind, other.kind) == (0, "")
    assert stop.high < 0.75 < other.high
    assert other.high - other.low > 0.2  # of that kind none was tried


def test_enough_of_a_kind_speak_for_themselves() -> None:
    """Where the kind is tried often enough, nothing is borrowed from the others."""
    support = Supporter(trial_of(many(ENOUGH, 0.8, 0.5, "habit") + many(300, 0.8, 0.9))).of(
        0.8, "habit", single=False
    )
    assert (support.tried, support.kind, support.of_kind) == (ENOUGH, "habit", 0)
