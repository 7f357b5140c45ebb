"""The rows of the tables: their columns, and the figures in them."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from fidelity.apparatus.cells import Cell, significant
from fidelity.apparatus.entries import TABLES, score_card, score_rows
from fidelity.apparatus.entries_texts import text_rows
from fidelity.apparatus.entries_trial import band_rows, precision_rows
from fidelity.apparatus.tables import csv_cell, csv_text, read_csv
from fidelity.confusions.table import read_confusions, write_confusions
from fidelity.terms import Score
from tests.apparatus.made import made_audit, made_dossier, made_trial

REQUIRED = {
    "scores": "text measure errors chances rate_per_1000 low high",
    "variants": "variant text locus original copy phenomenon cause other_causes hand makes_word",
    "confusions": "original copy count chances rate_per_1000 low high expected p_value q_value systematic"
    " p_original_given_copy loci",
    "patterns": "pattern phenomenon cause count chances rate_per_1000 low high where example",
    "habits": "original copy count chances rate_per_1000 low high more_often less_often parallels account",
    "look_at": "pattern locus transmitted undone both_words not_where_he_did_it",
    "circumstances": "original copy circumstance value count chances rate_per_1000 low high p_value q_value",
    "recheck": "text locus why weight image",
    "rescued": "text locus original copy",
    "imported": "text witness verdict from to earliest_from latest_to shared not_shared weight p_value"
    " p_if_common_ancestor evidence against set_aside",
    "imported_places": "text locus copy witness third proved shared weight class",
    "flagged": "text locus mark kind copy original letters_shown letters_lost right",
    "flagged_rates": "measure count chances share low high method",
    "readings": "reading text locus transmitted proposed probability ground verdict kind steps parallels"
    " counterexamples alternatives same_rule_elsewhere rate_per_1000 low high evidence context passage scope"
    " probability_low probability_high tried tried_right tried_kind note",
    "copies": "text locus original first other other_copy what cause",
    "copies_rates": "text other_copy measure count chances rate_per_1000 low high expected p_value made_from",
    "consistency": "rule text where places proposed left survivor_places right wrong low high wrong_at by",
    "consistency_places": "rule text same locus word undone probability outcome why by",
    "parallels": "what kind text locus transmitted proposed probability moves_with agrees may_be count"
    " chances low high evidence caution reading",
    "layers": "text locus original copy hand layer done script language copy_locus",
    "layer_shares": "text hand layer done count of share low high",
    "hand_candidates": "text lost locus words grounds why position passage tried tried_right"
    " right_low right_high",
    "hand_searches": "text lost grounds looked what words found",
    "letterform_mixtures": "text lost locus word letters usual marked",
    "attestation": "text locus reading witnesses independent_lines set_aside earliest_date likelihood_ratio"
    " assumptions",
    "transfer": "text kind what share low high p_value q_value found example",
    "trial": "survivor locus transmitted proposed original probability right kind scope",
    "trial_levels": "kind at_least proposals right precision low high wrong_places restored recall",
    "trial_bands": "kind from to proposals said found low high restored recall",
    "trial_brier": "kind brier_score reliability resolution uncertainty within_variance within_covariance",
    "trial_survivors": "survivor kind proposals right precision",
    "trial_mistakes": "survivor locus transmitted proposed original probability kind outcome reasons",
    "trial_unseen": "kind wrong_places unseen share low high good_words",
    "trial_unseen_places": "survivor locus transmitted original kind good_words",
    "trial_methods": "method at_least changed right precision low high restored recall wrong_letters_left",
}


@pytest.mark.parametrize("name", REQUIRED)
def test_columns_that_must_be_there(name: str) -> None:
    """Each table has the columns the files promise, in that order, and a cell for each."""
    columns = TABLES[name].columns
    promised = REQUIRED[name].split()
    assert [column for column in columns if column in promised] == promised
    for row in TABLES[name].rows(made_audit()):
        assert tuple(row) == columns


@pytest.mark.parametrize("name", REQUIRED)
def test_csv_read_back_equals_rows(name: str, tmp_path: Path) -> None:
    """A table written and read back has the same cells, letter for letter."""
    columns, rows = TABLES[name].columns, TABLES[name].rows(made_audit())
    file = tmp_path / f"{name}.csv"
    file.write_text(csv_text(columns, rows), encoding="utf-8", newline="")
    assert rows
    assert read_csv(file, columns) == [{column: csv_cell(row[column]) for column in columns} for row in rows]


def test_confusions_are_the_same_by_either_writer(tmp_path: Path) -> None:
    """The rows of the confusions print as the file of the confusions has them."""
    audit = made_audit()
    write_confusions(audit.confusions, tmp_path / "confusions.csv")
    written = (tmp_path / "confusions.csv").read_text(encoding="utf-8")
    table = TABLES["confusions"]
    assert list(csv.reader(io.StringIO(csv_text(table.columns, table.rows(audit))))) == list(
        csv.reader(io.StringIO(written.replace("\u00a0", " ")))
    )
    assert [(one.original, one.copy, one.loci) for one in read_confusions(tmp_path / "confusions.csv")] == [
        (one.original, one.copy, one.loci) for one in audit.confusions
    ]


def test_rates_are_per_1000_and_probabilities_shares() -> None:
    """A rate and its limits are per 1,000 chances; a probability stays between 0 and 1."""
    row = score_rows([Score("E", "letters", 3, 200, 0.005, 0.04, "Jeffreys")])[0]
    assert (row["rate_per_1000"], row["low"], row["high"]) == (15.0, 5.0, 40.0)
    reading = TABLES["readings"].rows(made_audit())[0]
    assert reading["probability"] == 0.712346


def test_no_chance_gives_no_rate() -> None:
    """Where there was no chance there is no rate, not a rate of nought."""
    row = score_rows([Score("E", "eye_skip", 0, 0, 0.0, 1.0, "Jeffreys")])[0]
    assert (row["rate_per_1000"], row["low"], row["high"]) == (None, None, None)


@pytest.mark.parametrize(
    ("cell", "printed"),
    [
        (1 / 3, "0.333333"),
        (1234567.0, "1.23457e+06"),
        (0.1 + 0.2, "0.3"),
        (False, "no"),
        (None, ""),
        (7, "7"),
        ((("wæs", 1 / 3),), "wæs 0.333333"),
    ],
)
def test_numbers_are_printed_with_fixed_digits(cell: Cell, printed: str) -> None:
    """Six significant digits, so that the last bits of a sum never show."""
    assert csv_cell(cell) == printed
    if isinstance(cell, float):
        assert csv_cell(significant(cell)) == printed


def test_score_card_sets_survivors_side_by_side() -> None:
    """The card has one row for each measure, and each survivor's own rate in a column."""
    scores = [
        Score("E", "letters", 1, 100, 0.0, 0.1, ""),
        Score("B", "letters", 3, 100, 0.0, 0.1, ""),
        Score("B", "eye_skip", 1, 10, 0.0, 0.3, ""),
        Score("all", "letters", 4, 200, 0.0, 0.1, ""),
        Score("all", "eye_skip", 1, 10, 0.0, 0.3, ""),
    ]
    columns, rows = score_card(scores)
    assert columns[-2:] == ("in E", "in B")
    assert [(row["measure"], row["rate_per_1000"], row["in E"], row["in B"]) for row in rows] == [
        ("letters", 20.0, 10.0, 30.0),
        ("eye_skip", 100.0, None, 100.0),
    ]
    assert all(tuple(row) == columns for row in rows)


def test_blind_test_without_proposals_has_no_precision() -> None:
    """No proposal at 0.8 is no precision at 0.8, and no interval; recall is still nought."""
    half, four_fifths, _ = precision_rows(made_trial())
    assert (half["precision"], half["recall"]) == (0.5, 0.25)
    assert (four_fifths["precision"], four_fifths["low"], four_fifths["recall"]) == (None, None, 0.0)
    assert [row["found"] for row in band_rows(made_trial())] == [0.0, 1.0]


def test_sizes_of_the_texts() -> None:
    """Letters are counted without spaces and punctuation; words and lines as they stand."""
    sizes = {
        (row["text"], row["role"]): (row["letters"], row["words"], row["lines"])
        for row in text_rows(made_dossier())
    }
    assert sizes["E", "original"] == (23, 5, 2)
    assert sizes["E", "copy"] == (23, 6, 2)
    assert sizes["X", "copy of a lost original"] == (37, 8, 3)
