"""Restoration of whole stretches: the sums against every restoration counted out one by one."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.copyist.model import Model, Weights, learn
from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import context_of
from fidelity.readings.lattice import Lattice, Restorer

NO_WORDS = Weights(habits=1.4, language=0.5, length=0.7, words=0.0)
WITH_WORDS = Weights(habits=0.9, language=0.4, length=0.5, words=0.6)


def one_for_one(weights: Weights) -> Model:
    """Learn from words in which each written letter answers one letter; surroundings count."""
    seen = [
        ("ab ba", "aa ba"),
        ("ab a", "ab a"),
        ("ba ab", "ba aa"),
        ("aab", "bab"),
        ("b ab", "b aa"),
        ("ab", "a "),
    ]
    stretches = [Tagged(copied, tuple(original), (True,) * len(copied)) for copied, original in seen]
    return learn(stretches, [original for _, original in seen], weights=weights)


def many_for_one(weights: Weights) -> Model:
    """Learn letter by letter: tags of no letter, of one, two and three; what is around counts nothing."""
    seen = {
        "a": ["a", "a", "a", "b", ""],
        "b": ["b", "b", "ab", "a"],
        " ": [" ", " ", " ", ""],
        "c": ["a b", "ba"],
    }
    stretches = [Tagged(letter, (tag,), (True,)) for letter, tags in seen.items() for tag in tags]
    return learn(stretches, ["a ba ab", "ab a b", "ba aab"], weights=weights)


def all_together(weights: Weights) -> Model:
    """Learn from words in which letters fell out and slipped in; surroundings count.

    Different tags then give the same letters, and what they are asked for is not the same.
    """
    seen = [
        ("ab ba", ("a", "ab", " ", "b", "")),
        ("aab", ("a", "", "b")),
        ("b ab", ("b", " ", "a", "b a")),
        ("ba", ("bb", "a")),
        ("abab", ("a", "b", "", "ab")),
    ]
    stretches = [Tagged(copied, tags, (True,) * len(copied)) for copied, tags in seen]
    return learn(stretches, ["".join(tags) for _, tags in seen], weights=weights)


def counted_out(model: Model, copied: str) -> dict[tuple[str, ...], float]:
    """Give the probability of every sequence of tags, scored as a whole and nothing left out."""
    choices = [list(model.tags.answers((letter,))) for letter in copied]
    scores = {tags: score_of(model, copied, tags) for tags in product(*choices)}
    most = max(scores.values())
    total = math.fsum(math.exp(score - most) for score in scores.values())
    return {tags: math.exp(score - most) / total for tags, score in scores.items()}


def score_of(model: Model, copied: str, tags: tuple[str, ...]) -> float:
    """Score one restoration by the mixture's definition: habits, letters, length, words."""
    weights, restored = model.weights, "".join(tags)
    score = weights.language * model.letters.log_probability(restored, model.letters.start)
    score += weights.length * len(restored)
    for at, tag in enumerate(tags):
        score += weights.habits * math.log(model.tags.answers(context_of(copied, tags, at))[tag])
    words = restored.split()
    for before, word in zip(["", *words], words, strict=False):
        score += weights.words * model.words.gain(word, before)
    return score


def summed(
    probabilities: dict[tuple[str, ...], float], name: Callable[[tuple[str, ...]], str]
) -> dict[str, float]:
    """Add up the probabilities of the tag sequences that have the same name."""
    found: Counter[str] = Counter()
    for tags, p in probabilities.items():
        found[name(tags)] += p  # type: ignore[assignment]
    return dict(found)


def close(found: dict[str, float], expected: dict[str, float]) -> bool:
    """Tell whether two distributions agree to a billionth; what is missing counts as 0."""
    return all(abs(found.get(key, 0.0) - expected.get(key, 0.0)) < 1e-9 for key in {*found, *expected})


def spans(copied: str) -> Iterator[tuple[int, int]]:
    """Give every span that begins and ends at a copied word division, or at an end of the stretch."""
    borders = [-1, *(at for at, letter in enumerate(copied) if letter == " "), len(copied)]
    for first, last in product(borders, borders):
        if first + 1 < last:
            yield first + 1, last


def check(model: Model, copied: str) -> None:
    """Compare every letter and every reading of a stretch with what was counted out."""
    found = Restorer(model, None).restore(copied)
    exact = counted_out(model, copied)
    for at in range(len(copied)):
        assert close(found.letter(at), summed(exact, lambda tags, at=at: tags[at])), (copied, at)  # type: ignore[misc]
    for start, end in spans(copied):
        inside = {
            tags: p
            for tags, p in exact.items()
            if (start == 0 or tags[start - 1] == " ") and (end == len(copied) or tags[end] == " ")
        }
        expected = summed(inside, lambda tags, start=start, end=end: "".join(tags[start:end]))  # type: ignore[misc]
        assert close(found.readings(start, end), expected), (copied, start, end)


@pytest.mark.parametrize("weights", [NO_WORDS, WITH_WORDS], ids=["without words", "with words"])
def test_sums_are_exact_with_all_surroundings(weights: Weights) -> None:
    """Letter for letter, tags conditioned on tags: the lattice has the exact posterior."""
    model = one_for_one(weights)
    for copied in ["a", "ab", " ", "ab ba", "ba ab a", "aab b", "a  b", "abab"]:
        check(model, copied)


@pytest.mark.parametrize("weights", [NO_WORDS, WITH_WORDS], ids=["without words", "with words"])
def test_sums_are_exact_where_both_come_together(weights: Weights) -> None:
    """Letters left out and put in, and tags conditioned on tags: still the exact posterior."""
    model = all_together(weights)
    for copied in ["a", "ab", "ba b", "abab", "ab ba"]:
        check(model, copied)


@pytest.mark.parametrize("weights", [NO_WORDS, WITH_WORDS], ids=["without words", "with words"])
def test_sums_are_exact_where_alignments_meet(weights: Weights) -> None:
    """With letters left out and put in, all ways to one string count together: the exact posterior."""
    model = many_for_one(weights)
    for copied in ["a", "b", "c", "ab", " a", "ab a", "ca b", "a b a", "bbb", "c c"]:
        check(model, copied)


def test_several_ways_to_one_reading_are_added() -> None:
    """The reading "ab" of "ab" is a for a and b for b, or ab for b alone: more than either way."""
    model = many_for_one(NO_WORDS)
    exact = counted_out(model, "ab")
    ways = [p for tags, p in exact.items() if "".join(tags) == "ab"]
    assert len(ways) == 2
    assert Restorer(model, None).restore("ab").readings(0, 2)["ab"] == pytest.approx(sum(ways))
    assert sum(ways) > max(ways) * 1.01


MODELS = st.sampled_from([one_for_one(WITH_WORDS), many_for_one(NO_WORDS), all_together(WITH_WORDS)])


@settings(deadline=None, max_examples=80)
@given(MODELS, st.text("abc  ", min_size=1, max_size=30), st.sampled_from([1, 3, 24]))
def test_probabilities_at_any_beam(model: Model, copied: str, beam: int) -> None:
    """However much is given up on the way: a letter's tags sum to 1, a unit's readings to at most 1."""
    found = Restorer(model, beam).restore(copied)
    for at in range(len(copied)):
        assert math.fsum(found.letter(at).values()) == pytest.approx(1, abs=1e-9)
    for start, end in spans(copied):
        assert math.fsum(found.readings(start, end).values()) <= 1 + 1e-9


@settings(deadline=None, max_examples=40)
@given(MODELS, st.text("abc ", min_size=1, max_size=8))
def test_readings_of_the_whole_stretch(model: Model, copied: str) -> None:
    """The borders of a whole stretch are in no doubt: its readings sum to 1, if none is given up."""
    found = Restorer(model, None).restore(copied)
    assert math.fsum(found.readings(0, len(copied)).values()) == pytest.approx(1, abs=1e-9)


def test_weights_pull_where_they_should() -> None:
    """More reward for length gives longer restorations; habits alone are the tag model itself."""
    model = many_for_one(NO_WORDS)

    def mean_length(length: float) -> float:
        one = replace(model, weights=replace(NO_WORDS, length=length))
        return sum(len(text) * p for text, p in Restorer(one, None).restore("cab").readings(0, 3).items())

    assert mean_length(0.0) < mean_length(1.0) < mean_length(3.0)
    habits = replace(model, weights=Weights(habits=1.0, language=0.0, length=0.0, words=0.0))
    assert close(Restorer(habits, None).restore("b").letter(0), model.tags.answers(context_of("b", (), 0)))


def test_a_division_is_a_letter_like_any_other() -> None:
    """A lattice says how surely a word division was kept, and where one may have been."""
    found: Lattice = Restorer(many_for_one(WITH_WORDS), 24).restore("ab a")
    assert 0.5 < found.letter(2)[" "] < 1
    assert any(
        " " in reading for reading in Restorer(many_for_one(WITH_WORDS), 24).restore("c").readings(0, 1)
    )
