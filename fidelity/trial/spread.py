"""How much his rate of error differs from text to text and from page to page, as far as can be known.

Arrives: errors and chances of each page of each survivor. Leaves: a ``Belief`` about the rate of a
further text, from which numbers of errors are drawn. Start reading at ``Evidence``.

The model. The errors of a page are beta-binomial; the pages of a text share a mean rate, around which
page rates vary with the variance ``page_spread`` in the log-odds; the log-odds of texts vary normally
around those of the copyist. Nothing is taken for known: rate and both spreads have a posterior on a
grid (rate: Jeffreys' prior), so that few errors, few pages and few texts each widen the forecast.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# Standard deviations, in log-odds; 0.35: half of the pages (or texts) have twice the rate of the others.
PAGE_SPREADS = np.array([0.0, 0.15, 0.3, 0.45, 0.6, 0.8, 1.1])
TEXT_SPREADS = np.array([0.0, 0.2, 0.35, 0.5, 0.75, 1.0])
# Before looking, pages differ like a half-normal of 0.5 (a factor of about two and a half at one s.d.).
PAGE_PRIOR = np.exp(-((PAGE_SPREADS / 0.5) ** 2) / 2)
# Before looking, texts are mostly alike. Measured on 200 simulated copyists each (tests/benchmarks/
# simulated_copyists.py): so weighted, 80 % forecasts held in about 84 % (81-87 by runs) where texts differed
# only by their pages; where they differed (s.d. 0.2-0.35), in 67-74 % with three to six survivors and 77 %
# with eight.
TEXT_PRIOR = np.array([0.82, 0.04, 0.05, 0.04, 0.03, 0.02])
NODES = 25  # places at which the likelihood of a text is worked out; between them a spline
REACH = 9.0  # standard errors, on either side, that these places cover
WIDE, WIDEST = 5.0, 10.0  # log-odds on either side of the mean: five times the greatest text spread; at most
FINEST, COARSEST = 0.02, 0.05  # step of the grid of log-odds
NOTHING = 1e-300  # stands for a probability that is too small to be told
DRAWS = 4_000  # of a forecast; its limits are then sure to half a percentage point of their coverage


class Pages(NamedTuple):
    """Errors and chances of the pages of one text."""

    errors: Floats
    chances: Floats


def log_likelihood(pages: Pages, mean: Floats, page_spread: float) -> Floats:
    """Give the beta-binomial log-likelihood of the pages of a text.

    log of the product of C(n, x) B(x + a, n - x + b) / B(a, b), with a = mean x M, b = (1 - mean) x M and
    1 / (M + 1) = spread x mean x (1 - mean), so that the log-odds of page rates have about that variance
    (Skellam 1948, JRSS B 10:257-261, from memory). Without spread it is the binomial one.

    Args:
        pages: errors and chances.
        mean: the mean rates to be tried, 0-1.
        page_spread: variance of the log-odds from page to page, 0 or more.

    >>> one_of_two = Pages(np.array([1.0]), np.array([2.0]))
    >>> log_likelihood(one_of_two, np.array([0.5]), 0.0).round(4)  # log of 2 x 1/2 x 1/2
    array([-0.6931])
    """
    from scipy.special import betaln, gammaln, xlog1py, xlogy  # slow to import, and seldom needed

    x, n = pages
    many = mean[:, None]
    ways = gammaln(n + 1) - gammaln(x + 1) - gammaln(n - x + 1)
    if page_spread <= 0:
        terms = xlogy(x, many) + xlog1py(n - x, -many)
    else:
        size = 1 / (page_spread * many * (1 - many)) - 1
        a, b = many * size, (1 - many) * size
        terms = betaln(x + a, n - x + b) - betaln(a, b)
    return np.asarray((ways + terms).sum(axis=1))


@dataclass(frozen=True)
class Belief:
    """What is believed of the rate of a further text.

    Attributes:
        log_odds: the grid of rates.
        weights: page spread x rate -> posterior probability.
        spreads: the page spreads (standard deviations) of the first axis.
    """

    log_odds: Floats
    weights: Floats
    spreads: Floats

    @property
    def rate(self) -> float:
        """The mean rate of a further text, 0-1."""
        return float(self.weights.sum(axis=0) @ _share(self.log_odds))

    def draw(self, chances: Sequence[float] | Floats, rng: np.random.Generator) -> NDArray[np.int64]:
        """Draw the number of errors in a further text so many times.

        The pages of the text are summed up: their mean rate has a beta distribution of the same mean and
        variance as the mean of so many beta-distributed page rates (exact in both moments).

        Args:
            chances: page by page.
            rng: random numbers.
        """
        each = np.asarray(chances, dtype=np.float64)
        total = each.sum()
        if not total:
            return np.zeros(DRAWS, dtype=np.int64)
        place = rng.choice(self.weights.size, DRAWS, p=self.weights.ravel())
        spread, at = np.unravel_index(place, self.weights.shape)
        step = float(self.log_odds[1] - self.log_odds[0])
        mean = _share(self.log_odds[at] + rng.uniform(-step / 2, step / 2, DRAWS))
        shrunk = self.spreads[spread] ** 2 * (each**2).sum() / total**2
        size = 1 / np.maximum(shrunk * mean * (1 - mean), 1e-12) - 1
        rate = np.where(shrunk > 0, rng.beta(mean * size, (1 - mean) * size), mean)
        return rng.binomial(int(total), rate)


def _share(log_odds: Floats) -> Floats:
    """Give the shares, 0-1, that have these log-odds."""
    return np.asarray(1 / (1 + np.exp(-log_odds)))


def _grid(errors: float) -> Floats:
    """Give the places to try on either side of the mean log-odds; few errors leave them wide open."""
    reach = min(WIDE + REACH / np.sqrt(errors + 0.5), WIDEST)
    step = float(np.clip(0.4 / np.sqrt(errors + 1), FINEST, COARSEST))
    number = 2 ** round(np.log2(2 * reach / step))  # a power of two: the fastest for the Fourier transform
    return np.linspace(-reach, reach, number)


class Evidence:
    """What each text tells of the rate of a further one: worked out once, whichever text is left out."""

    def __init__(
        self,
        texts: Sequence[Pages],
        page_spreads: Floats = PAGE_SPREADS,
        page_prior: Floats = PAGE_PRIOR,
        text_spreads: Floats = TEXT_SPREADS,
        text_prior: Floats = TEXT_PRIOR,
    ) -> None:
        """Work out the likelihoods.

        Args:
            texts: errors and chances of the pages of each text.
            page_spreads, text_spreads: standard deviations, in log-odds, that pages and texts may have.
            page_prior, text_prior: how likely each of these is before looking.
        """
        self.spreads, self.text_spreads = page_spreads, text_spreads
        errors = sum(float(pages.errors.sum()) for pages in texts)
        chances = sum(float(pages.chances.sum()) for pages in texts)
        self.log_odds = log((errors + 0.5) / (chances - errors + 0.5)) + _grid(errors)
        self.prior = np.log(np.outer(text_prior, page_prior))[:, :, None]
        rate = _share(self.log_odds)
        self.prior = self.prior + np.log(rate * (1 - rate)) / 2  # Jeffreys' prior of a rate, in log-odds
        self.of_texts = [self._blurred_log(self._of_text(pages)) for pages in texts]
        self.of_all = sum(self.of_texts, start=self.prior)

    def belief(self, left_out: int | None = None) -> Belief:
        """Give what all texts, or all but one, tell of a further one."""
        logs = self.of_all if left_out is None else self.of_all - self.of_texts[left_out]
        weights = self._blurred(np.exp(logs - logs.max())).sum(axis=0)
        return Belief(self.log_odds, weights / weights.sum(), self.spreads)

    def _of_text(self, pages: Pages) -> Floats:
        """Give the log-likelihood of a text: page spread x rate."""
        x, n = float(pages.errors.sum()), float(pages.chances.sum())
        own = log((x + 0.5) / (n - x + 0.5))
        error = 1 / np.sqrt(x + 0.5) + 0.5 / np.sqrt(len(pages.errors))
        nodes = own + np.linspace(-REACH, REACH, NODES) * error
        nodes = np.unique(np.clip(nodes, self.log_odds[0], self.log_odds[-1]))
        inside = np.clip(self.log_odds, nodes[0], nodes[-1])
        from scipy.interpolate import CubicSpline  # slow to import, and seldom needed

        found = []
        for spread in self.spreads:
            curve = CubicSpline(nodes, log_likelihood(pages, _share(nodes), float(spread) ** 2))
            slopes = np.where(self.log_odds < inside, curve(nodes[0], 1), curve(nodes[-1], 1))
            found.append(curve(inside) + (self.log_odds - inside) * slopes)
        return np.array(found)

    def _blurred_log(self, own: Floats) -> Floats:
        """Give the log-likelihood of the copyist's rate: text spread x page spread x rate."""
        top = own.max()
        values = np.broadcast_to(np.exp(own - top), (len(self.text_spreads), *own.shape))
        return np.asarray(np.log(np.maximum(self._blurred(values), NOTHING)) + top)

    def _blurred(self, values: Floats) -> Floats:
        """Spread the rates as texts spread: a normal distribution of each of the text spreads."""
        size = 2 * values.shape[-1]  # so much room that nothing comes round from the other end
        wave = np.fft.rfftfreq(size, d=float(self.log_odds[1] - self.log_odds[0]))
        damped = np.exp(-2 * (np.pi * wave * self.text_spreads[:, None, None]) ** 2)
        found = np.fft.irfft(np.fft.rfft(values, size) * damped, size)[..., : values.shape[-1]]
        return np.where(self.text_spreads[:, None, None] > 0, np.maximum(found, 0.0), values)
