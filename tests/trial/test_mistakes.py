"""The reasons for which a proposal was believed are told in plain words, with their counts."""

from __future__ import annotations

from functools import cache

import fidelity
from fidelity.copyist.model import WordMemory
from fidelity.copyist.tagging import Tagged
from fidelity.readings.candidates import Candidate
from fidelity.readings.evidence import EvidenceBook
from fidelity.readings.select import Choice
from fidelity.trial.mistakes import reasons
from fidelity.trial.rounds import Round
from fidelity.witnesses.folds import NO_FOLDS

ORIGINAL = "wæs her stan on felda wæs on ecede stan and wæs sæ"
COPY = "wær her rtan on felda wæs onecede stan and wær sæ"


@cache
def known() -> Round:
    """Give what a round knew in which one survivor taught that s was written r."""
    found = fidelity.compare(ORIGINAL, COPY)
    book = EvidenceBook({"original": found.alignments[0]}, found.variants, found.counts, NO_FOLDS)
    pairs = [("wær", "wæs"), ("wær", "wæs"), ("wær", "wær")]
    memory = WordMemory(Tagged(written, tuple(stood), (True,) * 3) for written, stood in pairs)
    words = {"wæs": 3, "stan": 2, "wær": 1}
    return Round((), memory, words, frozenset(words), book, {})


def choice(transmitted: str, proposed: str, single: bool = False) -> Choice:
    one = Candidate(0, len(transmitted), 0, transmitted, proposed, 0.9, (), single)
    return Choice(one, 0.9, ((transmitted, 0.06), ("wæl", 0.04), ("wæt", 0.0)))


def test_a_word_has_its_reasons() -> None:
    """The operation with its chances, the memory of the word, the word list, and the rivals."""
    assert reasons(choice("wær", "wæs"), known()) == (
        "he wrote r for s in 3 of 6 chances",
        "“wær” stood for “wæs” in 2 of 3 places",
        "“wæs” stands in the originals and reference texts 3 times, “wær” once",
        "rivals: as transmitted 0.06, “wæl” 0.04",
    )


def test_what_was_never_met_is_said() -> None:
    """An operation never seen, a word written nowhere else, and words that stand nowhere are told so."""
    told = reasons(choice("ful", "fux"), known())
    assert told[:3] == (
        "he was never seen to write l for x",
        "“ful” was written nowhere else in the survivors",
        "neither “fux” nor “ful” stands in the originals and reference texts",
    )


def test_divisions_and_single_letters() -> None:
    """Joining is told by its name; for a single letter neither memory nor word list spoke."""
    told = reasons(choice("onstan", "on stan"), known())
    assert told[0] == "he joined two words once"
    assert "“stan” 2 times" in told[2]
    letter = reasons(choice("r", "s", single=True), known())
    assert letter[:2] == ("he wrote r for s in 3 of 6 chances", "the word as a whole was not settled")
    assert letter[2].startswith("rivals: ")
