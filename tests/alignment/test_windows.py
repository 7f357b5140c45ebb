"""The weighted programme: its totals against other programmes, and itself compiled and not."""

from __future__ import annotations

import importlib.util
import random
from pathlib import Path as FilePath
from types import ModuleType

import edlib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.alignment import inner, windows
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
    monkeypatch.setattr(windows, "FULL_CELLS", 0)
    monkeypatch.setattr(windows, "BAND_CELLS", 0)
    lows, width = windows._band(len(original), len(copy))
    assert width < len(copy) and lows[-1] > 0
    assert solved(original, copy, channel) == whole


def interpreted() -> ModuleType:
    """Load the source of the inner loop as plain Python, whatever is compiled."""
    file = FilePath(windows.__file__).with_name("inner.py")
    spec = importlib.util.spec_from_file_location("inner_as_plain_python", file)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.skipif(not windows.COMPILED, reason="the inner loop is not compiled here")
@pytest.mark.parametrize("cells", [4_000_000, 0], ids=["whole", "banded"])
def test_compiled_and_interpreted_agree(monkeypatch: pytest.MonkeyPatch, cells: int) -> None:
    """The compiled loop and the same file as plain Python find the same steps."""
    plain = interpreted()
    assert str(plain.__file__).endswith(".py") and not str(inner.__file__).endswith(".py")
    monkeypatch.setattr(windows, "FULL_CELLS", cells)
    monkeypatch.setattr(windows, "BAND_CELLS", cells)
    pairs = [noisy_pair(length, seed) for seed, length in enumerate((1, 5, 30, 60, 250))]
    for seed, (original, copy) in enumerate(pairs):
        channel = random_channel(original, copy, seed)
        with costs_of(2.0, 0.5), pytest.MonkeyPatch.context() as patch:
            compiled = solved(original, copy, channel)
            patch.setattr(windows, "inner", plain)
            patch.setattr(windows, "COMPILED", False)
            assert solved(original, copy, channel) == compiled
