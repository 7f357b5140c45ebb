"""Every table is had as a pandas table, and is what pandas itself reads from the CSV file."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

import fidelity
from fidelity.apparatus.cells import Row
from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.entries_trial import TRIAL_TABLES
from fidelity.apparatus.pandas_tables import pandas_table
from fidelity.apparatus.record_tables import ROWS_OF
from fidelity.apparatus.tables import csv_text
from fidelity.confusions.table import write_confusions
from fidelity.errors import UsageError
from fidelity.in_notebook import Records
from tests.apparatus.made import made_audit, made_dossier, made_trial
from tests.apparatus.made_for_notebook import made_attested, made_lost_place, made_place, made_rule

ANSWERS = {"yes": True, "no": False}
PARTED, KEPT_SPACE = "; ", "\u00a0"  # as the README says of the files: a list is joined by "; "


def as_read(text: str) -> pd.DataFrame:
    """Let pandas read a CSV table, every cell as letters."""
    return pd.read_csv(io.StringIO(text), dtype=str, keep_default_na=False)


def written(item: object) -> str:
    """Write one item of a list: letters as they stand, a reading with its probability."""
    text = item if isinstance(item, str) else f"{item[0]} {item[1]:.6g}"  # type: ignore[index]
    return text.replace(PARTED, f";{KEPT_SPACE}")


def assert_same(given: pd.DataFrame, read: pd.DataFrame) -> None:
    """Compare a table given with one read from its file, column by column, by the kind of the column."""
    assert list(given.columns) == list(read.columns)
    assert list(given.index) == list(read.index) == list(range(len(read)))
    for name in given.columns:
        cells, letters = given[name], read[name]
        present = letters != ""
        if pd.api.types.is_bool_dtype(cells):
            assert list(cells[present]) == [ANSWERS[cell] for cell in letters[present]], name
        elif pd.api.types.is_numeric_dtype(cells):
            assert list(cells[present]) == list(pd.to_numeric(letters[present])), name
        else:
            told = ["" if missing else cell for cell, missing in zip(cells, cells.isna(), strict=True)]
            listed = [PARTED.join(map(written, one)) if isinstance(one, tuple) else one for one in told]
            assert listed == list(letters), name
            continue
        assert cells[~present].isna().all(), name


@pytest.mark.parametrize("name", TABLES)
def test_each_table_of_an_audit_is_what_pandas_reads_from_its_file(name: str) -> None:
    """Columns, their order, and every cell are those of the file; numbers and answers are of their kind."""
    audit = made_audit()
    assert_same(audit.table(name), as_read(csv_text(TABLES[name].columns, TABLES[name].rows(audit))))


def test_confusions_are_those_of_the_file_with_a_writer_of_its_own(tmp_path: Path) -> None:
    """``confusions.csv`` is not written from the rows, and yet holds the same."""
    audit = made_audit()
    write_confusions(audit.confusions, tmp_path / "confusions.csv")
    read = as_read((tmp_path / "confusions.csv").read_text(encoding="utf-8"))
    assert_same(audit.table("confusions"), read)


@pytest.mark.parametrize("name", TRIAL_TABLES)
def test_a_trial_has_the_tables_of_the_audit_it_is_part_of(name: str) -> None:
    """The blind test by itself gives each of its tables as the audit does."""
    pd.testing.assert_frame_equal(made_trial().table(name), made_audit().table(name))


def test_numbers_answers_and_lists_are_of_their_kind() -> None:
    """Counts can be added, rates averaged, answers used to choose rows, and lists taken apart."""
    found = made_audit().table("confusions")
    assert found["count"].dtype == "int64" and found["rate_per_1000"].dtype == "float64"
    assert found["systematic"].dtype == "bool"
    assert all(isinstance(loci, tuple) for loci in found["loci"])


def test_what_is_not_known_is_missing() -> None:
    """Where a count or an answer is not known the column keeps its kind; nothing is taken for 0 or no."""
    rows: list[Row] = [{"count": 3, "word": True, "rate": 0.5}, {"count": None, "word": None, "rate": None}]
    found = pandas_table(("count", "word", "rate"), rows)
    assert found.dtypes.astype(str).to_dict() == {"count": "Int64", "word": "boolean", "rate": "float64"}
    assert found.iloc[1].isna().all()
    assert found["count"].sum() == 3


def test_a_table_without_rows_has_its_columns() -> None:
    """A dossier without decisions has a table of decisions all the same, with no row."""
    found = made_audit().table("decisions")
    assert len(found) == 0
    assert tuple(found.columns) == TABLES["decisions"].columns


@pytest.mark.parametrize("wrong", ["", "confusion", "confusions.csv"])
def test_a_name_that_is_not_there_is_answered_with_those_that_are(wrong: str) -> None:
    """Whoever asks for a table there is not is told which there are."""
    with pytest.raises(UsageError) as told:
        made_audit().table(wrong)
    assert all(name in str(told.value) for name in TABLES)
    assert (repr(wrong) in str(told.value)) == bool(wrong)


def test_records_of_one_kind_are_a_table() -> None:
    """Lists of an audit, and parts of them, give the rows of the table that holds such records."""
    audit = made_audit()
    for name, of in ((kind.__name__, of) for kind, of in ROWS_OF.items()):
        for records in (getattr(audit, field) for field in audit.__dataclass_fields__):
            if isinstance(records, Records) and records and type(records[0]).__name__ == name:
                first = audit.table(of.table).head(1)[list(TABLES[of.table].columns)]
                given = records[:1].table()
                assert list(given.columns) == list(first.columns)
                assert given.astype(str).equals(first.astype(str)), name
    assert len(Records(()).table()) == 0
    with pytest.raises(UsageError, match="str makes no row of a table"):
        Records(("E 1.1",)).table()


def test_other_records_have_the_tables_of_their_commands() -> None:
    """A place, a rule, a dossier, an alignment and a table of sources give what their commands print."""
    assert list(made_rule().table("followed")["locus"]) == ["E 1r:1.2"]
    assert list(made_place().table("done")["copy"]) == ["r"]
    assert list(made_place().table("steps")["step"]) == ["s→r"]
    assert list(made_lost_place().table("readings")["proposed"]) == ["wær", "wæs"]
    assert len(made_lost_place().table("conjectures")) == 0
    assert list(made_dossier().table("texts")["letters"]) == [23, 23, 37]
    assert list(made_attested().table()["reading"]) == ["wæs", "wær"]
    steps = fidelity.align("on þære stræte", "on þære stnæte").table("steps")
    assert "".join(steps["original"]) == "on þære stræte"
    assert list(steps.loc[steps["kind"] != "kept", "copy"]) == ["n"]


def test_only_whoever_asks_for_a_table_waits_for_pandas() -> None:
    """Neither judging nor showing imports pandas; asking for a table does."""
    code = (
        "import sys, fidelity; found = fidelity.compare('on þære stræte', 'on þæne stræte');"
        "shown = found._repr_html_(); before = 'pandas' in sys.modules;"
        "found.table('confusions'); sys.exit(2 * before + ('pandas' not in sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stderr) == (0, "")
