"""A man who wrote all his texts twice, simulated: what his fair copies add, and that they are tried blind."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from fidelity.audit import audit
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.judge import Audit
from fidelity.place import place
from fidelity.settings import Settings
from fidelity.terms.copies import MadeFrom
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted_plain import PlainCopy, copied, plain_copyist, stretches
from tests.planted_several import fair_copy

SEED, LETTERS = 7, (5_000, 5_000, 5_000)


@cache
def texts() -> tuple[tuple[PlainCopy, ...], tuple[str, ...]]:
    """Two survivors and a lost text, each as draft and as fair copy, by a man who errs often."""
    rng = np.random.default_rng(SEED)
    man = replace(plain_copyist(SEED), rate=0.012)
    drafts = tuple(copied(words, man, rng) for words in stretches(rng, LETTERS))
    return drafts, tuple(fair_copy(one, man, 0.5, rng) for one in drafts)


def dossier(with_fair: bool) -> Dossier:
    """Give the dossier with the fair copies, or without."""
    drafts, fairs = texts()
    others = [(read_witness(text, siglum="F"),) if with_fair else () for text in fairs]
    survivors = tuple(
        Survivor(
            f"S{at}",
            read_witness(one.original, siglum=f"S{at}"),
            read_witness(one.copy, siglum=f"S{at}"),
            other_copies=other,
        )
        for at, (one, other) in enumerate(zip(drafts[:-1], others[:-1], strict=True))
    )
    lost = (LostText("L", read_witness(drafts[-1].copy, siglum="L"), others[-1]),)
    return Dossier(Path(), "he", "", NO_FOLDS, survivors, lost, (), (), Settings(folds=4))


@cache
def audited(with_fair: bool) -> Audit:
    return audit(dossier(with_fair))


def sure_and_right(found: Audit) -> tuple[int, int]:
    """Count the proposals for whole words at 0.9 or more, and those the original reads."""
    truth = texts()[0][-1].truth()
    sure = [one for one in found.readings if one.is_proposal and one.probability >= 0.9]
    return len(sure), sum(one.proposed == truth.original(*one.copy_span) for one in sure)


def test_fair_copies_restore_more_and_are_right() -> None:
    """With his fair copies at least half as many more words are restored at .9, and nine in ten are right."""
    _, right_alone = sure_and_right(audited(with_fair=False))
    proposals, right = sure_and_right(audited(with_fair=True))
    assert right >= 1.5 * right_alone
    assert right >= 0.9 * proposals


def test_it_is_seen_from_what_they_were_made() -> None:
    """The errors they share are no coincidence: they were made from the drafts."""
    verdicts = {one.made_from for one in audited(with_fair=True).copies.rates if one.made_from}
    assert verdicts == {MadeFrom.FIRST}


def test_the_blind_test_has_them_beside() -> None:
    """Survivors are judged with their fair copies beside, and the probabilities hold there."""
    alone, beside = (audited(with_fair).trial for with_fair in (False, True))
    assert alone is not None and beside is not None
    sure = [one for one in beside.readings if one.probability >= 0.9]
    assert sum(one.right for one in sure) > 1.2 * sum(
        one.right for one in alone.readings if one.probability >= 0.9
    )
    assert sum(one.right for one in sure) >= 0.85 * len(sure)


def test_a_place_shows_the_other_copy_and_agrees_with_the_audit() -> None:
    """Where the copies differ, the place says so; what it says of the readings is what the audit says."""
    found = audited(with_fair=True)
    for one in [one for one in found.readings if one.is_proposal and not one.single and one.beside][:1]:
        there = place(dossier(with_fair=True), str(one.locus))
        readings = [rival.reading for unit in there.units for rival in unit.rivals]
        [same] = [each for each in readings if each.proposed == one.proposed]
        assert abs(same.probability - one.probability) < 1e-9
        assert same.beside == one.beside
        total = sum(each.probability for each in readings)
        assert total <= 1 + 1e-9
        if not one.beside[0].endswith("has the same"):
            assert [str(each.what) for each in there.copies] == ["they differ"]


def test_a_place_of_a_survivor_shows_the_other_copy() -> None:
    """Where the fair copy mended an error of the draft, the place in the original says so."""
    mended = next(
        one
        for one in audited(with_fair=True).copies.places
        if one.what == "first wrong, other right" and one.text == "S0" and " " not in one.original
    )
    words = texts()[0][0].original.split()
    assert mended.original in words
    shown = place(dossier(with_fair=True), f"S0 1.{_word_of(mended.original, mended.span)}")
    assert mended.original in [one.original for one in shown.copies]


def _word_of(word: str, span: tuple[int, int]) -> int:
    """Give the number of the word of the original that a span of the draft answers, by the nearest one."""
    words, at, best = texts()[0][0].original.split(), 0, (10**9, 0)
    for number, each in enumerate(words, start=1):
        if each == word:
            best = min(best, (abs(at - span[0]), number))
        at += len(each) + 1
    return best[1]
