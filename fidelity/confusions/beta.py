"""The beta distribution and its kin: tails and quantiles for intervals and exact tests.

Arrives: parameters and probabilities. Leaves: probabilities and quantiles, to about twelve digits.
Start reading at ``beta_tail``.

A library has these functions too; but it takes a third of a second to import, longer than two
texts of ten thousand letters take to compare. The tests hold these against it.
"""

from __future__ import annotations

from functools import lru_cache
from math import erfc, exp, inf, lgamma, log, log1p, pi, sqrt

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

MOST_TERMS = 400  # of the continued fraction; 20 to 60 are enough for counts below some 100,000
ENOUGH = 1e-15  # relative change of the fraction at which it has settled
TINY = 1e-300  # stands for 0 where one divides
SETTLED = 1e-7  # step of a quantile after which the next would be lost in the digits: Newton's squares it
STEPS_UP = 8  # from where Stirling's series is cut off beyond the twelfth digit
STIRLING = (1 / 12, -1 / 360, 1 / 1260, -1 / 1680, 1 / 1188, -691 / 360360)  # DLMF 5.11.1 with 24.2(iv)
STEPS_TOGETHER = 12  # of many quantiles side by side; four or five are enough for nearly all
MOST_STEPS = 200  # of a quantile; halving alone would take about fifty


def beta_tail(a: float, b: float, x: float) -> float:
    """Give I_x(a, b), the share of the beta distribution with parameters a and b below x.

    The continued fraction 8.17.22 of the NIST Digital Library of Mathematical Functions, summed
    up from the front as Lentz (Applied Optics 15, 1976, 668-671; from memory) does.

    Args:
        a, b: parameters, above 0.
        x: 0-1.

    >>> round(beta_tail(2, 3, 0.5), 4)
    0.6875
    """
    if x <= 0 or x >= 1:
        return float(x >= 1)
    if x > (a + 1) / (a + b + 2):
        return 1 - beta_tail(b, a, 1 - x)
    front = exp(lgamma(a + b) - lgamma(a) - lgamma(b) + a * log(x) + b * log1p(-x)) / a
    return front * _fraction(a, b, x)


def _fraction(a: float, b: float, x: float) -> float:
    """Sum up the continued fraction of the incomplete beta function."""
    above, below = 1.0, 1 - (a + b) * x / (a + 1)
    below = 1 / (below or TINY)
    value = below
    for m in range(1, MOST_TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            below = 1 / ((1 + term * below) or TINY)
            above = (1 + term / above) or TINY
            change = above * below
            value *= change
        if abs(change - 1) < ENOUGH:
            break
    return value


def beta_tails(a: Floats, b: Floats, x: Floats) -> Floats:
    """Give ``beta_tail`` for arrays of one shape."""
    swapped = x > (a + 1) / (a + b + 2)
    first, second = np.where(swapped, b, a), np.where(swapped, a, b)
    at = np.clip(np.where(swapped, 1 - x, x), 5e-324, 1 - 1e-16)
    logs = [
        np.array([lgamma(each) for each in values.tolist()]) for values in (first + second, first, second)
    ]
    front = np.exp(logs[0] - logs[1] - logs[2] + first * np.log(at) + second * np.log1p(-at)) / first
    value = _fractions(first, second, at)
    share = np.where(swapped, 1 - front * value, front * value)
    return np.where(x <= 0, 0.0, np.where(x >= 1, 1.0, share))


def _fractions(a: Floats, b: Floats, x: Floats) -> Floats:
    """Give ``_fraction`` for arrays of one shape; what has settled is put by now and then."""
    found, left = np.empty_like(x), np.arange(len(x))
    below = 1 / (1 - (a + b) * x / (a + 1))
    above, value, settled = np.ones_like(x), below.copy(), np.zeros(len(x), dtype=np.bool_)
    for m in range(1, MOST_TERMS):
        for term in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            below = 1 / _not_zero(1 + term * below)
            above = _not_zero(1 + term / above)
            value = value * above * below
        settled |= np.abs(above * below - 1) < ENOUGH
        if 2 * np.count_nonzero(settled) >= len(settled):
            found[left], still = value, ~settled
            if not still.any():
                break
            left, settled = left[still], settled[still]
            a, b, x, above, below, value = (each[still] for each in (a, b, x, above, below, value))
    found[left] = value
    return found


def _not_zero(values: Floats) -> Floats:
    return np.where(values == 0, TINY, values)


def log_gamma(values: Floats) -> Floats:
    """Give the logarithm of the gamma function of each value, all above 0.

    Stirling's series, 5.11.1 of the NIST Digital Library of Mathematical Functions, after eight steps
    upward by 5.5.1; to about twelve digits.

    >>> [round(float(each), 6) for each in log_gamma(np.array([0.5, 1.0, 11.0]))]
    [0.572365, 0.0, 15.104413]
    """
    product, at = values.copy(), values
    for _ in range(STEPS_UP - 1):
        at = at + 1
        product *= at
    at = at + 1
    square = 1 / (at * at)
    series = STIRLING[-1] * square
    for factor in STIRLING[-2:0:-1]:
        series = (series + factor) * square
    series = (series + STIRLING[0]) / at
    return np.asarray((at - 0.5) * np.log(at) - at + log(2 * pi) / 2 + series - np.log(product))


@lru_cache(maxsize=1024)  # scores and patterns ask for the same limits again
def beta_quantile(a: float, b: float, share: float) -> float:
    """Give the x below which a share of the beta distribution lies: the inverse of ``beta_tail``.

    Newton's steps for the logarithm of the smaller tail, on the log-odds of x; they are kept between
    limits that are halved where a step leaves them. The first x is that of a normal distribution of
    the log-odds.

    >>> round(beta_quantile(438, 544, 0.025), 4)  # Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 2
    0.4151
    """
    if share <= 0 or share >= 1:
        return float(share >= 1)
    above = share > 0.5
    wanted = 1 - share if above else share
    low, high = 0.0, 1.0
    x = _logistic(log(a / b) + normal_quantile(share) * sqrt(1 / a + 1 / b))
    scale = lgamma(a + b) - lgamma(a) - lgamma(b)
    for _ in range(MOST_STEPS):
        tail = beta_tail(b, a, 1 - x) if above else beta_tail(a, b, x)
        low, high = (low, x) if (tail > wanted) != above else (x, high)
        slope = scale + a * log(x) + b * log1p(-x)  # of the tail by the log-odds of x, its logarithm
        new = -1.0
        if tail > 0 and slope > -700:
            step = log(tail / wanted) * tail / exp(slope)
            if abs(step) < 50:
                odds = x / (1 - x) * exp(step if above else -step)
                new = odds / (1 + odds)
                if abs(step) <= SETTLED:
                    return new
        if not low < new < high:
            new = (low + high) / 2 if low > 0 else high * 1e-3 if high > TINY else high / 2
        if new in (low, high):
            return new
        x = new
    return x


def beta_quantiles(a: Floats, b: Floats, share: float) -> Floats:
    """Give ``beta_quantile`` for arrays of one shape, and one share above 0 and below 1.

    All take Newton's steps side by side, without limits; the few that do not settle so are found by
    themselves.
    """
    above = share > 0.5
    wanted, z = 1 - share if above else share, normal_quantile(share)
    found = np.array(list(map(_logistic, (np.log(a / b) + z * np.sqrt(1 / a + 1 / b)).tolist())))
    scale = np.array(
        [lgamma(m + n) - lgamma(m) - lgamma(n) for m, n in zip(a.tolist(), b.tolist(), strict=True)]
    )
    left, settled = np.arange(len(a)), np.zeros(len(a), dtype=np.bool_)
    for _ in range(STEPS_TOGETHER):
        x, first, second = found[left], a[left], b[left]
        tail = beta_tails(second, first, 1 - x) if above else beta_tails(first, second, x)
        with np.errstate(all="ignore"):  # what is divided by nothing leaves the way, and is found by itself
            slope = np.exp(scale[left] + first * np.log(x) + second * np.log1p(-x))
            step = np.log(tail / wanted) * tail / slope
            odds = x / (1 - x) * np.exp(step if above else -step)
            found[left] = odds / (1 + odds)
        settled[left[np.abs(step) <= SETTLED]] = True
        left = left[(np.abs(step) > SETTLED) & (found[left] > TINY) & (found[left] < 1)]
        if not len(left):
            break
    for at in np.flatnonzero(~settled).tolist():
        found[at] = beta_quantile(float(a[at]), float(b[at]), share)
    return found


def _logistic(odds: float) -> float:
    """Give the share for its log-odds, off the very ends."""
    return min(max(1 / (1 + exp(-max(odds, -600))), TINY), 1 - 1e-16)


def normal_quantile(share: float) -> float:
    """Give the z below which a share of the normal distribution lies.

    >>> round(normal_quantile(0.975), 6)
    1.959964
    """
    if not 0 < share < 1:
        return inf if share >= 1 else -inf
    if share < 0.5:
        return -normal_quantile(1 - share)
    tail, z = 1 - share, 0.0
    for _ in range(MOST_STEPS):  # from the middle outwards Newton's steps never overshoot
        step = (erfc(z / sqrt(2)) / 2 - tail) * sqrt(2 * pi) * exp(z * z / 2)
        z += step
        if abs(step) <= SETTLED:
            break
    return z


def student_quantile(freedom: float, share: float) -> float:
    """Give the t below which a share of Student's distribution lies.

    >>> round(student_quantile(2, 0.975), 3), round(student_quantile(1e9, 0.975), 4)
    (4.303, 1.96)
    """
    if share < 0.5:
        return -student_quantile(freedom, 1 - share)
    if share == 0.5:
        return 0.0
    # t^2 / (freedom + t^2) has the beta distribution with parameters 1/2 and freedom/2
    x = beta_quantile(0.5, freedom / 2, 2 * share - 1)
    return sqrt(freedom * x / (1 - x))
