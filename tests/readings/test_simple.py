"""The simple methods against counting by hand; ``test_acress.py`` has the published worked examples."""

from __future__ import annotations

import math
from itertools import product

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.channel import AnswerTotals, LetterChannel
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.model import WordMemory
from fidelity.copyist.tagging import Tagged
from fidelity.readings.simple import (
    NoisyChannel,
    learned_channel,
    nearest_form,
    posterior,
    products,
    remembered,
)
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds


def test_the_base_rate_trap() -> None:
    """400 r, 300 s, s written r with .15: an r stood for s in 45 of 445 places, not in .15 of them."""
    found = posterior({"s": 300, "r": 400}, {"s": 0.15, "r": 1.0})
    assert found["s"] == pytest.approx(45 / 445)
    totals = AnswerTotals({("r", "r"): 400, ("s", "s"): 255, ("s", "r"): 45}, {})
    channel = LetterChannel("rs", "rs", str.__eq__, totals)
    answers = NoisyChannel(channel, {"r": 400 / 700, "s": 300 / 700}).answers("r")
    assert answers["s"] == pytest.approx(45 / 445, abs=0.003)
    assert math.exp(-channel.cost("s", "r")) == pytest.approx(0.15, abs=0.005)


@given(
    st.dictionaries(st.sampled_from("abcd"), st.floats(0, 1), min_size=1),
    st.lists(st.tuples(st.sampled_from("abcde"), st.floats(0, 1)), max_size=8),
)
def test_bayes_sums_to_one(prior: dict[str, float], derivations: list[tuple[str, float]]) -> None:
    """Whatever the derivations and their order, rivals sum to 1, or all are impossible."""
    found = posterior(prior, derivations)
    total = math.fsum(found.values())
    assert total == pytest.approx(1) or (total == 0 and not any(products(prior, derivations).values()))
    assert posterior(prior, derivations[::-1]) == pytest.approx(found)


def test_the_nearest_form() -> None:
    """A known word stays; else the nearest, the most frequent, the first; beyond two letters nothing."""
    known = {"hwostan": 1, "hwitan": 9, "stan": 5, "span": 5, "scan": 2}
    assert nearest_form("stan", known) == "stan"
    assert nearest_form("hworcan", known) == "hwostan"
    assert nearest_form("sxan", known) == "span"
    assert nearest_form("beorge", known) == "beorge"
    assert nearest_form("stan", {}) == "stan"


@settings(deadline=None)
@given(
    st.text("abc", max_size=6), st.dictionaries(st.text("abc", max_size=6), st.integers(1, 9), max_size=12)
)
def test_no_form_is_nearer(word: str, known: dict[str, int]) -> None:
    """Looked for one by one, no known word is nearer, or as near and more frequent."""
    found = nearest_form(word, known)
    distance = Levenshtein.distance(word, found)
    assert distance <= 2
    for form in known:
        other = Levenshtein.distance(word, form)
        if other <= 2:
            assert (distance, -known[found]) <= (other, -known[form])


def test_the_remembered_word() -> None:
    """Wær stood for wæs twice and for wær once; a word never met is given back with nothing behind it."""
    pairs = [("wær", "wæs"), ("wær", "wæs"), ("wær", "wær"), ("her", "her"), ("her", "hes")]
    memory = WordMemory(Tagged(written, tuple(stood), (True,) * 3) for written, stood in pairs)
    assert remembered("wær", memory) == ("wæs", 2 / 3)
    assert remembered("her", memory) == ("her", 0.5)
    assert remembered("fyre", memory) == ("fyre", 0.0)


def rn_channel() -> LetterChannel:
    """Make a channel that takes rn for m and s for r, over a small alphabet."""
    letters = "abcemnorst "
    singles = {(x, x): 100.0 for x in letters} | {("s", "r"): 20.0, ("a", ""): 3.0}
    totals = AnswerTotals(singles, {"e": 4}, {("rn", "m"): 10, ("m", "rn"): 2}, {"rn": 30, "m": 102})
    return LetterChannel(letters, letters, str.__eq__, totals)


def listed(original: str, written: str, channel: LetterChannel) -> float:
    """Add up every way of operations from one string to another, one by one."""
    if not original and not written:
        return 1.0
    total = 0.0
    for m in range(min(len(original), 3) + 1):
        for n in range(min(len(written), 3) + 1):
            cost = channel.cost(original[:m], written[:n]) if m + n else math.inf
            if m == n == 2 and original[:2] == written[1::-1] and original[0] != original[1]:
                cost = 7.0  # SWAP_COST: an exchange of neighbours
            if cost < math.inf:
                total += math.exp(-cost) * listed(original[m:], written[n:], channel)
    return total


@settings(deadline=None, max_examples=40)
@given(st.text("abemnrs", max_size=4), st.text("abemnrs", max_size=4))
@example("ab", "ba")
@example("rnab", "mba")
def test_all_ways_are_added(original: str, written: str) -> None:
    """The forward sum is the sum over every way, exchanges and operations of several letters too."""
    channel = rn_channel()
    found = NoisyChannel(channel, {}).written_given(original, written)
    stopped = 1 - math.fsum(math.exp(-channel.cost("", letter)) for letter in channel.copy_letters)
    expected = listed(original, written, channel) * stopped ** (len(original) + 1)
    assert found == pytest.approx(expected, rel=1e-9)


def test_the_channel_is_not_more_than_one() -> None:
    """Over all strings of up to seven letters, what "ab" may be written as has nearly all of 1."""
    counted = AnswerTotals({("a", "a"): 50, ("a", "b"): 9, ("b", ""): 4, ("b", "b"): 30}, {"b": 2})
    noisy = NoisyChannel(LetterChannel("ab", "ab", str.__eq__, counted), {})
    strings = ["".join(letters) for size in range(8) for letters in product("ab", repeat=size)]
    assert 0.98 < math.fsum(noisy.written_given("ab", one) for one in strings) <= 1


def test_candidates_come_from_words_and_from_habits() -> None:
    """Known words within two letters, rewritten strings that no list has, and the word itself."""
    noisy = NoisyChannel(rn_channel(), Words(["corn stan morran"], Letters(["corn stan morran"])))
    found = noisy.candidates("com")
    assert found[0] == "com"
    assert {"corn", "coms"} & set(found) == {"corn"}
    assert "borne" not in found
    assert "mosran" in noisy.candidates("morran")  # in no list; s is often written r
    assert len(found) == len(set(found))


def test_a_survivor_teaches_the_channel() -> None:
    """Learned from one pair, com becomes corn, and a word that was always kept stays."""
    text = "þæt corn on þam ealdan felda swa hit ær wæs and se ealda beorn on wulfes beorge com " * 4
    original, copy = text, text.replace("rn", "m")
    alignment = align_witnesses(Witness("O", original), Witness("C", copy))
    channel = learned_channel([alignment], NO_FOLDS)
    noisy = NoisyChannel(channel, Words([original + "þorn corn corn"], Letters([original])))
    assert channel.totals.several == {("rn", "m"): 8}
    assert noisy.best("beom")[0] == "beorn"
    assert noisy.best("þom")[0] == "þorn"
    assert noisy.best("felda")[0] == "felda"
    assert noisy.best("felda")[1] == pytest.approx(1, abs=0.01)
    answers = noisy.answers("com")
    assert math.fsum(answers.values()) == pytest.approx(1)
    assert min(answers["corn"], answers["com"]) > 0.1


def test_several_survivors_teach_together() -> None:
    """Counts of two survivors are added, on folded letters."""
    pairs = [("ꞅꞇan on þam ꞅꞇane", "stan on þam rtane"), ("ꞅeo ꞅunne ꞅcinþ", "reo sunne scinþ")]
    folds = Folds({"ꞅ": "s", "ꞇ": "t"})
    alignments = [align_witnesses(Witness("O", o), Witness("C", c), folds) for o, c in pairs]
    totals = learned_channel(alignments, folds).totals
    assert totals.singles["s", "r"] == 2
    assert totals.singles["s", "s"] == 3


def test_what_is_left_out_teaches_the_channel_nothing() -> None:
    """With one survivor, or a stretch of one, left out, the channel is that of the rest alone."""
    pairs = [
        ("stan on þam felda corn and wæs", "rtan on þam felda com and wær"),
        ("seo sunne scinþ on stane", "reo sunne scinþ onrtan"),
    ]
    first, second = (align_witnesses(Witness("O", o), Witness("C", c)) for o, c in pairs)
    alone = learned_channel([first], NO_FOLDS).totals
    size = len(second.copy.letters)
    assert second.steps[-1].tolist()[2:4] == [size, size]  # he left out the last letters
    assert learned_channel([first, second], NO_FOLDS, {1: [(0, size)]}).totals == alone
    start = first.copy.letters.index(" felda")  # a stretch cut out of a long step that keeps letters
    end = first.copy.letters.index(" and")
    rest = [("stan on þam", "rtan on þam"), (" and wæs", " and wær")]
    parts = [align_witnesses(Witness("O", o), Witness("C", c)) for o, c in rest]
    expected = learned_channel(parts, NO_FOLDS).totals
    found = learned_channel([first], NO_FOLDS, {0: [(start, end)]}).totals
    assert {pair: n for pair, n in found.singles.items() if n} == dict(expected.singles)
    assert dict(found.several) == dict(expected.several)


def test_the_best_of_impossible_words() -> None:
    """Where the prior knows none of the candidates, the word stays, with nothing behind it."""
    noisy = NoisyChannel(rn_channel(), {"corn": 0.4, "com": 0.3, "cor": 0.2, "can": 0.1})
    assert noisy.best("zzzz") == ("zzzz", 0.0)
    assert noisy.best("com")[0] == "com"
    assert noisy.best("com")[1] == max(noisy.answers("com").values())
