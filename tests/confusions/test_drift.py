"""Whether he changed as he went on: planted, and not planted."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import fidelity
from fidelity.audit import Audit
from fidelity.confusions.drift import ALL, LINES, OWN_LINES, PAGES, QUIRE, SIDES, drift
from fidelity.settings import Settings
from fidelity.terms import Drift
from fidelity.witnesses.folds import NO_FOLDS
from tests.benchmarks.simulated_copyists import shows_drift, slipping, tiring
from tests.planted import saga_lines

LINES_OF_A_PAGE = 10


def judged(rates: np.ndarray, marks: bool = True, copy_marks: bool = False, seed: int = 1) -> Audit:
    """Copy the saga with so many slips per letter in each line, on leaves 1r, 1v, 2r, ..."""
    rng = np.random.default_rng(seed)
    lines = saga_lines()[: len(rates)]
    original, copy = [], []
    for number, (line, rate) in enumerate(zip(lines, rates, strict=True)):
        if number % LINES_OF_A_PAGE == 0:
            leaf, side = divmod(number // LINES_OF_A_PAGE, 2)
            original += [f"[fol. {leaf + 1}{'rv'[side]}]"] * marks
            copy += [f"[p. {number // LINES_OF_A_PAGE + 1}]"] * copy_marks
        original.append(line)
        copy.append("".join("x" if c != " " and rng.random() < rate else c for c in line))
    return fidelity.compare("\n".join(original), "\n".join(copy))


def found(audit: Audit, along: str, what: str = "letters") -> list[Drift]:
    """Give the tests of one kind."""
    return [one for one in audit.course.drifts if (one.along, one.what) == (along, what)]


PLACES = np.arange(400)
TOP = PLACES % LINES_OF_A_PAGE < 5
RECTO = PLACES // LINES_OF_A_PAGE % 2 == 0


def test_a_tiring_copyist_is_found() -> None:
    """A rate that goes from 0.5 to 3 % over 40 pages is found by trend and change-point, and which way."""
    trend, change = found(judged(np.linspace(0.005, 0.03, 400)), PAGES)
    assert trend.found
    assert change.found
    assert trend.statistic > 3
    assert trend.first < trend.last
    assert trend.where == "1r to 20v"


def test_a_change_is_found_where_it_is() -> None:
    """A rate that rises from 0.5 to 3 % on 9r (the seventeenth page) is found to change about there."""
    change = found(judged(np.where(PLACES < 160, 0.005, 0.03)), PAGES)[1]
    assert change.found
    assert change.where in ("from 8r", "from 8v", "from 9r", "from 9v", "from 10r")


@pytest.mark.parametrize(
    ("rates", "along"),
    [(np.where(TOP, 0.005, 0.03), LINES), (np.where(RECTO, 0.005, 0.03), SIDES)],
)
def test_place_on_the_page_and_leaf_is_found(rates: np.ndarray, along: str) -> None:
    """More errors at the foot of the page, or on versos, are found by their own test and no other."""
    audit = judged(rates)
    assert all(one.found and one.statistic > 0 for one in found(audit, along))
    assert [one.along for one in audit.course.drifts if one.found] == [along]


def test_the_copys_own_pages_are_tested_too() -> None:
    """Where the copy has page marks of its own, the lines of its pages are tested; otherwise not."""
    assert found(judged(np.where(TOP, 0.005, 0.03), copy_marks=True), OWN_LINES)[0].found
    assert not found(judged(np.where(TOP, 0.005, 0.03)), OWN_LINES)


def test_quires_are_the_editors() -> None:
    """More errors towards the end of each quire are found where the editor says what the quires are."""
    place = PLACES // LINES_OF_A_PAGE % 8
    audit = judged(0.004 + 0.004 * place)
    pages = list(dict.fromkeys(audit.alignments[0].original.pages))
    quires = {"original": [pages[at : at + 8] for at in range(0, 40, 8)]}
    course = drift({"original": audit.alignments[0]}, audit.variants, NO_FOLDS, Settings(), quires)
    assert next(one for one in course.drifts if one.along == QUIRE).found
    assert (
        "drift by quire in original: needs the quires, and the dossier does not say what they are"
        in audit.course.skipped
    )


def test_without_page_marks_stretches_stand_for_pages() -> None:
    """A text without page marks is tested by stretches of about 2,000 letters, named by their lines."""
    trend = found(judged(np.linspace(0.005, 0.03, 400), marks=False), PAGES)[0]
    assert trend.found
    assert trend.units == 9
    assert trend.where.startswith("1–")


def test_too_little_is_skipped_and_said() -> None:
    """Five pages are no ground for a test, nor are nine errors: skipped, with what would be needed."""
    course = judged(np.full(50, 0.03)).course
    assert course.drifts == ()
    assert any("needs 6 pages and 10 errors" in reason for reason in course.skipped)


def test_survivors_are_taken_together_from_their_beginnings() -> None:
    """Two survivors in which he tires are tested together too, each from its own beginning."""
    one, other = (judged(np.linspace(0.005, 0.03, 200), seed=seed) for seed in (1, 2))
    alignments = {"A": one.alignments[0], "B": other.alignments[0]}
    variants = [replace(v, text=text) for text, audit in (("A", one), ("B", other)) for v in audit.variants]
    course = drift(alignments, variants, NO_FOLDS, Settings())
    together = [d for d in course.drifts if d.text == ALL and d.along == PAGES and d.what == "letters"]
    assert together[0].found
    assert together[0].units == 40


def test_page_rates_add_up() -> None:
    """The errors of the pages are those of the score card, and each interval holds its rate."""
    audit = judged(np.full(100, 0.02))
    for measure in ("letters", "words", "division"):
        pages = [page for page in audit.course.pages if page.measure == measure]
        score = next(one for one in audit.scores if (one.text, one.measure) == ("original", measure))
        assert sum(page.errors for page in pages) == score.errors
        assert sum(page.chances for page in pages) == score.chances
        assert all(page.low <= page.errors / page.chances <= page.high for page in pages)


def test_the_same_seed_gives_the_same_answers() -> None:
    """Two runs with one seed are alike; another seed changes p-values, not what was counted."""
    audit = judged(np.full(200, 0.02))
    given = {"original": audit.alignments[0]}, audit.variants, NO_FOLDS
    assert drift(*given, Settings()) == audit.course
    other = drift(*given, Settings(seed=2))
    assert [one.errors for one in other.drifts] == [one.errors for one in audit.course.drifts]
    assert [one.p_value for one in other.drifts] != [one.p_value for one in audit.course.drifts]


@pytest.mark.parametrize("by_frequency", [False, True])
def test_slips_alone_are_no_drift(by_frequency: bool) -> None:
    """Of 10 copyists with slips only (letters alike, or by frequency), at most 2 show drift.

    ``tests/benchmarks/simulated_copyists.py`` gives the figure for 200.
    """
    assert sum(shows_drift(slipping(seed, by_frequency)) for seed in range(10)) <= 2


def test_most_tiring_copyists_are_found() -> None:
    """Of 10 copyists whose rate doubles over 40 pages of 1,000 letters at 1 %, at least 6 are found."""
    assert tiring(10)["drift"] >= 6
