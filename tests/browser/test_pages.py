"""The pages in Chromium: silent, self-contained, without hindrance for any reader, on any width, on paper.

Judged by the browser itself and by axe-core (WCAG 2.2 A and AA, and its best practices), not by us.
"""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from urllib.parse import quote

import pytest

from tests.browser.chromium import Chromium
from tests.browser.seen import A4, NARROW, WIDE, Seen

PAGES = ("demo", "made", "trial")
SMALLEST = 320  # pixels: at this width nothing may have to be scrolled sideways (WCAG 2.2, 1.4.10)
OTHER_VIEWS = ((NARROW, "dark"), (WIDE, "light"))  # of pages that look as the demo's does
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22a", "wcag22aa", "best-practice"]
POINTS = 72  # to the inch, in which PDF measures
WIDER = """[...document.querySelectorAll('body *')].filter((one) => {
    const box = one.getBoundingClientRect();
    const beyond = box.right > document.documentElement.clientWidth + 1;
    return beyond && box.width && !one.closest('.scroll, .unseen, svg');
}).map((one) => one.outerHTML.slice(0, 200))"""
DRAWN = (
    "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(done, 50))))"
)
BAD = """<!DOCTYPE html><html><head><title>x</title>
<meta name="viewport" content="width=device-width"></head><body><h1>One</h1><h3>Three</h3>
<img src="http://127.0.0.1:9/none.png"><p style="color: #aaa; background: #bbb; width: 900px">pale</p>
<script>console.error("told"); alert(1); nowhere()</script></body></html>"""


def violations(seen: Seen, axe: str) -> list[str]:
    """Give what axe-core finds wrong with a page, all that is folded unfolded."""
    seen.unfold()
    seen.value(axe + "; 0")
    found = seen.value(
        f"axe.run(document, {{runOnly: {TAGS}, resultTypes: ['violations']}}).then((found) =>"
        "found.violations.map((one) => [one.id, one.help, ...one.nodes.slice(0, 3).map((node) =>"
        "node.target.join(' ') + ' ' + node.html.slice(0, 200) + ' ' + node.failureSummary)].join('\\n')))"
    )
    return list(found)


def level_by_level(headings: list[int]) -> bool:
    """Headings begin with the only one of the first level, and none goes down by more than one."""
    in_order = all(below <= above + 1 for above, below in pairwise(headings))
    return headings.count(1) == 1 and headings[0] == 1 and in_order


@pytest.mark.parametrize("name", PAGES)
def test_silent_and_alone(browser: Chromium, pages: dict[str, Path], name: str) -> None:
    """Nothing is said on the console, no dialog opens, and nothing is asked for from anywhere."""
    with Seen(browser, pages[name]) as seen:
        assert seen.complaints() == []
        assert seen.requests() == []


@pytest.mark.parametrize(
    ("name", "width", "scheme"),
    [
        *(("demo", width, scheme) for width in (NARROW, WIDE) for scheme in ("light", "dark")),
        *((name, width, scheme) for name in ("made", "trial") for width, scheme in OTHER_VIEWS),
    ],
)
def test_no_reader_is_hindered(
    browser: Chromium, axe: str, pages: dict[str, Path], name: str, width: int, scheme: str
) -> None:
    """axe-core finds no violation, on a wide screen and a narrow one, light and dark."""
    with Seen(browser, pages[name], width, scheme) as seen:
        dark = seen.value("matchMedia('(prefers-color-scheme: dark)').matches")
        assert dark is (scheme == "dark")
        assert violations(seen, axe) == []


@pytest.mark.parametrize("width", [NARROW, SMALLEST])
@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_wider_than_a_phone(
    browser: Chromium, pages: dict[str, Path], name: str, width: int
) -> None:
    """The page never scrolls sideways, and only a table in its frame reaches beyond the edge."""
    with Seen(browser, pages[name], width) as seen:
        seen.unfold()
        assert seen.value("document.documentElement.scrollWidth") <= width
        assert seen.value(WIDER) == []


def test_an_address_is_found(browser: Chromium, pages: dict[str, Path]) -> None:
    """Opened at the address of any place or proposal, the page shows it, unfolded and in sight."""
    with Seen(browser, pages["demo"]) as seen:
        ids = seen.value("[...document.querySelectorAll('main [id]')].map((one) => one.id)")
    assert len(ids) > 100
    for name in ids[:: len(ids) // 8]:
        with Seen(browser, pages["demo"], NARROW, fragment=quote(name)) as seen:
            seen.value(DRAWN)
            top, shown = seen.value(
                f"(() => {{ const one = document.getElementById({name!r});"
                "return [one.getBoundingClientRect().top, one.checkVisibility()] })()"
            )
            assert shown and -1 <= top <= seen.value("innerHeight"), name


@pytest.mark.parametrize("name", PAGES)
def test_headings_are_in_order(browser: Chromium, pages: dict[str, Path], name: str) -> None:
    """Whoever goes from heading to heading finds one title, and no level left out."""
    with Seen(browser, pages[name]) as seen:
        headings = seen.value(
            "[...document.querySelectorAll('h1, h2, h3, h4, h5, h6')].map((h) => +h.tagName[1])"
        )
        assert level_by_level(headings), headings


@pytest.mark.parametrize("name", PAGES)
def test_printed_on_a4(browser: Chromium, pages: dict[str, Path], name: str) -> None:
    """Every printed sheet is A4."""
    with Seen(browser, pages[name]) as seen:
        boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", seen.pdf())
        assert boxes
        for box in boxes:
            assert [float(side) / POINTS for side in box] == pytest.approx(A4, abs=0.02)


@pytest.mark.parametrize("name", PAGES)
def test_nothing_is_cut_off_in_print(browser: Chromium, pages: dict[str, Path], name: str) -> None:
    """Between the margins of A4 every table has room, the widest too."""
    with Seen(browser, pages[name]) as seen:
        seen.for_print()
        assert seen.value(WIDER.replace(".scroll, ", "")) == []


def test_the_checks_find_what_is_wrong(browser: Chromium, axe: str, tmp_path: Path) -> None:
    """A page that calls out, complains, asks, is pale, too wide and out of order fails every check."""
    file = tmp_path / "bad.html"
    file.write_text(BAD, encoding="utf-8")
    with Seen(browser, file, NARROW) as seen:
        said = "\n".join(seen.complaints())
        assert all(word in said for word in ("told", "javascriptDialogOpening", "nowhere is not defined"))
        assert seen.requests() == ["http://127.0.0.1:9/none.png"]
        assert {one.split("\n")[0] for one in violations(seen, axe)} >= {
            *("color-contrast", "html-has-lang", "image-alt", "heading-order", "landmark-one-main"),
        }
        assert seen.value(WIDER)
    assert not level_by_level([1, 3])
