"""What probabilities are worth on a survivor that the calibration had not seen."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import expit
from sklearn.linear_model import LogisticRegression

from fidelity.readings.carried import BREAK_FIRMNESS, FIRMNESS, Carried


def held_out(count: int, seed: int, slope: float = 1.0, above: float = 0.0) -> tuple[list[float], list[bool]]:
    """Draw log odds as said, and outcomes: true log odds rise by slope, above even odds by more or less."""
    draw = np.random.default_rng(seed)
    odds = draw.normal(0, 1.5, count)
    right = draw.random(count) < expit(slope * odds + above * np.maximum(odds, 0))
    return odds.tolist(), right.tolist()


def test_two_dozen_change_little() -> None:
    """Twenty-four of which half more was right than said leave what is said nearly as it was."""
    odds = [-1.0] * 24
    one = Carried(odds, [at % 2 == 0 for at in range(24)], None)
    assert expit(-1.0) < one.probability(-1.0) < (expit(-1.0) + 0.5) / 2
    many = Carried(odds * 100, [at % 2 == 0 for at in range(2400)], None)
    assert many.probability(-1.0) == pytest.approx(0.5, abs=0.02)


@pytest.mark.parametrize(("slope", "above"), [(1.0, 0.0), (0.6, 0.0), (0.8, 0.6)])
def test_what_was_planted_is_found(slope: float, above: float) -> None:
    """Of twenty thousand, slopes below and above even odds come out as planted."""
    one = Carried(*held_out(20_000, 1, slope, above), 0.0)
    for odds in (-2.0, -0.5, 0.5, 2.0):
        meant = expit(slope * odds + above * max(odds, 0))
        assert one.probability(odds) == pytest.approx(meant, abs=0.02)


def test_without_a_break_the_slope_is_one() -> None:
    """Where no break is asked for, twice the odds is twice the log odds."""
    one = Carried(*held_out(5000, 2, 0.8, 0.6), None)
    odds = [float(np.log(p / (1 - p))) for p in map(one.probability, (-1.0, 0.0, 1.0))]
    assert odds[2] - odds[1] == pytest.approx(odds[1] - odds[0], abs=1e-9)


def test_the_slope_breaks_where_it_is_said_to() -> None:
    """The sure are right less often than said, the others as often: the others keep what is said of them."""
    draw = np.random.default_rng(6)
    odds = draw.normal(1, 2, 20_000)
    right = draw.random(20_000) < expit(np.minimum(odds, 2.2))
    one = Carried(odds, right, 2.2)
    assert one.probability(1.0) == pytest.approx(expit(1.0), abs=0.02)
    assert one.probability(5.0) == pytest.approx(expit(2.2), abs=0.02)


def test_another_library_finds_the_same() -> None:
    """The fit is scikit-learn's logistic regression, its prior moved to what was said by fake columns.

    Drawn towards slope 1: the same as a fit drawn towards 0 of what is added to the odds as said. That
    library takes no offset; the gradient of its objective with one is 0 at our coefficients instead.
    """
    odds, right = held_out(300, 3, 0.5)
    one = Carried(odds, right, 0.0)
    table = np.column_stack([np.ones(300), odds, np.maximum(odds, 0)])
    said = expit(table @ one.coefficients)
    left = table.T @ (np.asarray(right) - said) - np.array([FIRMNESS, FIRMNESS, BREAK_FIRMNESS]) * (
        one.coefficients - [0.0, 1.0, 0.0]
    )
    assert np.abs(left).max() < 1e-6
    flat = LogisticRegression(C=1e9, fit_intercept=False, tol=1e-10, max_iter=10_000).fit(table, right)
    far = np.abs(flat.coef_[0] - one.coefficients).sum()
    many = held_out(30_000, 4, 0.5)
    big = np.column_stack([np.ones(30_000), many[0], np.maximum(many[0], 0)])
    unheld = LogisticRegression(C=1e9, fit_intercept=False, tol=1e-10, max_iter=10_000).fit(big, many[1])
    assert np.abs(unheld.coef_[0] - Carried(*many, 0.0).coefficients).sum() < min(far, 0.05)


def test_never_more_than_was_held_out_supports() -> None:
    """Ten believed as much, all right, support .955 and no more."""
    one = Carried([4.0] * 10, [True] * 10, 0.0)
    assert one.probability(6.0) == pytest.approx(10.5 / 11)
