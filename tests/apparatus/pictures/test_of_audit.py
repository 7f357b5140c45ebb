"""Which pictures an audit has, and that each can be heard and traced to its table."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.pictures.of_audit import pictures_of, pictures_of_trial
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.tables import shown
from fidelity.confusions.drift import Course
from fidelity.terms import Outlook
from tests.apparatus.made import made_trial
from tests.apparatus.pictures.drawn import full_audit, tree_of

AUDIT = full_audit()
PICTURES = {one.name: one for one in pictures_of(AUDIT)}
NAMES = {
    *("scores", "confusions", "drift", "reliability", "reliability_by_kind", "forecast", "forecast_trial"),
    "imported",
}


def test_every_picture_is_drawn() -> None:
    """Where there is enough to draw, every picture is there, once."""
    assert set(PICTURES) == NAMES
    assert len(PICTURES) == len(pictures_of(AUDIT))


def test_what_has_nothing_to_show_is_not_drawn() -> None:
    """An audit that found nothing has no pictures."""
    bare = replace(
        AUDIT, scores=(), confusions=(), course=Course(), outlook=Outlook(), trial=None, imported=()
    )
    assert pictures_of(bare) == ()
    assert pictures_of_trial(replace(made_trial(), bands=(), kind_bands=())) == ()


@pytest.mark.parametrize("picture", PICTURES.values(), ids=PICTURES)
def test_a_picture_can_be_heard_and_traced(picture: Picture) -> None:
    """It is named by title and description, and its caption names a table that is written."""
    tree = tree_of(picture)
    title, desc = tree.find("title"), tree.find("desc")
    assert title is not None and desc is not None
    assert (tree.get("role"), title.text, desc.text) == ("img", picture.title, picture.description)
    assert tree.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert picture.table in picture.caption
    assert picture.table.removesuffix(".csv") in TABLES


@pytest.mark.parametrize("picture", PICTURES.values(), ids=PICTURES)
def test_every_number_told_stands_in_the_table(picture: Picture) -> None:
    """Each number of the description, apart from how many there are of something, is a cell of its table."""
    tables = [TABLES[name].rows(AUDIT) for name in (picture.table.removesuffix(".csv"), "drift", "imported")]
    cells = [cell for rows in tables for row in rows for cell in row.values()]
    known = {shown(cell) for cell in cells}
    for cell in cells:
        known |= set(re.findall(r"\d+(?:\.\d+)?", str(cell)))
    counted = {"confusions": {"4", "2"}, "drift": {"6", "3.19"}, "imported": {"2", "3", "0"}}
    numbers = set(re.findall(r"\d[\d,]*(?:\.\d+)?", re.sub(r"80 %|95 %|per 1,000", "", picture.description)))
    assert numbers <= known | counted.get(picture.name, set())
    assert numbers


def test_names_are_told_apart_in_the_page() -> None:
    """No two elements of all the pictures have one name, and what is pointed to is there."""
    made = "".join(str(one.inline()) for one in PICTURES.values())
    names = re.findall(r' id="([^"]+)"', made)
    assert len(names) == len(set(names)) > 2 * len(PICTURES)
    assert {one.removeprefix("#") for one in re.findall(r' href="([^"]+)"', made)} <= set(names)
