"""Tags: proper distributions, remembered words, and the discounts by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.copyist.contexts import EDGE
from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import REACH, TagModel, context_of

LEVELS = 2 * REACH + 1


@st.composite
def stretches(draw: st.DrawFn, letters: str = "ab ") -> list[Tagged]:
    """Draw some copied stretches with their tags over a tiny alphabet, a few letters not trusted."""
    found = []
    for copied in draw(st.lists(st.text(letters, max_size=14), min_size=1, max_size=4)):
        tags = draw(st.lists(st.text(letters, max_size=2), min_size=len(copied), max_size=len(copied)))
        trusted = draw(st.lists(st.booleans(), min_size=len(copied), max_size=len(copied)))
        found.append(Tagged(copied, tuple(tags), tuple(trusted)))
    return found


@st.composite
def contexts(draw: st.DrawFn) -> tuple[str, ...]:
    """Draw any context: a letter, then by turns what is before it and what is after."""
    parts = draw(
        st.lists(st.sampled_from(["a", "b", " ", EDGE, "aa", "ab", "a ", "ba"]), max_size=LEVELS - 1)
    )
    return (draw(st.sampled_from("abc ")), *parts)


@settings(deadline=None, max_examples=150)
@given(stretches(), st.lists(contexts(), min_size=1, max_size=5), st.booleans())
def test_answers_sum_to_one(some: list[Tagged], asked: list[tuple[str, ...]], published: bool) -> None:
    """In any surroundings, met or not, the tags' probabilities sum to 1 and none is 0."""
    model = TagModel(some, [("x", "a"), ("y", "c")] if published else [], least=0.0)
    met = [context_of(one.copied, one.tags, at) for one in some for at in range(len(one.copied))]
    for context in [*asked, *met]:
        answers = model.answers(context)
        assert math.fsum(answers.values()) == pytest.approx(1, abs=1e-9)
        assert min(answers.values()) > 0
        assert context[0] in answers


def test_print_gives_no_count() -> None:
    """A confusion in print is tried, but the more the copyist is known the less it weighs."""
    few, many = (
        TagModel([Tagged("r", ("r",), (True,))] * times, [("s", "r")], least=0.0) for times in (3, 300)
    )
    assert 0.5 > few.answers(("r",))["s"] > many.answers(("r",))["s"] > 0
    assert few.seen("r")["s"] == 0


def word(copied: str, original: str) -> Tagged:
    """Make a copied word whose letters answer the original's one for one."""
    return Tagged(copied, tuple(original), (True,) * len(copied))


def tag_of(model: TagModel, copied: str, at: int, tags: str) -> dict[str, float]:
    """Ask what stood at one letter of a word whose letters before it were these."""
    return model.answers(context_of(copied, tuple(tags), at))


def test_a_much_seen_word_is_remembered() -> None:
    """wær stood for wæs ten times: there r is s, though r is mostly r elsewhere."""
    seen = [word(" wær ", " wæs ")] * 10 + [word(" fyre ", " fyre "), word(" her ", " her ")] * 30
    model = TagModel(seen)
    assert tag_of(model, " wær ", 3, " wæ")["s"] > 0.9
    assert tag_of(model, " her ", 3, " he").get("s", 0.0) < 0.02  # too improbable to be tried
    assert model.answers(("r",))["s"] == pytest.approx(10 / 70, abs=0.01)


def test_an_unseen_word_is_spelled_out() -> None:
    """A context never met has just the answers of its longest part that was met."""
    model = TagModel([word(" wær ", " wæs ")] * 10 + [word(" her ", " her ")] * 30)
    context = context_of(" þær ", tuple(" þæ"), 3)
    assert model.answers(context) == model.answers(context[:5])  # ær, end of word, then þ instead of w
    assert model.answers(context) != model.answers(context[:1])
    assert model.answers(("r", "qq", "q")) == model.answers(("r",))


def test_letters_that_are_not_trusted_teach_nothing() -> None:
    """A letter beside a skip or in damage is counted at no level."""
    seen = [Tagged("r", ("r",), (True,)), Tagged("r", ("s",), (False,))]
    assert TagModel(seen).seen("r") == {"r": 1}
    assert "s" not in TagModel(seen).answers(("r",))


def test_the_context_grows_by_turns() -> None:
    """First the letter, then by turns the letter before with its tag and the letter after."""
    context = context_of("wær on", ("w", "æ", "s", " "), 3)
    assert context == (" ", "rs", "o", "ææ", "n", "ww", EDGE, EDGE, EDGE)
    assert context_of("a", (), 0) == ("a", *[EDGE] * (2 * REACH))
    assert context_of("wær", ("w",), 1, levels=2) == ("æ", "ww")
