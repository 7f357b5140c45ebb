"""A picture in the page loads nothing, has the page's colours, and takes no text for markup."""

from __future__ import annotations

import re

import pytest

from fidelity.apparatus.pictures.confusions import confusions_picture
from fidelity.apparatus.pictures.drift import drift_picture
from fidelity.apparatus.pictures.of_audit import pictures_of
from fidelity.apparatus.pictures.picture import Picture
from fidelity.apparatus.pictures.scores import scores_picture
from fidelity.apparatus.pictures.signs import visible
from fidelity.confusions.drift import Course
from fidelity.terms import PageRate, Score
from tests.apparatus.pictures.drawn import confusions, full_audit, scores, tree_of

EVIL = (
    *("<script>alert(1)</script>", '"><img src=x>', "]]>", "&amp;", "$x$", "$", "\\frac{a}{b}", "\\", "a\nb"),
    *(
        "ab\u200fcd\u202e",
        "\ue123",
        "ᚠ",
        "e\u0328\u0304",
        "\x1b",
        "\ud7ff",
        "שלום",
        "x" * 10_000,
        "a" + "\u0301" * 999,
    ),
)


@pytest.mark.parametrize("picture", pictures_of(full_audit()), ids=lambda one: one.name)
def test_nothing_is_loaded_and_no_colour_is_its_own(picture: Picture) -> None:
    """No address, script or style sheet; every colour is one of the page's."""
    svg = str(picture.inline())
    assert svg.startswith("<svg ")
    assert not re.search(r"http|url\(|<style|<script|<image|<!|<\?|xmlns|font-family", svg)
    assert not re.search(r"#[0-9a-f]{3,6}[;\"]|rgb", svg)
    assert set(re.findall(r"(?:fill|stroke): ([^;\"]+)", svg)) <= {
        *("none", "var(--ink)", "var(--soft)", "var(--line)", "var(--paper)")
    }


def test_letters_are_never_markup_nor_mathematics() -> None:
    """Whatever the texts hold stands in the picture as it is, or by code point, and in its description."""
    picture = confusions_picture(confusions(*((text, text[:3], 2, True) for text in EVIL)))
    assert picture is not None
    tree = tree_of(picture)
    there = {one.text for one in tree.iter("text")}
    assert {visible(text.replace(" ", "␣")) for text in EVIL} <= there
    assert {"$x$", "\\frac{a}{b}", "]]>", "&amp;", "ᚠ"} <= there
    assert {one.tag for one in tree.iter()} <= {"svg", "title", "desc", "g", "path", "defs", "use", "text"}
    assert all(content for content in picture.files().values())


def test_names_of_texts_and_pages_are_never_markup() -> None:
    """The same of what is called by the names that a dossier gives."""
    pages = tuple(PageRate(EVIL[0], text, "letters", 1, 100, 0.001, 0.05) for text in EVIL)
    for picture in (
        drift_picture(Course(pages=pages), 0.95),
        scores_picture([*scores(), *(Score("all", text, 1, 9, 0.1, 0.2, "m") for text in EVIL)], 0.95),
    ):
        assert picture is not None
        assert not {"script", "img"} & {one.tag for one in tree_of(picture).iter()}
        assert len(picture.files()) == 3


def test_it_is_drawn_for_a_telephone() -> None:
    """A picture is 360 wide, its letters 12.5 or, in signs, some 10; what is wider can be moved."""
    for picture in pictures_of(full_audit()):
        tree = tree_of(picture)
        sizes = {float(one) for one in re.findall(r"font-size: ([\d.]+)px", str(picture.inline()))}
        assert float(tree.get("viewBox", "").split()[2]) <= 360
        assert 9.5 <= min(sizes) <= max(sizes) <= 13
    many = confusions(*((f"{at:03}", f"{at + 1:03}", 3, True) for at in range(40)))
    wide = confusions_picture(many)
    assert wide is not None and wide.wide
    assert "min-width" in str(wide.inline())
