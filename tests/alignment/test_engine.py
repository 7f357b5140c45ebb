"""How an alignment comes about: letters as numbers, anchors, pieces, rounds, and the room it needs."""

from __future__ import annotations

import tracemalloc
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment import counts, pieces
from fidelity.alignment.align import Pair, align_witnesses, kept_share
from fidelity.alignment.anchors import anchors_between, windows_between
from fidelity.alignment.counts import Tally, count_answers_of
from fidelity.alignment.pieces import longest_chain, pieces_of, sample_of
from fidelity.alignment.seeds import common_once, runs_between, sampled_grams
from fidelity.alignment.texts import numbered
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds
from tests.alignment.made_copies import made_pair, made_text, with_operations


def align(original: str, copy: str) -> Alignment:
    """Align two strings of letters."""
    return align_witnesses(Witness("O", original), Witness("C", copy))


@settings(deadline=None)
@given(st.text(max_size=40), st.text(max_size=40))
def test_numbers_stand_for_letters(original: str, copy: str) -> None:
    """Both texts can be read back from their numbers, whatever the letters are."""
    texts = numbered(original, copy, NO_FOLDS)
    assert "".join(texts.letters[number] for number in texts.original) == original
    assert "".join(texts.letters[number] for number in texts.copy) == copy
    for there, text in ((texts.in_original, original), (texts.in_copy, copy)):
        assert {letter for letter, has in zip(texts.letters, there, strict=True) if has} == set(text)


def test_folded_letters_share_a_number() -> None:
    """Letters that count as equal have one number when folded, and their own otherwise."""
    texts = numbered("ꞅtan", "stan", Folds({"ꞅ": "s"}))
    assert texts.original[0] != texts.copy[0]
    assert texts.fold(texts.original).tolist() == texts.fold(texts.copy).tolist()


@settings(deadline=None, max_examples=60)
@given(
    st.text("abcd ", min_size=3, max_size=300), st.text("abcd ", min_size=3, max_size=300), st.integers(3, 9)
)
def test_runs_are_the_longest(original: str, copy: str, length: int) -> None:
    """Each run is of equal letters and cannot be lengthened; what stands once in either text is in one."""
    texts = numbered(original, copy, NO_FOLDS)
    found = runs_between(texts.original, texts.copy, length, 1, length).tolist()
    once = {
        gram
        for gram in {original[at : at + length] for at in range(len(original) - length + 1)}
        if all(sum(text.startswith(gram, at) for at in range(len(text))) == 1 for text in (original, copy))
    }
    for o, c, size in found:
        assert original[o : o + size] == copy[c : c + size]
        assert o == 0 or c == 0 or original[o - 1] != copy[c - 1]
        assert original[o + size : o + size + 1] != copy[c + size : c + size + 1] or o + size == len(original)
    covered = {original[at : at + length] for o, _, size in found for at in range(o, o + size - length + 1)}
    assert once <= covered


def test_sampled_runs_are_the_same_in_both_texts() -> None:
    """Of a run of letters either all places are looked at or none, and about the share that was asked for."""
    text = made_text(30_000, formulaic=False, seed=3)
    numbers = numbered(text, text[7:], NO_FOLDS)
    hashes, places = sampled_grams(numbers.original, 12, 16)
    shifted, places_copy = sampled_grams(numbers.copy, 12, 16)
    assert set(places_copy.tolist()) == {place - 7 for place in places.tolist() if place >= 7}
    assert len(places) == pytest.approx(30_000 / 16, rel=0.5)
    at, at_copy = common_once(hashes, places, shifted, places_copy)
    assert len(at) > 1_000 and (at - at_copy == 7).all()


@pytest.mark.parametrize("noise", [0.0, 0.02, 0.2])
@pytest.mark.parametrize("formulaic", [False, True], ids=["plain", "formulaic"])
def test_anchors_are_equal_letters_in_order(noise: float, formulaic: bool) -> None:
    """Anchors do not overlap, ascend on both sides, and with the windows between cover both texts."""
    pair = made_pair(20_000, noise, formulaic=formulaic, seed=4)
    texts = numbered(pair.original, pair.copy, NO_FOLDS)
    anchors = anchors_between(texts.original, texts.copy)
    assert len(anchors) >= 1
    for o, c, size in anchors.tolist():
        assert size > 0 and pair.original[o : o + size] == pair.copy[c : c + size]
    windows = windows_between(anchors, len(pair.original), len(pair.copy))
    assert (windows[:, 1] >= windows[:, 0]).all() and (windows[:, 3] >= windows[:, 2]).all()


def test_a_formula_from_elsewhere_is_no_anchor() -> None:
    """A formula whose right place in the copy is spoiled is not paired with the same formula far off."""
    words = made_text(4_000, formulaic=False, seed=9)
    formula = "on þone hwitan stan of þam stane "
    original = words[:2_000] + formula + words[2_000:2_300] + words[2_300:]
    spoiled = "on þane hwjtan sten af þam ztane "
    copy = words[:2_000] + spoiled + words[2_000:2_300] + formula + words[2_300:]
    steps = align(original, copy).steps.tolist()
    answered = [
        c0 + 2_000 + at - o0
        for o0, o1, c0, _, kind in steps
        for at in range(len(formula))
        if kind == StepKind.KEPT and o0 <= 2_000 + at < o1
    ]
    assert answered and set(answered) <= set(range(2_000, 2_000 + len(formula)))


@settings(deadline=None)
@given(st.lists(st.integers(0, 30), max_size=30))
def test_the_longest_chain_ascends(places: list[int]) -> None:
    """The chain ascends, and no ascending sequence among the places is longer."""
    chain = [places[at] for at in longest_chain(places)]
    assert all(one < other for one, other in pairwise(chain))
    best: list[int] = []
    for at, place in enumerate(places):
        best.append(1 + max((best[prior] for prior in range(at) if places[prior] < place), default=0))
    assert len(chain) == max(best, default=0)


@pytest.mark.parametrize("noise", [0.02, 0.1])
def test_a_text_in_pieces_is_aligned_like_a_whole_one(monkeypatch: pytest.MonkeyPatch, noise: float) -> None:
    """Cut into many pieces, a text comes out as dear as uncut, and its pieces cover both texts."""
    pair = made_pair(60_000, noise, seed=6)
    whole = align(pair.original, pair.copy)
    monkeypatch.setattr(pieces, "PIECE", 5_000)
    cut = pieces_of(numbered(pair.original, pair.copy, NO_FOLDS))
    assert len(cut) > 6
    for one, other in pairwise(cut):
        assert (one.end, one.end_copy) == (other.start, other.start_copy)
    assert (cut[-1].end, cut[-1].end_copy) == (len(pair.original), len(pair.copy))
    in_pieces = align(pair.original, pair.copy)
    assert in_pieces.cost == pytest.approx(whole.cost, rel=2e-3)
    assert in_pieces.steps[:, 1].max() == len(pair.original)


def test_a_lost_quire_and_a_preface_are_one_step_each() -> None:
    """Much more than a piece lost, and as much put before: two skips, and the rest as it was."""
    text = made_text(900_000, formulaic=False, seed=8)
    preface = made_text(400_000, formulaic=False, seed=88).upper()
    steps = align(text, preface + text[:200_000] + text[650_000:]).steps.tolist()
    skipped = [(o1 - o0, c1 - c0) for o0, o1, c0, c1, kind in steps if kind == StepKind.SKIPPED]
    assert sorted(skipped) == [(0, 400_000), (450_000, 0)]
    assert sum(kind != StepKind.KEPT for *_, kind in steps) == 2


def test_the_sample_is_part_of_the_pieces() -> None:
    """Of a long text a few stretches are learned from first, each beginning and ending at an anchor."""
    pair = made_pair(200_000, 0.02, seed=2)
    texts = numbered(pair.original, pair.copy, NO_FOLDS)
    every = pieces_of(texts)
    sample = sample_of(every)
    assert 2 <= len(sample) <= 4
    assert 10_000 < sum(part.end - part.start for part in sample) < 60_000
    for part in sample:
        o, c, size = part.anchors[0].tolist()
        assert (o, c) == (0, 0)
        assert pair.original[part.start :][:size] == pair.copy[part.start_copy :][:size]
    short = pieces_of(numbered(pair.original[:9_000], pair.copy[:9_000], NO_FOLDS))
    assert sample_of(short) is short


@pytest.mark.parametrize("noise", [0.02, 0.1])
def test_rounds_bring_the_whole_down(noise: float) -> None:
    """What is brought down is told for each round; the last is the cost and the naming of operations."""
    pair = with_operations(30_000, noise, 0.1, seed=3)
    alignment = align(pair.original, pair.copy)
    assert alignment.rounds == len(alignment.objectives) > 1
    assert alignment.objectives[-1] < alignment.objectives[0]
    named = alignment.counted.several  # type: ignore[attr-defined]  # it is the alignment's AnswerTotals
    letters = len(set(pair.original + pair.copy))
    naming = sum(len(o) + len(c) for o, c in named) * np.log(letters)
    assert len(named) > 5 and alignment.objectives[-1] == pytest.approx(alignment.cost + naming)


def test_a_worse_round_is_not_the_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where new costs make the whole dearer, the round before stands."""
    pair = made_pair(3_000, 0.05, seed=1)
    honest = Pair._round
    calls = 0

    def dearer(self: Pair, parts: object, totals: object) -> object:
        nonlocal calls
        calls += 1
        found = honest(self, parts, totals)  # type: ignore[arg-type]
        if calls == 2:
            object.__setattr__(found, "objective", found.objective * 10)
        return found

    monkeypatch.setattr(Pair, "_round", dearer)
    alignment = align(pair.original, pair.copy)
    assert calls == 3 and alignment.counted is None
    assert alignment.objectives[2] == alignment.objectives[0]


def test_rare_changes_are_forgotten_without_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    """With room for hardly a change, what was met once counts letter by letter, as it does in the end."""
    pair = made_pair(8_000, 0.15, seed=5)
    steps = align(pair.original, pair.copy).steps
    whole = count_answers_of(steps, pair.original, pair.copy)
    monkeypatch.setattr(counts, "MOST_CHANGES", 10)
    tight = count_answers_of(steps, pair.original, pair.copy)
    assert tight == whole


def test_letters_kept_are_counted_alike() -> None:
    """Counting the letters kept as all less the others gives what counting them pair by pair gives."""
    pair = made_pair(5_000, 0.1, seed=5)
    texts = numbered(pair.original, pair.copy, NO_FOLDS)
    steps = align(pair.original, pair.copy).steps
    one, other = Tally(texts), Tally(texts)
    one.add(steps, alike=True)
    other.add(steps, alike=False)
    assert (one.kept == other.kept).all() and one.letters_kept() > 3_000
    assert kept_share(align(pair.original, pair.copy)) > 0.7


def most_room(letters: int) -> int:
    """Give the most memory in bytes that an alignment took at once beside its texts and its steps."""
    pair = made_pair(letters, 0.02, seed=1)
    witnesses = Witness("O", pair.original), Witness("C", pair.copy)
    tracemalloc.start()
    try:
        alignment = align_witnesses(*witnesses)
        return tracemalloc.get_traced_memory()[1] - alignment.steps.nbytes
    finally:
        tracemalloc.stop()


def test_room_does_not_grow_with_the_text(monkeypatch: pytest.MonkeyPatch) -> None:
    """Eight times the text takes little more room: two bytes a letter, and ten set aside for steps."""
    monkeypatch.setattr(pieces, "PIECE", 20_000)
    align(*(made_text(500, formulaic=False, seed=1),) * 2)  # what is set up once is not counted
    small, large = most_room(60_000), most_room(480_000)
    assert large < small + 16 * 420_000
