"""Two texts above each other."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.apparatus.aligned_columns import AWAY, DIVIDED, LEFT_OUT, SHORTENED
from fidelity.apparatus.aligned_notes import Note
from fidelity.apparatus.aligned_rows import step_rows
from fidelity.apparatus.side_by_side import (
    LEGEND,
    LEGEND_FIELDS,
    LEGEND_MOVED,
    NO_LETTER,
    is_alike,
    legend,
    side_by_side,
)
from fidelity.errors import UnrelatedTextsError
from fidelity.letters import decode, encode
from fidelity.terms import Alignment, Moved, Witness
from fidelity.witnesses.read import read_witness
from tests.apparatus.made import made_alignment, made_dossier


def aligned(*steps: tuple[str, str, int]) -> Alignment:
    """Make an alignment of steps, each with its letters on both sides and its kind."""
    rows, original, copy = [], "", ""
    for one, other, kind in steps:
        rows.append((len(original), len(original) + len(one), len(copy), len(copy) + len(other), kind))
        original, copy = original + one, copy + other
    return Alignment(Witness("E", original), Witness("C", copy), np.array(rows, dtype=np.int32), 0.0, 1)


def rows_of(alignment: Alignment, width: int = 80, context: int = 3) -> list[list[str]]:
    """Give the blocks, each as its three lines; the line of a text that has nothing there is empty."""
    lines = list(side_by_side(alignment, width, context))
    blocks = []
    while lines:
        above = "" if lines[1].startswith("C ") else lines.pop(0)
        signs = lines.pop(0)
        below = lines.pop(0) if lines[0] else ""
        assert lines.pop(0) == ""
        blocks.append([above, signs, below])
    return blocks


def test_block_of_the_made_alignment() -> None:
    """Each manuscript line is a block, with its places in the margin and a sign at each difference."""
    assert list(side_by_side(made_alignment(made_dossier()), 80, 9)) == [
        "E 1r:1.1  þiꞅ ꞅynꝺon þa",
        "              ×",
        "E 1r:1.1  þis ryndon þa",
        "",
        "E 1r:2.1  lanꝺ░ᵹemæꞃa ꞇo",
        "              ‖",
        "E 1r:2.1  land gemæra to",
        "",
    ]


@pytest.mark.parametrize(
    ("original", "copy", "signs"),
    [
        ("s", "r", "×"),
        ("rn", "m", "××"),
        ("n", "", "○"),
        ("", "en", "●●"),
        (" ", "", "‖"),
        ("", " ", "‖"),
    ],
)
def test_signs(original: str, copy: str, signs: str) -> None:
    """Another letter, letters left out, letters put in and words divided have each their sign."""
    block = rows_of(aligned(("wa", "wa", 0), (original, copy, 1), ("de", "de", 0)))[0]
    assert block[1].strip() == signs


def test_left_out_and_put_in_at_one_place_stand_above_each_other() -> None:
    """A sign answered by letters that came in beside it is shown as one change."""
    block = rows_of(aligned(("a ", "a ", 0), ("", "per", 2), ("ꝓ", "", 1), (" b", " b", 0)))[0]
    assert [line.removeprefix("E 1.1  ").removeprefix("C 1.1  ") for line in block] == [
        "a ꝓ░░ b",
        " " * len("E 1.1    ") + "×××",
        "a per b",
    ]


def test_what_is_alike_is_shortened() -> None:
    """Beyond the words of context both lines have "…", and the difference stands in its words."""
    words = " ".join(["word"] * 50)
    blocks = rows_of(
        aligned((f"{words} sta", f"{words} sta", 0), ("n", "m", 1), (f" {words}", f" {words}", 0)), 80, 2
    )
    assert [line.split("  ")[-1].strip() for line in blocks[0]] == [
        "… word word stan word word …",
        "×",
        "… word word stam word word …",
    ]


def test_a_short_stretch_is_not_shortened() -> None:
    """Where "…" would spare hardly anything the letters stand."""
    lines = side_by_side(aligned(("n", "m", 1), (" a b ", " a b ", 0), ("n", "m", 1)), 80, 0)
    assert not any(SHORTENED in line for line in lines)


@pytest.mark.parametrize(
    ("original", "copy", "above", "below"),
    [("", " ", "in░concussa", "in concussa"), (" ", "", "in concussa", "in░concussa")],
)
def test_it_can_be_seen_which_text_parts_the_words(original: str, copy: str, above: str, below: str) -> None:
    """Only where a text has a blank a blank stands; where it has nothing, the sign for nothing."""
    block = rows_of(aligned(("in", "in", 0), (original, copy, 1), ("concussa", "concussa", 0)))[0]
    assert [block[0].split("  ")[1], block[1].strip(), block[2].split("  ")[1]] == [above, DIVIDED, below]


WORDS_LOST = "regem nostrum et reginam " * 10


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_long_skips_show_both_ends(width: int) -> None:
    """Of a long passage left out the first and last words are shown, and how many letters are not."""
    lost = f"prima {WORDS_LOST}ultima "
    lines = list(side_by_side(aligned(("a ", "a ", 0), (lost, "", 2), ("b", "b", 0)), width, 1))
    shown = " ".join(" ".join(line.split()[2:]) for line in lines if line.startswith("E"))
    first, count, last = re.fullmatch(r"a (.*) ⋯ (\d+) letters ⋯ (.*) b", shown).groups()  # type: ignore[union-attr]
    assert lost.startswith(f"{first} ") and lost.endswith(f" {last} ")
    assert int(count) == len("".join(lost.split())) - len("".join((first + last).split()))
    assert max(map(len, lines)) <= width


def test_a_long_skip_without_blanks_is_cut_anywhere() -> None:
    """Of one endless word both ends are shown all the same."""
    text = "".join(side_by_side(aligned(("a", "a", 0), ("x" * 5000 + "y", "", 2), ("b", "b", 0)), 80, 1))
    assert "y" in text and "⋯" in text
    assert len(text) < 1000


def test_a_long_event_is_a_block_with_its_note_below() -> None:
    """What was lost does not share its lines with what is alike, and what is said of it follows at once."""
    lost = "regem nostrum et reginam et filios eorum omnes "
    alignment = aligned(("prima ", "prima ", 0), (lost, "", 2), ("ultima", "ultima", 0))
    lines = list(side_by_side(alignment, 80, 3, [Note(False, 6, "lost"), Note(False, 60, "never")]))
    at = next(at for at, line in enumerate(lines) if line.endswith(lost.strip()))
    assert lines[at].startswith("E 1.2 ")
    assert lines[at + 1].strip() == LEFT_OUT * len(lost.strip())
    assert lines[at + 3] == "  lost"
    assert [line.split() for line in lines[:3]] == [["E", "1.1", "prima"], [], ["C", "1.1", "prima"]]


def test_a_moved_passage_and_a_lost_one_are_two_blocks() -> None:
    """The border between two events in one gap is kept, each with its own first and last words."""
    moved, lost = "regem nostrum et reginam " * 5, "filios eorum omnes et filias " * 5
    alignment = aligned(
        ("prima ", "prima ", 0), (moved + lost, "", 2), ("ultima ", "ultima ", 0), ("", moved, 3)
    )
    spans = (6, 6 + len(moved) - 1), (13, 13 + len(moved) - 1)
    steps = np.array([(*spans[0], *spans[1], 0)], dtype=np.int32)
    lines = list(side_by_side(replace(alignment, moved=(Moved(*spans, steps),)), 120, 3))
    gone = next(at for at, line in enumerate(lines) if AWAY in line)
    assert "regem" in lines[gone - 1] and "reginam" in lines[gone - 1] and "filios" not in lines[gone - 1]
    left = next(at for at, line in enumerate(lines) if LEFT_OUT in line)
    assert "filios" in lines[left - 1] and "filias" in lines[left - 1] and "regem" not in lines[left - 1]
    assert set(lines[gone].strip()) == {AWAY} and set(lines[left].strip()) == {LEFT_OUT}


def test_the_blank_goes_with_the_event() -> None:
    """The blank before a word that was left out does not stand alone with a sign at the end of a line."""
    steps = (("prima", "prima", 0), (" regem", "", 2), (" ultima", " ultima", 0))
    alignment = aligned(*steps)
    original = replace(alignment.original, lines=(0, 6), labels=("1", "2"))
    lines = list(side_by_side(replace(alignment, original=original), 80, 3))
    assert lines[:4] == ["E 1.1  prima", "", "C 1.1  prima", ""]


def test_wide_places_get_lines_of_their_own() -> None:
    """Where a place would leave no room for the letters it stands above them; no line is too wide."""
    alignment = aligned(("wa", "wa", 0), ("n", "m", 1), ("de " * 20, "de " * 20, 0))
    original = replace(alignment.original, labels=("folio 12 recto, column b, line 7",))
    lines = list(side_by_side(replace(alignment, original=original), 40, 9))
    assert lines[0] == "E folio 12 recto, column b, line 7.1" and lines[1].startswith("wande de")
    assert max(map(len, lines)) <= 40


def test_composite_letters_take_one_column() -> None:
    """A letter with marks stands above the one that answers it."""
    block = rows_of(aligned((encode("nyhtu\u0304 "), encode("nyhtu\u0304 "), 0), ("s", "r", 1)))[0]
    assert encode(block[0]).index("s") == block[1].index("×") == encode(block[2]).rindex("r")


def test_fields_are_parted_by_a_sign() -> None:
    """A tab between fields is shown by a sign of one place, which is explained."""
    alignment = aligned(("acer\t", "acer\t", 0), ("h", "k", 1), ("lin", "lin", 0))
    assert rows_of(alignment)[0][0].endswith("acer¦hlin")
    assert legend(alignment) == (*LEGEND, *LEGEND_FIELDS)
    assert max(map(len, (*LEGEND, *LEGEND_MOVED, *LEGEND_FIELDS))) <= 40


def test_equal_texts_are_told() -> None:
    """Two texts that differ nowhere are known to."""
    assert is_alike(aligned(("abc", "abc", 0)))
    assert not is_alike(aligned(("abc", "abc", 0), ("d", "", 1)))


WORDS = st.text("abn \u0113", min_size=1, max_size=60).map(lambda text: " ".join(text.split()) or "a")


def aligned_if_related(original: str, copy: str) -> Alignment:
    """Align two texts; those with nothing in common have no alignment, and the example is passed over."""
    try:
        return align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))
    except UnrelatedTextsError:
        return reject()


@given(WORDS, WORDS, st.integers(40, 90), st.integers(0, 4))
def test_lines_fit_and_letters_stand_above_each_other(
    original: str, copy: str, width: int, context: int
) -> None:
    """No line is wider than the screen, and where no sign stands the letters are the same."""
    alignment = aligned_if_related(original, copy)
    for block in rows_of(alignment, width, context):
        above, signs, below = (encode(line).ljust(width) for line in block)
        assert max(map(len, (above, signs, below))) <= width
        margin = len("E 1.99") + 2
        for one, sign, other in zip(above[margin:], signs[margin:], below[margin:], strict=True):
            assert sign != " " or one == other or not (above.strip() and below.strip())


@given(WORDS, WORDS)
def test_every_letter_is_shown_where_nothing_is_shortened(original: str, copy: str) -> None:
    """With all the context, both texts can be read off the screen in full."""
    alignment = aligned_if_related(original, copy)
    blocks = rows_of(alignment, 100, 99)
    for row, text in ((0, original), (2, copy)):
        shown = "".join("".join(block[row].split()[2:]) for block in blocks)
        if not is_alike(alignment):
            assert shown.replace(NO_LETTER, "") == "".join(text.split())


@given(WORDS, WORDS)
def test_steps_give_back_both_texts(original: str, copy: str) -> None:
    """The steps, joined, are the original and the copy."""
    alignment = aligned_if_related(original, copy)
    rows = step_rows(alignment)
    assert "".join(str(row["original"]) for row in rows) == decode(alignment.original.letters)
    assert "".join(str(row["copy"]) for row in rows) == decode(alignment.copy.letters)
