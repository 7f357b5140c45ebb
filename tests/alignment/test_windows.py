"""The weighted programme: its totals against other programmes, and itself compiled and not."""

from __future__ import annotations

import random
from dataclasses import replace

import edlib
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.alignment import inner, layout, straight, windows
from fidelity.alignment.align import align_witnesses
from fidelity.alignment.costs import costs_from, gram_numbers
from fidelity.alignment.texts import numbered
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from tests.alignment.compiled import PLAIN, WAYS, compiled_only, not_compiled
from tests.alignment.made_copies import made_pair
from tests.alignment.programmes import (
    NEVER,
    costs_of,
    least_cost,
    path_cost,
    random_channel,
    solved,
    unit_channel,
)

SHORT = st.text("abmnr ", max_size=9)
LONGER = st.text("abcd ", max_size=40)


def distance(original: str, copy: str, substitution: float = 1.0) -> float:
    """Give the edit distance as the programme under test finds it: no gaps, no exchanges."""
    channel = unit_channel(original, copy, substitution)
    with costs_of(NEVER, NEVER):
        return path_cost(solved(original, copy, channel), original, copy, channel)


# kitten/sitting and intention/execution: Jurafsky & Martin, Speech and Language Processing, 3rd ed.
# draft, ch. 2 (the 8 is their version in which a substitution costs 2). Saturday/Sunday: the usual
# textbook pair, value from memory. ISLANDER/SLANDER and MART/KARMA: usual exercises, values from memory.
@pytest.mark.parametrize(
    ("original", "copy", "substitution", "printed"),
    [
        ("kitten", "sitting", 1, 3),
        ("kitten", "sitting", 2, 5),
        ("intention", "execution", 1, 5),
        ("intention", "execution", 2, 8),
        ("Saturday", "Sunday", 1, 3),
        ("Saturday", "Sunday", 2, 4),
        ("ISLANDER", "SLANDER", 1, 1),
        ("MART", "KARMA", 2, 5),
    ],
)
def test_published_distances(original: str, copy: str, substitution: int, printed: int) -> None:
    """At unit cost the path costs what the textbooks print."""
    assert distance(original, copy, substitution) == printed


@settings(deadline=None, max_examples=60)
@given(LONGER, LONGER)
def test_two_other_programmes_agree(original: str, copy: str) -> None:
    """At unit cost the total is the Levenshtein distance of rapidfuzz and of edlib."""
    found = distance(original, copy)
    assert found == Levenshtein.distance(original, copy)
    if original and copy:  # edlib takes no empty text
        assert found == edlib.align(original, copy)["editDistance"]


@settings(deadline=None, max_examples=40)
@given(LONGER, LONGER)
def test_unit_costs_are_the_same_both_ways(original: str, copy: str) -> None:
    """With symmetric costs, copy and original may change places."""
    assert distance(original, copy) == distance(copy, original)


@settings(deadline=None, max_examples=120)
@given(SHORT, SHORT, st.integers(0, 2**32), st.sampled_from([0.2, 2.0, 8.0]), st.sampled_from([0.1, 2.0]))
def test_no_cheaper_path_exists(original: str, copy: str, seed: int, gap_open: float, swap: float) -> None:
    """With operations of three letters, gaps and exchanges, the total is that of a naive programme."""
    channel = random_channel(original, copy, seed)
    with costs_of(gap_open, swap):
        path = solved(original, copy, channel)
        found = path_cost(path, original, copy, channel)
        assert found == pytest.approx(least_cost(original, copy, channel), abs=1e-9)
    joined = [(original[o0:o1], copy[c0:c1]) for o0, o1, c0, c1 in path]
    assert "".join(o for o, _ in joined) == original
    assert "".join(c for _, c in joined) == copy


def test_each_kind_of_step_is_taken() -> None:
    """The random channels above do lead through gaps, exchanges and operations of several letters."""
    draw = random.Random(1)
    shapes = set()
    with costs_of(0.2, 0.1):
        for seed in range(200):
            original, copy = ("".join(draw.choices("abmn", k=8)) for _ in range(2))
            channel = random_channel(original, copy, seed)
            for o0, o1, c0, c1 in solved(original, copy, channel):
                o, c = original[o0:o1], copy[c0:c1]
                listed = (o, c) in channel.longer
                exchange = len(o) == 2 and o == c[::-1] and o != c and not listed
                long = (len(o) > 3, len(c) > 3)
                shapes.add("exchange" if exchange else (len(o), len(c)) if listed else long)
    assert {"exchange", (True, False), (False, True), (2, 1), (1, 2), (3, 3), (2, 0), (0, 2)} <= shapes


def noisy_pair(length: int, seed: int) -> tuple[str, str]:
    """Give a text and a copy of it with a slip in about every tenth letter and one skip."""
    draw = random.Random(seed)
    original = "".join(draw.choices("abcdefghmnor ", k=length))
    copy = [x if draw.random() > 0.1 else draw.choice(["", "x", x + "y", "rn"]) for x in original]
    del copy[length // 2 : length // 2 + 20]
    return original, "".join(copy)


def test_a_band_that_is_wide_enough_changes_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the texts are too long for the whole table, the band gives the same path."""
    original, copy = noisy_pair(400, seed=7)
    channel = random_channel(original, copy, 7)
    whole = solved(original, copy, channel)
    monkeypatch.setattr(layout, "FULL_CELLS", 0)
    monkeypatch.setattr(layout, "BAND_CELLS", 0)
    texts = numbered(original, copy, NO_FOLDS)
    window = np.array([[0, len(original), 0, len(copy)]])
    laid = layout.lay_out(texts.original, texts.copy, texts.folded, window)
    assert 0 < 2 * laid.shapes[0, 4] + 1 < len(copy)
    assert solved(original, copy, channel) == whole


def test_stretches_with_nothing_in_common_are_not_weighed(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two stretches too large for any band are one left out and one put in, each as one step."""
    original, copy = noisy_pair(400, seed=7)
    monkeypatch.setattr(windows, "MOST_CELLS", 1000)
    path = solved(original, copy, random_channel(original, copy, 7))
    assert path == [(0, 400, 0, 0), (400, 400, 0, len(copy))]


@compiled_only
def test_both_forms_of_the_loop_are_tried() -> None:
    """The loop that is tried as plain Python is plain Python, and the other one is compiled."""
    assert str(PLAIN.__file__).endswith(".py") and not str(inner.__file__).endswith(".py")


@compiled_only
@pytest.mark.parametrize("cells", [4_000_000, 0], ids=["whole", "banded"])
@pytest.mark.parametrize("way", WAYS)
def test_compiled_and_interpreted_agree(monkeypatch: pytest.MonkeyPatch, cells: int, way: str) -> None:
    """The compiled loop, the same file as plain Python and the windows side by side find the same steps."""
    monkeypatch.setattr(layout, "FULL_CELLS", cells)
    monkeypatch.setattr(layout, "BAND_CELLS", cells)
    pairs = [noisy_pair(length, seed) for seed, length in enumerate((1, 5, 30, 60, 250))]
    for seed, (original, copy) in enumerate(pairs):
        channel = random_channel(original, copy, seed)
        with costs_of(2.0, 0.5):
            compiled = solved(original, copy, channel)
            with not_compiled(way):
                assert solved(original, copy, channel) == compiled


@compiled_only
@settings(deadline=None, max_examples=150)
@given(
    st.lists(st.tuples(SHORT, SHORT), max_size=8),
    st.integers(0, 2**32),
    st.sampled_from([0.2, 2.0, 8.0]),
    st.sampled_from([0.1, 2.0]),
    st.sampled_from(sorted(WAYS)),
    st.booleans(),
)
def test_many_windows_at_once_agree(
    stretches: list[tuple[str, str]], seed: int, gap_open: float, swap: float, way: str, unit: bool
) -> None:
    """Whatever the windows and the costs, ties among them, the steps are the same compiled or not."""
    original, copy = ("".join(stretch[side] for stretch in stretches) for side in (0, 1))
    texts = numbered(original, copy, NO_FOLDS)
    ends = np.cumsum([[0, 0], *([len(o), len(c)] for o, c in stretches)], axis=0)
    bounds = np.stack((ends[:-1, 0], ends[1:, 0], ends[:-1, 1], ends[1:, 1]), axis=1)
    channel = unit_channel(original, copy) if unit else random_channel(original, copy, seed)
    costs = costs_from(channel, texts.letters, gap_open, swap)
    laid = layout.lay_out(texts.original, texts.copy, texts.folded, bounds)
    compiled = windows.solve_windows(laid, costs).tolist()
    with not_compiled(way):
        assert windows.solve_windows(laid, costs).tolist() == compiled


@compiled_only
@settings(deadline=None, max_examples=30)
@given(st.integers(0, 3000), st.sampled_from([0.01, 0.05, 0.2]), st.booleans(), st.integers(0, 99))
def test_whole_alignments_agree(letters: int, noise: float, formulaic: bool, seed: int) -> None:
    """Costs learned, anchors and all: an alignment is the same to the last letter, compiled or not."""
    pair = made_pair(max(letters, 1), noise, formulaic=formulaic, seed=seed)
    witnesses = Witness("O", pair.original), Witness("C", pair.copy)
    compiled = align_witnesses(*witnesses)
    for way in WAYS:
        with not_compiled(way):
            plain = align_witnesses(*witnesses)
        assert plain.steps.tolist() == compiled.steps.tolist()
        assert (plain.cost, plain.objectives) == (compiled.cost, compiled.objectives)


@settings(deadline=None, max_examples=60)
@given(st.text("abc", max_size=12), st.text("abc", max_size=12), st.integers(0, 2**32))
def test_straight_paths_are_the_best(original: str, copy: str, seed: int) -> None:
    """Where a straight path is taken without weighing, the whole programme takes it too."""
    channel = random_channel(original, copy, seed)
    cheap = replace(
        channel, longer={}, singles={pair: cost + (not all(pair)) for pair, cost in channel.singles.items()}
    )
    with pytest.MonkeyPatch.context() as patch, costs_of(8.0, 2.0):
        found = solved(original, copy, cheap)
        patch.setattr(windows, "straight_paths", _none_straight)
        patch.setattr(windows, "proved_paths", _none_proved)
        assert solved(original, copy, cheap) == found


def _none_straight(_: object, shapes: np.ndarray, *__: object) -> tuple[np.ndarray, np.ndarray]:
    """Say of no window that its path is straight."""
    return np.zeros(len(shapes), dtype=np.bool_), np.zeros((0, 5), dtype=np.int32)


@compiled_only
@settings(deadline=None, max_examples=300)
@given(
    st.text("aab", max_size=12),
    st.integers(0, 12),
    st.sampled_from("ab c"),
    st.sampled_from(["left out", "put in", "written for another"]),
    st.integers(0, 2**32),
    st.booleans(),
)
def test_one_gap_is_where_the_programme_sets_it(
    original: str, at: int, letter: str, slip: str, seed: int, unit: bool
) -> None:
    """Where a path with one gap is taken without weighing, the whole programme takes it too, ties and all."""
    at = min(at, len(original))
    copy = original[:at] + letter * (slip != "left out") + original[at + (slip != "put in") :]
    channel = unit_channel(original, copy) if unit else random_channel(original, copy, seed)
    singles = {pair: 0.01 if pair[0] == pair[1] else cost for pair, cost in channel.singles.items()}
    cheap = replace(channel, longer={}, singles=singles)
    with pytest.MonkeyPatch.context() as patch, costs_of(8.0, 2.0):
        found = solved(original, copy, cheap)
        patch.setattr(windows, "proved_paths", _none_proved)
        assert solved(original, copy, cheap) == found


@compiled_only
def test_one_gap_is_proved() -> None:
    """A letter left out among letters kept is proved; with a second one left out and put in it is not."""
    original = "wes wacor aer sunne"
    channel = unit_channel(original, original)
    for copy, proved in (("wes wacor aer sune", [16]), ("wes waor aer sunnes", [-1]), (original, [0])):
        texts = numbered(original, copy, NO_FOLDS)
        whole = np.array([[0, len(original), 0, len(copy)]])
        laid = layout.lay_out(texts.original, texts.copy, texts.folded, whole)
        costs = costs_from(channel, texts.letters)
        grams = tuple(
            gram_numbers(side, {}, len(texts.letters)) for side in (laid.original_letters, laid.copy_letters)
        )
        assert straight.proved_paths(laid, laid.shapes, (grams[0], grams[1]), costs).tolist() == proved


def _none_proved(_: object, shapes: np.ndarray, *__: object) -> np.ndarray:
    """Say of no window that its path is proved."""
    return np.full(len(shapes), -1, dtype=np.int32)
