"""Candidates: pieces and units cover the copy, spans replay, rivals share one probability."""

from __future__ import annotations

import math
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.model import Model, learn
from fidelity.copyist.tagging import tag_alignment
from fidelity.readings import candidates
from fidelity.readings.calibrating import Calibrating
from fidelity.readings.candidates import Unit, candidates_of, pieces
from fidelity.readings.features import log_odds
from fidelity.readings.select import chosen
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from tests.planted import plant, saga_lines

BEAM = 24


@cache
def learned() -> tuple[Model, str, tuple[int, ...], str]:
    """Learn from two hundred lines with planted habits; give the next thirty, copied, and the truth."""
    habits = {("s", "r"): 0.15, ("n", "u"): 0.1, ("t", "c"): 0.1, (" ", ""): 0.02}
    original, copied, _ = plant(saga_lines()[:230], habits, seed=5)
    pair = Witness("O", " ".join(original[:200])), Witness("C", " ".join(copied[:200]))
    tagged = tag_alignment(align_witnesses(*pair), NO_FOLDS)
    model = learn([tagged], [pair[0].letters], published=[("f", "ſ")])
    copy = " ".join(copied[200:])
    starts, at = [], 0
    for line in copied[200:]:
        starts.append(at)
        at += len(line) + 1
    return model, copy, tuple(starts), " ".join(original[200:])


@cache
def units() -> tuple[Unit, ...]:
    """Restore the thirty lines."""
    model, copy, starts, _ = learned()
    return tuple(candidates_of(copy, starts, model, BEAM))


@settings(deadline=None, max_examples=150)
@given(st.text("ab \t", max_size=120), st.data())
def test_pieces_cover_the_copy(copied: str, data: st.DataObject) -> None:
    """Pieces stand in order and do not overlap; between them is one division and nothing else."""
    starts = data.draw(st.lists(st.integers(0, max(len(copied) - 1, 0)), max_size=8))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(candidates, "PIECE", data.draw(st.integers(2, 20)))
        spans = pieces(copied, tuple(sorted({0, *starts})))
    at = 0
    for start, end in spans:
        assert at <= start < end <= len(copied)
        assert copied[at:start].isspace() or at == start == 0
        at = end
    assert not copied[at:].strip()


def test_pieces_keep_lines_together() -> None:
    """Short lines go together up to the size of a piece; a long line is cut at a division."""
    line = "of þam clife on þa greatan ac " * 5  # 150 letters
    spans = pieces(line * 6, tuple(range(0, 900, 150)))
    assert [end + 1 for _, end in spans[:-1]] == [450]
    prose = "wulfstanes beorh " * 200
    assert all(end - start <= 2 * candidates.PIECE for start, end in pieces(prose, (0,)))
    assert all(prose[end] == " " for _, end in pieces(prose, (0,))[:-1])


def test_units_cover_the_copy() -> None:
    """Every letter of the copy stands in one unit, but for the divisions that are surely kept."""
    _, copy, _, _ = learned()
    at = 0
    for unit in units():
        assert at <= unit.start < unit.end
        assert not copy[at : unit.start].strip()
        assert unit.transmitted == copy[unit.start : unit.end]
        at = unit.end
    assert not copy[at:].strip()


def test_candidates_replay() -> None:
    """Each candidate stands for the letters of the copy it names, and is something else."""
    _, copy, _, _ = learned()
    seen = 0
    for unit in units():
        for one in [*unit.words, *unit.letters]:
            assert copy[one.start : one.end] == one.transmitted != one.proposed
            assert unit.start <= one.start < one.end <= unit.end
            seen += 1
        assert all((one.start, one.end) == (unit.start, unit.end) for one in unit.words)
        assert all(one.end == one.start + 1 and one.single for one in unit.letters)
    assert seen > 50


def test_rivals_share_one_probability() -> None:
    """Readings of a unit sum to at most 1; the likeliest come first, then known words near an unknown one."""
    near = 0
    for unit in units():
        assert math.fsum(unit.readings.values()) <= 1 + 1e-9
        others = sorted((p for text, p in unit.readings.items() if text != unit.transmitted), reverse=True)
        likely = [p for p in others[: candidates.MOST_READINGS] if p >= candidates.LEAST_POSTERIOR]
        posteriors = [one.posterior for one in unit.words]
        assert posteriors[: len(likely)] == likely
        assert all(unit.readings.get(one.proposed, 0.0) == one.posterior for one in unit.words)
        for one in unit.words[len(likely) :]:
            assert all(word in learned()[0].words for word in one.proposed.split())
            near += 1
        assert len({one.proposed for one in unit.words}) == len(unit.words)
        assert unit.transmitted in unit.readings or not unit.words or posteriors[0] > 0.5
    assert near > 0


def test_what_is_chosen_leaves_room_for_its_rivals() -> None:
    """A proposal and its rivals, "as transmitted" among them, have together no more than 1."""
    calibration = Calibrating([]).without()
    choices = [choice for unit in units() for choice in chosen(unit, calibration, report_from=0.2)]
    assert len(choices) > 20
    for choice in choices:
        assert 0.2 <= choice.probability <= 1
        proposed = 0.0 if choice.suspect else choice.probability
        assert proposed + math.fsum(p for _, p in choice.rivals) <= 1 + 1e-9
        assert choice.candidate.transmitted in [reading for reading, _ in choice.rivals]


def test_features_are_numbers() -> None:
    """All candidates of a kind have as many features, all finite, the model's own log odds first."""
    for kind in ("words", "letters"):
        found = [one for unit in units() for one in getattr(unit, kind)]
        assert len({len(one.features) for one in found}) == 1
        assert all(math.isfinite(feature) for one in found for feature in one.features)
        assert all(one.features[0] == log_odds(one.posterior) for one in found)


def test_most_of_what_was_planted_is_found() -> None:
    """Put in where more probable than not, the candidates take away a third of the wrong letters."""
    _, copy, _, original = learned()
    pieces_of_text, at = [], 0
    for unit in units():
        best = unit.words[0] if unit.words and unit.words[0].posterior > 0.5 else None
        pieces_of_text += [copy[at : unit.start], best.proposed if best else unit.transmitted]
        at = unit.end
    restored = "".join([*pieces_of_text, copy[at:]])
    before, after = Levenshtein.distance(copy, original), Levenshtein.distance(restored, original)
    assert after < before * 2 / 3


@given(st.floats(0, 1))
def test_log_odds_are_bounded(p: float) -> None:
    """Certainty either way is no more than one in ten thousand."""
    assert abs(log_odds(p)) <= math.log((1 - 1e-4) / 1e-4) + 1e-9
    assert log_odds(0.5) == 0
