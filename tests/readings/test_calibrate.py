"""Calibration: probabilities that are borne out, and no more than the evidence supports."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm
from sklearn.linear_model import LogisticRegression

from fidelity.readings.calibrate import (
    BEND_PRECISION,
    ENOUGH,
    PRIOR_PRECISION,
    Calibrator,
    Experience,
    Fit,
    Floats,
    design,
)
from fidelity.readings.calibrating import Calibrating, allowing_for_texts
from fidelity.readings.candidates import Candidate
from fidelity.readings.features import log_odds

ROWS = st.lists(
    st.tuples(st.floats(-9, 9), st.floats(-3, 3), st.sampled_from([0.0, 1.0]), st.booleans()),
    min_size=1,
    max_size=60,
)


def boastful(count: int, seed: int) -> tuple[list[list[float]], list[bool]]:
    """Make candidates of a model that doubles its log odds and does not see that known words are safer."""
    rng = np.random.default_rng(seed)
    true_odds = rng.normal(0.3, 1.5, count)
    known = rng.integers(0, 2, count)
    right = rng.random(count) < 1 / (1 + np.exp(-true_odds))
    said = 2 * (true_odds - 1.5 * known)
    features = np.column_stack([said, known, rng.normal(size=count)])
    return features.tolist(), right.tolist()


def log_loss(probabilities: list[float], right: list[bool]) -> float:
    """Give the mean of -log of the probability given to what was the case."""
    given = [p if one else 1 - p for p, one in zip(probabilities, right, strict=True)]
    return -math.fsum(math.log(max(p, 1e-12)) for p in given) / len(given)


@settings(deadline=None, max_examples=60)
@given(ROWS, st.floats(-30, 30))
def test_what_is_said_is_a_probability(rows: list[tuple[float, float, float, bool]], odds: float) -> None:
    """From 0 to 1, also far outside of what was seen, and never above what the cases support."""
    calibrator = Calibrator([row[:3] for row in rows], [row[3] for row in rows])
    for features in [*(row[:3] for row in rows), (odds, -odds, 1.0)]:
        assert 0 <= calibrator.probability(features) <= (len(rows) + 0.5) / (len(rows) + 1)


@given(st.floats(-9, 9))
def test_without_cases_the_odds_are_half_believed(log_odds: float) -> None:
    """With nothing held out, log odds of 2 are taken for log odds of 1."""
    probability = Calibrator([], []).probability([log_odds, 5.0])
    assert math.log(probability / (1 - probability)) == pytest.approx(log_odds / 2, abs=1e-9)


def fit_and_table(calibrator: Calibrator, features: list[list[float]]) -> tuple[Fit, Floats]:
    """Give the regression on this copyist's own candidates, and the table it was fitted to."""
    ((_, fit),) = calibrator.fits
    return fit, design(np.asarray(features), fit.centres, fit.scales)


def precisions(columns: int, features: int) -> Floats:
    """Give how firmly each coefficient is held: the constant freer, squares firmer than slopes."""
    precision = np.full(columns, PRIOR_PRECISION)
    precision[0] = PRIOR_PRECISION / 10
    precision[1 + features :] = BEND_PRECISION
    return precision


@pytest.mark.parametrize("weighted", [False, True])
def test_another_library_finds_the_same_coefficients(weighted: bool) -> None:
    """Drawn towards nothing at all, the fit is scikit-learn's logistic regression with an L2 penalty.

    scikit-learn has one penalty for all columns: each is divided by the root of its own here. The
    constant is a column too.
    """
    features, right = boastful(300, seed=3)
    weights = np.random.default_rng(4).uniform(0.2, 1.0, 300) if weighted else None
    calibrator = Calibrator(features, right, guess={}, weights=None if weights is None else weights.tolist())
    fit, table = fit_and_table(calibrator, features)
    precision = precisions(table.shape[1], len(features[0]))
    other = LogisticRegression(C=1.0, fit_intercept=False, tol=1e-10, max_iter=10_000)
    other.fit(table / np.sqrt(precision), right, sample_weight=weights)
    assert fit.coefficients == pytest.approx(other.coef_[0] / np.sqrt(precision), abs=1e-5)


@pytest.mark.parametrize("guess", [None, {0: 0.8, 1: -0.5}])
def test_the_fit_is_at_the_top(guess: dict[int, float] | None) -> None:
    """The coefficients are where log likelihood and prior around the guess balance: no slope is left."""
    features, right = boastful(200, seed=8)
    calibrator = Calibrator(features, right, guess)
    x = np.asarray(features)
    fit, table = fit_and_table(calibrator, features)
    slopes = {0: 1.0} if guess is None else guess
    prior = np.zeros(table.shape[1])
    for column, slope in slopes.items():
        prior[0] += slope * x[:, column].mean()
        prior[1 + column] = slope * x[:, column].std()
    precision = precisions(table.shape[1], x.shape[1])
    said = 1 / (1 + np.exp(-table @ fit.coefficients))
    slope_left = table.T @ (np.asarray(right) - said) - precision * (fit.coefficients - prior)
    assert np.abs(slope_left).max() < 1e-6


def test_calibration_gets_better_with_cases() -> None:
    """More held-out cases, less surprise on new ones; and less than the model itself has."""
    new, new_right = boastful(4000, seed=100)
    itself = log_loss([1 / (1 + math.exp(-row[0])) for row in new], new_right)
    losses = []
    for count in (0, 30, 300, 3000):
        trials = []
        for seed in range(5):
            calibrator = Calibrator(*boastful(count, seed))
            trials.append(log_loss([calibrator.probability(row) for row in new], new_right))
        losses.append(sum(trials) / len(trials))
    assert losses[1] < itself
    assert losses == sorted(losses, reverse=True)


def test_what_was_said_is_found() -> None:
    """After three thousand cases, of proposals said to be about so probable as many are right."""
    calibrator = Calibrator(*boastful(3000, seed=1))
    new, new_right = boastful(6000, seed=2)
    said = np.array([calibrator.probability(row) for row in new])
    right = np.array(new_right)
    for low in (0.1, 0.3, 0.5, 0.7, 0.85):
        band = (said >= low) & (said < low + 0.15)
        assert band.sum() > 200
        assert said[band].mean() == pytest.approx(right[band].mean(), abs=0.05)


@pytest.mark.parametrize("cases", [5, 10, 40])
def test_no_more_is_said_than_the_cases_support(cases: int) -> None:
    """All of n believed cases right, Jeffreys' prior: no more than (n + 1/2) / (n + 1); ten give .954."""
    features = [[4.0 + 0.1 * at, 1.0] for at in range(cases)]
    calibrator = Calibrator(features, [True] * cases)
    most = (cases + 0.5) / (cases + 1)
    assert calibrator.probability([9.0, 1.0]) == pytest.approx(most)


def test_what_is_short_of_belief_may_be_said() -> None:
    """A thousand cases of which three in four are right support a probability of three in four."""
    features = [[1.1 + 0.01 * (at % 5), 1.0] for at in range(1000)]
    calibrator = Calibrator(features, [at % 4 != 0 for at in range(1000)])
    assert calibrator.probability([1.12, 1.0]) == pytest.approx(0.75, abs=0.03)


def test_a_few_cases_move_little() -> None:
    """Two wrong cases leave a confident model more sure than not to be wrong; thirty do not."""
    sure = [[1.0 + 0.2 * at, float(at % 2)] for at in range(30)]
    few = Calibrator(sure[9:11], [False] * 2)
    many = Calibrator(sure, [False] * 30)
    assert many.probability(sure[10]) < 0.1 < few.probability(sure[10])


def test_without_cases_both_steps_halve_once() -> None:
    """Without experience the two steps together take the model's own log odds half, not a quarter."""
    odds = log_odds(0.9)
    candidate = Candidate(0, 3, 0, "wær", "wæs", 0.9, (odds,), single=False)
    calibration = Calibrating([], experiences={}).without()
    half = 1 / (1 + math.exp(-odds / 2))
    assert calibration.probability(candidate) == pytest.approx(allowing_for_texts(half))


KNOWN_WORDS = Experience(0.4, (1.0, 0.5), (2.0, 0.5), (1.2, 0.7), (0.0, 0.0))


def test_experience_alone_is_half_believed() -> None:
    """With nothing held out, what other copyists taught is believed half: (0.4 + 1.2 * 0.5 + 0.7) / 2."""
    p = Calibrator([], [], experience=KNOWN_WORDS).probability([2.0, 1.0])
    assert log_odds(p) == pytest.approx((0.4 + 1.2 * 0.5 + 0.7 * 1.0) / 2)


def test_the_more_is_held_out_the_less_experience_counts() -> None:
    """The shares are those of the weights held out and of ENOUGH; the far end is the copyist's own fit."""
    for count in (10, 1000, 20_000):
        features, right = boastful(count, seed=5)
        (own, _), (drawn, _) = Calibrator([row[:2] for row in features], right, experience=KNOWN_WORDS).fits
        assert own == pytest.approx(count / (count + ENOUGH))
        assert own + drawn == pytest.approx(1.0)


def test_true_experience_helps_where_little_is_held_out() -> None:
    """A start at what holds for all such copyists surprises less than a start at the model's own odds."""
    features, right = boastful(20_000, seed=11)
    ((_, fit),) = Calibrator(features, right).fits
    constant, *rest = fit.coefficients.tolist()
    taught = Experience(
        constant, tuple(fit.centres.tolist()), tuple(fit.scales.tolist()), tuple(rest[:3]), tuple(rest[3:])
    )
    new, new_right = boastful(4000, seed=12)
    with_it: list[float] = []
    without: list[float] = []
    for seed in range(20, 30):
        few = boastful(30, seed)
        for losses, one in ((with_it, Calibrator(*few, experience=taught)), (without, Calibrator(*few))):
            losses.append(log_loss(one.probabilities(np.asarray(new)).tolist(), new_right))
    assert sum(with_it) < sum(without)


@pytest.mark.parametrize("p", [0.03, 0.4, 0.8, 0.96])
@pytest.mark.parametrize("spread", [0.3, 0.7, 1.2])
def test_a_text_unlike_the_others_is_allowed_for(p: float, spread: float) -> None:
    """What is said is about the mean over texts that differ so, worked out by scipy's quadrature."""
    odds = log_odds(p)
    mean, _ = quad(lambda x: norm.pdf(x) / (1 + math.exp(-(odds + spread * x))), -9, 9)
    assert allowing_for_texts(p, spread) == pytest.approx(mean, abs=0.012)


def test_allowing_for_texts_keeps_the_order() -> None:
    """A probability is drawn towards one half, never across it, and never to 0 or 1."""
    found = [allowing_for_texts(p) for p in (0.0, 0.01, 0.3, 0.5, 0.7, 0.99, 1.0)]
    assert found == sorted(found)
    assert found[3] == pytest.approx(0.5)
    assert 0 < found[0] < found[1] and 0.01 < found[1] < 0.3 < found[2] < 0.5
