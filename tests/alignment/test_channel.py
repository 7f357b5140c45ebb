"""The letter channel: are its probabilities probabilities, and does it learn."""

from __future__ import annotations

import math
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses, count_answers_of
from fidelity.alignment.channel import (
    ACROSS_CLASSES,
    ADDED_SHARE,
    OMITTED_SHARE,
    OTHER_CASE,
    PRIOR_STRENGTH,
    AnswerTotals,
    LetterChannel,
    letter_class,
)
from fidelity.terms import Witness
from fidelity.witnesses.folds import Folds

LETTERS = "abcA .,;\t"


def equal(original: str, written: str) -> bool:
    """Count only equal letters as the same."""
    return original == written


def total(channel: LetterChannel, original: str) -> float:
    """Add up P(written | original) over every letter he might have written, and none."""
    return math.fsum(channel.probability(original, written) for written in ["", *channel.copy_letters])


counts = st.dictionaries(
    st.tuples(st.sampled_from(LETTERS), st.sampled_from(["", *LETTERS])), st.integers(1, 50), max_size=12
)
added_counts = st.dictionaries(st.sampled_from(LETTERS), st.integers(1, 5), max_size=4)


@settings(deadline=None)
@given(st.text(LETTERS, min_size=1, max_size=9), counts, added_counts)
def test_the_channel_is_never_more_than_a_distribution(
    written: str, singles: dict[tuple[str, str], int], added: dict[str, int]
) -> None:
    """Over all answers to one letter the probabilities sum to at most 1, and so do letters put in."""
    singles = {pair: count for pair, count in singles.items() if pair[1] in {"", *written}}
    singles[written[0], written[0]] = 50  # more letters than were put in, as in any copy
    channel = LetterChannel(LETTERS, written, equal, AnswerTotals(singles, added))
    for original in LETTERS:
        assert 0 < total(channel, original) <= 1 + 1e-12
        assert all(channel.probability(original, x) > 0 for x in ["", *written])
    assert 0 < math.fsum(channel.added_probability(x) for x in set(written)) < 1


@settings(deadline=None)
@given(st.sets(st.sampled_from("abcABC .,"), min_size=1), counts)
def test_what_the_channel_sums_to(written: set[str], singles: dict[tuple[str, str], int]) -> None:
    """What was counted and the flat guess sum to just what the formula in the module says.

    (n(original) + K * sum of P0) / (n(original) + K), where P0 sums to: 1 - slip if the letter can be
    written at all; the omitted share of the slips; the substitutions but for the letter's own part;
    the share of the other case where that can be written.
    """
    singles = {pair: n for pair, n in singles.items() if pair[1] in {"", *written} and "\t" not in pair}
    channel = LetterChannel("abcABC .,", written, equal, AnswerTotals(singles, {}))
    slip = channel.slip_rate
    for original in channel.original_letters:
        same_class = {x: letter_class(x) == letter_class(original) for x in channel.copy_letters}
        weights = {x: 1.0 if same else ACROSS_CLASSES for x, same in same_class.items()}
        substituted = math.fsum(weight for x, weight in weights.items() if x != original)
        guess = slip * OMITTED_SHARE + (1 - slip) * (original in written)
        guess += slip * (1 - OMITTED_SHARE - ADDED_SHARE) * substituted / max(sum(weights.values()), 1.0)
        other_case = original.swapcase()
        if other_case != original and other_case in written:
            guess += slip * OTHER_CASE * ADDED_SHARE
        seen = sum(count for (letter, _), count in singles.items() if letter == original)
        expected = (seen + PRIOR_STRENGTH * guess) / (seen + PRIOR_STRENGTH)
        assert total(channel, original) == pytest.approx(expected, abs=1e-12)


def test_two_forms_of_a_letter_share_its_probability() -> None:
    """Where the copy has both ꞅ and s, an original ꞅ is answered by either with at most all of 1."""
    channel = LetterChannel("ꞅa", "ꞅsa", Folds({"ꞅ": "s"}).same)
    assert total(channel, "ꞅ") <= 1


def test_single_and_several_answers_share_the_probability() -> None:
    """A letter answered half the time by itself and half by two others has not twice its chances."""
    totals = AnswerTotals({("m", "m"): 20, ("a", "a"): 50}, {}, {("m", "in"): 20}, {"m": 40})
    channel = LetterChannel("ma", "main", equal, totals)
    several = math.exp(-channel.several()["m", "in"])
    assert total(channel, "m") + several <= 1


def test_costs_are_logs_of_the_probabilities() -> None:
    """A cost is -log P in nats; an operation that nobody has seen costs without end."""
    channel = LetterChannel("ab", "abc", equal, AnswerTotals({("a", "b"): 5, ("a", "a"): 9}, {"c": 2}))
    assert channel.cost("a", "b") == pytest.approx(-math.log(channel.probability("a", "b")))
    assert channel.cost("a", "") == pytest.approx(-math.log(channel.probability("a", "")))
    assert channel.cost("", "c") == pytest.approx(-math.log(channel.added_probability("c")))
    assert channel.cost("ab", "c") == math.inf


def test_a_seen_habit_gets_its_own_price() -> None:
    """S written r in 30 of 100 places comes to cost about -log .3, and less than any other slip."""
    totals = AnswerTotals({("s", "s"): 70, ("s", "r"): 30, ("r", "r"): 100, ("n", "n"): 100}, {})
    channel = LetterChannel("srn", "srn", equal, totals)
    assert channel.cost("s", "r") == pytest.approx(-math.log(0.3), abs=0.1)
    assert channel.cost("r", "s") > channel.cost("s", "r") + 3


def test_classes_and_borders_are_kept_apart() -> None:
    """A letter for a letter is likelier than for a space or stop; field borders are hardly ever lost."""
    channel = LetterChannel("ab .\t", "ab .\t", equal)
    assert channel.cost("a", "b") < channel.cost("a", " ") and channel.cost("a", "b") < channel.cost("a", ".")
    assert channel.cost("\t", "") > channel.cost("a", "") + 25
    assert channel.cost("", "\t") > channel.cost("", "a") + 25


def test_the_other_case_is_the_likeliest_slip_before_anything_is_counted() -> None:
    """A capital for its small letter is likelier than any other letter."""
    channel = LetterChannel("aebr", "aebrA", equal)
    assert channel.cost("a", "A") < min(channel.cost("a", x) for x in "ebr")


def test_what_an_alignment_teaches() -> None:
    """The answers of an alignment are counted letter by letter, recurring pairs of letters as one."""
    original = "þæt corn on þam ealdan felda swa hit ær wæs and se ealda beorn on wulfes beorge " * 4
    copy = original.replace("rn", "m").replace("ær ", "æn ", 1)
    alignment = align_witnesses(Witness("O", original), Witness("C", copy))
    totals = count_answers_of(alignment.steps, original, copy)
    assert totals.several == {("rn", "m"): 8}
    assert totals.several_chances == {"rn": 8}
    assert totals.singles["r", "n"] == 1 and totals.singles["r", "r"] == original.count("r") - 9
    assert totals.singles["a", "a"] == Counter(original)["a"]
    channel = LetterChannel(original, copy, equal, totals)
    assert channel.cost("rn", "m") == pytest.approx(-math.log(7.5 / 13))


def test_the_slip_rate_has_bounds() -> None:
    """No copyist is taken for perfect, none for random: 0.2 % and 40 %."""
    perfect = LetterChannel("a", "a", equal, AnswerTotals({("a", "a"): 10**6}, {}))
    random = LetterChannel("a", "ab", equal, AnswerTotals({("a", "b"): 10**6}, {}))
    assert (perfect.slip_rate, random.slip_rate) == (0.002, 0.4)
