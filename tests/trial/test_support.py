"""A probability is a figure where the blind test bears one out, and a range where it does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from fidelity.terms import Trial, TrialReading
from fidelity.trial.support import (
    ABOUT,
    ENOUGH,
    FIGURE_WIDTH,
    NOTHING_TRIED,
    Supporter,
    figure_is_supported,
    with_support,
)
from tests.apparatus.made import made_readings, made_trial
from tests.trial.test_measures import said


def trial_of(readings: list[TrialReading]) -> Trial:
    return replace(made_trial(), readings=tuple(readings))


def many(number: int, probability: float, share: float, kind: str = "misreading") -> list[TrialReading]:
    """Give proposals of one probability on pages of ten, the same share right on each."""
    return [said(probability, at % 10 < 10 * share, kind, f"E {at // 10}") for at in range(number)]


def test_many_that_agree_bear_out_a_figure() -> None:
    """Three hundred said .8, four in five right: the figure stands. Twenty do not bear it out."""
    support = Supporter(trial_of(many(300, 0.8, 0.8))).of(0.8, "misreading", single=False)
    assert (support.tried, support.right) == (300, 240)
    assert figure_is_supported(0.8, support.low, support.high)
    few = Supporter(trial_of(many(20, 0.8, 0.8))).of(0.8, "misreading", single=False)
    assert few.low < 0.8 < few.high
    assert not figure_is_supported(0.8, few.low, few.high)


def test_many_that_say_otherwise_give_their_own_range() -> None:
    """Three hundred said .8, two in five right: what stands there is about .4, and not .8."""
    support = Supporter(trial_of(many(300, 0.8, 0.4))).of(0.8, "misreading", single=False)
    assert not figure_is_supported(0.8, support.low, support.high)
    assert 0.25 < support.low < 0.4 < support.high < 0.55


def test_nothing_tried_supports_nothing() -> None:
    """Without a blind test, or with none believed about as much, the range is 0 to 1."""
    for trial in (None, trial_of([]), trial_of(many(300, 0.3, 0.3))):
        assert Supporter(trial).of(0.8, "misreading", single=False) == NOTHING_TRIED
    assert not figure_is_supported(0.5, NOTHING_TRIED.low, NOTHING_TRIED.high)


def test_the_like_are_asked_first() -> None:
    """Enough of the same kind speak for themselves; with too few all kinds of whole readings are asked."""
    readings = many(200, 0.8, 0.9, "habit") + many(200, 0.8, 0.5)
    supporter = Supporter(trial_of(readings))
    assert supporter.of(0.8, "habit", single=False).right == 180
    assert supporter.of(0.8, "misreading", single=False).right == 100
    assert supporter.of(0.8, "division", single=False).tried == 400
    assert supporter.of(0.8, "habit", single=True).tried == 0


def test_the_near_are_asked_first() -> None:
    """Where enough were believed nearly as much, those farther off are not asked."""
    near, far = many(ENOUGH, 0.8, 0.8), many(100, 0.8 + 1.5 * ABOUT, 0.1)
    assert Supporter(trial_of(near + far)).of(0.8, "misreading", single=False).tried == ENOUGH
    both = Supporter(trial_of(near[1:] + far)).of(0.8, "misreading", single=False)
    assert both.tried == ENOUGH - 1 + 100


def test_thirty_do_not_give_a_narrow_range() -> None:
    """The least number that is enough gives, at nine in ten right, a range about as wide as may be."""
    readings = [said(0.9, at % 10 < 9, page=f"E {at}") for at in range(ENOUGH)]
    support = Supporter(trial_of(readings)).of(0.9, "misreading", single=False)
    assert support.high - support.low == pytest.approx(FIGURE_WIDTH, abs=0.06)


def test_two_pages_do_not_take_everything_back() -> None:
    """Of two survivors without pages 43 of 43 were right: that is more than nothing."""
    readings = [replace(said(0.9, right=True), page=f"S{at % 2}", survivor=f"S{at % 2}") for at in range(43)]
    support = Supporter(trial_of(readings)).of(0.9, "misreading", single=False)
    assert 0.9 < support.low < support.high == 1


def test_ranges_hold_the_truth() -> None:
    """Of 200 simulated tests in which .85 was said and .7 was true, 9 ranges in 10 hold .7."""
    draw = np.random.default_rng(2)
    held = 0
    for _ in range(200):
        readings = [said(0.85, bool(draw.random() < 0.7), page=f"E {at // 4}") for at in range(48)]
        support = Supporter(trial_of(readings)).of(0.85, "misreading", single=False)
        held += support.low <= 0.7 <= support.high
    assert held >= 180


def test_proposals_carry_what_supports_them() -> None:
    """Each proposal for a lost text gets its range; its probability stays as it was."""
    before = made_readings()
    after = with_support(before, trial_of(many(100, 0.71, 0.7) + many(100, 0.55, 0.5)))
    assert [one.probability for one in after] == [one.probability for one in before]
    first, single, _ = after
    assert (first.tried, first.tried_right) == (100, 70)
    assert first.probability_low < 0.7 < first.probability_high
    assert (single.single, single.tried, single.probability_low, single.probability_high) == (True, 0, 0, 1)
