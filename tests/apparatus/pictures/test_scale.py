"""Signs stand where the scale says they should: read off against the ticks, as a reader does."""

from __future__ import annotations

from dataclasses import replace
from math import log10, sqrt

import pytest

from fidelity.apparatus.pictures.confusions import MOST_A_SIDE, confusions_picture, drawn
from fidelity.apparatus.pictures.drift import FEWEST_PAGES, drift_picture
from fidelity.apparatus.pictures.forecast import check_picture, forecast_picture
from fidelity.apparatus.pictures.imported import imported_picture
from fidelity.apparatus.pictures.reliability import borne_out, reliability_pictures
from fidelity.apparatus.pictures.scores import scores_picture
from fidelity.terms import Band, Limits
from tests.apparatus.made import made_trial
from tests.apparatus.made_imported import made_imported
from tests.apparatus.pictures.drawn import (
    PAIRS,
    bars,
    confusions,
    course,
    forecast,
    scores,
    signs,
    strokes,
    tree_of,
    written,
)

NEAR = 0.1  # points: numbers are drawn to hundredths
BANDS = (
    Band(0.5, 0.6, 40, 0.55, 0.5, 0.35, 0.65, 100, 20),
    Band(0.9, 1.0, 10, 0.95, 0.4, 0.2, 0.7, 100, 4),
)


def test_reliability_is_drawn_to_scale() -> None:
    """A full dot where the interval holds what was said, an open square where it does not."""
    [picture] = reliability_pictures(replace(made_trial(), bands=BANDS, kind_bands=()))
    tree = tree_of(picture)
    [full], [empty] = signs(tree, full=True), signs(tree, full=False)
    assert [borne_out(band) for band in BANDS] == [True, False]
    across = (empty[0] - full[0]) / (0.95 - 0.55)  # points to 1
    assert empty[1] - full[1] == pytest.approx(0.1 * across, abs=NEAR)  # the square is one
    at = written(tree)
    assert at["0.2"][1] - at["1"][1] == pytest.approx(0.8 * across, abs=NEAR)
    assert full[1] == pytest.approx((at["0.4"][1] + at["0.6"][1]) / 2, abs=5)  # 5: half a letter
    upright = [one for one in strokes(tree) if one[0] == one[2] == pytest.approx(full[0], abs=NEAR)]
    assert [abs(one[3] - one[1]) for one in upright] == pytest.approx([0.3 * across], abs=NEAR)


def test_rates_orders_apart_are_drawn_by_tens() -> None:
    """Ten times the rate is one step to the right; what was never seen is an open sign at its upper limit."""
    picture = scores_picture(scores(), 0.95)
    assert picture is not None
    tree, at = tree_of(picture), written(tree_of(picture))
    step = at["10"][0] - at["1"][0]
    assert at["100"][0] - at["10"][0] == pytest.approx(step, abs=NEAR)
    assert [x for x, _ in signs(tree, full=True)] == pytest.approx(
        [at["1"][0] + step * log10(rate) for rate in (100, 1, 10)], abs=NEAR
    )
    assert [x for x, _ in signs(tree, full=False)] == pytest.approx([at["1"][0] + step * log10(2)], abs=NEAR)
    assert "Never seen: line skip at most 2." in picture.description


def test_confusions_are_where_their_letters_are() -> None:
    """Each sign stands in the row of the original's letters and the column of those written."""
    picture = confusions_picture(confusions(*PAIRS))
    assert picture is not None
    tree = tree_of(picture)
    at = written(tree)
    for original, copy, count, systematic in PAIRS:
        x, y = at[copy or "∅"][0], at[original][1]
        number = at[str(count)]
        assert number == pytest.approx((x, y), abs=2.5)  # smaller letters on the same middle
        there = signs(tree, full=systematic)
        assert min(abs(x - a) + abs(y - b) for a, b in there) < 8


def test_of_many_confusions_the_systematic_are_drawn() -> None:
    """At most forty letters a side; systematic ones first, those seen once only where there are few."""
    many = confusions(*((f"{at}", f"w{at}", at, at < 30) for at in range(1, 100)))
    chosen = drawn(many)
    assert len(chosen) == MOST_A_SIDE
    assert sum(one.systematic for one in chosen) == 29
    once = confusions(*(("a", f"w{at}", 1 + (at < 25), False) for at in range(30)))
    assert {one.count for one in drawn(once)} == {2}
    assert len(drawn(once[:10] + once[-5:])) == 15
    assert confusions_picture(many[:2]) is None


def test_the_course_is_drawn_to_scale() -> None:
    """Each page stands at its rate; an interval that reaches out of the picture ends in an arrowhead."""
    picture = drift_picture(course(), 0.95)
    assert picture is not None
    tree = tree_of(picture)
    at, dots = written(tree), sorted(signs(tree, full=True))
    per_point = (at["20"][1] - at["0"][1]) / 20
    assert [y - dots[0][1] for _, y in dots] == pytest.approx(
        [per_point * (rate - 1) for rate in (1, 2, 3, 4, 5, 50)], abs=NEAR
    )
    assert [x for x, _ in signs(tree, full=False)] == [dots[-1][0]]
    assert any("trend: found (q 0.03)" in text for text in at)
    assert drift_picture(course(FEWEST_PAGES - 1), 0.95) is None


def test_forecasts_are_drawn_by_square_roots() -> None:
    """Twice as far from the left is four times as many; a forecast without limits is open."""
    rows = (
        forecast("X", "letters", 25, Limits(16, 36, 9, 49), None),
        forecast("X", "minims", 4, None, None),
    )
    picture = forecast_picture(rows)
    assert picture is not None
    tree = tree_of(picture)
    at = written(tree)
    root = at["10"][0] - at["0"][0]
    [full], [empty] = signs(tree, full=True), signs(tree, full=False)
    assert full[0] - at["0"][0] == pytest.approx(root * sqrt(25 / 10), abs=NEAR)
    assert empty[0] - at["0"][0] == pytest.approx(root * sqrt(4 / 10), abs=NEAR)
    spans = [
        tuple((x - at["0"][0]) ** 2 / root**2 * 10 for x in (one[0], one[2]))
        for one in strokes(tree)
        if one[1] == one[3] and one[0] > at["0"][0] + 1
    ]
    assert sorted(spans) == [pytest.approx(limits, abs=0.2) for limits in ((1, 9), (9, 49))]
    [bar] = [[(x - at["0"][0]) ** 2 / root**2 * 10 for x in one[:2]] for one in bars(tree)]
    assert bar == pytest.approx([16, 36], abs=0.2)
    assert "Open dots with dotted strokes" in picture.caption
    assert forecast_picture(()) is None


def test_what_a_survivor_holds_is_full_where_the_forecast_held() -> None:
    """An actual number within the limits of 95 % is a full dot, beyond them an open square."""
    rows = [
        forecast("E", "words", 25, Limits(16, 36, 9, 49), 49),
        forecast("B", "words", 25, Limits(16, 36, 9, 49), 50),
        forecast("G", "words", 25, None, 25),
    ]
    picture = check_picture(rows)
    assert picture is not None
    tree = tree_of(picture)
    at = written(tree)
    assert len(signs(tree, full=True)) == len(signs(tree, full=False)) == 1
    assert signs(tree, full=True)[0][1] < signs(tree, full=False)[0][1]
    assert "G" not in at  # no limits, nothing to hold it to
    assert check_picture(rows[2:]) is None


def test_the_strip_shows_the_stretch() -> None:
    """Shared readings above, the other below, as far from the strip as their weight; the stretch between."""
    picture = imported_picture(made_imported())
    assert picture is not None
    tree = tree_of(picture)
    *shared, cross = sorted(signs(tree, full=True))  # the last has no third beside it: no evidence
    other = signs(tree, full=False)
    assert len(shared) == 2 and len(other) == 1
    assert shared[0][1] == shared[1][1] < other[0][1]
    step = shared[1][0] - shared[0][0]  # one letter of the copy
    assert other[0][0] - shared[1][0] == pytest.approx(step, abs=NEAR)
    level = [one for one in strokes(tree) if one[1] == one[3]]
    middle = (shared[0][1] + other[0][1]) / 2
    assert cross[1] == pytest.approx(middle, abs=NEAR)
    spans = {
        (round((a - shared[0][0]) / step, 2), round((b - shared[0][0]) / step, 2))
        for a, y, b, _ in level
        if y == pytest.approx(middle, abs=NEAR)
    }
    assert spans == {(-1.0, 2.0)}  # widest_span is 0 to 3, the first shared place stands at 1
    [bar] = bars(tree)
    assert bar == pytest.approx((shared[0][0], shared[0][0] + 2 * step, middle), abs=NEAR)  # copy_span 1 to 3
    assert "from X 1.1 to X 1.2, which may reach from X 1.1 to X 1.3" in picture.description
