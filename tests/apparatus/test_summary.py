"""The summary, its sentences and its cautions."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from importlib.metadata import version

from fidelity.apparatus import sentences
from fidelity.apparatus.cautions import cautions
from fidelity.apparatus.sentences import three_sentences
from fidelity.apparatus.summary import summary
from fidelity.apparatus.tables import json_text
from fidelity.settings import Settings
from fidelity.terms import OPE_CODICUM, Hands, Witness
from tests.apparatus.made import made_audit, made_readings, made_trial


def test_summary_names_program_settings_and_inputs() -> None:
    """A result can be traced to version, settings and files; there is no date in it."""
    found = summary(made_audit())
    assert found["colophon"] == {
        "program": "fidelity",
        "version": version("fidelity"),
        "settings": Settings().colophon(),
    }
    assert found["inputs"] == [
        {"file": "E/copy.txt", "sha256": "1" * 64},
        {"file": "E/original.txt", "sha256": "0" * 64},
    ]
    assert not re.search(r"\d{4}-\d\d-\d\d|\d\d:\d\d:\d\d", json_text(found))


def test_summary_is_json_and_the_same_twice() -> None:
    """The summary reads back, and two runs over the same audit give the same bytes."""
    text = json_text(summary(made_audit()))
    assert json.loads(text)["trial"]["brier_score"] == 0.1825
    assert text == json_text(summary(made_audit()))


def test_readings_are_counted_by_band_and_kind() -> None:
    """Every proposal is counted once by kind, and once by probability if a band holds it."""
    counts = json.loads(json_text(summary(made_audit())))["readings"]
    assert counts["all"]["by_kind"] == {"division": 1, "letter": 1, "misreading": 1}
    assert [one["readings"] for one in counts["all"]["by_probability"]] == [1, 1]
    assert counts["all"]["at_least_half"] == 2
    assert counts["by_text"]["X"] == counts["all"]


def test_summary_without_blind_test_says_so() -> None:
    """Without a blind test there are no figures of one, and a caution and a sentence say so."""
    audit = replace(made_audit(), trial=None)
    assert summary(audit)["trial"] is None
    assert "no blind test" in three_sentences(audit)[1]
    assert any("No blind test was made" in caution for caution in cautions(audit))


def test_three_sentences_have_the_figures() -> None:
    """The sentences name the score, the blind test's result and the number of proposals."""
    copying, belief, proposals = three_sentences(made_audit())
    assert "1 of 45 letters" in copying
    assert "r for ꞅ (2 of 9 places)" in copying
    assert "1 of 2 readings" in belief
    assert "from 2 to 1" in belief
    assert "3 readings are proposed, 2 with a probability of 0.5 or more" in proposals
    assert "about 1.26 of which should be right by these probabilities, and about 1 at" in proposals


def test_a_probability_is_shown_with_what_the_blind_test_found() -> None:
    """A figure where it is borne out; a range, rounded away from the middle, or that it was not tried."""
    told = [(sentences.believed(one), sentences.tested(one)) for one in made_readings()]
    assert told == [
        (0.712346, "42 of 60 right"),
        ("0-1", "not tested"),
        ("0.3-0.85", "6 of 10 right, of all kinds (none of its own)"),
    ]


def test_the_brier_score_is_told_with_its_parts() -> None:
    """The sentence has the figures of the table, and the sign of what lies within the bands."""
    told = sentences.brier_sentence(made_trial())
    assert "Brier score 0.182" in told or "Brier score 0.183" in told
    assert "- resolution 0.25" in told
    assert "+ uncertainty 0.25" in told
    parts = (replace(made_trial().brier_parts[0], within_covariance=0.03),)
    assert sentences.brier_sentence(replace(made_trial(), brier_parts=parts)).endswith(
        "- 0.03 within the bands."
    )
    assert sentences.brier_sentence(replace(made_trial(), brier_parts=(), brier=None)) == ""


def test_what_a_lost_text_will_hide_is_told() -> None:
    """Of four wrong places two went unseen, one of them a good word."""
    told = sentences.unseen_sentence(made_trial())
    assert told.startswith("Of 4 wrong places 2 went unseen")
    assert "1 of these is a good word in a good place" in told
    assert "hide 50% of its wrong places (95% interval 12% to 88%)" in told
    assert sentences.unseen_sentence(replace(made_trial(), unseen_shares=())) == ""


def test_cautions_have_this_dossiers_figures() -> None:
    """Same script, base rate, invisible errors and drift are told in this dossier's own figures."""
    text = "\n".join(cautions(made_audit()))
    assert "X is presumed to be in insular script, as is E." in text
    assert "r for ꞅ in 2 of 9 places" in text
    assert "33.3% stand for ꞅ" in text
    assert "0 of 1 altered words" in text
    assert "an editor who knows the language" in text
    assert "palaeographer" in text
    assert len(cautions(made_audit())) == 11
    assert len(cautions(replace(made_audit(), hands=Hands()))) == 10


def test_script_without_survivor_is_told() -> None:
    """Where no survivor is in the script presumed of a lost text, the caution says so."""
    audit = made_audit()
    lost = replace(audit.dossier.lost[0], copy=Witness("X", "Ic", script="caroline"))
    other = replace(audit, dossier=replace(audit.dossier, lost=(lost,)))
    assert "No survivor is in caroline script" in cautions(other)[0]


def test_the_word_correction_is_not_used() -> None:
    """The tool proposes readings; it does not correct."""
    assert "correction" not in json_text(summary(made_audit()))


def test_what_other_witnesses_have_is_not_reckoned_at_the_rate_of_the_blind_test() -> None:
    """Of two probable readings one is a witness's: the blind test speaks of the other alone."""
    audit = made_audit()
    first, *rest = audit.readings
    attested = replace(audit, readings=(replace(first, ground=OPE_CODICUM), *rest))
    proposals = three_sentences(attested)[2]
    assert "1 of them another copy or witness has, which the blind test does not try" in proposals
    assert "of the other 1 about 0.5 at the rate of the blind test" in proposals


def test_no_reading_of_a_witness_is_sure() -> None:
    """What rests on witnesses shows its figure, and never 1."""
    one = replace(made_readings()[0], by_witness=True, probability=0.987)
    assert (sentences.believed(one), sentences.tested(one)) == (0.987, "by witnesses")
    assert sentences.believed(replace(one, probability=0.999998)) == ">0.999"
