"""What `fidelity check` tells of the texts of a dossier, and writing them back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from fidelity.apparatus.entries_check import (
    check_facts,
    fold_rows,
    passage_in_words,
    state_rows,
    unknown_rows,
)
from fidelity.apparatus.entries_texts import set_aside, set_aside_sentence, text_rows
from fidelity.apparatus.page import page
from fidelity.apparatus.screen import compare_screen
from fidelity.apparatus.screen_check import check_screen
from fidelity.apparatus.summary import summary
from fidelity.audit import judge
from fidelity.cli import main
from fidelity.dossier import Dossier, Passage, read_dossier
from fidelity.errors import DataError
from fidelity.terms import State, Witness
from fidelity.witnesses.data import data_folder

DEMO = data_folder("demo_pairs") / "wickenby_short"
TOML = """\
[copyist]
name = "Wickenby"
[fold]
sets = ["insular"]
[[survivor]]
id = "E"
original = "o.txt"
copy = "c.txt"
original_profile = "leiden"
"""


def dossier_in(folder: Path, original: str, more: str = "") -> Dossier:
    """Lay out and read a dossier of one survivor."""
    (folder / "o.txt").write_text(original, encoding="utf-8")
    (folder / "c.txt").write_text("on þære ealdan stræte", encoding="utf-8")
    (folder / "dossier.toml").write_text(TOML + more, encoding="utf-8")
    return read_dossier(folder)


ORIGINAL = "[fol. 3r]\non þæꞃ[e] e(al)ḍan\n[fol. 3v]\nꞅ⟨t⟩ꞃæte ⟦a⟧ [..] ⸌her⸍ \u0180\u0304\n"


def test_states_pages_and_hands_are_counted(tmp_path: Path) -> None:
    """Every state, page and hand of a text is counted, spaces apart."""
    row = state_rows(dossier_in(tmp_path, ORIGINAL))[0]
    assert {state.name.lower(): row[state.name.lower()] for state in State} == {
        "clear": 17,
        "unclear": 1,
        "restored": 1,
        "supplied": 1,
        "expanded": 2,
        "deleted": 1,
        "lost": 2,
        "lost_unknown": 0,
    }
    assert (row["pages"], row["hands"]) == (2, ("main 22", "added 3"))


def test_folds_that_occur_and_unknown_letters(tmp_path: Path) -> None:
    """Only folds that occur are listed; a letter in no table is told with its first place."""
    dossier = dossier_in(tmp_path, ORIGINAL)
    assert [(row["written"], row["count"]) for row in fold_rows(dossier)] == [("ꞃ", 2), ("ꞅ", 1)]
    (row,) = unknown_rows(dossier)
    assert (row["codepoints"], row["first"], row["count"]) == ("U+0180 U+0304", "E 3v:1.5", 1)


def test_set_aside_by_state_and_by_hand(tmp_path: Path) -> None:
    """Letters that are no evidence are counted with the reason; clear letters of the main hand are not."""
    dossier = dossier_in(tmp_path, ORIGINAL)
    (row,) = set_aside(dossier)
    assert row["letters"] == 11
    assert row["by_state"] == {
        "unclear": 1,
        "restored": 1,
        "supplied": 1,
        "expanded": 2,
        "deleted": 1,
        "lost": 2,
    }
    assert row["by_hand"] == {"added": 3}
    assert "in the originals 11 letters" in set_aside_sentence(dossier)
    assert set_aside_sentence(dossier_in(tmp_path, "on þæꞃe")) == ""


def test_states_count_as_evidence_only_if_the_dossier_asks(tmp_path: Path) -> None:
    """With states_as_evidence expanded letters are evidence, restored ones still are not."""
    asked = dossier_in(tmp_path, ORIGINAL, '[settings]\nstates_as_evidence = ["expanded", "unclear"]\n')
    original = asked.survivors[0].original
    at = original.letters.index("al")
    assert original.is_evidence(at, at + 3)
    assert not original.is_evidence(at - 3, at)
    assert set_aside(asked)[0]["letters"] == 8
    assert asked.settings.colophon()["states_as_evidence"] == ["expanded", "unclear"]
    with pytest.raises(DataError, match="states_as_evidence cannot hold 'lost'"):
        dossier_in(tmp_path, ORIGINAL, '[settings]\nstates_as_evidence = ["lost"]\n')


def test_confusions_have_chances_only_in_letters_that_are_evidence(tmp_path: Path) -> None:
    """An expanded letter is no chance of an error unless the dossier asks for it."""

    def chances(more: str) -> int:
        scores = judge(dossier_in(tmp_path, "on þæꞃe e(al)dan ꞅtꞃæte", more)).scores
        return next(one.chances for one in scores if one.measure == "letters" and one.text == "E")

    assert chances('[settings]\nstates_as_evidence = ["expanded"]\n') == chances("") + 2


def test_summary_screen_and_page_say_what_was_set_aside(tmp_path: Path) -> None:
    """The summary has the counts; screen and page have one sentence, and none where nothing was set aside."""
    marked = judge(dossier_in(tmp_path, ORIGINAL))
    assert summary(marked)["set_aside"] == set_aside(marked.dossier)
    sentence = set_aside_sentence(marked.dossier)
    assert sentence.split(":")[0] in " ".join(compare_screen(marked, 400).split())
    assert sentence in page(marked)
    clear = judge(dossier_in(tmp_path, "on þæꞃe ealdan ꞅtꞃæte"))
    assert "Set aside" not in compare_screen(clear, 400) + page(clear)


def test_command_prints_and_writes(tmp_path: Path) -> None:
    """The command lists everything, as text and as JSON, and names the files written."""
    shown = CliRunner().invoke(main, ["check", str(DEMO), "--rewrite", str(tmp_path / "a")]).output
    assert "Declared folds that occur" in shown
    assert str(tmp_path / "a" / "X" / "copy.txt") in shown
    done = CliRunner().invoke(main, ["check", str(DEMO), "--json", "--rewrite", str(tmp_path / "b")])
    printed = json.loads(done.output)
    assert str(tmp_path / "b" / "K.txt") in printed.pop("rewritten")
    assert "can be checked as it is" in printed.pop("rewriting")[-1]
    assert printed == json.loads(json.dumps(check_facts(read_dossier(DEMO))))


MARKED = "on þæꞃe. [ealdan.] ⸌ꞅt,⸍ ꞃæte\n"


def test_punctuation_is_counted_apart(tmp_path: Path) -> None:
    """Letters, states and hands are counted without punctuation, which has its own column."""
    dossier = dossier_in(tmp_path, MARKED)
    size, states = text_rows(dossier)[0], state_rows(dossier)[0]
    assert (size["letters"], size["punctuation"], size["words"]) == (18, 3, 5)
    assert (states["clear"], states["restored"], states["hands"]) == (12, 6, ("main 16", "added 2"))
    assert set_aside(dossier)[0]["letters"] == 8
    undeclared = text_rows(as_plain(tmp_path))[0]
    assert (undeclared["letters"], undeclared["punctuation"]) == (18, 7)


def as_plain(folder: Path) -> Dossier:
    """Read the dossier of a folder with the original's signs undeclared."""
    toml = (
        (folder / "dossier.toml")
        .read_text(encoding="utf-8")
        .replace('profile = "leiden"', 'profile = "plain"')
    )
    (folder / "dossier.toml").write_text(toml, encoding="utf-8")
    return read_dossier(folder)


@pytest.mark.parametrize("width", [60, 80, 120])
def test_screen_is_readable(tmp_path: Path, width: int) -> None:
    """At any usual width nothing is cut: each hand, state and file of a text stands whole in its lines."""
    screen = check_screen(dossier_in(tmp_path, ORIGINAL), width)
    assert max(map(len, screen.split("\n"))) <= width
    sizes_and_states = screen.partition("Set aside")[0]
    assert "…" not in sizes_and_states
    told = " ".join(sizes_and_states.split())
    assert "E original: o.txt" in told
    assert "17 clear, 1 unclear, 1 restored, 1 supplied, 2 expanded, 1 deleted, 2 lost" in told
    assert "hands: main 22, added 3" in told
    assert "E copy: c.txt, all clear" in told


def test_passages_are_shown(tmp_path: Path) -> None:
    """A stretch in another script or language is told with its original, and with no other text."""
    toml = TOML + 'passages = [{ lines = "1-2", language = "la" }, { page = "3v", script = "caroline" }]\n'
    text = "[fol. 3r]\non þæꞃe\nin nomine\n[fol. 3v]\nealdan\n"
    dossier_in(tmp_path, text)
    (tmp_path / "dossier.toml").write_text(
        toml.replace('lines = "1-2"', 'lines = "3r:1-3r:2"'), encoding="utf-8"
    )
    dossier = read_dossier(tmp_path)
    rows = state_rows(dossier)
    assert rows[0]["passages"] == ("lines 3r:1 to 3r:2 (language la)", "line 3v:1 (script caroline)")
    assert [row["passages"] for row in rows[1:]] == [()] * (len(rows) - 1)
    (line,) = (line for line in check_screen(dossier, 120).split("\n") if "passages" in line)
    assert line == "    passages: lines 3r:1 to 3r:2 (language la); line 3v:1 (script caroline)"


def test_a_field_is_a_passage_without_lines() -> None:
    """Of a table's field that is in another language throughout, the field is named and no line."""
    original = Witness("E", "on\tin", fields=("gloss", "lemma"))
    assert passage_in_words(Passage((0, 1), "lemma", "", "la"), original) == "field lemma (language la)"


def test_gaps_of_unknown_extent_are_gaps_and_not_letters(tmp_path: Path) -> None:
    """Where nobody knows how much is lost, the screen counts gaps, in its list and in its sentence."""
    dossier = dossier_in(tmp_path, "on [---] þæꞃe [---]")
    screen = check_screen(dossier, 80)
    assert "6 clear, 2 gaps of unknown extent" in screen
    assert "(2 gaps of unknown extent)" in " ".join(screen.split())


def test_additions_without_a_hand_are_explained(tmp_path: Path) -> None:
    """Why they are set aside is told, in the notes; where there are none nothing is told."""
    (note,) = dossier_in(tmp_path, MARKED).notes
    assert "E: what the original has added without the name of a hand" in note
    assert "set aside" in note
    assert f"Note: {note[:30]}" in check_screen(dossier_in(tmp_path, MARKED), 80)
    assert dossier_in(tmp_path, "on þæꞃe").notes == ()
    tei = (
        '<TEI xmlns="http://www.tei-c.org/ns/1.0"><text><body><p>on <add{}>þæꞃe</add></p></body></text></TEI>'
    )
    (tmp_path / "o.xml").write_text(tei.format(""), encoding="utf-8")
    toml = (tmp_path / "dossier.toml").read_text(encoding="utf-8").replace("o.txt", "o.xml")
    (tmp_path / "dossier.toml").write_text(toml, encoding="utf-8")
    assert any("without the name of a hand" in note for note in read_dossier(tmp_path).notes)
