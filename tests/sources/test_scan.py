"""The best stretch and its tests: against references, and by hand."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from fidelity.sources import chance
from fidelity.sources.chance import fisher, p_by_coincidence, p_by_position, p_of_sharing
from fidelity.sources.scan import INSIDE, Best, Places, best_stretch, measured


def places(flags: str, coincidence: float = 0.001, direction: float = 1.0) -> Places:
    """Make places out of a row of signs, + for shared."""
    shared = np.array([flag == "+" for flag in flags])
    return Places(shared, np.full(len(flags), coincidence), np.full(len(flags), direction))


def best(row: Places) -> Best:
    """Give the best stretch, which must be there."""
    found = best_stretch(row, 0.95)
    assert found is not None
    return found


def test_what_stands_together_is_the_stretch() -> None:
    """The best stretch begins at the first shared place and ends at the last."""
    found = best(places("---++++----"))
    assert (found.first, found.last) == (3, 6)
    assert found.earliest <= 3 <= found.latest_first and found.earliest_last <= 6 <= found.latest


def test_nothing_shared_no_stretch() -> None:
    """Where nothing is shared there is no stretch."""
    assert best_stretch(places("-----"), 0.95) is None


@given(st.lists(st.booleans(), min_size=2, max_size=9).filter(any), st.integers(0, 2**16))
def test_no_other_run_is_better(flags: list[bool], seed: int) -> None:
    """Of all runs none has a larger sum than the one found at the share it was found with."""
    rng = np.random.default_rng(seed)
    inside = INSIDE[np.array(flags, dtype=int)]
    outside = np.log(rng.uniform(0.05, 0.95, len(flags)))
    value, start, end = measured(inside[None, :], outside[None, :, None])
    sums = [(inside - outside)[a:b].sum() for a in range(len(flags)) for b in range(a + 1, len(flags) + 1)]
    assert value[0] == pytest.approx(max(sums))
    assert (inside - outside)[start[0] : end[0]].sum() == pytest.approx(max(sums))


@pytest.mark.parametrize("flags", ["-+++---", "-+-+-+-", "++----", "+-++-+"])
def test_positions_permuted_as_scipy_does(flags: str) -> None:
    """Over few places the test by position is scipy's exact permutation test of the same measure."""
    row = places(flags, 0.01)
    row.coincidence[::2] = 0.2
    found = best(row)
    no, yes = row.outside(row.fitted())
    outside, inside = np.where(row.shared[:, None], yes, no), INSIDE[row.shared.astype(int)]

    def measure(order: Sequence[float]) -> float:
        at = np.asarray(order, dtype=np.int64)
        return float(measured(inside[at][None, :], outside[at][None, :])[0][0])

    by_scipy = stats.permutation_test(
        (np.arange(len(flags)),),
        measure,
        permutation_type="pairings",
        alternative="greater",
        n_resamples=10**6,
    )
    ours = p_by_position(row, found, np.random.default_rng(1))
    assert ours == pytest.approx(by_scipy.pvalue, abs=1e-9)


def test_four_of_nine_together() -> None:
    """Four shared places of nine stand side by side in 6 of the 126 ways in which they may stand."""
    row = places("---++++--")
    assert p_by_position(row, best(row), np.random.default_rng(1)) == pytest.approx(6 / 126)


def test_drawn_orders_agree_with_all_orders(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where orders are drawn, the figure is that of all orders, as far as draws go."""
    row = places("----+++--+----")
    exact = p_by_position(row, best(row), np.random.default_rng(1))
    monkeypatch.setattr(chance, "MOST_ORDERS", 0)
    drawn = p_by_position(row, best(row), np.random.default_rng(1), draws=4000)
    assert drawn == pytest.approx(exact, abs=0.02)


@pytest.mark.parametrize(
    ("inside", "outside"), [((4, 0), (0, 5)), ((3, 1), (2, 6)), ((1, 3), (5, 2)), ((2, 0), (0, 1))]
)
def test_fisher_as_scipy(inside: tuple[int, int], outside: tuple[int, int]) -> None:
    """Fisher's exact test gives what scipy gives."""
    by_scipy = stats.fisher_exact(np.array([inside, outside]), alternative="greater").pvalue
    assert fisher(inside, outside) == pytest.approx(by_scipy)


def test_shared_anywhere_is_no_stretch() -> None:
    """What is shared here and there is no better at its best place than in any other order."""
    row = places("+-+-+--+-+-+-+--+-+-", direction=20.0)
    assert p_by_position(row, best(row), np.random.default_rng(1)) > 0.2
    assert p_of_sharing(row, np.random.default_rng(1)) <= 0.05


def test_habits_are_no_sign() -> None:
    """Readings that he comes upon by himself at half their chances are shared by coincidence."""
    row = places("----++++----", coincidence=0.5, direction=float("inf"))
    strong = places("----++++----", coincidence=0.001, direction=float("inf"))
    rng = np.random.default_rng(1)
    assert p_by_coincidence(row, best(row), rng) > 0.05 > p_by_coincidence(strong, best(strong), rng)


def test_coincidences_are_called_significant_no_oftener_than_said() -> None:
    """Of rows in which all sharing is coincidence one in twenty at most has p of .05 or less."""
    rng = np.random.default_rng(5)
    hits = drawn = 0
    for _ in range(200):
        row = places("-" * 30, coincidence=0.3, direction=float("inf"))
        row.shared[:] = rng.random(30) < 0.3
        if row.shared.any():
            drawn += 1
            hits += p_by_position(row, best(row), rng, draws=199) <= 0.05
    assert hits <= stats.binom.ppf(0.995, drawn, 0.05)
