"""CSV, JSON and terminal tables."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.apparatus.cells import Row
from fidelity.apparatus.tables import csv_text, json_text, read_csv, terminal_table
from fidelity.errors import DataError
from fidelity.letters import encode

LETTERS = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12)


@given(st.lists(st.tuples(LETTERS, LETTERS), max_size=4))
def test_every_text_comes_back(
    tmp_path_factory: pytest.TempPathFactory, cells: list[tuple[str, str]]
) -> None:
    """Whatever a text holds (quotes, commas, spaces, rare letters), its cell reads back the same."""
    file = tmp_path_factory.mktemp("csv") / "table.csv"
    rows = [{"original": one, "copy": other} for one, other in cells]
    file.write_text(csv_text(("original", "copy"), rows), encoding="utf-8", newline="")
    assert read_csv(file, ("original", "copy")) == rows


def test_items_of_a_list_are_told_apart() -> None:
    """The sign between two items never stands inside one: an item with "; " keeps it otherwise."""
    text = csv_text(("loci",), [{"loci": ("a; b", "c")}])
    assert text.split("\n")[1].split("; ") == ["a;\u00a0b", "c"]


def test_lines_end_alike_everywhere() -> None:
    """A table is the same bytes on every system."""
    assert csv_text(("a", "b"), [{"a": "x", "b": 1}]) == "a,b\nx,1\n"


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"locus,copy\nE 1,x\n", "columns original, copy"),
        (b"original,copy\na\n", "1 field in row 2"),
        (b"\xff\xfeo", "not a table"),
        (b'original,copy\n"a,b\n', "not a table"),
        (b"", "columns original, copy"),
    ],
)
def test_a_damaged_table_is_refused(tmp_path: Path, data: bytes, what: str) -> None:
    """A file that is no such table is a fault of the data, with what is wrong and where."""
    file = tmp_path / "table.csv"
    file.write_bytes(data)
    with pytest.raises(DataError, match=what) as error:
        read_csv(file, ("original", "copy"))
    assert str(file) in str(error.value)


def test_json_keeps_letters() -> None:
    """JSON has letters as they are, not as numbers, and reads back."""
    text = json_text([{"original": "ꞅ", "probability": 0.5, "makes_word": None}])
    assert "ꞅ" in text
    assert json.loads(text) == [{"original": "ꞅ", "probability": 0.5, "makes_word": None}]


@given(st.integers(40, 120), st.lists(LETTERS, min_size=1, max_size=5))
def test_a_table_fits_the_screen(width: int, cells: list[str]) -> None:
    """No line is longer than the screen, counted in letters, and what is cut ends in "…"."""
    rows: list[Row] = [
        {"locus": f"E {at}", "example": cell * 9, "count": at} for at, cell in enumerate(cells)
    ]
    table = terminal_table(("locus", "example", "count"), rows, width)
    assert max(len(encode(line)) for line in table.split("\n")) <= width


def test_cells_are_shortened_only_where_they_must_be() -> None:
    """A wide screen shows the whole cell, a narrow one its beginning."""
    rows = [{"locus": "E 4.2", "example": "ꞅꞇꞃeameꞅ → stneamer"}]
    assert "ꞅꞇꞃeameꞅ → stneamer" in terminal_table(("locus", "example"), rows, 80)
    assert "ꞅꞇꞃeam…" in terminal_table(("locus", "example"), rows, 14)


def test_composite_letters_do_not_break_the_columns() -> None:
    """A letter of several code points takes one place, so that the columns stay in line."""
    rows = [
        {"transmitted": "nyhtu\u0304e\u0328\u0304", "proposed": "a"},
        {"transmitted": "nyhtumm", "proposed": "b"},
    ]
    lines = terminal_table(("transmitted", "proposed"), rows, 80).split("\n")
    assert encode(lines[2]).index("a") == encode(lines[3]).index("b")


def test_nothing_and_a_space_are_seen() -> None:
    """An empty side of a confusion and a word division are shown by a sign."""
    table = terminal_table(("original", "copy"), [{"original": " ", "copy": ""}], 80)
    assert table.split("\n")[-1].split() == ["␣", "∅"]


def test_control_characters_do_not_reach_the_terminal() -> None:
    """A name with an escape sequence in it cannot colour or clear the screen."""
    assert "\x1b" not in terminal_table(("text",), [{"text": "E\x1b[2J"}], 80)


PLACES: list[Row] = [{"example": "on strangum ecede and", "where": ("original 1r:3.4", "original 12v:13.10")}]


def test_places_are_shown_whole() -> None:
    """Of a list as many items are shown as fit, and the first is never cut."""
    columns = ("where", "example")
    assert "original 1r:3.4; original 12v:13.10" in terminal_table(columns, PLACES, 80)
    for width in range(36, 56):
        shown = terminal_table(columns, PLACES, width)
        assert "original 1r:3.4; …" in shown
        assert max(map(len, shown.split("\n"))) <= width


def test_names_of_patterns_are_never_cut() -> None:
    """The name of a pattern runs over several lines where the screen is narrow."""
    rows: list[Row] = [{"pattern": "words left out, cause undetermined", "count": 1}]
    lines = terminal_table(("pattern", "count"), rows, 24).split("\n")[2:]
    assert " ".join(line.replace(" 1", "").strip() for line in lines) == rows[0]["pattern"]
