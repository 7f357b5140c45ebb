"""Tails and quantiles agree with those of scipy.special and with printed tables."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special

from fidelity.confusions.beta import (
    beta_quantile,
    beta_quantiles,
    beta_tail,
    beta_tails,
    normal_quantile,
    student_quantile,
)

PARAMETERS = (
    st.floats(0.5, 1e6) | st.integers(1, 1000).map(float) | st.integers(0, 5000).map(lambda k: k + 0.5)
)
SHARES = st.floats(1e-9, 1 - 1e-9)


@given(PARAMETERS, PARAMETERS, st.floats(0, 1, allow_subnormal=False))
def test_tails_agree_with_scipy(a: float, b: float, x: float) -> None:
    """The share below x is that of scipy.special.betainc, far out in the tail too."""
    expected = float(special.betainc(a, b, x))
    assert math.isclose(beta_tail(a, b, x), expected, rel_tol=1e-8, abs_tol=1e-150)
    together = beta_tails(np.array([a, b]), np.array([b, a]), np.array([x, 1 - x]))
    assert math.isclose(together[0], expected, rel_tol=1e-8, abs_tol=1e-150)
    assert math.isclose(together[1], float(special.betainc(b, a, 1 - x)), rel_tol=1e-8, abs_tol=1e-150)


@given(PARAMETERS, PARAMETERS, SHARES)
def test_quantiles_agree_with_scipy(a: float, b: float, share: float) -> None:
    """The quantile is that of scipy.special.betaincinv, and its tail is the share asked for."""
    x = beta_quantile(a, b, share)
    assert math.isclose(x, float(special.betaincinv(a, b, share)), rel_tol=1e-6, abs_tol=1e-12)
    assert math.isclose(beta_tail(a, b, x), share, rel_tol=1e-6, abs_tol=1e-9)
    together = beta_quantiles(np.array([a, b]), np.array([b, a]), share)
    assert math.isclose(together[0], x, rel_tol=1e-6, abs_tol=1e-12)
    assert math.isclose(together[1], beta_quantile(b, a, share), rel_tol=1e-6, abs_tol=1e-12)


@given(st.floats(1e-12, 1 - 1e-12))
def test_normal_quantiles_agree_with_scipy(share: float) -> None:
    """The normal quantile is that of scipy.special.ndtri."""
    assert math.isclose(normal_quantile(share), float(special.ndtri(share)), rel_tol=1e-6, abs_tol=1e-9)


@given(st.floats(1, 1e7), st.floats(0.5, 0.9999))
def test_student_quantiles_agree_with_scipy(freedom: float, share: float) -> None:
    """Student's quantile is that of scipy.special.stdtrit, for broken degrees of freedom too."""
    expected = float(special.stdtrit(freedom, share))
    assert math.isclose(student_quantile(freedom, share), expected, rel_tol=1e-6, abs_tol=1e-9)


@pytest.mark.parametrize(
    ("freedom", "t"), [(1, 12.706), (2, 4.303), (5, 2.571), (10, 2.228), (30, 2.042), (120, 1.980)]
)
def test_the_printed_table_of_student(freedom: int, t: float) -> None:
    """The two-sided 5 % points as printed since Fisher 1925, table IV (from memory)."""
    assert round(student_quantile(freedom, 0.975), 3) == t


def test_ends() -> None:
    """At the ends there is nothing below, or nothing above."""
    assert (beta_tail(2, 3, 0), beta_tail(2, 3, 1), beta_quantile(2, 3, 0), beta_quantile(2, 3, 1)) == (
        0,
        1,
        0,
        1,
    )
    assert normal_quantile(1) == math.inf and normal_quantile(0) == -math.inf
    assert beta_tails(np.array([]), np.array([]), np.array([])).size == 0
    assert beta_tails(np.ones(2), np.ones(2), np.array([0.0, 1.0])).tolist() == [0, 1]
