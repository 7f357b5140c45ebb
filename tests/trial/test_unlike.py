"""A text that is none of the survivors may be unlike them: how far is learned from how they differ."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import expit
from scipy.stats import beta, norm

from fidelity.terms import TrialReading
from fidelity.trial.unlike import EXPECTED_SPREAD, of_a_text, text_spread
from tests.trial.test_measures import said


def simulated(
    texts: int, spread: float, seed: int, each: int = 200, shift: float = 0.0
) -> list[TrialReading]:
    """Simulate a blind test: texts whose log odds are normal around what was said or something else."""
    draw = np.random.default_rng(seed)
    readings = []
    for text in range(texts):
        own = shift + draw.normal(0, spread)
        for p in draw.uniform(0.2, 0.95, each):
            is_right = bool(draw.random() < expit(np.log(p / (1 - p)) + own))
            one = said(float(p), is_right, page=f"S{text} {int(100 * p)}")
            readings.append(replace(one, survivor=f"S{text}"))
    return readings


@pytest.mark.parametrize("spread", [0.1, 0.3, 0.6])
def test_the_spread_planted_is_found(spread: float) -> None:
    """Of forty texts, over twenty simulations, the planted spread comes out on the average."""
    found = [text_spread(simulated(40, spread, seed)) for seed in range(20)]
    assert np.mean(found) == pytest.approx(spread, abs=0.1 * spread + 0.04)


def test_what_all_have_in_common_is_no_difference() -> None:
    """Survivors of which all were believed too much, all alike, do not differ."""
    assert text_spread(simulated(40, 0.0, 1, shift=-1.0)) < 0.15


def test_few_texts_lean_on_what_is_expected() -> None:
    """None and one say nothing, however its pages differ; two say less than twenty."""
    assert text_spread([]) == EXPECTED_SPREAD
    pages = [replace(one, survivor="S", page=one.survivor) for one in simulated(40, 0.6, 3)]
    assert text_spread(pages) == EXPECTED_SPREAD
    two, twenty = (np.mean([text_spread(simulated(n, 0.0, seed)) for seed in range(10)]) for n in (2, 20))
    assert twenty < two < EXPECTED_SPREAD


def test_single_proposals_say_little() -> None:
    """Thirty survivors of one proposal each can hardly show how they differ."""
    readings = [replace(said(0.9, at % 10 < 9), survivor=f"S{at}") for at in range(30)]
    assert text_spread(readings) == pytest.approx(EXPECTED_SPREAD, abs=0.05)


def test_ranges_hold_the_share_of_one_more_text() -> None:
    """Of 400 more texts, 92 or more of a hundred ranges of 95 % hold the share that is theirs."""
    draw = np.random.default_rng(5)
    held = 0
    for _ in range(400):
        right = int(draw.binomial(1000, 0.7))
        limits = (
            float(beta.ppf(0.025, right + 0.5, 1000.5 - right)),
            float(beta.ppf(0.975, right + 0.5, 1000.5 - right)),
        )
        low, high = of_a_text(right / 1000, limits, 0.3, 0.95)
        share = float(expit(np.log(0.7 / 0.3) + draw.normal(0, 0.3)))
        held += low <= share <= high
    assert 368 <= held <= 392


def test_without_a_spread_the_interval_stands() -> None:
    """Texts that do not differ show what the average shows; the more they differ, the wider."""
    limits = (0.66, 0.74)
    assert of_a_text(0.7, limits, 0.0, 0.95) == pytest.approx(limits, abs=1e-9)
    widths = [high - low for low, high in (of_a_text(0.7, limits, s, 0.95) for s in (0.0, 0.1, 0.3))]
    assert widths == sorted(widths)
    low, _ = of_a_text(0.7, (0.7, 0.7), 0.5, 0.95)
    assert low == pytest.approx(expit(np.log(0.7 / 0.3) - 0.5 * norm.ppf(0.975)), abs=2e-3)
