"""How original and copy look beside each other: told apart without colour, cut short where they are long."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest

from fidelity.apparatus.addresses import Places
from fidelity.apparatus.facing import facing_content
from fidelity.apparatus.facing_marks import FORMS
from fidelity.apparatus.page_frame import page_environment
from tests.apparatus.facing_view import html_of, judged


def long_text(lines: int, wrong: Sequence[int]) -> tuple[str, str]:
    """Make a text of many lines, and a copy that is wrong in some of them."""
    original = [f"on {at} healfe þæs wæteres stod seo {at * 7919 % 1000} burg" for at in range(lines)]
    copy = [one.replace("wæteres", "weteres") if at in wrong else one for at, one in enumerate(original)]
    return "\n".join(original), "\n".join(copy)


def test_of_long_texts_there_are_the_lines_that_differ() -> None:
    """Above the first limit each line that differs has its neighbours, and it is said what is not there."""
    audit = judged(long_text(300, (0, 50, 52, 299)))
    (text,) = facing_content(audit, whole_up_to=1000)
    rows = [row for leaf in text.leaves for row in leaf.rows]
    assert [row.place for row in rows if not row.alike] == [
        *("1", "2", "50", "51", "52", "53", "54", "299", "300"),
    ]
    assert [row.alike for row in rows if row.alike] == ["47 lines", "244 lines"]
    assert not text.is_whole and not text.last and not text.is_open


def test_of_very_long_texts_the_rest_is_named() -> None:
    """Above the second limit the view ends, about where it is to, and says where the rest is."""
    audit = judged(long_text(600, range(0, 600, 5)), long_text(60, [7]))
    limits = {"whole_up_to": 1000, "most": 40_000}
    first, second = facing_content(audit, **limits)
    html = html_of(audit, **limits)
    assert 20_000 < len(html.encode()) < 50_000
    assert first.last and f"than to {first.last}" in html
    assert not second.last and second.leaves


def rules() -> dict[str, dict[str, str]]:
    """Give what the look says of each class, on itself, before and after it."""
    source = (
        page_environment(Places(), Places(), {})
        .get_template("facing_look.html.j2")
        .render()
        .split("@media")[0]
    )
    found: dict[str, dict[str, str]] = {}
    for selectors, body in re.findall(r"([^{}]+)\{([^{}]*)\}", source):
        for selector in selectors.split(","):
            match = re.fullmatch(r"\.facing \.([a-z-]+)(::before|::after)?", selector.strip())
            if match:
                stated = dict(re.findall(r"([a-z-]+): ([^;]+);", body))
                kept = {
                    f"{match[2] or ''} {name}": value for name, value in stated.items() if name != "color"
                }
                found.setdefault(match[1], {}).update(kept)
    return found


def test_forms_differ_without_colour() -> None:
    """Every form is drawn unlike any other, and unlike unclear letters, when all is printed in one colour."""
    drawn = rules()
    looks = [tuple(sorted(drawn[name].items())) for name in (*FORMS, "unclear")]
    assert all(looks)
    assert len(set(looks)) == len(looks)
    assert "wavy" not in str(drawn)


def luminance(colour: str) -> float:
    """Give the relative luminance of a colour, by the formula of WCAG 2.2."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(share * part for share, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Give the contrast of two colours, by the formula of WCAG 2.2."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_is_enough() -> None:
    """In light, in dark and in print the letters of all kinds stand out by 4.5 to 1; black on white by 21."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)  # as W3C's documents give it
    source = (
        page_environment(Places(), Places(), {})
        .get_template("look.html.j2")
        .render(title="x", script_digest="")
    )
    schemes = [
        dict(re.findall(r"--([a-z]+): (#[0-9a-f]{6})", body))
        for body in re.findall(r":root \{([^}]*)\}", source)
    ]
    assert len(schemes) == 3
    for colours in schemes:
        assert (
            min(contrast(colours[name], colours["paper"]) for name in ("rubric", "ink", "soft", "link"))
            >= 4.5
        )
