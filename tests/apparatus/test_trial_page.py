"""The page of the blind test: whole, self-contained, every figure in a table."""

from __future__ import annotations

import csv
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest

from fidelity.apparatus.entries_trial import TRIAL_TABLES, survivor_rows, survivors_shown
from fidelity.apparatus.pictures.reliability import DRAWN_FROM
from fidelity.apparatus.tables import shown
from fidelity.apparatus.trial_folder import write_trial
from fidelity.apparatus.trial_page import SURVIVORS_SHOWN, trial_page
from fidelity.terms import Band
from tests.apparatus.made import made_audit, made_dossier, made_trial
from tests.apparatus.test_page import Page

BANDS = (
    Band(0.5, 0.6, 40, 0.55, 0.5, 0.35, 0.65, 100, 20),
    Band(0.9, 1.0, 10, 0.95, 0.4, 0.2, 0.7, 100, 4),
)


@pytest.fixture(scope="module")
def html() -> str:
    """Give the page of the blind test made by hand."""
    return trial_page(made_trial(), made_dossier())


def test_the_page_is_whole_and_loads_nothing(html: str) -> None:
    """Every element is closed, nothing is loaded, and letters of the texts are never markup."""
    found = Page(html)
    assert found.open == []
    assert not {"link", "img", "iframe", "object", "form"} & {tag for tag, _ in found.found}
    assert "http" not in html.replace("http-equiv", "")
    assert "“&lt;b&gt;” stands nowhere" in html


def test_the_page_has_its_parts(html: str) -> None:
    """Kinds apart, the picture, the Brier score's parts, simple methods, mistakes, the unseen."""
    text = " ".join("".join(Page(html).text).split())
    for part in (
        "Right and found again",
        "What was said and what was found",
        "The Brier score and its parts",
        "Beside simple methods",
        "gemæra (E 1r:2.1): s for r proposed with 0.55 (letter; so at 3 places); the copy was right.",
        "Why: he wrote r for s in 2 of 9 chances",
        "hide 50% of its wrong places",
        "The letter channel takes longer",
    ):
        assert part in text
    assert html.count("<svg") == 1  # too few of any kind to draw it apart


def test_every_figure_stands_in_a_table(html: str, tmp_path: Path) -> None:
    """Each number in the tables of the page is a cell of a CSV file, to the digits shown."""
    write_trial(made_trial(), made_dossier(), tmp_path / "out")
    known = {""}
    for name in TRIAL_TABLES:
        with (tmp_path / "out" / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
            cells = [cell for row in csv.reader(lines) for cell in row]
        for cell in cells:
            known.add(cell)
            if re.fullmatch(r"-?[\d.]+(e-?\d+)?", cell):
                known |= {shown(float(cell)), f"{float(cell):,.0f}"}
    numbers = re.findall(r'class="number">([^<]*)</t[dh]>', html.split("<tbody>", 1)[1])
    figures = [unescape(number) for number in numbers if re.search(r"\d", number)]
    assert len(figures) > 50
    assert set(figures) <= known


def test_a_test_without_proposals_has_a_page() -> None:
    """Where nothing was proposed there is no picture, and the page says what it can."""
    bare = replace(
        made_trial(),
        readings=(),
        bands=(),
        kind_bands=(),
        brier=None,
        brier_parts=(),
        mistakes=(),
        methods=(),
    )
    made = trial_page(bare, made_dossier())
    assert Page(made).open == []
    assert "fared on each survivor" not in made  # nothing but headings would stand there
    assert "<svg" not in made
    assert "No proposal of 0.5 or more was wrong." in made


def test_of_many_survivors_the_worst_are_shown() -> None:
    """Where not all rows fit, those with the most wrong proposals come first, and it is said how many."""
    wrong = made_trial().readings[1]
    readings = tuple(
        replace(wrong, survivor=f"S{at}", right=part > at // 10) for at in range(60) for part in range(6)
    )
    trial = replace(made_trial(), readings=readings)
    rows, how_many = survivors_shown(trial, 50)
    assert how_many == "most wrong ones first, 50 of 60"
    right = [int(str(row["right"])) for row in rows]
    assert right == sorted(right)
    assert max(right) == 4
    assert survivors_shown(made_trial(), 2) == (survivor_rows(made_trial()), "")
    assert f"Most wrong ones first, {SURVIVORS_SHOWN} of 60." in trial_page(trial, made_dossier())


def test_kinds_are_drawn_where_there_are_enough() -> None:
    """A kind is drawn by itself from so many proposals on."""
    bands = (
        replace(BANDS[0], kind="habit", proposals=DRAWN_FROM),
        replace(BANDS[0], kind="letter", proposals=3),
    )
    made = trial_page(replace(made_trial(), kind_bands=bands), made_dossier())
    assert made.count("<svg") == 2
    assert ">habit</text>" in made
    assert ">letter</text>" not in made


def test_the_report_has_the_same_parts() -> None:
    """The blind test stands in the report of an audit as on its own page."""
    from fidelity.apparatus.page import page

    html, audit = trial_page(made_trial(), made_dossier()), made_audit()
    first, last = "<h3>Right and found again</h3>", "</section>"
    parts = [made[made.index(first) :].split(last)[0].strip() for made in (html, page(audit))]
    assert parts[0] == parts[1]
