"""Turn what the model believes into a probability that the survivors bear out.

Arrives: candidates whose truth is known (survivors held out), and what other copyists taught. Leaves: a
``Calibrator`` for those whose truth is lost. Start reading at ``Calibrator``.

Two logistic regressions on the same features, fitted by Newton's method (iteratively reweighted least
squares: McCullagh & Nelder 1989, sec. 2.5), both with a normal prior. One is drawn towards taking the
model's own odds as they are; the other towards what held-out candidates of other copyists taught
(``experience.py``). The mean of their log odds is taken: the more was held out of this copyist, the more
the first counts. What is said never goes beyond what the number of held-out successes can support.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

PRIOR_PRECISION = 2.0  # in units of standardised features: a few dozen candidates outweigh it
BEND_PRECISION = 200.0  # of the squares; held more loosely they took from what is sure in a real copy
# How firmly experience is held to, in the same units, and how many candidates outweigh it. Measured on eight
# simulated copyists and the learning halves of two real copies, whole and in parts: without experience 282 of
# 1,000 wrong words were restored at 0.9 of the former, with it 370; from a twentieth to a quarter of the
# latter .87 of the proposals at 0.9 were right without, .93 with it; the whole halves came out alike.
EXPERIENCE_PRECISION = 20.0
ENOUGH = 1000.0
FREER = 10  # the constant is held so many times less firmly: base rates differ
ABOUT = 0.1  # held-out candidates believed about as much, or more, support a probability
FAR = 8.0  # standard deviations beyond which a feature is not followed
BENT = 2.5  # standard deviations beyond which an effect is taken to be straight again
NEWTON_STEPS = 50  # a bound; convergence takes about eight
HALF_BELIEVED = 0.5  # log odds count so much where nothing at all was held out


@dataclass(frozen=True)
class Experience:
    """What held-out candidates of other copyists taught.

    Attributes:
        constant: log odds where every feature has its centre.
        centres, scales: mean and standard deviation of each feature.
        slopes, bends: what each adds to the log odds per standard deviation, and per its square.
    """

    constant: float
    centres: tuple[float, ...]
    scales: tuple[float, ...]
    slopes: tuple[float, ...]
    bends: tuple[float, ...]


@dataclass(frozen=True)
class Fit:
    """One regression: how features are standardised, and its coefficients."""

    centres: Floats
    scales: Floats
    coefficients: Floats

    def log_odds(self, features: Floats) -> Floats:
        """Give the log odds of several candidates, one row of features each."""
        return np.asarray(design(features, self.centres, self.scales) @ self.coefficients)


def design(features: Floats, centres: Floats, scales: Floats) -> Floats:
    """Standardise the features, a constant before them and their squares after: few effects are straight."""
    z = np.clip((features - centres) / scales, -FAR, FAR)
    return np.column_stack([np.ones(len(z)), z, np.clip(z, -BENT, BENT) ** 2])


class Calibrator:
    """P(right | features), learned on held-out survivors.

    Args:
        features: one row for each candidate; the first column is the model's own log odds.
        right: for each whether it was right.
        guess: column -> what it is guessed to add to the log odds per unit, before looking; the
            model's own log odds alone, at face value, if None.
        weights: how much each candidate counts; all 1 if None.
        experience: what other copyists taught of the same features; nothing if None.

    Attributes:
        seen: how many candidates were held out.
        fits: the regressions, and the share of each in the log odds.
        believed: what is said of each of these candidates, ascending, 0-1.
    """

    def __init__(
        self,
        features: Sequence[Sequence[float]] | Floats,
        right: Sequence[bool] | NDArray[np.bool_],
        guess: Mapping[int, float] | None = None,
        weights: Sequence[float] | Floats | None = None,
        experience: Experience | None = None,
    ) -> None:
        self.seen = len(right)
        self.fits: list[tuple[float, Fit]] = []
        y = np.asarray(right, dtype=float)
        w = np.ones(len(y)) if weights is None else np.asarray(weights, dtype=float)
        x = np.asarray(features, dtype=float)
        own = float(w.sum() / (w.sum() + ENOUGH)) if experience else 1.0
        if self.seen:
            self.fits.append((own, _own_fit(x, y, {0: 1.0} if guess is None else guess, w)))
        if experience:
            self.fits.append((1.0 - own, _drawn_fit(x, y, experience, w)))
        self.believed = np.sort(self._raw(x)) if self.seen else np.zeros(0)

    def _raw(self, x: Floats) -> Floats:
        odds = sum((share * fit.log_odds(x) for share, fit in self.fits), start=np.zeros(len(x)))
        return np.asarray(1 / (1 + np.exp(-odds)))

    def probability(self, features: Sequence[float]) -> float:
        """Give the calibrated probability of one candidate, 0-1; see ``probabilities``."""
        return float(self.probabilities(np.asarray([features], dtype=float))[0])

    def probabilities(self, features: Floats) -> Floats:
        """Give the calibrated probabilities of several candidates, one row of features each.

        With no held-out candidate to learn from, the odds are taken half: those that experience gives, or
        those of the first column.
        """
        if not self.seen:
            odds = self.fits[0][1].log_odds(features) if self.fits else features[:, 0]
            return np.asarray(1 / (1 + np.exp(-HALF_BELIEVED * odds)))
        return no_more_than_supported(self._raw(features), self.believed)


def no_more_than_supported(said: Floats, believed: Floats) -> Floats:
    """Hold probabilities to what so many candidates, believed about as much or more, can support.

    Args:
        said: probabilities, 0-1.
        believed: what is said of the held-out candidates, ascending, 0-1.
    """
    as_much = len(believed) - np.searchsorted(believed, said - ABOUT)
    return np.minimum(said, most_that_can_be_said(as_much))


def most_that_can_be_said(among: NDArray[np.int64]) -> Floats:
    """Give the highest probability that so many held-out candidates can support.

    The posterior mean of a proportion after ``among`` of ``among`` right, with Jeffreys' prior:
    (n + 1/2) / (n + 1). Ten successes support 0.95 and no more; failures are the regression's
    business.
    """
    return np.asarray((among + 0.5) / (among + 1))


def _own_fit(x: Floats, y: Floats, guess: Mapping[int, float], weights: Floats) -> Fit:
    """Fit what this copyist's candidates say, on their own scale."""
    centres = x.mean(axis=0)
    scales = np.where(x.std(axis=0) > 1e-9, x.std(axis=0), 1.0)
    width = x.shape[1]
    start = np.zeros(1 + 2 * width)
    for column, slope in guess.items():
        start[0] += slope * centres[column]  # the features are standardised, the guess is not
        start[1 + column % width] += slope * scales[column]
    table = design(x, centres, scales)
    firmness = np.full(len(start), PRIOR_PRECISION)
    firmness[0] /= FREER
    firmness[1 + width :] = BEND_PRECISION
    return Fit(centres, scales, fitted(table, y, start, weights, firmness))


def _drawn_fit(x: Floats, y: Floats, experience: Experience, weights: Floats) -> Fit:
    """Fit the same, drawn towards what other copyists taught, on the scale of these."""
    centres, scales = np.array(experience.centres), np.array(experience.scales)
    start = np.array([experience.constant, *experience.slopes, *experience.bends])
    if not len(y):
        return Fit(centres, scales, start)
    table = design(x, centres, scales)
    firmness = np.full(len(start), EXPERIENCE_PRECISION)
    firmness[0] /= FREER
    return Fit(centres, scales, fitted(table, y, start, weights, firmness))


def fitted(table: Floats, y: Floats, guess: Floats, weights: Floats, firmness: Floats) -> Floats:
    """Fit the coefficients of a logistic regression by Newton's method, drawn towards a guess.

    Args:
        table: a row for each candidate, a column for each coefficient.
        y: for each candidate 1 where it was right, else 0.
        guess: of the coefficients; the mean of their normal prior.
        weights: how much each candidate counts.
        firmness: precision of the prior, for each coefficient.
    """
    beta = guess.copy()
    for _ in range(NEWTON_STEPS):
        p = 1 / (1 + np.exp(-np.clip(table @ beta, -30, 30)))
        gradient = table.T @ (weights * (y - p)) - firmness * (beta - guess)
        curvature = (table * (weights * p * (1 - p))[:, None]).T @ table + np.diag(firmness)
        step = np.linalg.solve(curvature, gradient)
        size = float(np.abs(step).max())
        beta = beta + step * min(1.0, 2.0 / size if size else 1.0)
        if size < 1e-8:
            break
    return beta
