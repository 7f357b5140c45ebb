"""What the screen says of an audit: what is left out, where the rest is, and why nothing is proposed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from fidelity.apparatus.page import page
from fidelity.apparatus.screen import FIRST, audit_screen, compare_screen
from fidelity.apparatus.screen_trial import trial_screen
from fidelity.apparatus.sentences import three_sentences, too_few_tested
from fidelity.judge import Audit
from fidelity.terms import Precision, Trial
from tests.apparatus.made import made_audit, made_trial

WIDE = 400  # letters; nothing is cut or wrapped


def fared(proposals: int, right: int, low: float, high: float) -> Trial:
    """Give a blind test with a result at one half."""
    return replace(made_trial(), precisions=(Precision(0.5, proposals, right, low, high, 20, 0),))


def test_screen_says_where_the_rest_is() -> None:
    """Beside a shortened table stands where all of it is: in the file, or for two texts in the JSON."""
    made = made_audit()
    many = replace(made, patterns=made.patterns * FIRST, confusions=made.confusions * FIRST)
    shown = audit_screen(many, Path("results"), WIDE)
    assert f"({FIRST} of {2 * FIRST}; all in patterns.csv)" in shown
    assert f"({FIRST} of {2 * FIRST}; all in confusions.csv)" in shown
    assert "the most probable of 3 (all in readings.csv)" in shown
    assert compare_screen(many, WIDE).count(f"({FIRST} of {2 * FIRST}; --json shows all)") == 2
    assert "--json" not in compare_screen(made, WIDE)


def test_an_empty_column_is_left_out() -> None:
    """Without lost texts there is no column of what they must be expected to hold."""
    made = made_audit()
    none = replace(made, patterns=tuple(replace(one, expected_in_lost=None) for one in made.patterns))
    assert "expected in lost" in compare_screen(made, WIDE)
    assert "expected in lost" not in compare_screen(none, WIDE)


def proposing(trial: Trial | None, probability: float | None) -> Audit:
    """Give an audit with this blind test and one proposal, or none."""
    made = made_audit()
    readings = () if probability is None else (replace(made.readings[0], probability=probability),)
    return replace(made, trial=trial, readings=readings)


def test_it_is_said_why_nothing_is_proposed() -> None:
    """With nothing tried in the blind test, screen and page say that too little could be tested."""
    audit = proposing(fared(0, 0, 0.0, 1.0), None)
    why = (
        "Too few proposals could be tested on these survivors (none with a probability of 0.5 or more;"
        " 20 altered places in all) to bear out any probability: all are held low, and those below 0.2"
        " are not listed; more survivors would help."
    )
    assert three_sentences(audit)[2].endswith(why)
    assert why in audit_screen(audit, Path("results"), 1000)
    assert why in page(audit)
    assert "more survivors would help" in trial_screen(fared(0, 0, 0.0, 1.0), WIDE)


def test_it_is_said_why_all_is_held_low() -> None:
    """An interval wider than one half bears nothing out: it is said where no proposal reaches one half."""
    few = fared(10, 1, 0.0, 0.99)
    assert "(10 with a probability of 0.5 or more, 1 right; 20" in three_sentences(proposing(few, 0.3))[2]
    assert "Too few" not in three_sentences(proposing(few, 0.7))[2]


def test_nothing_is_said_where_enough_was_tried() -> None:
    """With many proposals tried, or no blind test at all, no want of proposals is blamed."""
    many = fared(100, 80, 0.7, 0.87)
    assert too_few_tested(many) == too_few_tested(None) == ""
    for trial in (many, None):
        assert "Too few" not in " ".join(three_sentences(proposing(trial, None)))
