"""The noisy channel against published worked examples: acress, and thew, which is a word and yet wrong."""

from __future__ import annotations

import math

import pytest

from fidelity.alignment.channel import AnswerTotals, LetterChannel
from fidelity.readings import simple
from fidelity.readings.simple import NoisyChannel, posterior, products

# "acress": Kernighan, Church & Gale 1990 as worked out in Jurafsky & Martin, Speech and Language
# Processing, 3rd ed. draft, appendix on spelling and the noisy channel, figs 3-5. Word, its count
# among 404,253,213 words, printed P(w), printed P(acress | w), printed 10^9 times their product.
# The last product is printed as 1.0, though it is 1.09: it is compared to one figure.
WORDS = 404_253_213
ACRESS = [
    ("actress", 9_321, ".0000231", 0.000117, "2.7"),
    ("cress", 220, ".000000544", 0.00000144, "0.00078"),
    ("caress", 686, ".00000170", 0.00000164, "0.0028"),
    ("access", 37_038, ".0000916", 0.000000209, "0.019"),
    ("across", 120_844, ".000299", 0.0000093, "2.8"),
    ("acres", 12_874, ".0000318", 0.0000321, "1.0"),
    ("acres", 12_874, ".0000318", 0.0000342, "1"),
]
DERIVATIONS = [(word, p) for word, _, _, p, _ in ACRESS]
PRIOR = {word: count / WORDS for word, count, _, _, _ in ACRESS}

# The same letters in the first edition, with priors from 44 million words of newswire. FROM MEMORY:
# the priors and percentages; the products are recomputed from them.
FIRST_EDITION = {
    "actress": (0.0000315, 37),
    "across": (0.00019, 18),
    "acres": (0.000065, 21 + 23),
    "access": (0.000058, 0),
    "caress": (0.0000001, 0),
    "cress": (0.000000014, 0),
}


def figures(printed: str) -> int:
    """Count the significant figures of a printed number."""
    return len(printed.replace(".", "").lstrip("0"))


@pytest.mark.parametrize("row", ACRESS, ids=lambda row: f"{row[0]} {row[3]}")
def test_the_seven_rows_of_acress(row: tuple[str, int, str, float, str]) -> None:
    """Each row's prior and product are as printed, to the figures printed."""
    word, count, printed_prior, channel, printed = row
    assert (
        f"{count / WORDS:.{figures(printed_prior)}g}" == f"{float(printed_prior):.{figures(printed_prior)}g}"
    )
    product = products(PRIOR, [(word, channel)])[word] * 1e9
    assert float(f"{product:.{figures(printed)}g}") == float(printed)


def test_acress_is_across() -> None:
    """All rows together, both ways to acres added: across .3652, actress .3544, acres .2774, and so on.

    The printed order of single rows is across, actress, acres, acres, access, caress, cress.
    """
    found = posterior(PRIOR, DERIVATIONS)
    expected = {
        "across": 0.3652,
        "actress": 0.3544,
        "acres": 0.1431 + 0.1343,
        "access": 0.0025,
        "caress": 0.0004,
        "cress": 0.0001,
    }
    assert found == pytest.approx(expected, abs=6e-5)
    assert sorted(found, key=lambda word: -found[word]) == list(expected)
    assert math.fsum(found.values()) == pytest.approx(1)
    rows = sorted(DERIVATIONS, key=lambda row: -PRIOR[row[0]] * row[1])
    assert [word for word, _ in rows] == ["across", "actress", "acres", "acres", "access", "caress", "cress"]


def test_another_prior_has_another_winner() -> None:
    """The same channel with the first edition's priors [from memory]: acres wins, not across."""
    found = posterior({word: prior for word, (prior, _) in FIRST_EDITION.items()}, DERIVATIONS)
    for word, (_, percent) in FIRST_EDITION.items():
        assert 100 * found[word] == pytest.approx(percent, abs=1.0), word
    assert max(found, key=lambda word: found[word]) == "acres"


def test_the_words_beside_decide() -> None:
    """With "versatile ... whose" around it acress is actress, 2,097 to 1 (same source).

    P(w | versatile) P(whose | w): 210e-10 against 1.26e-10, times the channel.
    """
    context = {"actress": 0.000021 * 0.0010, "across": 0.000021 * 0.000006}
    found = posterior(context, dict([DERIVATIONS[0], DERIVATIONS[4]]))
    assert found["actress"] / found["across"] == pytest.approx(2096.8, rel=1e-4)


OCCASIONS = 1e9  # of every letter and pair: so many that no prior of the channel's own is felt


def channel_of(
    right: dict[str, float], singles: dict[tuple[str, str], float], several: dict[tuple[str, str], float]
) -> LetterChannel:
    """Make a channel that has learned these rates: right answers, one letter for another, several letters."""
    letters = "".join(sorted({*right, *(x for pair in [*singles, *several] for side in pair for x in side)}))
    counted = {(x, x): OCCASIONS * right.get(x, 1.0) for x in letters}
    counted |= {pair: OCCASIONS * p for pair, p in singles.items() if pair[0]}
    seen = sum(counted.values())
    added = {written: seen * p for (original, written), p in singles.items() if not original}
    several_counts = {pair: OCCASIONS * p + 0.5 for pair, p in several.items()}  # half of one is held back
    chances = {original: int(OCCASIONS) for original, _ in several}
    return LetterChannel(letters, letters, str.__eq__, AnswerTotals(counted, added, several_counts, chances))


def test_acress_letter_by_letter(monkeypatch: pytest.MonkeyPatch) -> None:
    """A channel that learned the published rates answers acress with the published posterior.

    What was written for what stands in the table's second column: c for ct, e for o, es for e, ss for s, r
    for c, a put in, ac for ca. The two ways to acres are found and added by the channel itself.
    """
    monkeypatch.setattr(simple, "SWAP_COST", -math.log(0.00000164))
    channel = channel_of(
        dict.fromkeys("acerost", 1.0),
        {("o", "e"): 0.0000093, ("c", "r"): 0.000000209, ("", "a"): 0.00000144},
        {("ct", "c"): 0.000117, ("e", "es"): 0.0000321, ("s", "ss"): 0.0000342},
    )
    noisy = NoisyChannel(channel, PRIOR)
    for word, p in dict(DERIVATIONS).items():
        expected = 0.0000321 + 0.0000342 if word == "acres" else p
        assert noisy.written_given(word, "acress") == pytest.approx(expected, rel=0.01), word
    found, expected_odds = noisy.answers("acress"), posterior(PRIOR, DERIVATIONS)
    assert {word: p for word, p in found.items() if p} == pytest.approx(expected_odds, abs=0.001)
    assert noisy.best("acress")[0] == "across"
    earlier = NoisyChannel(channel, {word: prior for word, (prior, _) in FIRST_EDITION.items()})
    assert earlier.best("acress")[0] == "acres"


# "two of thew", same appendix: word, P(thew | w), P(w in the sentence), printed product times 10^8.
# alpha = .95 is the chance that a word is written as it is meant.
THEW = [
    ("the", 0.000007, 0.476012, 333),
    ("thew", 0.95, 9.95e-8, 9.45),
    ("thaw", 0.001, 2.1e-7, 0.0209),
    ("threw", 0.000008, 8.9e-7, 0.000713),
    ("thwe", 0.000003, 5.2e-9, 0.00000156),
]


def test_a_real_word_may_be_wrong() -> None:
    """Thew is a word, kept with .95, and yet the is 35 times likelier beside "two of"."""
    prior = {word: p for word, _, p, _ in THEW}
    channel = {word: p for word, p, _, _ in THEW}
    found = products(prior, channel)
    for word, _, _, printed in THEW:
        assert found[word] * 1e8 == pytest.approx(printed, rel=0.006), word
    rivals = posterior(prior, channel)
    assert rivals["the"] / rivals["thew"] == pytest.approx(333.2 / 9.45, rel=0.001)


def test_thew_letter_by_letter(monkeypatch: pytest.MonkeyPatch) -> None:
    """A channel that learned the published rates keeps thew with .95, and answers the all the same.

    ew for e, e for a, h for hr, ew for we; that t is written right with .95 stands for the whole word, and
    each of the other four has that factor too.
    """
    monkeypatch.setattr(simple, "SWAP_COST", -math.log(0.000003 / 0.95))
    channel = channel_of(
        {"t": 0.95, **dict.fromkeys("hewra", 1.0)},
        {("t", "d"): 0.05, ("a", "e"): 0.001 / 0.95},
        {("e", "ew"): 0.000007 / 0.95, ("hr", "h"): 0.000008 / 0.95},
    )
    prior = {word: p for word, _, p, _ in THEW}
    noisy = NoisyChannel(channel, prior)
    for word, p, _, printed in THEW:
        assert noisy.written_given(word, "thew") == pytest.approx(p, rel=0.01), word
        assert noisy.written_given(word, "thew") * prior[word] * 1e8 == pytest.approx(printed, rel=0.01)
    assert noisy.best("thew")[0] == "the"
    rarely = NoisyChannel(channel, {**prior, "the": 1e-9})
    assert rarely.best("thew")[0] == "thew"


def test_as_transmitted_is_always_a_rival() -> None:
    """Where no other word is likely beside it, thew stays: alpha is its own channel probability."""
    prior = {"the": 1e-9, "thew": 9.95e-8, "thaw": 2.1e-7}
    found = posterior(prior, {word: p for word, p, _, _ in THEW[:3]})
    assert max(found, key=lambda word: found[word]) == "thew"
