"""Turn what the model believes into a probability that the survivors bear out.

Arrives: candidates whose truth is known (survivors held out). Leaves: a ``Calibrator`` for those
whose truth is lost. Start reading at ``Calibrator``.

Logistic regression on a few features, drawn towards taking the model's own odds as they are (a
normal prior around that guess, so that few survivors change little), fitted by Newton's method
(iteratively reweighted least squares: McCullagh & Nelder 1989, sec. 2.5). What is said never
goes beyond what the number of held-out successes can support.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

PRIOR_PRECISION = 2.0  # in units of standardised features: a few dozen candidates outweigh it
ABOUT = 0.1  # held-out candidates believed about as much, or more, support a probability
FAR = 8.0  # standard deviations beyond which a feature is not followed
BENT = 2.5  # standard deviations beyond which an effect is taken to be straight again
NEWTON_STEPS = 50  # a bound; convergence takes about eight
HALF_BELIEVED = 0.5  # the model's own log odds count so much where nothing at all was held out


class Calibrator:
    """P(right | features), learned on held-out survivors.

    Args:
        features: one row for each candidate; the first column is the model's own log odds.
        right: for each whether it was right.
        guess: column -> what it is guessed to add to the log odds per unit, before looking; the
            model's own log odds alone, at face value, if None.
        weights: how much each candidate counts; all 1 if None.
        squares: whether the squares of the columns are features too; few effects are straight.
    """

    def __init__(
        self,
        features: Sequence[Sequence[float]] | np.ndarray,
        right: Sequence[bool] | np.ndarray,
        guess: Mapping[int, float] | None = None,
        weights: Sequence[float] | np.ndarray | None = None,
        squares: bool = True,
    ) -> None:
        self.seen = len(right)
        self.squares = squares
        self.width = len(features[0]) if self.seen else 0
        if not self.seen:
            return
        x = np.asarray(features, dtype=float)
        y = np.asarray(right, dtype=float)
        self.centre = x.mean(axis=0)
        self.scale = np.where(x.std(axis=0) > 1e-9, x.std(axis=0), 1.0)
        design = self._design(x)
        start = np.zeros(design.shape[1])
        for column, slope in (guess if guess is not None else {0: 1.0}).items():
            start[0] += slope * self.centre[column]  # the features are standardised, the guess is not
            start[1 + column % self.width] += slope * self.scale[column]
        w = np.ones(len(y)) if weights is None else np.asarray(weights, dtype=float)
        self.coefficients = _fit(design, y, start, w)
        self.believed = np.sort(self._raw(x))

    def _design(self, x: np.ndarray) -> np.ndarray:
        """Standardise the features, add a constant and their squares."""
        z = np.clip((x - self.centre) / self.scale, -FAR, FAR)
        constant = np.ones(len(z))
        if not self.squares:
            return np.column_stack([constant, z])
        return np.column_stack([constant, z, np.clip(z, -BENT, BENT) ** 2])

    def _raw(self, x: np.ndarray) -> np.ndarray:
        return np.asarray(1 / (1 + np.exp(-(self._design(x) @ self.coefficients))))

    def probability(self, features: Sequence[float]) -> float:
        """Give the calibrated probability of one candidate, 0-1.

        With no held-out candidate to learn from, the first column's odds are taken half.
        """
        return float(self.probabilities(np.asarray([features], dtype=float))[0])

    def probabilities(self, features: np.ndarray) -> np.ndarray:
        """Give the calibrated probabilities of several candidates, one row of features each."""
        if not self.seen:
            return np.asarray(1 / (1 + np.exp(-HALF_BELIEVED * features[:, 0])))
        raw = self._raw(features)
        as_much = len(self.believed) - np.searchsorted(self.believed, raw - ABOUT)
        return np.minimum(raw, (as_much + 0.5) / (as_much + 1))


def most_that_can_be_said(among: int) -> float:
    """Give the highest probability that so many held-out candidates can support.

    The posterior mean of a proportion after ``among`` of ``among`` right, with Jeffreys' prior:
    (n + 1/2) / (n + 1). Ten successes support 0.95 and no more; failures are the regression's
    business.
    """
    return (among + 0.5) / (among + 1)


def _fit(design: np.ndarray, y: np.ndarray, guess: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """Fit the coefficients by Newton's method, drawn towards the guess."""
    beta = guess.copy()
    precision = np.full(len(beta), PRIOR_PRECISION)
    precision[0] = PRIOR_PRECISION / 10  # the constant is left freer: base rates differ
    for _ in range(NEWTON_STEPS):
        p = 1 / (1 + np.exp(-np.clip(design @ beta, -30, 30)))
        gradient = design.T @ (weights * (y - p)) - precision * (beta - guess)
        curvature = (design * (weights * p * (1 - p))[:, None]).T @ design + np.diag(precision)
        step = np.linalg.solve(curvature, gradient)
        size = float(np.abs(step).max())
        beta = beta + step * min(1.0, 2.0 / size if size else 1.0)
        if size < 1e-8:
            break
    return beta
