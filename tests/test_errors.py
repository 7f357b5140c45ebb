"""How a fault is told: what, where, the place in its line, and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.errors import MORE, SHOWN, Fault
from fidelity.letters import encode

INDENT = 4


def shown(source: str, column: int) -> tuple[str, str]:
    """Give the line that is shown and the caret's, their common indent taken away."""
    line, caret = str(Fault("wrong", Path("E.txt"), 3, column, source)).split("\n")[1:3]
    assert line[:INDENT] == caret[:INDENT] == " " * INDENT
    return line[INDENT:], caret[INDENT:]


@pytest.mark.parametrize("width_of_a_tab", [1, 4, 8])
def test_caret_stands_under_its_letter_after_a_tab(width_of_a_tab: int) -> None:
    """Wherever the screen's tabs stop, the caret stands under the letter it means."""
    source = "fol. 3\tꞅꞇan\thnol[\tꞅel"
    line, caret = shown(source, source.index("[") + 1)
    assert line == source
    at = caret.expandtabs(width_of_a_tab).index("^")
    assert line.expandtabs(width_of_a_tab)[at] == "["


@pytest.mark.parametrize("column", [1, 2, 36, 37, 2000, 4165, 4199, 4200])
def test_of_a_long_line_the_part_around_the_place_is_shown(column: int) -> None:
    """Of a line of 4,200 letters so many are shown as fit a screen, with … where it goes on."""
    source = "".join(chr(0x4E00 + at) for at in range(4200))  # no two letters alike
    line, caret = shown(source, column)
    assert line[caret.index("^")] == source[column - 1]
    assert line.startswith(MORE) == (line.strip(MORE)[0] != source[0])
    assert line.endswith(MORE) == (line.strip(MORE)[-1] != source[-1])
    assert len(line.strip(MORE)) == SHOWN
    assert INDENT + len(line) <= 80


def test_a_line_that_fits_is_shown_whole() -> None:
    """A line as long as the screen allows has no … at its ends."""
    source = "ꞅ" * SHOWN
    assert shown(source, SHOWN) == (source, " " * (SHOWN - 1) + "^")


def test_columns_count_letters_and_not_code_points() -> None:
    """Marks over a letter take no column, in what is left out as in what is shown."""
    source = "y\u0304n" * 200 + "[" + "y\u0304n" * 200
    line, caret = shown(source, 401)
    assert encode(line)[caret.index("^")] == "["


def test_a_column_behind_the_end_has_its_caret_there() -> None:
    """What is missing at the end of a line is shown behind its last letter."""
    assert shown("[copyist", 9) == ("[copyist", "        ^")


def test_control_characters_do_not_steer_the_screen() -> None:
    """A control character is shown by a sign for it, and keeps its column."""
    assert shown("lu\x1b[2Jpus\x07", 4) == ("lu\ufffd[2Jpus\ufffd", "   ^")


def test_excerpt_without_a_place() -> None:
    """A fault with a line but no column has a part of the line without a caret; one without has nothing."""
    assert Fault("wrong", line=1, source="ꞅꞇan").excerpt == ("ꞅꞇan", "")
    assert Fault("wrong", line=1, column=2).excerpt == ("", "")
    assert str(Fault("wrong", line=1, source="ꞅꞇan")) == "line 1: wrong"
