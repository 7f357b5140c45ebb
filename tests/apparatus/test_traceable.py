"""Every figure of the report can be looked up in a row of a table file that the report names."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.page import page
from fidelity.apparatus.summary import summary
from fidelity.apparatus.tables import shown, shown_in
from fidelity.audit import audit
from fidelity.judge import Audit
from tests.apparatus.made import made_audit

DEMO = Path(__file__).parents[2] / "demo_pairs" / "wickenby_short"
_RESHAPED = "measure"  # the score card sets rows of one measure beside each other


@pytest.fixture(scope="module", params=["made", "demo"])
def found(request: pytest.FixtureRequest) -> Audit:
    """Give an audit made by hand, and that of the short demo."""
    return made_audit() if request.param == "made" else audit(DEMO)


def plain(markup: str) -> str:
    """Give what a reader sees of some markup."""
    return " ".join(unescape(re.sub(r"<[^>]*>", "", markup)).split())


def tables_of(html: str) -> list[tuple[str, list[list[str]]]]:
    """Give every table of a page: its caption, and its rows, each a list of what its cells show.

    Original and copy beside each other are texts, no figures.
    """
    return [
        (
            plain("".join(re.findall(r"<caption>(.*?)</caption>", table, re.DOTALL))),
            [
                [plain(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)]
                for row in re.findall(r"<tr>(.*?)</tr>", table.partition("<tbody>")[2], re.DOTALL)
            ],
        )
        for table in re.findall(r'<table(?! class="facing").*?</table>', html, re.DOTALL)
    ]


def rows_in(found: Audit, caption: str) -> list[set[str]]:
    """Give the rows of the files that a caption names, each as what its cells would show."""
    rows = []
    for name in re.findall(r"(\w+)\.csv", caption):
        for row in TABLES[name].rows(found):
            cells = {plain(shown_in(column, cell)) for column, cell in row.items()}
            rows.append(cells | {shown(cell) for cell in row.values()} | {""})
    return rows


def test_every_table_names_its_file(found: Audit) -> None:
    """The caption of each table says in which file its rows are, or that summary.json has them."""
    for caption, _ in tables_of(page(found)):
        assert re.search(r"\w+\.csv|summary\.json", caption), caption


def test_every_number_stands_in_the_file(found: Audit) -> None:
    """Each row of a table is a row of the file named: its numbers stand there together."""
    checked = 0
    facts = plain(json.dumps(summary(found), ensure_ascii=False))
    numbers_told = set(re.findall(r"[\d.]+", facts))
    for caption, rows in tables_of(page(found)):
        have = rows_in(found, caption)
        for cells in rows:
            numbers = [cell for cell in cells if re.fullmatch(r"[\d.,]+(e-?\d+)?", cell)]
            checked += len(numbers)
            if "summary.json" in caption:
                assert {number.replace(",", "") for number in numbers} <= numbers_told, (caption, cells)
            elif "scores.csv" in caption:
                same = set().union(*(row for row in have if cells[0] in row))
                assert set(numbers) <= same, (caption, cells)
            else:
                assert any(set(numbers) <= row for row in have), (caption, cells)
    assert checked > 100
