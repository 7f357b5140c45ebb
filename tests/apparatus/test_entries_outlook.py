"""Forecast and drift as rows and sentences."""

from __future__ import annotations

import json
from dataclasses import replace

from fidelity.apparatus.cautions import cautions
from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.entries_outlook import (
    check_rows,
    coverage,
    drift_sentence,
    forecast_rows,
    forecast_sentences,
)
from fidelity.apparatus.entries_texts import checked_sentence
from fidelity.apparatus.page import page
from fidelity.apparatus.screen import audit_screen
from fidelity.apparatus.summary import summary
from fidelity.apparatus.tables import json_text
from fidelity.trial.proofreading import Proofreading
from tests.apparatus.made import made_audit, made_course, made_outlook, made_trial


def test_every_column_is_filled() -> None:
    """Each row of the four tables has the columns of its table, and no other."""
    for name in ("drift", "page_rates", "forecast", "forecast_trial"):
        rows = TABLES[name].rows(made_audit())
        assert rows, name
        assert all(tuple(row) == TABLES[name].columns for row in rows), name


def test_forecast_has_both_intervals_and_what_will_be_found() -> None:
    """Beside the limits stand the binomial ones; the blind test's share is given for words alone."""
    words, division, assumed = forecast_rows(made_outlook().forecasts, made_trial())
    assert (words["low80"], words["high80"], words["binomial_low80"], words["binomial_high80"]) == (
        1,
        7,
        2,
        5,
    )
    assert (words["visible_share"], words["invisible_share"]) == (0.75, 0.25)
    assert (words["found_from_0.5"], words["found_from_0.9"]) == (0.25, 0)
    assert division["found_from_0.5"] is None
    assert division["low80"] is None
    assert assumed["assumed_factor"] == 2


def test_forecast_is_told_in_words() -> None:
    """The sentence has number, limits, what will not show, and what proposals should restore."""
    (text,) = forecast_sentences(made_outlook().forecasts, made_trial())
    assert "about 4 altered words, stops and word divisions not counted (80 % forecast 1 to 7, 95 % 0" in text
    assert "if half of his texts had 2 times the rate of the rest, the 80 % forecast would be 1 to 7" in text
    assert "fewer than one of them will be words that the originals are known to have" in text
    assert "that rest on him alone should restore about 25% of them, those of 0.9 or more 0%" in text
    (untested,) = forecast_sentences(made_outlook().forecasts, None)
    assert "restore" not in untested
    trial = made_trial()
    none = replace(trial, precisions=tuple(replace(one, restored=0) for one in trial.precisions))
    assert "restored none in the blind test" in forecast_sentences(made_outlook().forecasts, none)[0]


def test_checks_say_whether_they_held() -> None:
    """Six errors lie within 1 to 7, not within the binomial 2 to 5; without limits nothing is said."""
    held, unknown = check_rows(made_outlook().checks)
    assert (held["within80"], held["binomial_within80"], unknown["within80"]) == (True, False, None)
    assert coverage(made_outlook().checks) == {
        "forecasts": 1,
        "within80": 1,
        "within95": 1,
        "binomial_within80": 0,
    }
    assert coverage(()) is None


def test_drift_is_told_in_words() -> None:
    """The clearest find is told with its rates; without one it is said that a small change may be there."""
    found, other = made_course().drifts
    text = drift_sentence((other, found), 0.05)
    assert "1 of 2 tests say so, most clearly letters along the pages in E, from 7 to 13 per 1,000" in text
    assert "a small change may be there" in drift_sentence((other,), 0.05)
    assert "could not be tested" in drift_sentence((), 0.05)
    assert "in all survivors" in drift_sentence((replace(found, text="all"),), 0.05)


def test_page_screen_and_summary_have_them() -> None:
    """The page, the screen and summary.json tell drift, forecast and the checking of transcripts."""
    audit = made_audit()
    for text in forecast_sentences(audit.outlook.forecasts, audit.trial):
        assert text in page(audit)
        assert text in audit_screen(audit, audit.dossier.folder, 10_000)
    found = json.loads(json_text(summary(audit)))
    assert found["forecast"]["survivors_predicted"]["within80"] == 1
    assert len(found["forecast"]["by_text"]) == 3
    assert [row["found"] for row in found["drift"]] == [True, False]
    assert found["transcripts_checked"][0]["missed_by_both"] == 2
    assert any(
        "one reader found 3 mistakes and the other 2, 1 of them both" in each for each in cautions(audit)
    )


def test_readers_with_nothing_in_common_are_no_estimate() -> None:
    """Where no mistake was found by both readers, the sentence says that nothing can be told."""
    assert checked_sentence(Proofreading("E", 45, 3, 2, 0, None)).endswith("cannot be told from that.")


def test_page_without_forecast_has_no_empty_section() -> None:
    """Without a lost text there is no forecast, and no heading for one."""
    audit = replace(made_audit(), outlook=replace(made_outlook(), forecasts=(), checks=()))
    assert "To be expected" not in page(audit)
