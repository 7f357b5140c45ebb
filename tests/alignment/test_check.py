"""The check by stretches aligned in full: it finds nothing where nothing is lost, and what is spoiled."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.check import check_alignment
from fidelity.errors import DataError
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds
from tests.alignment.made_copies import made_pair


def aligned(letters: int, noise: float, *, formulaic: bool = False, folds: Folds = NO_FOLDS) -> Alignment:
    """Align a made pair."""
    pair = made_pair(letters, noise, formulaic=formulaic, seed=2)
    return align_witnesses(Witness("O", pair.original), Witness("C", pair.copy), folds)


@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
@pytest.mark.parametrize(("noise", "most"), [(0.02, 0.0), (0.05, 0.0), (0.1, 0.001), (0.2, 0.001)])
def test_anchors_lose_nothing(noise: float, most: float, formulaic: bool) -> None:
    """Up to 5 % noise the cost is that of the full programme; at 10-20 % a thousandth more at most."""
    check = check_alignment(aligned(20_000, noise, formulaic=formulaic), letters=500, samples=15)
    assert 0 <= check.excess <= most
    assert check.stretches == 15 and 5_000 < check.letters < 10_000
    assert check.least > 0


def spoiled(alignment: Alignment) -> Alignment:
    """Leave out and put in again a long kept stretch in the middle of an alignment."""
    steps = alignment.steps.tolist()
    sizes = [o1 - o0 if kind == StepKind.KEPT else 0 for o0, o1, _, _, kind in steps]
    at = sizes.index(max(sizes))
    o0, o1, c0, c1, _ = steps[at]
    begin, end = o0 + 2, o1 - 2
    skipped = int(StepKind.SKIPPED)
    steps[at : at + 1] = [
        [o0, begin, c0, c0 + 2, 0],
        [begin, end, c0 + 2, c0 + 2, skipped],
        [end, end, c0 + 2, c1 - 2, skipped],
        [end, o1, c1 - 2, c1, 0],
    ]
    made = alignment.steps.copy()
    made.resize((len(steps), 5), refcheck=False)
    made[:] = steps
    return replace(alignment, steps=made)


def test_what_is_spoiled_is_found() -> None:
    """Where an alignment is made worse by hand, the check says where, and by at least two long gaps."""
    whole = aligned(3_000, 0.02)
    bad = spoiled(whole)
    check = check_alignment(bad, letters=1_000)
    assert check.excess > 0 and check.excess_nats == pytest.approx(check.worst_excess)
    assert check.worst_excess > 16  # two gaps are opened (8 nats each)
    changed = next(step for step in bad.steps.tolist() if step not in whole.steps.tolist())
    assert check.worst is not None and check.worst[0] <= changed[0] < check.worst[1]
    assert check_alignment(whole, letters=1_000).worst is None


def test_the_whole_is_looked_at_where_it_is_short() -> None:
    """A text of fewer stretches than are drawn is looked at from end to end, and costs what it says."""
    alignment = aligned(4_000, 0.05)
    check = check_alignment(alignment, letters=1_000)
    assert check.letters == sum(not letter.isspace() for letter in alignment.original.letters) <= 4_000
    assert check.cost == pytest.approx(alignment.cost)


def test_the_same_seed_draws_the_same_stretches() -> None:
    """With one seed the check gives the same figures, with another it looks elsewhere."""
    alignment = aligned(20_000, 0.05)
    one, again, other = (check_alignment(alignment, samples=3, letters=300, seed=seed) for seed in (1, 1, 2))
    assert one == again and one.cost != other.cost


def test_folds_and_expansions_are_checked_too() -> None:
    """With declared letterforms and expansions an alignment is as good as the full programme's."""
    folds = Folds({"ꞅ": "s"}, (("⁊", "and"), ("vv", "uu")))
    original = "ꞅe cyning ⁊ ꞅeo cwen vværon þær ⁊ ꞅe biꞅceop eac " * 12
    copy = original.replace("ꞅ", "s").replace("⁊", "and").replace("vv", "uu").replace("cwen", "cven", 3)
    check = check_alignment(align_witnesses(Witness("O", original), Witness("C", copy), folds), folds)
    assert check.excess == 0 and check.letters == len("".join(original.split()))


def test_nothing_can_be_checked() -> None:
    """Two empty texts are checked without complaint; an alignment from elsewhere is refused."""
    empty = align_witnesses(Witness("O", ""), Witness("C", ""))
    assert check_alignment(empty).excess == 0
    with pytest.raises(DataError, match="not made here"):
        check_alignment(replace(empty, counted="something else"))


@settings(deadline=None, max_examples=25)
@given(st.integers(1, 2500), st.sampled_from([0.0, 0.03, 0.2]), st.integers(1, 8), st.integers(20, 900))
def test_any_division_into_stretches_will_do(letters: int, noise: float, samples: int, length: int) -> None:
    """Whatever the stretches, the alignment is never cheaper than the best, and their letters are its own."""
    alignment = aligned(letters, noise)
    check = check_alignment(alignment, samples=samples, letters=length)
    assert check.cost >= check.least - 1e-5
    assert 0 <= check.letters <= letters
