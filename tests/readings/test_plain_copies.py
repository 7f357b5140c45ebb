"""The benchmark on plain copies: the simulation plants what it says, and the scores are right by hand.

``tests/benchmarks/plain_copies.py`` gives the figures of twenty copyists.
"""

from __future__ import annotations

from collections import Counter
from functools import cache

import numpy as np
import pytest

from fidelity.terms import Locus, ProposedReading, Witness
from tests.benchmarks.plain_copies import MODES, dossier_of, right_interval, verdicts
from tests.benchmarks.plain_scoring import Found, Proposals, WrongWord, scored
from tests.planted import saga_lines
from tests.planted_mechanisms import Edit
from tests.planted_plain import (
    LOST_LETTERS,
    RATES,
    SHARES,
    SURVIVOR_LETTERS,
    SURVIVORS,
    PlainCase,
    PlainCopy,
    plain_copies,
    plain_copyist,
)

COPYISTS = 20


@cache
def cases() -> tuple[PlainCase, ...]:
    return tuple(plain_copies(seed) for seed in range(1, COPYISTS + 1))


def texts(case: PlainCase) -> tuple[PlainCopy, ...]:
    return (*case.survivors, case.lost)


def test_texts_do_not_overlap() -> None:
    """Survivors, lost text and reference are the saga cut up, from some word on and round its end."""
    saga = " ".join(saga_lines()).split()
    for case in cases():
        words = " ".join([*(one.original for one in texts(case)), case.reference]).split()
        assert Counter(words) == Counter(saga)
        start = next(at for at in range(len(saga)) if saga[at : at + 12] == words[:12])
        assert words == saga[start:] + saga[:start]
        assert len(case.survivors) == SURVIVORS
        assert all(abs(len(one.original) - SURVIVOR_LETTERS) < 20 for one in case.survivors)
        assert abs(len(case.lost.original) - LOST_LETTERS) < 20
        assert len(case.reference) > 70_000


def test_copyists_err_as_often_as_they_should() -> None:
    """Each errs at his own rate, 2-6 in 1,000 letters, in all his texts together; so do all together."""
    planted, expected = 0, 0.0
    for case in cases():
        letters = sum(len(one.original) for one in texts(case))
        errors = sum(len(one.edits) for one in texts(case))
        assert RATES[0] <= case.copyist.rate <= RATES[1]
        assert 0.7 < errors / letters / case.copyist.rate < 1.3
        planted, expected = planted + errors, expected + case.copyist.rate * letters
    assert 0.95 < planted / expected < 1.05


def test_errors_cluster_on_bad_pages() -> None:
    """A bad page, one in five, has at least twice the rate of a good one, in all copies together."""
    errors, letters, pages = Counter[bool](), Counter[bool](), Counter[bool]()
    for case in cases():
        for one in texts(case):
            ends = [*one.pages[1:], len(one.original)]
            for bad, start, end in zip(one.bad, one.pages, ends, strict=True):
                errors[bad] += sum(start <= edit.start < end for edit in one.edits)
                letters[bad] += end - start
                pages[bad] += 1
    assert 0.15 < pages[True] / pages.total() < 0.25
    assert 2.0 < (errors[True] / letters[True]) / (errors[False] / letters[False]) < 4.0


def test_kinds_of_error_and_habits() -> None:
    """Each kind is planted about as often as it should be; the first of five shapes oftenest."""
    kinds = Counter(edit.cause for case in cases() for one in texts(case) for edit in one.edits)
    shapes: Counter[int] = Counter()
    for case in cases():
        assert sum(case.copyist.shares.values()) == pytest.approx(1)
        habits = list(case.copyist.shapes)
        assert len(habits) == 5
        for one in texts(case):
            for edit in one.edits:
                pair = (one.original[edit.start : edit.end], edit.written)
                if edit.cause == "misreading" and pair in habits:
                    shapes[habits.index(pair)] += 1
    for kind, share in SHARES.items():
        assert 0.75 < kinds[kind] / kinds.total() / share < 1.3, kind
    assert shapes[0] > shapes[1] > shapes[2] > shapes[4]
    assert shapes.total() > 0.85 * kinds["misreading"]


def test_copyists_differ_and_can_be_drawn_again() -> None:
    """No two have the same confusions at the same rate; the same seed gives the same copies."""
    assert len({tuple(case.copyist.shapes) for case in cases()}) == COPYISTS
    assert plain_copies(3) == cases()[2] and plain_copyist(3) == cases()[2].copyist


def test_truth_is_what_was_planted() -> None:
    """The truth gives back the original, but for skips of more than six letters; edits give the copy."""
    for case in cases():
        for one in texts(case):
            copy, left_out, at = [], [], 0
            for edit, (start, end) in zip(one.edits, one.copied, strict=True):
                assert one.copy[start:end] == edit.written
                assert one.original[edit.start : edit.end] != edit.written
                copy += [one.original[at : edit.start], edit.written]
                skip = edit.end - edit.start > 6 and not edit.written
                left_out += [one.original[at : edit.start if skip else edit.end]]
                at = edit.end
            assert "".join([*copy, one.original[at:]]) == one.copy
            assert one.truth().original(0, len(one.copy)) == "".join([*left_out, one.original[at:]])


@pytest.mark.parametrize("mode", MODES)
def test_the_program_is_not_shown_the_lost_original(mode: str) -> None:
    """The dossier has the copies as written, and the lost original stands nowhere in it."""
    case = cases()[0]
    dossier = dossier_of(case, mode)
    assert [one.copy.letters for one in dossier.survivors] == [one.copy for one in case.survivors]
    assert dossier.lost[0].copy.letters == case.lost.copy
    assert bool(dossier.references) == (mode == "text")
    shown = [one.original.letters for one in dossier.survivors] + [one.letters for one in dossier.references]
    rows = [case.lost.original[at : at + 80] for at in range(0, LOST_LETTERS - 80, 80)]
    assert not any(row in text for row in rows for text in shown)


#        0         1         2         3
#        0123456789012345678901234567890123
HAND_ORIGINAL = "hann gekk ok sá at maðr var þar en"
HAND_EDITS = (
    Edit("misreading", 1, 2, "o"),
    Edit("spelling", 11, 12, "g"),
    Edit("division", 18, 19, ""),
    Edit("misreading", 24, 25, "n"),
)
HAND_COPY = "honn gekk og sá atmaðr nar þar en"


def hand_copy() -> PlainCopy:
    copied = ((1, 2), (11, 12), (18, 18), (23, 24))
    return PlainCopy(HAND_ORIGINAL, HAND_COPY, HAND_EDITS, copied, (0,), (False,))


def proposal(
    transmitted: str, proposed: str, p: float, *rivals: tuple[str, float], at: int | None = None
) -> ProposedReading:
    start = HAND_COPY.index(transmitted) if at is None else at
    span = (start, start + len(transmitted))
    return ProposedReading(
        1, "L", Locus("L", "1", 1), span, transmitted, proposed, p, alternatives=tuple(rivals)
    )


def hand_scored(*readings: ProposedReading) -> Found:
    known = {"nar", "hann", "ok", "at"}
    by_word = {"honn": ("hann", 0.995), "og": ("ok", 0.95), "sá": ("só", 0.99), "en": ("in", 0.7)}
    copy = Witness("L", HAND_COPY)
    case = PlainCase(plain_copyist(1), (hand_copy(),), hand_copy(), "")
    return scored(1, "none", case, copy, readings, known, lambda word: by_word.get(word, (word, 1.0)))


def test_scores_by_hand() -> None:
    """One word restored, one wrong proposal, one right at .6, one among the rivals, one nowhere."""
    found = hand_scored(
        proposal("honn", "hann", 0.95),
        proposal("gekk", "gekt", 0.9),
        proposal("og", "ok", 0.6),
        proposal("nar", "mar", 0.3, ("var", 0.2)),
    )
    assert (found.errors, found.wrong_words) == (4, 4)
    assert found.sure == Proposals(words=2, words_right=1, letters=0, letters_right=0)
    assert found.fates == {
        ("misreading", "once", "sure", False): 1,
        ("spelling", "once", "0.5-0.9", False): 1,
        ("division", "once", "nowhere", False): 1,
        ("misreading", "once", "outweighed", True): 1,
    }
    assert (found.before, found.after_sure, found.after_settled) == (4, 4, 3)
    assert found.text is not None
    assert (found.text.wrong_words, found.text.restored) == (4, (2, 1, 1))
    assert found.text.right == (True, False, True, False)
    assert found.channel == {0.9: (3, 2), 0.99: (2, 1)}  # changed, right


def test_letters_count_apart() -> None:
    """A sure proposal of a letter that makes the word right restores it, and is no proposal of a word."""
    found = hand_scored(proposal("g", "k", 0.92, at=11), proposal("atmaðr", "at maðr", 0.3))
    assert found.sure == Proposals(words=0, words_right=0, letters=1, letters_right=1)
    assert found.fated("sure", error="spelling") == 1
    assert found.fated("0.2-0.5", error="division") == 1
    assert found.fated("nowhere", known=True, seen="once") == 1  # nar is a word
    assert (found.before, found.after_sure, found.after_settled) == (4, 3, 3)


def test_the_interval_allows_for_copyists() -> None:
    """Where the wrong proposals are all one copyist's, the interval is wider than where they are spread."""

    def share(right: list[int]) -> tuple[float, float, float]:
        found = [
            Found(seed, "none", 9, 9, Proposals(10, count, 0, 0), Counter(), {}, 9, 9, 9)
            for seed, count in enumerate(right)
        ]
        interval = right_interval(found)
        assert interval is not None
        return interval

    spread, heaped = share([9] * 10), share([0] + [10] * 9)
    assert spread[0] == heaped[0] == pytest.approx(0.9)
    assert heaped[1] < spread[1] < 0.9 < spread[2] <= heaped[2]
    assert np.isfinite([*spread, *heaped]).all()


def test_aims_stand_beside_the_figures() -> None:
    """Too few right, too few restored, and a loss are each called by name."""
    fates = Counter(
        {
            WrongWord("misreading", "once", "sure", False): 1,
            WrongWord("misreading", "never", "nowhere", False): 9,
        }
    )
    channel = {0.9: (4, 2), 0.99: (2, 2)}
    lines = verdicts([Found(1, "none", 10, 10, Proposals(2, 1, 0, 0), fates, channel, 10, 11, 10)], "none")
    assert [("NOT met" in line) for line in lines] == [True, True, True, False, False, False]
    assert "2 of 4 right (0.500), wrong words restored 0.200" in lines[-2]
