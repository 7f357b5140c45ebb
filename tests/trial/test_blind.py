"""The blind test: its scores against published figures, and that it is blind."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss

import fidelity
from fidelity.audit import hold_out_survivors, judge, learner_of, trial_of
from fidelity.dossier import Dossier, Survivor
from fidelity.errors import DataError
from fidelity.settings import Settings
from fidelity.terms import Locus, TrialReading, Witness
from fidelity.trial.blind import _brier
from fidelity.trial.interval import share_interval
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted import plant, saga_lines


def said(probability: float, right: bool) -> TrialReading:
    return TrialReading(
        "E", Locus("E", "1", 1), "a", "b", "b" if right else "a", probability, right, single=False
    )


def test_brier_score_of_the_first_paper() -> None:
    """Ten forecasts of rain: .19 in Brier's two-class form, .095 in the one-class form used here.

    Brier 1950, Monthly Weather Review 78, 1-3, his own table (the data from memory, the sum done
    again).
    """
    forecasts = [0.7, 0.9, 0.8, 0.4, 0.2, 0.0, 0.0, 0.0, 0.0, 0.1]
    outcomes = [0, 1, 1, 1, 0, 0, 0, 0, 0, 0]
    readings = [said(p, bool(o)) for p, o in zip(forecasts, outcomes, strict=True)]
    assert _brier(readings) == pytest.approx(0.095)


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1))
def test_brier_score_against_a_library(pairs: list[tuple[float, bool]]) -> None:
    """The score is scikit-learn's."""
    found = _brier([said(p, right) for p, right in pairs])
    expected = brier_score_loss(
        [right for _, right in pairs], [p for p, _ in pairs], pos_label=True, labels=[False, True]
    )
    assert found == pytest.approx(expected)


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(1, 9)), min_size=1, max_size=30))
def test_intervals_of_shares(pages: list[tuple[int, int]]) -> None:
    """The interval is a part of 0-1 and holds the share itself."""
    right = {str(at): min(k, n) for at, (k, n) in enumerate(pages)}
    all_of_them = {str(at): n for at, (_, n) in enumerate(pages)}
    low, high = share_interval(right, all_of_them, 0.95)
    share = sum(right.values()) / sum(all_of_them.values())
    assert 0 <= low <= share + 1e-9
    assert share - 1e-9 <= high <= 1


def test_clusters_that_differ_widen_the_interval() -> None:
    """Ten pages all right and ten all wrong say less than twenty pages of half and half."""
    each = {str(page): 10 for page in range(20)}
    alike = share_interval(dict.fromkeys(each, 5), each, 0.95)
    unlike = share_interval({page: 10 * (int(page) % 2) for page in each}, each, 0.95)
    assert unlike[1] - unlike[0] > 2 * (alike[1] - alike[0])


def dossier_of(number: int, lines: int = 60) -> Dossier:
    """Give a dossier of so many survivors with one habit (ð written d) and chance slips."""
    survivors = []
    for at in range(number):
        text = saga_lines()[at * lines : (at + 1) * lines]
        original, copy, _ = plant(text, {("ð", "d"): 0.4}, seed=at)
        name = f"S{at}"
        first, second = (read_witness("\n".join(some), siglum=name) for some in (original, copy))
        survivors.append(Survivor(name, first, second))
    return Dossier(Path(), "", "", NO_FOLDS, tuple(survivors), (), (), (), Settings())


def test_a_survivor_left_out_teaches_nothing() -> None:
    """Changing the original of a survivor does not change what is proposed on it when it is left out."""
    given_dossier = dossier_of(3)
    first = given_dossier.survivors[0]
    other_words = read_witness(first.original.letters.replace("sigurðr", "sigurdr"), siglum=first.id)
    changed = replace(
        given_dossier, survivors=(replace(first, original=other_words), *given_dossier.survivors[1:])
    )
    proposals = []
    for dossier in (given_dossier, changed):
        found = judge(dossier)
        learner = learner_of(found)
        held = hold_out_survivors(found, learner, lambda _: None)
        proposals.append([unit.readings for part in held if part.part.survivor == 0 for unit in part.units])
    assert proposals[0] == proposals[1]
    assert proposals[0]


def test_trial_counts_what_it_says() -> None:
    """Precision counts the readings listed; right ones are the original's; a habit is found again."""
    found = judge(dossier_of(3))
    learner = learner_of(found)
    trial = trial_of(found, learner, hold_out_survivors(found, learner, lambda _: None))
    assert trial is not None
    assert (trial.left_out, trial.rounds) == ("survivor", 3)
    for row in trial.precisions:
        some = [one for one in trial.readings if one.probability >= row.at_least]
        assert (row.proposals, row.right) == (len(some), sum(one.right for one in some))
        assert row.low <= row.right / max(row.proposals, 1) <= row.high or not row.proposals
    assert sum(band.proposals for band in trial.bands) == len(trial.readings)
    assert all(one.proposed == one.original for one in trial.readings if one.right and not one.single)
    steps = Counter((one.transmitted, one.proposed) for one in trial.readings if one.right)
    assert any("d" in transmitted and "ð" in proposed for transmitted, proposed in steps)
    assert trial.wrong_letters_left < trial.wrong_letters


def test_bands_against_a_library() -> None:
    """What the bands said and what was found are scikit-learn's calibration curve, a tenth to a band."""
    found = judge(dossier_of(3))
    learner = learner_of(found)
    trial = trial_of(found, learner, hold_out_survivors(found, learner, lambda _: None))
    assert trial is not None
    some = [one for one in trial.readings if one.probability >= 0.5]
    assert len(some) > 50
    right, said = calibration_curve(
        [one.right for one in some], [one.probability for one in some], n_bins=10, strategy="uniform"
    )
    bands = [band for band in trial.bands if band.low >= 0.5]
    assert [band.said for band in bands] == pytest.approx(said)
    assert [band.found for band in bands] == pytest.approx(right)


def test_a_single_survivor_is_left_out_in_parts() -> None:
    """With one survivor its lines, or its pages where it has them, are left out in turn."""
    dossier = dossier_of(1, lines=120)
    assert fidelity.trial(dossier).left_out == "lines"
    (survivor,) = dossier.survivors
    paged = read_witness(
        "\n".join(
            line if number % 10 else f"[p. {number // 10 + 1}]\n{line}"
            for number, line in enumerate(survivor.copy.text_of_line(at) for at in range(120))
        ),
        siglum=survivor.id,
    )
    with_pages = replace(dossier, survivors=(replace(survivor, copy=paged),))
    assert fidelity.trial(with_pages).left_out == "pages"


def test_nothing_to_leave_out() -> None:
    """One line is not enough for a blind test, and that is said."""
    survivor = Survivor("E", Witness("E", "on þære stræte"), Witness("E", "on þæne stnæte"))
    dossier = Dossier(Path(), "", "", NO_FOLDS, (survivor,), (), (), (), Settings())
    with pytest.raises(DataError, match="do not allow a blind test"):
        fidelity.trial(dossier)
