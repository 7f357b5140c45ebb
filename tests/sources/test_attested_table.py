"""Readings collected from many sources in a table."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

import fidelity
from fidelity.cli import main
from fidelity.errors import DataError, UsageError
from fidelity.sources.rates import WitnessRate

TABLE = """siglum,reading,depends_on,date
A,Eadwine,,s. xi
B,Edwine,A,1744
C,Edwine,B,1762
D,Eadwin,,1590
F,Eadwine,,1600
"""


def written(folder: Path, text: str, name: str = "names.csv") -> Path:
    """Write a table."""
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def test_one_famous_source_counts_once(tmp_path: Path) -> None:
    """Three say Eadwine or repeat it: A and F have a vote; B and C, who go back to A, have none."""
    found = fidelity.attest(written(tmp_path, TABLE))
    first, second, third = found.readings
    assert (first.reading, first.lines, first.earliest) == ("Eadwine", ("A", "F"), "s. xi")
    assert (second.reading, second.lines) == ("Eadwin", ("D",))
    assert (third.reading, third.lines) == ("Edwine", ())
    assert third.set_aside == (("B", "copied from A (declared)"), ("C", "copied from B (declared)"))
    p = WitnessRate(5.0).written_given
    by_hand = p("Eadwine", "Eadwine") ** 2 * p("Eadwine", "Eadwin")
    by_hand /= p("Eadwin", "Eadwine") ** 2 * p("Eadwin", "Eadwin")
    assert first.likelihood_ratio == pytest.approx(by_hand)
    assert any("2 of 5 sources only repeat another" in caution for caution in found.cautions)


def test_of_several_places_it_is_told_where_a_source_has_no_vote(tmp_path: Path) -> None:
    """B repeats A at one of its two places only: it is not said to repeat another throughout."""
    table = "siglum,reading,depends_on,locus\nA,x,,1\nB,x,A,1\nA,y,,2\nB,z,,2\nC,z,A,2\n"
    (told,) = [one for one in fidelity.attest(written(tmp_path, table)).cautions if "famous" in one]
    assert told.endswith("of the places for which it has a reading: B at 1 of 2, C at 1 of 1.")


def test_every_place_is_weighed_by_itself(tmp_path: Path) -> None:
    """A source may stand at each of several places; one silent at a place speaks through its copy."""
    table = "siglum;reading;depends_on;locus\nA;Eadwine;;1\nB;Edwine;A;1\nB;vii;A;2\nD;vi;;2\nD;Edwin;;1\n"
    found = fidelity.attest(written(tmp_path, table))
    at = {(one.locus, one.reading): one for one in found.readings}
    assert at["1", "Edwine"].lines == ()
    assert at["2", "vii"].lines == ("A",)  # the line of A, for which B speaks here


def test_rates_are_heeded(tmp_path: Path) -> None:
    """Of two single voices the one that errs less weighs more."""
    table = "siglum\treading\trate\nA\tEadwine\t50\nB\tEadwin\t1\n"
    best = fidelity.attest(written(tmp_path, table, "values.tsv")).readings[0]
    assert best.reading == "Eadwin"
    assert best.likelihood_ratio > 3
    assert "A: 50 wrong letters per 1,000 (as given)" in best.assumptions


def test_a_spreadsheet_is_a_table(tmp_path: Path) -> None:
    """The same table gives the same as .xlsx; a fault names its cell."""
    book = openpyxl.Workbook()
    sheet = book.create_sheet("sources", 0)
    for line in TABLE.splitlines():
        sheet.append(line.split(","))
    book.save(tmp_path / "names.xlsx")
    plain = fidelity.attest(written(tmp_path, TABLE))
    assert fidelity.attest(tmp_path / "names.xlsx").readings == plain.readings
    sheet["C4"] = "Z"
    book.save(tmp_path / "names.xlsx")
    with pytest.raises(DataError, match="cell C4: there is no source Z"):
        fidelity.attest(tmp_path / "names.xlsx")


@pytest.mark.parametrize(
    ("table", "told", "line", "column"),
    [
        ("siglum,reading,depends_on\nA,x,B\nB,y,A\n", "a circle: A from B from A", 2, 5),
        ("siglum,reading,depends_on\nA,x,\nB,y,a1\n", "there is no source a1", 3, 5),
        ("siglum,reading\nA,x\nA,y\n", r"A is named twice \(first in row 2\)", 3, 1),
        ("siglum,reading\nA,\n", "the reading is empty", 2, 3),
        ("siglum,reading\n,x\n", "this row names no source", 2, 1),
        ("siglum,reading,depends_on\nA,x,A\n", "A cannot depend on itself", 2, 5),
        ("siglum,reading,rate\nA,x,much\n", "much is no number\n.*\n.*\n.*per 1,000, as 5$", 2, 5),
        ("siglum,reading,rate\nA,x,about 7\n", "about 7 is no number\n.*\n.*\n.*as 7$", 2, 5),
        ("siglum,reading,rate\nA,x,0\n", "a rate of 0 wrong letters per 1,000 cannot be used", 2, 5),
        ("siglum,reading,rate\nA,x,nan\n", "a rate of nan wrong letters per 1,000 cannot be used", 2, 5),
        ("siglum,reading,rate,locus\nA,x,5,1\nA,x,6,2\n", "A has another rate in row 2", 3, 5),
        ("siglum,readings\nA,x\n", "unknown column 'readings'", 1, 8),
        ("siglum,text\nA,x\n", "there is no column reading", 1, 1),
        ("siglum,reading\nA,x,y\n", "3 cells where the first row names 2", 2, 3),
        ('siglum,reading\nA,"x\n', "a quotation mark is not closed", 2, 1),
        ("siglum,reading\n", "the table has no row", None, None),
        ("\n", "the table is empty", None, None),
    ],
)
def test_faults_have_their_row_and_column(
    tmp_path: Path, table: str, told: str, line: int | None, column: int | None
) -> None:
    """What is wrong is told with row, column and what to do."""
    with pytest.raises(DataError, match=told) as caught:
        fidelity.attest(written(tmp_path, table))
    fault = caught.value.faults[0]
    assert (fault.line, fault.column) == (line, column)
    assert fault.remedy


def test_a_nearest_siglum_is_named(tmp_path: Path) -> None:
    """A siglum in other case is asked after."""
    with pytest.raises(DataError, match="did you mean K1\\? sources: K1, B"):
        fidelity.attest(written(tmp_path, "siglum,reading,depends_on\nK1,x,\nB,y,k1\n"))


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Two faults are two."""
    with pytest.raises(DataError) as caught:
        fidelity.attest(written(tmp_path, "siglum,reading\nA,\n,x\n"))
    assert len(caught.value.faults) == 2


def test_what_a_source_leaves_out_is_a_reading(tmp_path: Path) -> None:
    """∅ is an omission, weighed like any other reading."""
    found = fidelity.attest(written(tmp_path, "siglum,reading\nA,swa\nB,∅\nC,swa\n"))
    assert [one.reading for one in found.readings] == ["swa", "∅"]


def test_the_command_prints_and_gives_json(tmp_path: Path) -> None:
    """On the screen and in JSON stands the same; a fault is told in both."""
    table = str(written(tmp_path, TABLE))
    shown = CliRunner().invoke(main, ["attest", table])
    assert shown.exit_code == 0
    assert "No vote: B, copied from A (declared); it has Edwine." in shown.output
    told = json.loads(CliRunner().invoke(main, ["attest", table, "--json"]).output)
    assert [row["independent_lines"] for row in told["readings"]] == [2, 1, 0]
    assert told["sources"] == 5
    one = json.loads(
        CliRunner().invoke(main, ["attest", str(written(tmp_path, "siglum,reading\nA,x\n")), "--json"]).output
    )
    assert one["readings"][0]["likelihood_ratio"] is None
    broken = CliRunner().invoke(main, ["attest", str(written(tmp_path, "siglum,reading\nA,\n")), "--json"])
    assert broken.exit_code == 1
    assert '"faults"' in broken.output


def test_a_rate_that_cannot_be_meant(tmp_path: Path) -> None:
    """The assumed rate has its bounds; outside it is a matter of use."""
    with pytest.raises(UsageError, match="cannot be meant"):
        fidelity.attest(written(tmp_path, TABLE), rate=0)
    assert CliRunner().invoke(main, ["attest", str(tmp_path / "names.csv"), "--rate", "900"]).exit_code == 2


def test_folds_make_spellings_one(tmp_path: Path) -> None:
    """Letterforms of a named set are one reading."""
    table = written(tmp_path, "siglum,reading\nA,ꞅꞇan\nB,stan\n")
    assert len(fidelity.attest(table).readings) == 2
    assert len(fidelity.attest(table, folds=["insular"]).readings) == 1


def test_the_table_in_the_readme(tmp_path: Path) -> None:
    """The README's table, taken as a file, gives what is said of it there."""
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
    rows = readme.split("<!-- attest -->\n")[1].split("\n<!-- /attest -->")[0].split("\n")
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows if "---" not in row]
    found = fidelity.attest(written(tmp_path, "\n".join(",".join(row) for row in cells)))
    assert [(one.reading, one.lines) for one in found.readings] == [
        ("Eadwine", ("A", "F")),
        ("Eadwin", ("D",)),
        ("Edwine", ()),
    ]
