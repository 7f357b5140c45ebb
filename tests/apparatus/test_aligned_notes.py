"""What is said below two texts above each other: moved blocks, long stretches, doubts, the check."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from fidelity.alignment.align import align_witnesses
from fidelity.alignment.check import AlignmentCheck, check_alignment
from fidelity.apparatus.aligned_columns import AWAY, HERE
from fidelity.apparatus.aligned_notes import check_sentence, notes_of
from fidelity.apparatus.aligned_rows import check_row, doubt_rows, moved_rows, step_rows
from fidelity.apparatus.side_by_side import side_by_side
from fidelity.terms import Alignment
from fidelity.variants.collect import collect
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness

LINES = (
    "ærest of ellenforda up andlang streames on þæt reade clif",
    "of þam clife to þære greatan ac ofer wulfstanes feld",
    "þonne be þam fulan broce oþ þa ealdan mylne westweard",
    "swa suþ be hæselræwe þæt hit cymþ eft to ellenforda",
)


def aligned(original: str, copy: str) -> Alignment:
    """Align two texts."""
    return align_witnesses(read_witness(original, siglum="E"), read_witness(copy, siglum="C"))


def shown(alignment: Alignment, width: int = 90) -> list[str]:
    """Give the screen."""
    notes = notes_of(alignment, collect(alignment, "E", NO_FOLDS))
    return list(side_by_side(alignment, width, 3, notes))


@cache
def moved() -> Alignment:
    """Give a text whose second line stands last in the copy, with a slip in it."""
    return aligned(
        "\n".join(LINES), "\n".join((LINES[0], *LINES[2:], LINES[1].replace("greatan", "gneatan")))
    )


def test_a_moved_line_is_told_at_both_places() -> None:
    """Where it stood it is said where it stands, and the other way round, each below its letters."""
    lines = shown(moved())
    stood = "moved: stood after “þæt reade clif” in the original, E 2.1 to E 2.10; "
    stands = "stands after “eft to ellenforda” in the copy, C 4.1 to C 4.10"
    away = next(at for at, line in enumerate(lines) if AWAY in line and LINES[1] in lines[at - 1])
    told = " ".join(line.strip() for line in lines[away + 2 : away + 6])
    assert f"{stood}{stands}, with 1 slip on the way: of þam clife" in told
    here = next(at for at, line in enumerate(lines) if HERE in line)
    assert "gneatan" in lines[here + 1]
    assert " ".join(line.strip() for line in lines[here + 3 : here + 5]) == stood + stands


def test_the_slips_of_a_moved_line_are_shown() -> None:
    """A moved block with slips is shown once more, its own letters above each other."""
    lines = shown(moved())
    inner = next(at for at, line in enumerate(lines) if line.startswith("  E 2.1") and "greatan" in line)
    assert lines[inner + 1].strip() == "×"
    assert lines[inner + 1].index("×") == lines[inner].index("greatan") + 1
    assert "gneatan" in lines[inner + 2]
    clean = aligned("\n".join(LINES), "\n".join((LINES[0], *LINES[2:], LINES[1])))
    assert not any(line.startswith("  E 2.1") for line in shown(clean))


def test_a_sign_written_out_stands_above_its_letters() -> None:
    """A sign answered by letters that came in beside it is one change, moved words or none."""
    alignment = aligned("cnuca on strangum ecede. ꝥ nim wudu", "cnuca on ecede strangum. þæt nim wudu")
    signs = shown(alignment)[1].split()
    assert signs == [HERE * 6, AWAY * 6, "×××"]


def test_a_preface_is_a_block_with_its_place() -> None:
    """Of matter in one text alone both ends are shown, with its place and size, not every letter."""
    preface = "se biscop het writan þas boc on þam geare þe he forþferde and þa munecas hit wel heoldon"
    preface += " æfter his dæge oþ þisne timan"
    alignment = aligned("\n".join(LINES), f"{preface}\n" + "\n".join(LINES))
    lines = shown(alignment)
    assert f"  put in: C 1.1 to C 1.24, {len(preface.replace(' ', ''))} letters" in lines
    assert not any("munecas" in line for line in lines)
    lost = aligned(f"{preface}\n" + "\n".join(LINES), "\n".join(LINES))
    assert f"  left out: E 1.1 to E 1.24, {len(preface.replace(' ', ''))} letters" in shown(lost)


def test_doubts_are_told() -> None:
    """What another alignment reads stands below the place, and among the rows."""
    alignment = aligned("nim se se wudu and", "nim se wudu and")
    variants = collect(alignment, "E", NO_FOLDS)
    assert {"  or the earlier “se” (E 1.2) was left out", "  or the later “se” (E 1.3) was left out"} & set(
        shown(alignment)
    )
    [row] = doubt_rows(variants)
    assert row["or_else"] == variants[0].or_else
    assert doubt_rows(collect(aligned("nim wudu", "nim wdu"), "E", NO_FOLDS)) == []


def test_short_moves_give_both_places_and_tabs_are_shown(tmp_path: Path) -> None:
    """A gloss moved over its neighbour is told with both places, its fields parted by the sign for a tab."""
    glosses = ["acer\thlin", "fornax magna\tmicel ofn", "falx ferrea\tscearp sicol", "malleus\tslecg"]
    files = tmp_path / "original.tsv", tmp_path / "copy.tsv"
    for file, order in zip(files, ((0, 1, 2, 3), (0, 2, 1, 3)), strict=True):
        file.write_text("lemma\tgloss\n" + "\n".join(glosses[at] for at in order) + "\n", encoding="utf-8")
    alignment = align_witnesses(read_witness(files[0], siglum="E"), read_witness(files[1], siglum="C"))
    [note] = [one.text for one in notes_of(alignment, []) if not one.in_copy]
    assert note.startswith("moved: stood after “") and "; stands after “" in note and " ¦ " in note
    assert "\t" not in note


@pytest.mark.parametrize("width", [40, 60, 100])
def test_notes_fit_the_screen(width: int) -> None:
    """No line is wider than the screen."""
    assert max(map(len, shown(moved(), width))) <= width


def test_rows_hold_everything() -> None:
    """A moved block comes with both places and steps that give its letters back."""
    [row] = moved_rows(moved())
    assert (row["locus"], row["until"], row["copy_locus"], row["copy_until"]) == (
        "E 2.1",
        "E 2.10",
        "C 4.1",
        "C 4.10",
    )
    steps = row["steps"]
    assert isinstance(steps, list)
    assert "".join(step["original"] for step in steps) == row["original"] == LINES[1]
    assert "".join(step["copy"] for step in steps) == row["copy"]
    assert row["slips"] == 1
    assert "".join(str(step["copy"]) for step in step_rows(moved())) == moved().copy.letters


def test_the_check_in_words() -> None:
    """Whether a better alignment was found, by what share, and where the difference is largest."""
    check = check_alignment(moved())
    assert "no better alignment was found" in check_sentence(check, moved())
    assert check_row(check, moved())["worst"] == ""
    worse = AlignmentCheck(3, 60, 100.0, 99.5, (0, 20), 0.4)
    told = check_sentence(worse, moved())
    assert "3 stretches of it (60 letters)" in told
    whole = AlignmentCheck(1, len("".join(LINES).replace(" ", "")), 100.0, 100.0, None, 0.0)
    assert "the whole text" in check_sentence(whole, moved())
    assert "costs 0.50% less" in told and "E 1.1 to E 1.3" in told
    assert check_row(worse, moved())["excess"] == pytest.approx(0.5 / 99.5, rel=1e-5)
