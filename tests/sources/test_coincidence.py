"""How likely the copyist comes upon a reading by himself."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from fidelity.confusions.intervals import wilson
from fidelity.sources.coincidence import Coincidence, leads_the_eye
from fidelity.terms.imported import together

LETTERS = frozenset("abcdefghiklmnoprstuwþ")


def learned(**rates: tuple[int, int]) -> Coincidence:
    """Give what might be learned of a copyist who takes s for r."""
    chances = dict.fromkeys(LETTERS, 500) | {"": 10_000}
    changes = {("s", "r"): 60, ("u", "o"): 1, ("w", ""): 1}
    return Coincidence(changes, chances, LETTERS, rates, frozenset({("þ", "th")}))


def test_a_habit_weighs_little_and_a_rare_slip_much() -> None:
    """A reading he makes by habit is likely; one he made once is not; one he never made less so."""
    known = learned()
    habit, once, never = (known.of(*pair).probability for pair in (("s", "r"), ("u", "o"), ("u", "w")))
    assert habit == pytest.approx(60 / 500, rel=0.1)
    assert habit > 20 * once and once > never > 0


def test_the_mean_of_the_posterior() -> None:
    """The rate is the mean of a gamma distribution updated by a Poisson count (as scipy has it)."""
    known = learned()
    shape, mean = known._fitted
    posterior = stats.gamma(shape + 60, scale=1 / (500 + shape / mean))
    assert known.letter("s", "r") == pytest.approx(posterior.mean())


def test_the_shape_fitted_is_the_likeliest_of_those_tried() -> None:
    """The shape is the one under which the counts are likeliest, by scipy's negative binomial."""
    known = learned()
    fitted, mean = known._fitted
    rows = [
        (known.changes.get((o, c), 0), n) for o, n in known.chances.items() for c in (*LETTERS, "") if c != o
    ]

    def likelihood(shape: float) -> float:
        rate = shape / mean
        return sum(float(stats.nbinom.logpmf(k, shape, rate / (rate + n))) for k, n in rows)

    assert likelihood(fitted) >= max(likelihood(fitted * 10**0.25), likelihood(fitted / 10**0.25)) - 1e-9


def test_a_class_never_seen_has_the_upper_limit() -> None:
    """Where he never skipped, a skip is as likely as the upper limit of the interval allows."""
    chance = learned(eye_skip=(0, 300)).of(" þas duru onlucan ne mæg se sceaþa", "", "mæg se sceaþa", " þurh")
    assert chance.kind == "eye-skip"
    assert chance.probability == pytest.approx(wilson(0, 300)[1])


def test_spellings_are_current_side_by_side() -> None:
    """A vowel between consonants, a doubled letter, th for þ: no errors, and so no sign."""
    known = learned()
    cases = [("", "i", "hal", "gum"), ("þ", "th", "", "u"), ("n", "", "man", "a")]
    assert {known.of(*case).kind for case in cases} == {"spelling"}
    assert all(together([known.of(*case).probability]) < 1.5 for case in cases)


def test_division_has_its_own_rate() -> None:
    """Words parted otherwise go by the rate of word division."""
    assert learned(division=(5, 200)).of(" ", "").probability == pytest.approx(0.025)


def test_weights_add_up() -> None:
    """The weight of independent coincidences is the sum of their -logs."""
    assert together([0.01, 0.1]) == pytest.approx(-math.log(0.001))


@pytest.mark.parametrize(
    ("skipped", "before", "after", "leads"),
    [
        (" ac of þære ac", "of ac", " ofer", True),
        ("of þam stane ", "", "of þam beorge", True),
        ("stane suþ ", "", "stanum", True),
        (" and his", "foldan", " fægran", False),
    ],
)
def test_what_leads_the_eye_astray(skipped: str, before: str, after: str, leads: bool) -> None:
    """The eye goes astray where what is skipped ends or begins like what stands beside it."""
    assert leads_the_eye(skipped, before, after) is leads
