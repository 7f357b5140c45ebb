"""Two texts above each other."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from fidelity.alignment.align import align_witnesses
from fidelity.apparatus.aligned_rows import step_rows
from fidelity.apparatus.side_by_side import SHORTENED, is_alike, side_by_side
from fidelity.letters import decode, encode
from fidelity.terms import Alignment, Witness
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
    """Give the blocks, each as its three lines."""
    lines = list(side_by_side(alignment, width, context))
    assert len(lines) % 4 == 0
    return [lines[at : at + 3] for at in range(0, len(lines), 4)]


def test_block_of_the_made_alignment() -> None:
    """Each manuscript line is a block, with its places in the margin and a sign at each difference."""
    assert list(side_by_side(made_alignment(made_dossier()), 80, 9)) == [
        "E 1r:1.1  þiꞅ ꞅynꝺon þa",
        "              ×",
        "E 1r:1.1  þis ryndon þa",
        "",
        "E 1r:2.1  lanꝺ ᵹemæꞃa ꞇo",
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
        "a ꝓ   b",
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


def test_long_skips_show_both_ends() -> None:
    """Of a long passage left out both ends are shown, not thousands of letters."""
    text = "".join(side_by_side(aligned(("a", "a", 0), ("x" * 5000 + "y", "", 2), ("b", "b", 0)), 80, 1))
    assert "y" in text
    assert len(text) < 4000


def test_composite_letters_take_one_column() -> None:
    """A letter with marks stands above the one that answers it."""
    block = rows_of(aligned((encode("nyhtu\u0304 "), encode("nyhtu\u0304 "), 0), ("s", "r", 1)))[0]
    assert encode(block[0]).index("s") == block[1].index("×") == encode(block[2]).rindex("r")


def test_fields_are_parted_by_a_sign() -> None:
    """A tab between fields is shown by a sign of one place."""
    assert rows_of(aligned(("acer\t", "acer\t", 0), ("h", "k", 1), ("lin", "lin", 0)))[0][0].endswith(
        "acer¦hlin"
    )


def test_equal_texts_are_told() -> None:
    """Two texts that differ nowhere are known to."""
    assert is_alike(aligned(("abc", "abc", 0)))
    assert not is_alike(aligned(("abc", "abc", 0), ("d", "", 1)))


WORDS = st.text("abn \u0113", min_size=1, max_size=60).map(lambda text: " ".join(text.split()) or "a")


@given(WORDS, WORDS, st.integers(40, 90), st.integers(0, 4))
def test_lines_fit_and_letters_stand_above_each_other(
    original: str, copy: str, width: int, context: int
) -> None:
    """No line is wider than the screen, and where no sign stands the letters are the same."""
    alignment = align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))
    for block in rows_of(alignment, width, context):
        above, signs, below = (encode(line).ljust(width) for line in block)
        assert max(map(len, (above, signs, below))) <= width
        margin = len("E 1.99") + 2
        for one, sign, other in zip(above[margin:], signs[margin:], below[margin:], strict=True):
            assert sign != " " or one == other


@given(WORDS, WORDS)
def test_every_letter_is_shown_where_nothing_is_shortened(original: str, copy: str) -> None:
    """With all the context, both texts can be read off the screen in full."""
    alignment = align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))
    blocks = rows_of(alignment, 100, 99)
    for row, text in ((0, original), (2, copy)):
        shown = "".join("".join(block[row].split()[2:]) for block in blocks)
        if not is_alike(alignment):
            assert shown == "".join(text.split())


@given(WORDS, WORDS)
def test_steps_give_back_both_texts(original: str, copy: str) -> None:
    """The steps, joined, are the original and the copy."""
    alignment = align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))
    rows = step_rows(alignment)
    assert "".join(str(row["original"]) for row in rows) == decode(alignment.original.letters)
    assert "".join(str(row["copy"]) for row in rows) == decode(alignment.copy.letters)
