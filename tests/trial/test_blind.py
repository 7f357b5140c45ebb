"""The blind test: that it is blind, and that its counts are of what it lists."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sklearn.calibration import calibration_curve

import fidelity
from fidelity.apparatus.entries_trial import level_rows
from fidelity.apparatus.sentences import suspects_sentence
from fidelity.audit import hold_out_survivors, judge, learner_of, rounds_of, trial_of
from fidelity.dossier import Dossier, Survivor
from fidelity.errors import DataError
from fidelity.settings import Settings
from fidelity.terms import ALL_KINDS, Suspects, Trial, Witness
from fidelity.trial.interval import share_interval
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted import plant, saga_lines


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


@cache
def tried() -> Trial:
    """Give the blind test of three survivors, the letter channel tried beside."""
    found = judge(dossier_of(3))
    learner = learner_of(found)
    rounds = rounds_of(found, learner, with_channel=True)
    trial = trial_of(found, learner, hold_out_survivors(found, learner, lambda _: None, rounds.note), rounds)
    assert trial is not None
    return trial


def test_trial_counts_what_it_says() -> None:
    """Precision counts the readings listed; right ones are the original's; a habit is found again."""
    trial = tried()
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
    trial = tried()
    some = [one for one in trial.readings if one.probability >= 0.5]
    assert len(some) > 50
    right, said = calibration_curve(
        [one.right for one in some], [one.probability for one in some], n_bins=10, strategy="uniform"
    )
    bands = [band for band in trial.bands if band.low >= 0.5 and band.kind == ALL_KINDS]
    assert [band.said for band in bands] == pytest.approx(said)
    assert [band.found for band in bands] == pytest.approx(right)


def test_what_went_unseen_is_counted() -> None:
    """Unseen are the wrong places without a proposal; kinds add up; good words are words of others."""
    trial = tried()
    whole, *kinds = trial.unseen_shares
    assert whole.kind == ALL_KINDS
    assert whole.unseen == len(trial.unseen) == sum(one.unseen for one in kinds)
    assert whole.wrong_places == trial.precisions[0].wrong_places == sum(one.wrong_places for one in kinds)
    assert whole.good_words == sum(one.good_words for one in trial.unseen)
    proposed = {(one.survivor, one.locus) for one in trial.readings}
    assert all(one.transmitted != one.original for one in trial.unseen)
    assert not {(one.survivor, one.locus) for one in trial.unseen} & proposed
    originals = {one.id: set(one.original.letters.split()) for one in dossier_of(3).survivors}
    for one in trial.unseen:
        others = set().union(*(words for text, words in originals.items() if text != one.survivor))
        assert one.good_words == (set(one.transmitted.split()) <= others)


def test_the_whole_program_stands_beside_the_simple_methods() -> None:
    """All methods are judged at the same places; the last rows are the trial's own figures."""
    trial = tried()
    names = [(one.method, one.at_least) for one in trial.methods]
    assert names == [
        ("as transmitted", None),
        ("nearest form", None),
        ("word memory", 0.5),
        ("word memory", 0.9),
        ("letter channel", 0.5),
        ("letter channel", 0.9),
        ("fidelity", 0.5),
        ("fidelity", 0.9),
    ]
    assert len({one.wrong_places for one in trial.methods}) == 1
    untouched, half, sure = trial.methods[0], trial.methods[-2], trial.methods[-1]
    assert (untouched.changed, untouched.restored) == (0, 0)
    assert untouched.wrong_letters_left == trial.wrong_letters
    assert half.wrong_letters_left == trial.wrong_letters_left
    for row, level in ((half, trial.precisions[0]), (sure, trial.precisions[2])):
        assert (row.changed, row.right, row.restored) == (level.proposals, level.right, level.restored)


def test_mistakes_are_the_wrong_proposals() -> None:
    """The worst mistakes are wrong, the most probable first, each with reasons; repeated ones are one."""
    trial = tried()
    wrong = [one for one in trial.readings if not one.right and one.probability >= 0.5]
    assert bool(trial.mistakes) == bool(wrong)
    told = [one.reading for one in trial.mistakes]
    assert all(one in wrong for one in told)
    assert [one.probability for one in told] == sorted((one.probability for one in told), reverse=True)
    assert all(one.reasons for one in trial.mistakes)
    assert sum(one.places for one in trial.mistakes) <= len(wrong)


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


def test_places_marked_as_corrupt_have_a_row_and_a_sentence() -> None:
    """They are counted apart from proposals, last in the table; without any there is neither."""
    trial = replace(tried(), suspects=Suspects(20, 15, 0.7, 0.5, 0.9))
    row = level_rows(trial)[-1]
    assert (row["kind"], row["at_least"], row["proposals"], row["right"]) == ("corrupt", 0.5, 20, 15)
    assert (row["precision"], row["low"], row["high"], row["restored"]) == (0.75, 0.5, 0.9, None)
    assert "20 places were marked as corrupt without a proposal; 15 were so" in suspects_sentence(trial)
    none = replace(trial, suspects=Suspects(0, 0, None, 0.0, 1.0))
    assert suspects_sentence(none) == ""
    assert all(one["kind"] != "corrupt" for one in level_rows(none))
