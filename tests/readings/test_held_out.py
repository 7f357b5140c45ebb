"""What is held out: each survivor once, never learned from, and judged by the original alone."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.copyist.model import Model
from fidelity.copyist.tagging import Tagged
from fidelity.readings.held_out import Learner, Part, cut, hold_out, parts_of


def tagged(copied: str, original: str | None = None) -> Tagged:
    """Tag a copy letter for letter."""
    return Tagged(copied, tuple(original or copied), (True,) * len(copied))


def learner_of(stretches: Sequence[Tagged], lines: Sequence[tuple[int, ...]]) -> Learner:
    """Make a learner of survivors without reference texts."""
    return Learner(tuple(stretches), tuple(lines), (), frozenset(), beam=8)


@given(st.lists(st.integers(0, 300), min_size=2, max_size=25), st.integers(2, 10))
def test_each_survivor_is_left_out_once(sizes: list[int], folds: int) -> None:
    """Several survivors: each is a part by itself, in one of at most so many rounds of like size."""
    learner = learner_of([tagged("a" * size) for size in sizes], [(0,)] * len(sizes))
    parts = parts_of(learner, [[""]] * len(sizes), folds)
    assert [(part.survivor, part.start, part.end) for part in parts] == [
        (number, 0, size) for number, size in enumerate(sizes)
    ]
    rounds = {part.fold for part in parts}
    assert rounds <= set(range(min(folds, len(sizes))))
    loads = [sum(part.end - part.start for part in parts if part.fold == fold) for fold in rounds]
    assert max(loads) - min(loads) <= max(sizes)


@st.composite
def one_survivor(draw: st.DrawFn) -> tuple[str, tuple[int, ...], list[str]]:
    """Draw a copy of some lines on some pages."""
    lines = draw(st.lists(st.text("ab ", min_size=1, max_size=12).map(str.strip).filter(bool), min_size=1))
    pages = sorted(
        draw(st.lists(st.sampled_from(["1r", "1v", "2r"]), min_size=len(lines), max_size=len(lines)))
    )
    starts, at = [], 0
    for line in lines:
        starts.append(at)
        at += len(line) + 1
    return " ".join(lines), tuple(starts), pages if draw(st.booleans()) else [""] * len(lines)


@settings(deadline=None)
@given(one_survivor(), st.integers(2, 10))
def test_a_single_survivor_is_cut_up(survivor: tuple[str, tuple[int, ...], list[str]], folds: int) -> None:
    """Parts stand in order, one line end between them, and cover the copy; each has its own round."""
    copied, lines, pages = survivor
    parts = parts_of(learner_of([tagged(copied)], [lines]), [pages], folds)
    assert [part.fold for part in parts] == list(range(len(parts)))
    assert len(parts) <= folds
    assert (parts[0].start, parts[-1].end) == (0, len(copied))
    for before, after in pairwise(parts):
        assert copied[before.end : after.start] == " "
        assert after.start in lines
    if len(lines) >= 2:
        assert len(parts) >= 2


def test_pages_are_not_cut_where_there_are_enough() -> None:
    """A survivor of four pages is left out page by page in four rounds."""
    lines = tuple(range(0, 240, 10))
    pages = [page for page in ("1r", "1v", "2r", "2v") for _ in range(6)]
    copied = "on þa  ac " * 24
    parts = parts_of(learner_of([tagged(copied[:-1])], [lines]), [pages], 4)
    assert [part.start for part in parts] == [0, 60, 120, 180]


def test_nothing_is_learned_from_what_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    """In each round the model sees all the rest and not one letter of what is left out."""
    shown: list[list[str]] = []
    learn = Learner.model_of

    def watched(self: Learner, stretches: Sequence[Tagged]) -> Model:
        shown.append([stretch.copied for stretch in stretches])
        return learn(self, stretches)

    monkeypatch.setattr(Learner, "model_of", watched)
    copied = "aaa aaa bbb bbb ccc ccc"
    learner = learner_of([tagged(copied)], [(0, 4, 8, 12, 16, 20)])
    list(hold_out(learner, [Part(0, 0, 7, 0), Part(0, 8, 15, 1), Part(0, 16, 23, 2)]))
    assert [" ".join("".join(stretches).split()) for stretches in shown] == [
        "bbb bbb ccc ccc",
        "aaa aaa ccc ccc",
        "aaa aaa bbb bbb",
    ]


def test_candidates_are_judged_by_the_original() -> None:
    """A reading of the unit is right to the letter; a single letter if it brings the unit nearer."""
    known = [tagged("wær on fyre ", "wæs on fyre ")] * 8 + [tagged("her on felda ", "her on felda ")] * 4
    held = tagged("wær on lande wær ", "wæs on lande wær ")
    learner = learner_of([*known, held], [(0,)] * 13)
    parts = [Part(number, 0, len(one.copied), int(number == 12)) for number, one in enumerate(learner.tagged)]
    [found] = [one for one in hold_out(learner, parts) if one.part.survivor == 12]
    assert found.judged
    proposed = [one for one in found.judged if one.candidate.proposed == "wæs"]
    assert {(one.candidate.start, one.right) for one in proposed} == {(0, True), (13, False)}
    for one in found.judged:
        if not one.candidate.single:
            assert one.right == (one.candidate.proposed == one.truth)


def test_untrusted_units_are_not_judged() -> None:
    """Where the original is damaged there is no truth to judge by."""
    known = [tagged("wær on fyre ", "wæs on fyre ")] * 8
    doubtful = Tagged("wær ac", tuple("wæs ac"), (True, True, False, True, True, True))
    learner = learner_of([*known, doubtful], [(0,)] * 9)
    parts = [Part(number, 0, len(one.copied), int(number == 8)) for number, one in enumerate(learner.tagged)]
    [found] = [one for one in hold_out(learner, parts) if one.part.survivor == 8]
    assert [unit.transmitted for unit in found.units] == ["wær", "ac"]
    assert not any(one.candidate.start < 3 for one in found.judged)


def test_a_cut_keeps_letters_and_tags_together() -> None:
    """A stretch cut out has its letters, its tags and its trust."""
    whole = Tagged("wær on", tuple("wæs on"), (True, True, False, True, True, True))
    assert cut(whole, 1, 4) == Tagged("ær ", ("æ", "s", " "), (True, False, True))
