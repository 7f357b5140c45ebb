"""The page's script sorts, chooses and unfolds; without it, and in print, everything is there all the same.

Tried by doing in Chromium what a reader does.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.browser.chromium import Chromium
from tests.browser.seen import Seen

TEXT = "document.querySelector('main').textContent.replace(/\\s+/g, ' ')"
# The longest table that can be sorted and chosen from: its rows shown, as lists of cells.
LONGEST = "[...document.querySelectorAll('table.long')].sort((a, b) => b.rows.length - a.rows.length)[0]"
SHOWN = (
    f"[...{LONGEST}.tBodies[0].rows].filter((row) => !row.hidden)"
    ".map((row) => [...row.cells].map((cell) => cell.innerText))"
)
LEVELS = """[...document.querySelectorAll('.lost .entry')].filter((one) => !one.hidden)
    .map((one) => Number(one.dataset.level))"""
ALL_ROWS = f"{LONGEST}.tBodies[0].rows.length"
FIELD = f"{LONGEST}.closest('.scroll').previousElementSibling.querySelector('input')"
UNSEEN = """[...document.querySelectorAll('main :is(tr, .entry > p, .line){}')].filter((one) =>
    !one.checkVisibility()).length"""
MOST_AT_FIRST = 25  # rows of a long table, as reader.js has it
WAIT = "new Promise((done) => setTimeout(done, 400))"  # the script waits until a reader has done typing


@pytest.fixture
def seen(browser: Chromium, pages: dict[str, Path]) -> Seen:
    """Give the demo's page, open and unfolded."""
    page = Seen(browser, pages["demo"])
    page.unfold()
    return page


def test_without_script_everything_is_there(browser: Chromium, pages: dict[str, Path]) -> None:
    """Without its script the page says the same, no row is hidden, and whatever is folded can be unfolded."""
    with Seen(browser, pages["demo"], script=False) as bare, Seen(browser, pages["demo"]) as whole:
        assert bare.value("document.querySelectorAll('.tools').length") == 0
        assert bare.value("document.querySelectorAll('[hidden]').length") == 0
        assert whole.value("document.querySelectorAll('.tools').length") > 0
        whole.value("document.querySelectorAll('.tools').forEach((one) => one.remove())")
        assert bare.value(TEXT) == whole.value(TEXT)
        bare.unfold()
        assert bare.value(UNSEEN.format("")) == 0


def test_rows_are_chosen(seen: Seen) -> None:
    """Rows that hold what was typed are shown, and every one of them; an empty field shows what was there."""
    with seen:
        before = seen.value(SHOWN)
        word = before[0][0]
        every = seen.value(f"[...{LONGEST}.tBodies[0].rows].map((row) => row.textContent.toLowerCase())")
        seen.value(f"{FIELD}.value = {word!r}, {FIELD}.dispatchEvent(new Event('input')), {WAIT}")
        chosen = seen.value(SHOWN)
        assert 0 < len(chosen) == min(sum(word.lower() in row for row in every), MOST_AT_FIRST)
        assert all(word.lower() in "".join(row).lower() for row in chosen)
        seen.value(f"{FIELD}.value = 'no row has this', {FIELD}.dispatchEvent(new Event('input')), {WAIT}")
        assert seen.value(SHOWN) == []
        seen.value(f"{FIELD}.value = '', {FIELD}.dispatchEvent(new Event('input')), {WAIT}")
        assert seen.value(SHOWN) == before


def test_rows_are_sorted(seen: Seen) -> None:
    """A press on a heading sorts by its column, upward and downward, and says so; no row is lost."""
    with seen:
        rows = seen.value(ALL_ROWS)
        number = seen.value(
            f"[...{LONGEST}.tHead.rows[0].cells].findIndex((one) => one.classList.contains('number'))"
        )
        assert number >= 0
        found = []
        for said in ("ascending", "descending"):
            seen.value(f"{LONGEST}.tHead.rows[0].cells[{number}].querySelector('button').click()")
            assert seen.value(f"{LONGEST}.tHead.rows[0].cells[{number}].getAttribute('aria-sort')") == said
            cells = seen.value(
                f"[...{LONGEST}.tBodies[0].rows].map((row) => row.cells[{number}].textContent)"
            )
            found.append([float(cell.replace(",", "").lstrip("<>") or 0) for cell in cells])
        upward, downward = found
        assert upward == sorted(upward) and downward == sorted(downward, reverse=True)
        assert len(upward) == rows and upward != downward


def test_proposals_are_chosen_by_probability(seen: Seen) -> None:
    """From a probability upward only such proposals are shown, and all the others come back."""
    with seen:
        every = seen.value(LEVELS)
        choose = "(() => {{ const one = document.querySelector('.tools select'); one.value = '{}';"
        choose += "one.dispatchEvent(new Event('change')) }})()"
        seen.value(choose.format("0.5"))
        assert seen.value(LEVELS) == [level for level in every if level >= 0.5]
        assert 0 < len(seen.value(LEVELS)) < len(every)
        seen.value(choose.format("0"))
        assert seen.value(LEVELS) == every


def test_printed_whole(browser: Chromium, pages: dict[str, Path]) -> None:
    """In print every row of a table that is not folded, every line and all evidence is there."""
    with Seen(browser, pages["demo"]) as page:
        assert page.value(UNSEEN.format("")) > 0
        page.value("dispatchEvent(new Event('beforeprint'))")
        page.for_print()
        assert page.value(UNSEEN.format(":not(.fold *)")) == 0
        assert page.value("[...document.querySelectorAll('.entry')].every((one) => one.open)")
