"""The language model: proper distributions, and the same discounted counts as another library."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise, product

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from nltk.lm import AbsoluteDiscountingInterpolated, KneserNeyInterpolated

from fidelity.copyist import language
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.letter_runs import DISCOUNT

TEXTS = st.lists(st.text("abcæ ", max_size=30), min_size=1, max_size=4)
SAYINGS = ["of þam clife on þa greatan ac", "of þære ac ofer þone feld", "on wulfstanes beorh of þam beorge"]
NOT_MET = "?"


def total(model: Letters, context: int) -> float:
    """Add up P(letter | context) over all letters met and the one for all others."""
    return math.fsum(model.probability(letter, context) for letter in [*model.number, NOT_MET])


@settings(deadline=None)
@given(TEXTS, st.text("abcæ ?", max_size=10), st.integers(1, 8))
def test_letters_sum_to_one(texts: list[str], before: str, order: int) -> None:
    """After any letters, met or not, the next letter's probabilities sum to 1 and none is 0."""
    model = Letters(texts, order)
    context = model.context(before)
    assert total(model, context) == pytest.approx(1, abs=1e-9)
    assert all(model.probability(letter, context) > 0 for letter in [*model.number, NOT_MET])


def test_nothing_read_nothing_known() -> None:
    """Without texts every letter is as likely as any other; there is one class for all."""
    model = Letters([])
    assert model.probability("a", model.start) == 1.0


def test_letters_beyond_the_alphabet_are_one() -> None:
    """Of more than 254 different letters the rarest are counted as never met, and it still sums to 1."""
    signs = [chr(0x4E00 + number) for number in range(300)]
    model = Letters(["".join(signs), "".join(signs[:200])], order=3)
    assert len(model.number) == 254
    assert total(model, model.context(signs[0])) == pytest.approx(1, abs=1e-9)
    assert model.probability(signs[299], model.start) == model.probability(NOT_MET, model.start)


def runs(texts: list[str], order: int) -> Iterator[tuple[str, ...]]:
    """Give every run of ``order`` letters of the texts as they stand between word divisions."""
    for text in texts:
        padded = " " * (order - 1) + text + " "
        for at in range(len(padded) - order + 1):
            yield tuple(padded[at : at + order])


def kneser_ney(texts: list[str], order: int, discount: float) -> KneserNeyInterpolated:
    """Count the same runs in nltk's interpolated Kneser-Ney.

    nltk is fed with each whole run and all its ends, so that both count the shorter runs in the
    same places (a text's first letters stand after word divisions, not after nothing).
    """
    model = KneserNeyInterpolated(order, discount=discount)
    tails = [run[at:] for run in runs(texts, order) for at in range(order)]
    model.fit([tails], vocabulary_text=[letter for text in texts for letter in text + " "])
    return model


def discounts_of(texts: list[str], order: int) -> list[float]:
    """Give the discount of each order by hand: n1 / (n1 + 2 n2), on what that order counts.

    The longest runs are counted as often as they stand, shorter ones by the letters before them.
    """
    longest = set(runs(texts, order))
    counts: list[Counter[tuple[str, ...]]] = [Counter(runs(texts, order))]
    for length in range(order - 1, 0, -1):
        longer = {run[order - length - 1 :] for run in longest}
        counts.append(Counter(run[1:] for run in longer))
    found = []
    for count in reversed(counts):
        once, twice = (list(count.values()).count(times) for times in (1, 2))
        found.append(once / (once + 2 * twice) if once and twice else DISCOUNT)
    return found


@pytest.mark.parametrize("order", [2, 3, 5])
def test_another_library_has_the_same_interpolation(order: int) -> None:
    """Orders from two letters up interpolate as in nltk: P = alpha + gamma * P(shorter context).

    alpha and gamma are nltk's, from its own counts, at the discount of that order (nltk has one
    discount for all). Single letters are left out: nltk neither discounts them nor leaves a chance to
    a letter never met, which a copy always may hold.
    """
    model = Letters(SAYINGS, order)
    discounts = discounts_of(SAYINGS, order)
    compared = 0
    for length in range(1, order):
        other = kneser_ney(SAYINGS, order, discounts[length])
        contexts = {run[order - length - 1 : -1] for run in runs(SAYINGS, order)}
        for context, letter in product(sorted(contexts), sorted(set("".join(SAYINGS)))):
            alpha, gamma = other.estimator.alpha_gamma(letter, context)
            shorter = interpolated(model, letter, context[1:])
            assert interpolated(model, letter, context) == pytest.approx(alpha + gamma * shorter, abs=1e-12)
            compared += 1
    assert compared > 200


@pytest.mark.parametrize("order", [1, 2, 3, 5])
def test_another_library_has_the_same_single_letters(order: int) -> None:
    """Single letters are discounted and lean on the flat chance, as nltk does where all stand after one sign.

    nltk is given one sign before each letter: once for every different letter before it, or, where single
    letters are all there is, as often as the letter stands.
    """
    model = Letters(SAYINGS, order)
    pairs = list(runs(SAYINGS, max(order, 2)))
    if order == 1:
        letters = [run[-1] for text in SAYINGS for run in runs([text], 1)]
    else:
        letters = [pair[1] for pair in sorted({run[-2:] for run in pairs})]
    other = AbsoluteDiscountingInterpolated(2, discount=discounts_of(SAYINGS, order)[0])
    other.fit([[("*", letter) for letter in letters]], vocabulary_text=["*", *letters])
    for letter in sorted(set(letters)):
        alpha, gamma = other.estimator.alpha_gamma(letter, ("*",))
        found = model.probability(letter, model.context(NOT_MET * model.order))
        assert found == pytest.approx(alpha + gamma / model.size, abs=1e-12)


def interpolated(model: Letters, letter: str, before: tuple[str, ...]) -> float:
    """Give P(letter | just these letters before): longer contexts are cut off.

    A letter never met stands before them, so that no longer context is known.
    """
    context = model.context((NOT_MET * model.order + "".join(before))[-(model.order - 1) :])
    return model.probability(letter, context)


def test_contexts_go_on() -> None:
    """Spelling letter by letter leads to the same context and sum as the whole string at once."""
    model = Letters(SAYINGS, 4)
    assert model.after(model.start, "of þam") == model.context("of þam")
    spelled, context = 0.0, model.start
    for letter in "of þam":
        spelled += math.log(model.probability(letter, context))
        context = model.after(context, letter)
    assert model.log_probability("of þam", model.start) == pytest.approx(spelled)
    assert model.log_probability("of þam", model.start) > model.log_probability("mo þaf", model.start)


def test_words_by_hand() -> None:
    """Counts less 0.75, and what is left shared out by spelling: single words and pairs, by hand."""
    letters = Letters(["a b a"], 2)
    words = Words(["a b a"], letters)
    spelled = math.exp(letters.log_probability("a ", letters.start))
    single = (2 - 0.75) / 3 + 0.75 * 2 / 3 * spelled  # two of three words; two different words
    assert words.probability("a") == pytest.approx(single)
    assert words.probability("a", "b") == pytest.approx((1 - 0.75) / 1 + 0.75 * 1 / 1 * single)
    assert words.probability("a", "never met") == pytest.approx(single)
    assert "a" in words
    assert "c" not in words


def test_another_library_has_the_same_words() -> None:
    """Single words and pairs are nltk's absolute discounting; what it leaves is shared out by spelling.

    nltk is given one sign before each word for the single words, and the pairs as they stand; alpha and
    gamma are its own.
    """
    letters = Letters(SAYINGS, 4)
    words = Words(SAYINGS, letters)
    texts = [text.split() for text in SAYINGS]
    vocabulary = ["*", *(word for text in texts for word in text)]
    alone, paired = (AbsoluteDiscountingInterpolated(2, discount=DISCOUNT) for _ in range(2))
    alone.fit([[("*", word) for word in text] for text in texts], vocabulary_text=vocabulary)
    paired.fit([list(pairwise(text)) for text in texts], vocabulary_text=vocabulary)
    for word, before in product(sorted(words.counts), sorted(words.counts)):
        alpha, gamma = alone.estimator.alpha_gamma(word, ("*",))
        spelled = math.exp(letters.log_probability(word + " ", letters.start))
        single = alpha + gamma * spelled
        assert words.probability(word) == pytest.approx(single, rel=1e-12)
        if paired.counts[(before,)]:
            alpha, gamma = paired.estimator.alpha_gamma(word, (before,))
            assert words.probability(word, before) == pytest.approx(alpha + gamma * single, rel=1e-12)
        else:
            assert words.probability(word, before) == words.probability(word)


@settings(deadline=None, max_examples=25)
@given(
    st.lists(st.text("ab ", min_size=1, max_size=15), min_size=1, max_size=3), st.sampled_from(["", "a", "b"])
)
def test_words_sum_to_one(texts: list[str], before: str) -> None:
    """All words of up to five letters, the longer ones, and the empty one have the whole probability.

    The letters share out what the counts leave; the chance that a word is empty, or goes on after
    five letters, is summed from the letters themselves.
    """
    assume(any(text.split() for text in texts))
    letters = Letters(texts, 3)
    words = Words(texts, letters)
    alphabet = [*sorted(set(letters.number) - {" "}), NOT_MET]
    started = ["".join(spelling) for size in range(1, 6) for spelling in product(alphabet, repeat=size)]
    longer = math.fsum(
        math.exp(letters.log_probability(word, letters.start)) for word in started if len(word) == 5
    )
    longer -= math.fsum(
        math.exp(letters.log_probability(word + " ", letters.start)) for word in started if len(word) == 5
    )
    empty = letters.probability(" ", letters.start)
    left = DISCOUNT * len(words.counts) / words.total
    if words.before[before]:
        left *= DISCOUNT * words.followers[before] / words.before[before]
    known_and_long = [word for word in words.counts if len(word) > 5]
    found = math.fsum(words.probability(word, before) for word in [*started, *known_and_long])
    spelled_long = math.fsum(
        math.exp(letters.log_probability(word + " ", letters.start)) for word in known_and_long
    )
    assert found + left * (longer - spelled_long + empty) == pytest.approx(1, abs=1e-9)


def test_the_gain_of_a_known_word() -> None:
    """A known word gains over its letters; a word never met gains next to nothing."""
    letters = Letters(SAYINGS)
    words = Words(SAYINGS, letters)
    assert words.gain("þære") > words.gain("þæra") + 1
    assert words.gain("beorge", "þam") > words.gain("beorge", "ofer")
    share_of_unknown = DISCOUNT * len(words.counts) / words.total
    assert words.gain("xyzzy") == pytest.approx(math.log(share_of_unknown))


def test_words_spelled_out_are_remembered_within_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is remembered changes no probability, and never grows beyond its bound."""
    monkeypatch.setattr(language, "MOST_REMEMBERED", 3)
    letters = Letters(["of me stan", "of me wudu"])
    words = Words(["of me stan", "of me wudu"], letters)
    asked = ["of", "me", "stan", "wudu", "hus", "of", "me"]
    first = [words.probability(word) for word in asked]
    assert len(words._letters_of) <= 3
    assert [Words(["of me stan", "of me wudu"], letters).probability(word) for word in asked] == first
