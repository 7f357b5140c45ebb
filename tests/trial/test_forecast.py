"""The forecast: published figures, simulated copyists, and what must always hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, binom

from fidelity.confusions.scores import Tally
from fidelity.settings import Settings
from fidelity.terms import Phenomenon, Variant, Witness
from fidelity.terms.witness import Locus
from fidelity.trial.forecast import FACTORS, LEAST_PAGES, Outlook, binomial_limits, forecast
from fidelity.trial.spread import Evidence, Pages, log_likelihood
from fidelity.variants.chances import chances_in_copies
from fidelity.witnesses.folds import NO_FOLDS
from tests.benchmarks.simulated_copyists import coverage, page_tallies

# Geissler 1889, boys among the first 12 of 6,115 Saxon families (after Lindsey & Altham 1998 and others).
FAMILIES = [3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7]
GEISSLER = Pages(np.repeat(np.arange(13.0), FAMILIES), np.full(sum(FAMILIES), 12.0))


def spread_of(alpha: float, beta: float) -> float:
    """Give the page spread that belongs to a beta distribution."""
    mean = alpha / (alpha + beta)
    return 1 / ((alpha + beta + 1) * mean * (1 - mean))


def test_geissler() -> None:
    """Beta-binomial log L -12492.87 (AIC 24989.74) and binomial AIC 25070.34, as published.

    The published optimum is alpha 34.096, beta 31.572; the surface is flat, so that log L and AIC are
    compared and not the parameters to the last digit.
    """
    mean = 34.09558 / (34.09558 + 31.5715)
    published = log_likelihood(GEISSLER, np.array([mean]), spread_of(34.09558, 31.5715))[0]
    assert published == pytest.approx(-12492.87, abs=0.01)
    assert 2 * 2 - 2 * published == pytest.approx(24989.74, abs=0.01)
    around = [
        log_likelihood(GEISSLER, np.array([mean * (1 + shift)]), spread_of(34.09558, 31.5715) * factor)[0]
        for shift in (-0.02, 0, 0.02)
        for factor in (0.7, 1, 1.3)
    ]
    assert max(around) == published  # it is the optimum
    assert 2 - 2 * log_likelihood(GEISSLER, np.array([0.519215]), 0.0)[0] == pytest.approx(25070.34, abs=0.01)


def test_geissler_by_moments() -> None:
    """Moments 6.23 and 42.31 give alpha 34.135 and beta 31.609, whose log L is next to the best."""
    x = GEISSLER.errors
    assert (x.mean(), (x**2).mean()) == (pytest.approx(6.23, abs=0.005), pytest.approx(42.31, abs=0.005))
    near = log_likelihood(GEISSLER, np.array([34.135 / 65.7435]), spread_of(34.135, 31.6085))
    assert near[0] == pytest.approx(-12492.87, abs=0.01)


@given(st.integers(0, 40), st.integers(1, 40), st.floats(0.02, 0.98), st.floats(0.01, 1.0))
def test_another_library_agrees(x: int, more: int, mean: float, spread: float) -> None:
    """The likelihood of a page is that of scipy's beta-binomial, and without spread its binomial."""
    pages = Pages(np.array([float(x)]), np.array([float(x + more)]))
    size = 1 / (spread * mean * (1 - mean)) - 1
    theirs = betabinom.logpmf(x, x + more, mean * size, (1 - mean) * size)
    assert log_likelihood(pages, np.array([mean]), spread)[0] == pytest.approx(theirs, rel=1e-7, abs=1e-7)
    plain = binom.logpmf(x, x + more, mean)
    assert log_likelihood(pages, np.array([mean]), 0.0)[0] == pytest.approx(plain, rel=1e-7, abs=1e-7)


def test_the_doubt_about_the_rate_is_carried_through() -> None:
    """437 girls of 980 births forecast 446 of 1,000 with a standard deviation of 22.3, not 15.7.

    Gelman et al., Bayesian Data Analysis, 3rd ed., ch. 2: Beta(438, 544); mean m a / (a + b) and variance
    m a b (m + a + b) / ((a + b)^2 (a + b + 1)) of m further births; the middle 95 % are 402 to 490.
    """
    alike = np.zeros(1), np.ones(1)
    evidence = Evidence([Pages(np.array([437.0]), np.array([980.0]))], *alike, *alike)
    draws = evidence.belief().draw([1000.0], np.random.default_rng(1))
    assert draws.mean() == pytest.approx(446.0, abs=1.5)
    assert draws.std() == pytest.approx(22.3, abs=0.8)
    assert np.quantile(draws, [0.025, 0.975]) == pytest.approx([402, 490], abs=3)


def test_drawn_pages_have_the_spread_they_should() -> None:
    """Twenty pages of known rate and spread: mean and variance are those of twenty beta-binomials."""
    mean, spread, pages = 0.01, 0.35, 20
    known = Pages(np.full(4_000, 250.0), np.full(4_000, 25_000.0))
    evidence = Evidence([known], np.array([spread]), np.ones(1), np.zeros(1), np.ones(1))
    draws = evidence.belief().draw(np.full(pages, 1000.0), np.random.default_rng(2))
    size = 1 / (spread**2 * mean * (1 - mean)) - 1
    one = betabinom(1000, mean * size, (1 - mean) * size)
    assert draws.mean() == pytest.approx(pages * one.mean(), rel=0.02)
    assert draws.std() == pytest.approx((pages * one.var()) ** 0.5, rel=0.05)


@pytest.mark.parametrize(("chances", "rate"), [(1000, 0.01), (50, 0.3), (7, 0.9), (20_000, 0.0004)])
def test_binomial_limits(chances: int, rate: float) -> None:
    """The plain limits are the binomial quantiles of scipy; at a rate of 0 or 1 there is no doubt left."""
    limits = binomial_limits(chances, rate)
    wanted = [int(binom.ppf(tail, chances, rate)) for tail in (0.1, 0.9, 0.025, 0.975)]
    assert [limits.low80, limits.high80, limits.low95, limits.high95] == wanted
    assert binomial_limits(chances, 0.0).high95 == 0
    assert binomial_limits(chances, 1.0).low95 == chances


@pytest.mark.parametrize("survivors", [3, 6])
def test_coverage(survivors: int) -> None:
    """Of 40 copyists whose pages differ by a factor of 2-3, 80 % forecasts hold in 28-37 (70-93 %).

    The 95 % intervals of the rate hold in 36 at least; the plain binomial forecast in far fewer.
    ``tests/benchmarks/simulated_copyists.py`` gives the same figures from 200 copyists.
    """
    found = coverage(40, survivors, 0.0)
    assert 0.7 <= found["held80"] <= 0.93
    assert found["held95"] >= 0.9
    assert found["rate95"] >= 0.9
    assert found["binomial80"] <= 0.65


def outlook(texts: int, seed: int = 1, lost: dict[str, Witness] | None = None) -> Outlook:
    """Forecast from simulated survivors."""
    tallies, _ = page_tallies(np.random.default_rng(seed), texts, 0.0)
    return forecast(tallies, (), lost if lost is not None else {"X": lost_copy()}, NO_FOLDS, Settings())


def lost_copy(pages: int = 10) -> Witness:
    """Give the copy of a lost text of so many pages."""
    line = "on þære ealdan stræte"
    labels = tuple(f"{page + 1}:1" for page in range(pages))
    length = len(line) + 1
    return Witness(
        "X",
        (line + " ") * (pages - 1) + line,
        tuple(page * length for page in range(pages)),
        labels,
        tuple(str(page + 1) for page in range(pages)),
        ("",) * pages,
    )


def test_limits_are_wider_than_binomial() -> None:
    """The limits lie around those of the plain binomial, and the 95 % around those of 80 %."""
    for one in outlook(4).checks:
        assert one.limits is not None
        assert one.limits.low95 <= one.limits.low80 <= one.expected <= one.limits.high80 <= one.limits.high95
        assert one.limits.high80 - one.limits.low80 >= one.binomial.high80 - one.binomial.low80


def test_every_survivor_is_predicted_from_the_others() -> None:
    """One check for each survivor, which rests on one survivor less; with one survivor there is none."""
    checks = outlook(5).checks
    assert [one.text for one in checks] == ["0", "1", "2", "3", "4"]
    assert {one.survivors for one in checks} == {4}
    assert all(one.actual is not None for one in checks)
    assert outlook(1).checks == ()


def test_a_single_survivor_is_owned_up_to() -> None:
    """With one survivor the forecast says that it rests on its pages, and shows it under assumptions."""
    found = outlook(1)
    assert found.forecasts[0].basis.startswith("pages of one survivor only")
    assert "a single survivor" in found.notes[0]
    assert [one.assumed_factor for one in found.forecasts] == [None, *FACTORS]
    widths = [one.limits.high80 - one.limits.low80 for one in found.forecasts[1:] if one.limits]
    assert widths == sorted(widths)
    assert len(widths) == len(FACTORS)


def test_too_few_pages_have_no_limits() -> None:
    """Below six pages there are no limits, and it is said; under assumptions there are."""
    pages = {str(page): 1000 for page in range(LEAST_PAGES - 1)}
    found = forecast([Tally("A", "letters", {"0": 9}, pages)], (), {"X": lost_copy()}, NO_FOLDS, Settings())
    assert found.forecasts[0].limits is None
    assert all(one.limits for one in found.forecasts[1:])
    assert found.notes[0].startswith("no limits are forecast: the survivors have 5 pages")


def test_many_survivors_need_no_assumptions() -> None:
    """With five survivors the difference between texts is learned, and nothing is assumed or noted."""
    found = outlook(5)
    assert [one.assumed_factor for one in found.forecasts] == [None]
    assert found.notes == ()


def test_survivors_that_differ_widen_the_forecast() -> None:
    """Two texts at 0.5 and 2 % leave a third less certain than two texts at 1 %."""
    pages = [str(page) for page in range(20)]

    def width(rates: tuple[int, int]) -> int:
        tallies = [
            Tally(
                text, "letters", {text + page: rate for page in pages}, {text + page: 1000 for page in pages}
            )
            for text, rate in zip("AB", rates, strict=True)
        ]
        (one, *_) = forecast(tallies, (), {"X": lost_copy(50)}, NO_FOLDS, Settings()).forecasts
        assert one.limits is not None
        return one.limits.high80 - one.limits.low80

    assert width((5, 20)) > 2 * width((10, 10))


def test_chances_are_those_of_the_patterns() -> None:
    """A forecast counts the chances of a lost text as the patterns do."""
    copy = lost_copy()
    assert outlook(3).forecasts[0].chances == chances_in_copies([copy.letters], "letters") == 180


def test_invisible_share_is_measured_on_the_survivors() -> None:
    """Of three changed words one is a known word and one cannot be judged: half do not show."""
    one = Variant(1, "0", Locus("0", "1", 1), "s", "r", "", "", (0, 1), (0, 1), Phenomenon.SUBSTITUTION)
    variants = [
        replace(one, makes_word=known, locus=Locus("0", "1", word))
        for word, known in enumerate([True, False, None])
    ]
    tallies, _ = page_tallies(np.random.default_rng(1), 2, 0.0)
    found = forecast(tallies, variants, {"X": lost_copy()}, NO_FOLDS, Settings()).forecasts[0]
    assert (found.judged, found.words, found.invisible_share) == (2, 1, 0.5)
    assert outlook(2).forecasts[0].invisible_share is None


def test_the_same_seed_gives_the_same_forecast() -> None:
    """Two runs with the same seed are alike in every limit."""
    assert outlook(3) == outlook(3)


def test_nothing_is_forecast_for_nothing() -> None:
    """An empty copy has no chances and no errors to be expected."""
    found = outlook(3, lost={"X": Witness("X", "")}).forecasts[0]
    assert (found.chances, found.expected) == (0, 0)
    assert found.limits is not None
    assert found.limits.high95 == 0
