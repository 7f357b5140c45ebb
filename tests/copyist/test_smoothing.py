"""Smoothing: discounts by hand, concentrations against a plain search, and the mixture by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import approx_fprime
from scipy.stats import betabinom

from fidelity.copyist.context_tree import grown
from fidelity.copyist.mixing import SHARES, mixed
from fidelity.copyist.smoothing import BLOCKS, Concentrations, Floats, _surprise, discounts, fitted


def test_discounts_by_hand() -> None:
    """Chen & Goodman 1999, Computer Speech and Language 13, eq. 17, on counts of counts 10, 4, 2, 1.

    Y = 10 / (10 + 2 * 4) = 5/9; D1 = 1 - 2 Y 4/10, D2 = 2 - 3 Y 2/4, D3 = 3 - 4 Y 1/2.
    """
    counts = [1] * 10 + [2] * 4 + [3] * 2 + [4] + [9] * 5
    assert discounts(counts) == pytest.approx((5 / 9, 2 - 5 / 6, 3 - 10 / 9))


def test_discounts_without_enough_counts() -> None:
    """Where nothing was seen once, or twice, half a count, one and one and a half are held back."""
    assert discounts([]) == discounts([1, 1, 1]) == discounts([2, 2, 5]) == (0.5, 1.0, 1.5)


@given(st.lists(st.integers(1, 9), max_size=60))
def test_discounts_are_never_more_than_the_count(counts: list[int]) -> None:
    """No discount is negative and none takes a whole count away."""
    for times, discount in enumerate(discounts(counts), start=1):
        assert 0.1 <= discount <= 0.95 * times


def letters_in_contexts(seed: int, strength: float, contexts: int) -> tuple[np.ndarray, np.ndarray]:
    """Draw letters in contexts whose shares of errors vary around 0.2: a beta distribution this strong."""
    random = np.random.default_rng(seed)
    shares = random.beta(0.2 * strength, 0.8 * strength, contexts)
    context = random.permutation(np.repeat(np.arange(contexts), 40))
    return context, random.random(len(context)) < shares[context]


@pytest.mark.parametrize("strength", [3.0, 30.0])
def test_a_planted_concentration_is_found(strength: float) -> None:
    """The fitted concentration is near the one the shares were drawn with, and the most probable by far.

    For a beta distribution of shares the counts are beta-binomial; scipy gives their probability.
    """
    context, wrong = letters_in_contexts(1, strength, 300)
    letter = np.ones(len(context), dtype=np.int64)
    found = fitted([letter, context + 5], np.where(wrong, 1, 0), wrong, 2)
    counts, times = np.bincount(context, wrong), np.bincount(context)

    def likelihood(one: float) -> float:
        logs = betabinom.logpmf(counts, times, wrong.mean() * one, (1 - wrong.mean()) * one)
        return float(np.sum(logs))

    assert strength / 2 < found.wrong[1] < strength * 2
    assert likelihood(found.wrong[1]) > likelihood(found.wrong[1] * 4)
    assert likelihood(found.wrong[1]) > likelihood(found.wrong[1] / 4)


def test_slopes_are_those_of_the_surprise() -> None:
    """The slopes that the search follows are those scipy finds by small steps."""
    random = np.random.default_rng(2)
    totals = random.integers(0, 9, (3, 50)).astype(float)
    counts = np.minimum(random.integers(0, 9, (3, 50)), totals)
    happened = random.random(50) < 0.3
    logs = np.array([0.3, 1.0, 2.0])

    def surprise(at: Floats) -> float:
        return _surprise(at, counts, totals, 0.2, happened)[0]

    slopes = _surprise(logs, counts, totals, 0.2, happened)[1]
    by_steps = approx_fprime(logs, surprise, 1e-6)
    assert slopes == pytest.approx(by_steps, rel=1e-3, abs=1e-3)


def test_blocks_are_never_asked_about_themselves() -> None:
    """What is met in one block alone says nothing: the shorter context is followed as far as can be."""
    wrong = np.repeat([True, False] * (BLOCKS // 2), 30)
    letter = np.ones(len(wrong), dtype=np.int64)
    own_context = 5 + np.repeat(np.arange(BLOCKS), 30)
    found = fitted([letter, own_context], np.where(wrong, 1, 0), wrong, 2)
    assert found.wrong[1] == pytest.approx(np.exp(1.0), rel=0.05)  # the prior's mean: nothing was learned


def test_the_mixture_by_hand() -> None:
    """One letter, one longer context: both ways of mixing and their mean.

    The letter r stands four times for r and once for s; after "e" twice for r and once for s. Drawn by
    concentrations 2 and 4: (1 + 2 * 0.1) / 7 = 0.171 by itself, (1 + 4 * 0.171) / 7 after "e". Discounts are
    1.5 (of 3), 1 (of 2) and 0.5 (of 1), since the counts of counts give none: after "e" 0.5 / 3 is kept of
    the errors, and half of all is left to the shorter context.
    """
    after_e = np.array([1, 1, 1, 0, 0])
    tree = grown(np.ones(5, dtype=np.int64), [after_e], np.array([1, 0, 0, 0, 0]), np.array([-1, 0]), 2)
    known = Concentrations(np.array([2.0, 4.0]), np.array([3.0, 5.0]), 0.1)
    found = mixed(tree, {}, 0.0, known)
    itself = (1 + 2 * 0.1) / 7
    node = 1 + 1 + int(np.flatnonzero(tree.signs[0] == 1)[0])
    chances = found.chance[found.first[node] : found.first[node + 1]]
    drawn, cut = (1 + 4 * itself) / 7, 0.5 / 3 + (0.5 + 1.0) / 3 * itself
    wrong = SHARES[0] * drawn + SHARES[1] * cut
    assert chances == pytest.approx([1 - wrong, wrong])
    assert found.chance[found.first[1] : found.first[2]] == pytest.approx([1 - itself, itself])
