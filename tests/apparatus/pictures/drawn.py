"""Look at a picture as a browser does: what is written, and where each sign stands."""

from __future__ import annotations

import re
from dataclasses import replace

from lxml import etree

from fidelity.apparatus.pictures.picture import Picture
from fidelity.confusions.drift import Course
from fidelity.judge import Audit
from fidelity.terms import Band, Confusion, Drift, Forecast, Limits, PageRate, Score
from tests.apparatus.made import made_audit, made_trial


def tree_of(picture: Picture) -> etree._Element:
    """Give the element that stands in the page as a tree."""
    return etree.fromstring(str(picture.inline()))


def written(tree: etree._Element) -> dict[str, tuple[float, float]]:
    """Give what is written in a picture, with its place; of the same text the last."""
    return {str(one.text): (float(one.get("x", "")), float(one.get("y", ""))) for one in tree.iter("text")}


def signs(tree: etree._Element, full: bool) -> list[tuple[float, float]]:
    """Give the places of full, or open, signs."""
    fill = "fill: var(--ink)" if full else "fill: var(--paper)"
    return [
        (float(one.get("x", "")), float(one.get("y", "")))
        for one in tree.iter("use")
        if fill in one.get("style", "")
    ]


def strokes(tree: etree._Element) -> list[tuple[float, float, float, float]]:
    """Give straight strokes as x, y, x, y."""
    found = []
    for path in tree.iter("path"):
        for part in path.get("d", "").split("M")[1:]:
            numbers = [float(one) for one in part.replace("L", " ").split()] if "z" not in part else []
            if len(numbers) == 4:
                found.append((numbers[0], numbers[1], numbers[2], numbers[3]))
    return found


def bars(tree: etree._Element) -> list[tuple[float, float, float]]:
    """Give outlined bars as left, right, middle."""
    found = []
    for path in tree.iter("path"):
        shape = path.get("d", "")
        numbers = [float(one) for one in re.findall(r"-?[\d.]+", shape)]
        if "fill: var(--line)" in path.get("style", "") and len(numbers) >= 8:
            found.append(
                (min(numbers[::2]), max(numbers[::2]), (min(numbers[1::2]) + max(numbers[1::2])) / 2)
            )
    return found


def scores() -> tuple[Score, ...]:
    """Give rates orders apart, and one kind never seen."""
    return (
        Score("all", "letters", 700, 7000, 0.08, 0.12, "m"),
        Score("all", "eye_skip", 7, 7000, 0.0001, 0.004, "m"),
        Score("all", "minims", 70, 7000, 0.005, 0.02, "m"),
        Score("all", "line_skip", 0, 1000, 0.0, 0.002, "m"),
        Score("E", "letters", 7, 1000, 0.005, 0.009, "m"),
    )


def confusions(*pairs: tuple[str, str, int, bool]) -> tuple[Confusion, ...]:
    """Give confusions: original, copy, how often, whether systematic."""
    return tuple(
        Confusion(original, copy, "", count, 1000, 0.0, 0.1, 0.1, 0.01, 0.01, systematic, 0.5)
        for original, copy, count, systematic in pairs
    )


PAIRS = (("ꞅ", "r", 13, True), ("ꞃ", "n", 5, True), ("m", "ni", 2, False), ("ꞇ", "", 1, False))


def course(pages: int = 6) -> Course:
    """Give a text whose last page has one error in few chances, and the test along its pages."""
    rates = [PageRate("E", f"{at}r", "letters", at, 1000, 0.0005 * at, 0.002 * at) for at in range(1, pages)]
    rates.append(PageRate("E", f"{pages}r", "letters", 1, 20, 0.005, 0.3))
    test = "Cochran-Armitage trend, pages permuted"
    drift = Drift("E", "letters", "pages", test, 2.0, 0.01, 0.03, True, pages, 16, 0.001, 0.005, "1r to 6r")
    return Course(pages=tuple(rates), drifts=(drift,))


def forecast(text: str, measure: str, expected: float, limits: Limits | None, actual: int | None) -> Forecast:
    """Give a forecast; the binomial limits are 1 to 9."""
    return Forecast(
        text, measure, 1000, expected, limits, Limits(2, 8, 1, 9), None, "b", 9, 3, 30, actual=actual
    )


def full_audit() -> Audit:
    """Give an audit of which every picture is drawn."""
    audit = made_audit()
    habit = tuple(
        replace(band, kind="habit", proposals=30) for band in (Band(0.5, 0.6, 40, 0.55, 0.5, 0.3, 0.6),)
    )
    kinds = (*habit, *(replace(band, kind="letter", proposals=25) for band in habit))
    lost = (
        forecast("X", "letters", 25, Limits(16, 36, 9, 49), None),
        forecast("X", "minims", 4, None, None),
    )
    checks = (
        forecast("E", "words", 25, Limits(16, 36, 9, 49), 36),
        forecast("B", "words", 25, Limits(16, 36, 9, 49), 64),
    )
    return replace(
        audit,
        scores=scores(),
        confusions=confusions(*PAIRS),
        course=course(),
        outlook=replace(audit.outlook, forecasts=lost, checks=checks),
        trial=replace(audit.trial or made_trial(), kind_bands=kinds),
    )
