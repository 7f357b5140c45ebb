"""Whether what survivors teach holds for a lost text: what is measured is compared with what was planted."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from math import exp, log
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import norm
from scipy.stats import t as student
from statsmodels.stats.contingency_tables import StratifiedTable

from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.judge import judge
from fidelity.settings import Settings
from fidelity.terms import Locus, ProposedReading, Shift
from fidelity.trial.shifted import ALTOGETHER, INSIDE, SHIFTED, shifted
from fidelity.trial.spellings import Difference, RuleCounts, Spellings, stretches
from fidelity.trial.transfer import LETTER, WORD, told, transfer
from fidelity.trial.withheld import withheld
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.shifting_habits import alarms, concerns, dossier_of, shifts_of
from tests.planted_shift import shifting_copyist


@cache
def shifts(seed: int, change: str) -> tuple[Shift, ...]:
    return tuple(shifts_of(judge(dossier_of(shifting_copyist(seed, change)))))


@pytest.mark.parametrize("seed", [2, 3])
def test_steady_habits_raise_no_alarm(seed: int) -> None:
    """Where only pages and texts vary as they do, nothing is found."""
    assert not alarms(shifts(seed, "none"))


@pytest.mark.parametrize(("change", "kind"), [("between", SHIFTED), ("halfway", INSIDE)])
def test_a_change_is_noticed(change: str, kind: str) -> None:
    """A habit that falls from .87 to .24 is found, as what it is, and so is nothing that stayed."""
    case = shifting_copyist(1, change)
    found = [one for one in shifts(1, change) if one.found and one.kind != ALTOGETHER]
    rules = {one.what for one in found}
    assert any(concerns(rule, case.changed[0]) for rule in rules)
    assert {one.kind for one in found} == {kind}
    for one in found:
        ways = {one.what, "→".join(reversed(one.what.split("→")))}
        assert any(concerns(rule, habit) for rule in ways for habit in case.changed), one


def test_the_place_of_a_change() -> None:
    """A change in the middle of the text is placed within two pages of it."""
    case = shifting_copyist(1, "halfway")
    copy = read_witness(case.lost[1], siglum="L")
    starts = [page.start for page in stretches("L", copy)]
    found = [one for one in shifts(1, "halfway") if one.found and one.kind == INSIDE]
    assert found
    for one in found:
        assert one.span is not None
        inner = one.span[1] if one.span[0] == 0 else one.span[0]
        page = min(range(len(starts)), key=lambda number: abs(starts[number] - inner))
        assert abs(page - case.pages) <= 2


def test_the_odds_ratio_is_the_one_of_mantel_and_haenszel() -> None:
    """With many words the factor is statsmodels' pooled odds ratio (half an occurrence apart)."""
    rng = np.random.default_rng(4)
    words, pages = 12, 16
    word, page = np.repeat(np.arange(words), pages), np.tile(np.arange(pages), words)
    places = rng.integers(5, 40, words * pages)
    rate = 1 / (1 + np.exp(-(rng.normal(0, 1, words)[word] - 1.2 * (page < 8))))
    spelled = rng.binomial(places, rate)
    counts = RuleCounts(word, page, spelled.astype(float), places.astype(float), pages, ("", ""))
    here = np.arange(pages) < 8
    it = counts.difference(here, ~here)
    tables = [
        np.array([[spelled[chosen & (word == one)].sum(), (places - spelled)[chosen & (word == one)].sum()]
                  for chosen in (here[page], ~here[page])])
        for one in range(words)
    ]  # fmt: skip
    pooled = StratifiedTable(tables).oddsratio_pooled
    assert it.factor == pytest.approx(exp(abs(log(pooled))), rel=0.01)
    assert it.log_odds == pytest.approx(log(pooled), rel=0.1)  # one step towards it: too small, if anything


def test_p_values_are_students() -> None:
    """The p-value of a difference is that of Student's distribution, as scipy has it."""
    it = Difference(0.8, 0.05, 7.5, 0.5, 0.3, 100, 2.2, 80, 120)
    expected = 2 * student.sf(0.8 / np.sqrt(0.05 + 0.04), 7.5)
    assert it.p_value(0.04) == pytest.approx(expected, rel=1e-9)


def test_words_not_texts_are_compared() -> None:
    """Two texts that use other words in other shares, each spelled alike, do not differ."""
    first = read_witness("hus " * 30 + "huz " * 10 + "waz " * 5 + "was " * 5, siglum="A")
    second = read_witness("hus " * 6 + "huz " * 2 + "waz " * 50 + "was " * 50, siglum="B")
    pages = [page for name, one in (("A", first), ("B", second)) for page in stretches(name, one)]
    spellings = Spellings({"A": first.letters, "B": second.letters}, pages, {"hus", "was"})
    counts = spellings.of(("s", "z"))
    assert counts is not None
    here = np.array([page.text == "A" for page in pages])
    it = counts.difference(here, ~here)
    assert it.first == pytest.approx(it.second)
    assert counts.standing(here) == (15, 50)


def test_a_word_known_from_one_copy_alone_is_not_looked_at_there() -> None:
    """A word that stands in one survivor's original only counts in the others' copies, not in his."""
    copies = {name: read_witness(text, siglum=name) for name, text in (("A", "hus huz"), ("B", "hus mus"))}
    pages = [page for name, one in copies.items() for page in stretches(name, one)]
    letters = {name: one.letters for name, one in copies.items()}
    counts = Spellings(letters, pages, {"hus", "mus"}, {"mus": "B"}).of(("s", "z"))
    assert counts is not None
    of_each = [np.array([page.text == name for page in pages]) for name in copies]
    assert [counts.standing(one) for one in of_each] == [(1, 2), (0, 1)]


def test_words_spelled_alike_by_chance_are_no_shift() -> None:
    """Words drawn at random, copied by one who never changes: s and r are other words, and nothing is found.

    A word known only because the survivor's original has it is that word in his copy; in a lost text one
    spelled like it is as often another word. Were both counted, the spelling would seem to rise.
    """
    rng = np.random.default_rng(4)
    *pairs, (_, copied) = [texts_at_random(rng) for _ in range(4)]
    read = [[read_witness(text, siglum=f"S{at}") for text in pair] for at, pair in enumerate(pairs)]
    survivors = tuple(Survivor(one[0].siglum, one[0], one[1]) for one in read)
    lost = LostText("L", read_witness(copied, siglum="L"))
    dossier = Dossier(Path(), "", "", NO_FOLDS, survivors, (lost,), (), (), Settings())
    found = shifted(dossier, [("s", "r")])
    assert any(one.what == "s→r" for one in found)
    assert not alarms(found)


def texts_at_random(rng: np.random.Generator) -> tuple[str, str]:
    """Draw a text of words of letters that say nothing of one another, and a copy with some r for s."""
    letters = list("aeioubdglmnrrrrsss")
    words = ["".join(rng.choice(letters, size=5).tolist()) for _ in range(800)]
    original = "\n".join(" ".join(words[at : at + 8]) for at in range(0, 800, 8))
    return original, "".join("r" if x == "s" and rng.random() < 0.15 else x for x in original)


def test_new_letters_and_words_are_told() -> None:
    """What the survivors' copies do not have is counted in the lost text, with an example."""
    case = shifting_copyist(2, "none")
    dossier = dossier_of(case)
    plain = {one.kind: one for one in transfer(dossier, [])}
    words = {word for one in dossier.survivors for word in one.copy.letters.split()}
    lost = dossier.lost[0].copy.letters.split()
    assert plain[WORD].share == pytest.approx(sum(word not in words for word in lost) / len(lost))
    assert plain[LETTER].share == 0.0 and not plain[LETTER].found
    assert shifted(dossier, []) == []


def reading(step: str, p: float, at: int = 10) -> ProposedReading:
    return ProposedReading(
        1, "X", Locus("X", "1", 1), (at, at + 4), "with", "wiþ", p, steps=(step,),
        alternatives=(("with", 1 - p - 0.01), ("wit", 0.01)),
    )  # fmt: skip


SHIFT = Shift("X", SHIFTED, "þ→th", 0.24, 0.87, found=True, factor=20.0, chance=1.0)


def test_what_rests_on_a_shifted_rule_is_drawn_down() -> None:
    """The odds are divided by the factor, the rest goes to the transmitted reading, and the note says why."""
    (after,), (shift,) = withheld([reading("þ→th", 0.9)], [SHIFT])
    assert after.probability == pytest.approx((9 / 20) / (1 + 9 / 20))
    assert after.verdict == "possible" and shift.withheld == 1
    assert dict(after.alternatives)["with"] == pytest.approx(1 - after.probability - 0.01)
    assert "0.24" in after.note and "0.87" in after.note and "0.90" in after.note


@pytest.mark.parametrize(
    ("one", "shift"),
    [
        (reading("s→r", 0.9), SHIFT),
        (reading("þ→th", 0.9), Shift("Y", SHIFTED, "þ→th", 0.24, 0.87, found=True, factor=20.0, chance=1.0)),
        (
            reading("þ→th", 0.9),
            Shift("X", SHIFTED, "þ→th", 0.24, 0.87, found=False, factor=20.0, chance=0.02),
        ),
        (
            reading("þ→th", 0.9),
            Shift("X", INSIDE, "þ→th", 0.2, 0.8, found=True, factor=9.0, span=(50, 90), chance=1.0),
        ),
        (reading("þ→th", 0.9), Shift("X", LETTER, "", 0.2, found=True)),
    ],
)
def test_nothing_else_is_touched(one: ProposedReading, shift: Shift) -> None:
    """Another rule, another text, a shift that is no find, another part of the text: all stays as it was."""
    assert withheld([one], [shift]) == ([one], [shift])


def test_a_spelling_that_became_commoner() -> None:
    """It may be the exemplar's: then fewer of the w were o, and as few are said to have been.

    Reckoned from counts: the survivors had o throughout and he wrote w for three in four; of 100 places
    of the lost original 40 had o, the others w already.
    """
    kept, written = 40 * 1 / 4, 40 * 3 / 4  # of the places that were o
    now, before = (60 + written) / 100, 3 / 4  # the exemplar of the survivors had o throughout
    factor = now / (1 - now) / (before / (1 - before))
    shift = Shift("X", SHIFTED, "þ→th", now, before, found=True, factor=factor, chance=1.0)
    (after,), _ = withheld([reading("þ→th", 0.98)], [shift])
    assert after.probability == pytest.approx(0.98 * written / (60 + written))
    assert kept == pytest.approx(100 * (1 - now))


def test_what_may_have_shifted_is_drawn_down_in_part() -> None:
    """With a chance of one in four that it has shifted, the probability is the weighed mean of both cases."""
    (after,), _ = withheld([reading("þ→th", 0.9)], [replace(SHIFT, found=False, chance=0.25)])
    drawn = (9 / 20) / (1 + 9 / 20)
    assert after.probability == pytest.approx(0.25 * drawn + 0.75 * 0.9)
    assert "may have changed (chance 0.25)" in after.note


def test_the_chance_of_a_shift_is_bayes() -> None:
    """Prior times the two normal densities, as scipy has them, where the variance is known well."""
    it = Difference(1.4, 0.3, 1e7, 0.9, 0.8, 100, 4.0, 80, 120)
    shift = 0.02 * norm.pdf(1.4, 0, np.sqrt(0.3 + 0.05 + 1.5**2))
    none = 0.98 * norm.pdf(1.4, 0, np.sqrt(0.3 + 0.05))
    assert it.chance_of_shift(0.05, 0.02, 1.5) == pytest.approx(shift / (shift + none), rel=1e-4)


def test_the_same_rule_is_not_counted_twice() -> None:
    """A rule and its opposite, both found to have shifted, are one shift: the greater factor is taken."""
    opposite = Shift("X", SHIFTED, "th→þ", 0.76, 0.13, found=True, factor=30.0, chance=1.0)
    (after,), _ = withheld([reading("þ→th", 0.9)], [SHIFT, opposite])
    assert after.probability == pytest.approx((9 / 30) / (1 + 9 / 30))


def test_it_is_said_in_words() -> None:
    """Only finds are told."""
    assert told([SHIFT]) == [
        "X: the spelling þ→th stands at 24 % of its places there, at 87 % in the survivors"
    ]
    assert told([Shift("X", SHIFTED, "þ→th", 0.24, 0.87)]) == []
