"""What the loop of the restoration looks up: the same numbers as the models themselves give."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from fidelity.copyist.branches import Branches, branches, joined
from fidelity.copyist.contexts import EDGE, ContextTable
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.lexicon import Lexicon, lexicon_of
from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import LEAST_TAG, TagModel, context_of

SEEN = [
    ("ab ba", ("a", "ab", " ", "b", "")),
    ("aab", ("a", "", "b")),
    ("b ab", ("b", " ", "a", "b a")),
    ("abab", ("a", "b", "", "ab")),
]
SAYINGS = ["of þam clife on þa greatan ac", "of þære ac ofer þone feld", "ac of þam ac"]


def tag_model(least: float = 0.0) -> TagModel:
    """Learn from a few letters; one of them, "x", was not trusted and stands only beside others.

    Tags less probable than ``least`` are left out.
    """
    stretches = [Tagged(copied, tags, (True,) * len(copied)) for copied, tags in SEEN]
    stretches.append(Tagged("axb", ("a", "y", "b"), (True, False, True)))
    return TagModel(stretches, [("c", "b"), ("q", "z")], least)


def branch(tree: Branches, node: int, sign: int) -> int | None:
    """Follow a branch of a tree."""
    for at in range(tree.first[node], tree.first[node + 1]):
        if tree.sign[at] == sign:
            return int(tree.leads_to[at])
    return None


def looked_up(table: ContextTable, context: tuple[str, ...]) -> dict[str, float]:
    """Follow a context as far as it is known, and give its tags."""
    node = int(table.roots[table.letters[context[0]]])
    for level, part in enumerate(context[1:], start=1):
        sign = 0
        if part != EDGE:
            sign = table.letters.get(part[0], 99)
            if level % 2:
                sign = sign * table.stride + table.tags.index(part[1:])
        after = branch(table.tree, node, sign)
        if after is None:
            break
        node = after
    span = range(table.first[node], table.first[node + 1])
    return {table.tags[table.tag[at]]: float(table.chance[at]) for at in span}


@pytest.mark.parametrize("least", [0.0, 0.1])
def test_tags_of_every_context(least: float) -> None:
    """In contexts met and not met the table has the tags of the model, but for the improbable ones.

    Laid out anew or as it was made, it says what the model that keeps all says.
    """
    model, table, again = tag_model(), tag_model(least).table, tag_model(0.5).laid_out(least)
    compared = 0
    for copied, (first, second) in product(
        ["abab", "ba ab", "axb", "bbb"], product(["a", "", "ab"], repeat=2)
    ):
        for at in range(len(copied)):
            context = context_of(copied, [first, second] * 3, at)
            expected = {tag: p for tag, p in model.answers(context).items() if p >= least}
            assert looked_up(table, context) == pytest.approx(expected, abs=1e-12)
            assert looked_up(again, context) == looked_up(table, context)
            assert tag_model(least).answers(context) == looked_up(table, context)
            assert least or math.fsum(expected.values()) == pytest.approx(1.0)
            compared += 1
    assert compared > 100


def test_letters_known_from_print_alone_or_not_at_all() -> None:
    """What print knows is tried for a letter never met; what nobody knows stands as it stands."""
    table = tag_model().laid_out(0.0)
    assert looked_up(table, ("z", EDGE)) == pytest.approx(tag_model().answers(("z",)))
    longer = table.with_letters("aßþ")
    assert set(longer.letters) - set(table.letters) == {"ß", "þ"}
    assert looked_up(longer, ("ß", EDGE, "a")) == {"ß": 1.0}
    assert looked_up(longer, ("a", "bb", "a")) == looked_up(table, ("a", "bb", "a"))
    assert looked_up(longer.with_letters("ßab" + EDGE), ("þ",)) == {"þ": 1.0}


@pytest.mark.parametrize("least", [LEAST_TAG, 0.2])
def test_the_most_probable_tag_is_always_tried(least: float) -> None:
    """Though improbable tags are left out, every context has its most probable one."""
    all_of, some = tag_model(0.0).table, tag_model(least).table
    assert (np.diff(some.first)[1:] > 0).all()
    assert len(some.chance) < len(all_of.chance) or least < all_of.chance.min()
    most = [np.maximum.reduceat(table.chance, table.first[1:-1]) for table in (all_of, some)]
    assert np.array_equal(most[0], most[1])


def spelled(lexicon: Lexicon, word: str) -> int:
    """Give the number of a word, 0 if there is none."""
    node: int | None = 0
    for letter in word:
        node = None if node is None else branch(lexicon.tree, node, lexicon.alphabet.index(letter))
    return 0 if node is None else int(lexicon.word[node])


def test_words_gain_what_they_gain() -> None:
    """By itself, after a word it was met after and after any other: ``Words.gain`` to rounding."""
    words = Words(SAYINGS, Letters(SAYINGS))
    lexicon = lexicon_of(words)
    compared = 0
    for word, before in product([*sorted(words.counts), "fac"], [*sorted(words.counts), "fac", ""]):
        number, follows = spelled(lexicon, word), int(lexicon.follows[spelled(lexicon, before)])
        gain = lexicon.gain[number] + lexicon.lean[follows]
        for at in range(lexicon.pairs.first[follows], lexicon.pairs.first[follows + 1]):
            if lexicon.pairs.sign[at] == number:
                gain = lexicon.pairs.worth[at]
        assert gain == pytest.approx(words.gain(word, before), abs=1e-12)
        compared += 1
    assert compared > 100
    assert spelled(lexicon, "cl") == spelled(lexicon, "fac") == 0


def test_many_words_at_once() -> None:
    """The chances of many words are those of each by itself, letters never met among them."""
    letters = Letters(SAYINGS, 4)
    words = ["of", "clife", "xyz", "o", ""]
    expected = [letters.log_probability(word + " ", letters.start) for word in words]
    assert letters.log_probabilities(words).tolist() == pytest.approx(expected, abs=1e-12)
    assert math.exp(expected[0]) > math.exp(expected[2])


def test_trees_are_joined() -> None:
    """Each tree is found again behind the one before it."""
    first = branches(2, np.array([0]), np.array([5]), np.array([1]), np.array([0.5]))
    second = branches(3, np.array([1, 0]), np.array([7, 6]), np.array([2, 1]))
    both, (at, then) = joined([first, second])
    assert (at, then) == (0, 2)
    assert branch(both, 0, 5) == 1
    assert branch(both, 2, 6) == 3
    assert branch(both, 3, 7) == 4
    assert branch(both, 4, 7) is None
    assert both.worth.tolist() == [0.5, 1.0, 1.0]
