"""Decisions before anything is judged: which still stand, where moved words went, and writing them back."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import fidelity
from fidelity.apparatus.entries_standing import standing_sentences
from fidelity.cli import main
from fidelity.dossier import read_dossier
from fidelity.dossier.whereabouts import whereabouts
from fidelity.terms import Witness
from fidelity.witnesses.data import data_folder

SHORT = data_folder("demo_pairs") / "wickenby_short"


def corrected(file: Path, before: str, after: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")


@pytest.fixture
def dossier(tmp_path: Path) -> Path:
    """Give a dossier in which some decided words were corrected, and some moved."""
    folder = tmp_path / "dossier"
    shutil.copytree(SHORT, folder)
    decided = (
        ("X 7.1", "adopted", "sece"),
        ("X 1.2", "kept", ""),
        ("X 3.6", "crux", ""),
        ("E 6.1", "not_his", ""),
        ("E 5.1", "not_his", ""),
    )
    for locus, ruling, value in decided:
        fidelity.decide(folder, locus, ruling, value, reason="so", who="E. Ditor")
    corrected(folder / "X" / "copy.txt", "\nrece", "\nsece")
    corrected(folder / "X" / "copy.txt", "Ic wær on", "Ic on wær")
    corrected(folder / "E" / "original.txt", "ꝼelꝺ on", "on ꝼelꝺ")
    return folder


def test_check_names_stale_decisions(dossier: Path) -> None:
    """As the audit does; one that the text now follows, and one whose words were moved, are told as such."""
    shown = CliRunner().invoke(main, ["check", str(dossier)]).output
    flat = " ".join(shown.split())
    assert "decisions of the editor: 5, of which 2 applied, 3 stale, 0 without effect" in flat
    stale = "is stale and was not used: the"
    assert f"the decision on X 7.1 (adopted) {stale} copy now has “sece”; now as adopted" in flat
    assert f"the decision on X 1.2 (kept) {stale} copy now has “on”; moved to X 1.3" in flat
    assert f"the decision on E 6.1 (not_his) {stale} original now has “on”; moved to E 6.2" in flat
    told = json.loads(CliRunner().invoke(main, ["check", str(dossier), "--json"]).stdout)
    assert [(row["locus"], row["applied"]) for row in told["decisions"]] == [
        ("X 7.1", "stale"),
        ("X 1.2", "stale"),
        ("X 3.6", "yes"),
        ("E 6.1", "stale"),
        ("E 5.1", "yes"),
    ]


def test_the_audit_says_the_same(dossier: Path) -> None:
    """Every sentence of check stands among the audit's notes."""
    assert set(standing_sentences(read_dossier(dossier))) <= set(fidelity.audit(dossier).notes)


def test_without_decisions_nothing_is_said() -> None:
    """Neither on the screen nor in JSON."""
    found = CliRunner().invoke(main, ["check", str(SHORT)]).output
    assert "decision" not in found
    assert "decisions" not in json.loads(CliRunner().invoke(main, ["check", str(SHORT), "--json"]).stdout)


def test_decisions_are_written_back(dossier: Path, tmp_path: Path) -> None:
    """Those in force and the earlier ones, byte for byte; the new folder has the same decisions."""
    fidelity.decide(dossier, "X 3.6", "open", reason="so", who="E. Ditor")
    fidelity.check(dossier, tmp_path / "again")
    for name in ("decisions.csv", "decisions_earlier.csv"):
        assert (tmp_path / "again" / name).read_bytes() == (dossier / name).read_bytes()
    assert read_dossier(tmp_path / "again").decisions == read_dossier(dossier).decisions


PAGES = Witness(
    "X",
    "of me ic wær and wær on me ",
    lines=(0, 6, 14, 21),
    labels=("1r:1", "1r:2", "1v:1", "1v:2"),
    pages=("1r", "1r", "1v", "1v"),
    line_ends=("", "", "", ""),
)


@pytest.mark.parametrize(
    ("locus", "words", "adopted", "told"),
    [
        ("1r:2.1", "wær", "", "; moved to X 1r:2.2"),  # the line before the page
        ("1r:1.1", "wær", "", "; moved to X 1r:2.2"),  # the page
        ("1v:1.2", "ic", "", ""),  # another page is too far
        ("1r:1.9", "ic wær", "", "; moved to X 1r:2.1-1r:2.2"),  # the line has not so many words any more
        ("1r:1.1", "on", "of", "; now as adopted"),
        ("1r:1.1", "on", "of me", "; now as adopted"),
        ("9r:1.1", "wær", "", ""),
    ],
)
def test_where_words_went(locus: str, words: str, adopted: str, told: str) -> None:
    """In the same line first, then on the same page; never beyond."""
    assert whereabouts(PAGES, "X", locus, words, adopted) == told
