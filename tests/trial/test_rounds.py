"""What a round of the blind test knows: all but what was left out in it."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import pytest

from fidelity.audit import hold_out_survivors, judge, learner_of, rounds_of
from fidelity.judge import Audit
from fidelity.readings.evidence import EvidenceBook
from fidelity.trial.rounds import Rounds
from tests.trial.test_blind import dossier_of


@cache
def noted(survivors: int) -> tuple[Audit, Rounds]:
    """Give what was found in so many survivors, and what the rounds of their blind test knew."""
    dossier = dossier_of(survivors, lines=40)
    found = judge(replace(dossier, settings=replace(dossier.settings, folds=3)))
    learner = learner_of(found)
    rounds = rounds_of(found, learner)
    hold_out_survivors(found, learner, lambda _: None, rounds.note)
    return found, rounds


@pytest.mark.parametrize("survivors", [1, 3])
def test_the_evidence_of_the_rounds_adds_up(survivors: int) -> None:
    """Each place and each chance is left out in one round of three, so the rounds have twice all."""
    found, rounds = noted(survivors)
    whole = EvidenceBook(found.by_survivor, found.variants, found.counts, found.dossier.folds)
    assert len(rounds.noted) == 3
    places, chances = Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for fold in rounds.noted:
        book = rounds.of(fold).book
        places.update({step: len(made.loci) for step, made in book.places.items()})
        chances.update(chances_by_page(book))
    assert places == {step: 2 * len(made.loci) for step, made in whole.places.items()}
    assert chances == {place: 2 * count for place, count in chances_by_page(whole).items()}


def chances_by_page(book: EvidenceBook) -> dict[tuple[str, str], int]:
    """Give how often each single letter might have gone wrong on each page."""
    return {
        (letters, page): count
        for letters, pages in book.chances.items()
        for page, count in pages.items()
        if len(letters) == 1 and count
    }


def test_nothing_left_out_is_known() -> None:
    """No place of the survivor left out is cited, and its words are known from others only."""
    found, rounds = noted(3)
    originals = [one.original.letters.split() for one in found.dossier.survivors]
    for fold in rounds.noted:
        known = rounds.of(fold)
        [part] = known.parts
        left_out = found.dossier.survivors[part.survivor].id
        cited = {locus.text for made in known.book.places.values() for locus in made.loci}
        assert left_out not in cited
        others = Counter(word for at, words in enumerate(originals) for word in words if at != part.survivor)
        assert dict(known.words) == others
        only_here = set(originals[part.survivor]) - set(others)
        assert only_here
        assert not any(known.knows(word) for word in only_here)
        assert all(known.knows(word) for word in others)


def test_words_are_known_without_their_stops() -> None:
    """A stop beside a word, or a capital, does not make it another word."""
    _, rounds = noted(3)
    known = rounds.of(0)
    word = next(iter(known.words))
    assert known.knows(f"{word.capitalize()}. {word}")
    assert not known.knows(f"{word} {word}{word}{word}")
