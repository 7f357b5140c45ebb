"""The loops over letters: compiled, as plain Python, and as the arrays that stand in for them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment import anchors, changes, scan, seeds, steps, straight
from fidelity.alignment.align import align_witnesses
from fidelity.alignment.channel import LetterChannel
from fidelity.alignment.costs import costs_from, gram_numbers
from fidelity.alignment.layout import lay_out
from fidelity.alignment.texts import numbered
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from tests.alignment.compiled import PLAIN_SCAN, compiled_only, not_compiled
from tests.alignment.made_copies import made_pair
from tests.alignment.programmes import random_channel

TYPES = (np.uint8, np.uint16, np.uint32)  # of letters by their numbers
WIDE = st.sampled_from(TYPES)
TEXTS = st.lists(st.integers(0, 3), max_size=200)
RUNS = st.sampled_from([(12, 16), (32, 64), (20, 32), (12, 2), (8, 1), (6, 1), (1, 1)])


@compiled_only
def test_both_forms_of_the_loops_are_tried() -> None:
    """The loops that are tried as plain Python are plain Python, and the others are compiled."""
    assert str(PLAIN_SCAN.__file__).endswith(".py") and not str(scan.__file__).endswith(".py")


@compiled_only
@settings(deadline=None)
@given(TEXTS, WIDE, RUNS)
def test_the_same_runs_are_chosen(text: list[int], kind: type[np.uint8], run: tuple[int, int]) -> None:
    """The loop, the same as plain Python and the arrays choose the same runs, with the same hashes."""
    letters = np.array(text, dtype=kind)
    length, one_in = run
    hashes, places = seeds.sampled_grams(letters, length, one_in)
    with not_compiled("loop"):
        other_hashes, other_places = seeds.sampled_grams(letters, length, one_in)
    assert (hashes.tolist(), places.tolist()) == (other_hashes.tolist(), other_places.tolist())
    room = max(len(text) - length + 1, 0)
    plain: tuple[list[int], list[int]] = ([0] * room, [0] * room)
    below = seeds.WORD // one_in if one_in > 1 else 0
    found = 0
    if room:
        found = PLAIN_SCAN.choose_runs(letters.tobytes(), letters.itemsize, length, below, *plain)
    assert (plain[0][:found], plain[1][:found]) == (hashes.tolist(), places.tolist())


@compiled_only
@settings(deadline=None)
@given(TEXTS, TEXTS, WIDE, st.integers(-3, 3), st.booleans(), st.data())
def test_runs_are_lengthened_alike(
    text: list[int], other: list[int], kind: type[np.uint8], shift: int, backward: bool, data: st.DataObject
) -> None:
    """Runs go as far in the loop, the same as plain Python and the arrays."""
    original, copy = np.array(text, dtype=kind), np.array(text[max(shift, 0) :] + other, dtype=kind)
    ends = np.array(data.draw(st.lists(st.integers(0, len(text)), max_size=5)), dtype=np.int64)
    shifts = np.full(len(ends), -shift)
    found = seeds.lengthened(original, copy, ends, shifts, None, backward)
    with not_compiled("loop"):
        assert seeds.lengthened(original, copy, ends, shifts, None, backward).tolist() == found.tolist()
    plain = ends.tolist()
    texts = original.tobytes(), copy.tobytes(), original.itemsize
    PLAIN_SCAN.lengthen(*texts, plain, shifts.tolist(), plain, False, backward)
    assert plain == found.tolist()
    limit = ends + 5
    reached = seeds.lengthened(original, copy, ends, shifts, limit)
    with not_compiled("loop"):
        passed = seeds.lengthened(original, copy, ends, shifts, limit)
    assert (reached >= limit).tolist() == (passed >= limit).tolist()


@compiled_only
@settings(deadline=None, max_examples=40)
@given(st.integers(0, 99), st.integers(1, 2_000), st.sampled_from([0.02, 0.1, 0.3]))
def test_runs_along_are_found_alike(seed: int, letters: int, noise: float) -> None:
    """The loop and the arrays find the same runs in the direction of the neighbours."""
    pair = made_pair(letters, noise, seed=seed)
    texts = numbered(pair.original, pair.copy, NO_FOLDS)
    cuts = np.linspace(0, min(len(pair.original), len(pair.copy)), 8).astype(np.int64)
    shifted = cuts + np.array([0, 1, -2, 3, 0, -3, 2, 0])
    windows = np.stack((cuts[:-1], cuts[1:], shifted[:-1], shifted[1:]), axis=1)
    windows = windows[(windows[:, 1] > windows[:, 0]) & (windows[:, 2:].min(axis=1) >= 0)]
    windows = windows[windows[:, 3] <= len(pair.copy)]
    found = anchors._runs_along(texts.original, texts.copy, windows)
    with not_compiled("loop"):
        assert anchors._runs_along(texts.original, texts.copy, windows).tolist() == found.tolist()


@compiled_only
@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("letters", ["ab nm", "ꞅꞇ nm", "".join(map(chr, range(0x20, 0x300)))])
def test_changes_and_their_costs_are_found_alike(seed: int, letters: str) -> None:
    """The loops, the same as plain Python and the arrays find the same changes at the same costs."""
    rng = np.random.default_rng(seed)
    original, copy = ("".join(rng.choice(list(letters), 400)) for _ in range(2))
    texts = numbered(original, copy, NO_FOLDS)
    table = _random_steps(rng)
    spaces = np.array([False, *(letter.isspace() for letter in texts.letters)])
    costs = costs_from(LetterChannel(set(original), set(copy), NO_FOLDS.same), texts.letters)
    found, price = changes.changes_in(table, texts, spaces), steps.cost_of(table, texts, costs)
    assert len(found.several) and len(found.members) and found.single.any()
    with not_compiled("loop"):
        arrays = changes.changes_in(table, texts, spaces)
        assert steps.cost_of(table, texts, costs) == price
    size, room = len(spaces), len(table)
    single, several, members, count = [0] * size**2, [0] * 2 * room, [0] * 3 * room, [0, 0]
    given_texts = texts.original.tobytes(), texts.copy.tobytes(), texts.original.itemsize
    rows = table.ravel().tolist()
    PLAIN_SCAN.find_changes(rows, *given_texts, spaces.tolist(), single, several, members, count)
    for one, other in (
        (arrays.several.ravel(), several[: 2 * count[0]]),
        (arrays.single.ravel(), single),
        (arrays.members.ravel(), members[: 3 * count[1]]),
    ):
        assert one.tolist() == other
    assert (found.single == arrays.single).all()
    assert found.several.tolist() == arrays.several.tolist()
    assert found.members.tolist() == arrays.members.tolist()
    prices, larger = [0.0] * room, [False] * room
    exact, gaps = costs.exact.ravel().tolist(), costs.gaps.tolist()
    columns = costs.exact.shape[1]
    priced = PLAIN_SCAN.price_steps(
        rows, *given_texts, exact, columns, gaps, costs.gap_open, 1e300, prices, larger
    )
    one_by_one, which = steps._single(table, texts, costs)
    assert (prices[:priced], larger) == (one_by_one.tolist(), which.tolist())


def _random_steps(rng: np.random.Generator) -> np.ndarray:
    """Make steps of every size, in order and without holes."""
    rows, o, c = [], 0, 0
    while o < 390 and c < 390:
        n, m = rng.choice(5, 2, p=(0.2, 0.6, 0.1, 0.05, 0.05)).tolist()
        if n or m:
            kind = 1 if max(n, m) <= 3 and (n != m or rng.random() < 0.5) else 2 if n != m else 0
            rows.append((o, o + n, c, c + m, kind))
        o, c = o + n, c + m
    return np.array(rows, dtype=np.int32)


@compiled_only
@settings(deadline=None, max_examples=30)
@given(st.integers(100, 3000), st.sampled_from([0.01, 0.05, 0.2]), st.booleans(), st.integers(0, 99))
def test_alignments_of_many_letters_agree(letters: int, noise: float, wide: bool, seed: int) -> None:
    """Whatever the width of a letter, an alignment is the same, compiled or not."""
    pair = made_pair(letters, noise, seed=seed)
    more = "".join(map(chr, range(0x1000, 0x1000 + (300 if wide else 0))))
    witnesses = Witness("O", pair.original + more), Witness("C", pair.copy + more)
    found = align_witnesses(*witnesses)
    with not_compiled("abreast"):
        plain = align_witnesses(*witnesses)
    assert (plain.steps.tolist(), plain.cost) == (found.steps.tolist(), found.cost)


@compiled_only
@settings(deadline=None, max_examples=60)
@given(
    st.lists(st.tuples(st.text("abn ", max_size=5), st.text("abn ", max_size=5)), max_size=12),
    st.integers(0, 2**32),
    st.booleans(),
)
def test_paths_are_proved_alike(stretches: list[tuple[str, str]], seed: int, several: bool) -> None:
    """The loop and the same as plain Python prove the paths of the same windows, with the same gaps."""
    original, copy = ("".join(stretch[side] for stretch in stretches) for side in (0, 1))
    texts = numbered(original, copy, NO_FOLDS)
    ends = np.cumsum([[0, 0], *([len(o), len(c)] for o, c in stretches)], axis=0)
    windows = np.stack((ends[:-1, 0], ends[1:, 0], ends[:-1, 1], ends[1:, 1]), axis=1)
    laid = lay_out(texts.original, texts.copy, texts.folded, windows)
    channel = random_channel(original, copy, seed)
    costs = costs_from(channel if several else replace(channel, longer={}), texts.letters)
    there = gram_numbers(laid.original_letters, costs.original_grams, len(texts.letters))
    here = gram_numbers(laid.copy_letters, costs.copy_grams, len(texts.letters))
    found = straight.proved_paths(laid, laid.shapes, (there, here), costs).tolist()
    plain = [0] * len(found)
    PLAIN_SCAN.prove_paths(
        *(laid.shapes.ravel().tolist(), len(found), there.ravel().tolist(), here.ravel().tolist()),
        *(there.shape[1], here.shape[1], laid.original_folded.tolist(), laid.copy_folded.tolist()),
        *(costs.table.ravel().tolist(), costs.table.shape[1], len(costs.lengths) > 0),
        *(numbers.tolist() for numbers in straight.bounds(costs)),
        plain,
    )
    assert plain == found
