"""The figures of the blind test: against worked examples, reference libraries, and each other."""

from __future__ import annotations

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from sklearn.metrics import brier_score_loss

from fidelity.terms import ALL_KINDS, BrierParts, Locus, TrialReading, kinds_of
from fidelity.trial.interval import design_effect, share_interval
from fidelity.trial.measures import bands, brier, brier_parts, precisions

KINDS = ("habit", "misreading")
Said = tuple[float, bool]


def said(probability: float, right: bool, kind: str = "misreading", page: str = "E 1r") -> TrialReading:
    original = "b" if right else "a"
    place = Locus("E", "1", 1)
    return TrialReading("E", place, "a", "b", original, probability, right, False, kind, "a", page)


def added_up(parts: BrierParts) -> float:
    """Give the sum of the parts, as Stephenson, Coelho & Jolliffe 2008 have it."""
    within = parts.within_variance - parts.within_covariance
    return parts.reliability - parts.resolution + parts.uncertainty + within


def test_brier_score_of_the_first_paper() -> None:
    """Ten forecasts of rain: .19 in Brier's two-class form, .095 in the one-class form used here.

    Brier 1950, Monthly Weather Review 78, 1-3, his own table (the data from memory, the sum done
    again).
    """
    forecasts = [0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1]
    outcomes = [0, 1, 1, 1, 0, 0, 0, 0, 0, 0]
    readings = [said(p, bool(o)) for p, o in zip(forecasts, outcomes, strict=True)]
    assert brier(readings) == pytest.approx(0.095)


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1))
def test_brier_score_against_a_library(pairs: list[Said]) -> None:
    """The score is scikit-learn's, and so is the sum of its parts, whatever the bands."""
    readings = [said(p, right) for p, right in pairs]
    expected = brier_score_loss(
        [right for _, right in pairs], [p for p, _ in pairs], pos_label=True, labels=[False, True]
    )
    assert brier(readings) == pytest.approx(expected)
    for borders in ((0.2, 0.5, 0.9, 1.0), (0.5, 1.0), (0.0, 1.0)):
        parts = brier_parts(readings, borders=borders)
        assert parts is not None
        assert added_up(parts) == pytest.approx(expected, abs=1e-12)
        assert min(parts.reliability, parts.resolution, parts.within_variance) >= 0


def test_the_parts_by_hand() -> None:
    """Four said .8, of which three were right, and four said .4, of which one: done by hand.

    Murphy 1973, eq. for the partition with two different probabilities. Right are 4 of 8, so that
    uncertainty is 1/4; reliability (4 * .05^2 + 4 * .15^2) / 8 = .0125; resolution 2 * 4 * .25^2 / 8
    = .0625; the score (3 * .04 + .64 + 3 * .16 + .36) / 8 = .2 = .0125 - .0625 + .25.
    """
    readings = [said(0.8, at < 3) for at in range(4)] + [said(0.4, at < 1) for at in range(4)]
    parts = brier_parts(readings)
    assert parts is not None
    assert parts.score == pytest.approx(0.2)
    assert parts.reliability == pytest.approx(0.0125)
    assert parts.resolution == pytest.approx(0.0625)
    assert parts.uncertainty == pytest.approx(0.25)
    assert (parts.within_variance, parts.within_covariance) == pytest.approx((0, 0))


def test_what_the_bands_hide_by_hand() -> None:
    """Two in one band, .6 wrong and .8 right: the within-band terms make up what the three leave.

    Band mean said .7, found 1/2: reliability .04, resolution 0, uncertainty .25; variance within
    (.01 + .01) / 2 = .01, covariance within 2 * (.05 + .05) / 2 = .1; score (.36 + .04) / 2 = .2.
    """
    parts = brier_parts([said(0.6, False), said(0.8, True)], borders=(0.5, 1.0))
    assert parts is not None
    found = (parts.score, parts.reliability, parts.resolution, parts.uncertainty)
    assert found == pytest.approx((0.2, 0.04, 0, 0.25))
    assert (parts.within_variance, parts.within_covariance) == pytest.approx((0.01, 0.1))
    assert added_up(parts) == pytest.approx(0.2)


@given(st.lists(st.tuples(st.floats(0.2, 1), st.booleans(), st.sampled_from(KINDS)), min_size=1, max_size=40))
def test_kinds_add_up_to_all(found: list[tuple[float, bool, str]]) -> None:
    """Proposals, right ones and restored places of the kinds add up, by level and by band."""
    readings = [said(*one) for one in found]
    wrong = {ALL_KINDS: 50, "habit": 30, "misreading": 20}
    for made in (precisions, bands):
        whole = made(readings, wrong, 0.95)
        parts = [one for kind in KINDS for one in made(readings, wrong, 0.95, kind)]
        for name in ("proposals", "restored"):
            assert sum(getattr(one, name) for one in whole) == sum(getattr(one, name) for one in parts)
    assert sum(one.proposals for one in bands(readings, wrong, 0.95)) == len(readings)
    for level in precisions(readings, wrong, 0.95):
        assert level.proposals == sum(one.probability >= level.at_least for one in readings)
        assert level.right == level.restored  # none of these is for a single letter


def test_kinds_come_in_one_order() -> None:
    """Kinds stand in the order of the tables, unknown ones last."""
    assert kinds_of(["new", "letter", ALL_KINDS, "habit", "habit"]) == ["habit", "letter", "new"]


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 9)), min_size=2, max_size=12))
def test_the_design_effect_against_a_library(pages: list[tuple[int, int]]) -> None:
    """The variance between clusters is that of statsmodels' cluster-robust mean, over the plain one."""
    counted = {str(at): (min(k, n), n) for at, (k, n) in enumerate(pages)}
    outcomes = np.array([float(i < k) for k, n in counted.values() for i in range(n)])
    groups = np.array([int(name) for name, (_, n) in counted.items() for _ in range(n)])
    share = outcomes.mean()
    if not 0 < share < 1:
        return
    fit = sm.OLS(outcomes, np.ones_like(outcomes)).fit(cov_type="cluster", cov_kwds={"groups": groups})
    expected = max(float(fit.bse[0]) ** 2 / (share * (1 - share) / len(outcomes)), 1.0)
    right = {name: k for name, (k, _) in counted.items()}
    found = design_effect(right, {name: n for name, (_, n) in counted.items()})
    assert found == pytest.approx(expected, rel=1e-6)


def test_survivors_that_differ_widen_the_interval() -> None:
    """Pages alike within each survivor, survivors unlike: the interval is as wide as survivors ask for."""
    pages = {f"{text} {page}": 10 for text in "ABCDEF" for page in range(4)}
    right = {page: 9 if page[0] in "ABC" else 5 for page in pages}
    larger = {page: page[0] for page in pages}
    by_page = share_interval(right, pages, 0.95)
    by_survivor = share_interval(right, pages, 0.95, larger)
    assert by_survivor[1] - by_survivor[0] > 1.5 * (by_page[1] - by_page[0])
    alike = dict.fromkeys(pages, 7)
    assert share_interval(alike, pages, 0.95, larger) == share_interval(alike, pages, 0.95)


def test_intervals_hold_where_survivors_differ() -> None:
    """Of 300 simulated tests (8 survivors of unlike care, 6 pages each) at least 90 % hold the truth."""
    draw = np.random.default_rng(1)
    held = 0
    for _ in range(300):
        care = draw.beta(14, 6, size=8)  # mean .7, from .5 to .9
        right, pages, larger = {}, {}, {}
        for text, share in enumerate(care):
            for page in range(6):
                name = f"{text} {page}"
                pages[name], larger[name] = 5, str(text)
                right[name] = int(draw.binomial(5, share))
        low, high = share_interval(right, pages, 0.95, larger)
        held += low <= 0.7 <= high
    assert held >= 270
