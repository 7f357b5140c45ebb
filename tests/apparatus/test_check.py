"""What `fidelity check` tells of the texts of a dossier, and writing them back."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from fidelity import check
from fidelity.apparatus import rewrite
from fidelity.apparatus.entries_check import check_facts, fold_rows, state_rows, unknown_rows
from fidelity.apparatus.entries_texts import set_aside, set_aside_sentence
from fidelity.apparatus.page import page
from fidelity.apparatus.rewrite import rewrite_texts
from fidelity.apparatus.screen import compare_screen
from fidelity.apparatus.summary import summary
from fidelity.audit import judge
from fidelity.cli import main
from fidelity.dossier import Dossier, read_dossier
from fidelity.errors import DataError
from fidelity.terms import State
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain

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
    assert "11 letters" in set_aside_sentence(dossier)
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
    with pytest.raises(DataError, match="states_as_evidence cannot be"):
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


def test_page_xml_and_alto_are_rewritten(tmp_path: Path) -> None:
    """A text read from PAGE XML or ALTO keeps its pages, citations and broken words when written back."""
    line = "<TextLine><TextEquiv><Unicode>{}</Unicode></TextEquiv></TextLine>"
    lines = "".join(map(line.format, ("on þæꞃe eal-", "dan ꞅtꞃæte")))
    region = f'<TextRegion id="r">{lines}</TextRegion>'
    text = f'<PcGts><Page imageFilename="Hallowmere 3v.tif">{region}</Page></PcGts>'
    (tmp_path / "o.xml").write_text(text, encoding="utf-8")
    strings = (
        '<TextLine><String CONTENT="on þære eal"/><HYP CONTENT="-"/></TextLine>'
        '<TextLine><String CONTENT="dan"/></TextLine>'
    )
    alto = f'<alto><Layout><Page PHYSICAL_IMG_NR="7">{strings}</Page></Layout></alto>'
    (tmp_path / "c.xml").write_text(alto, encoding="utf-8")
    toml = '[copyist]\nname = "W"\n[[survivor]]\nid = "E"\noriginal = "o.xml"\ncopy = "c.xml"\n'
    (tmp_path / "dossier.toml").write_text(toml, encoding="utf-8")
    dossier = check(tmp_path, tmp_path / "out")
    assert dossier.survivors[0].original.labels == ("Hallowmere_3v:1", "Hallowmere_3v:2")
    written = {file.name: file.read_text(encoding="utf-8") for file in (tmp_path / "out").iterdir()}
    assert set(written) == {"o.xml", "o.xml.txt", "c.xml", "c.xml.txt"}
    assert written["o.xml.txt"] == "[p. Hallowmere_3v]\non þæꞃe eal-\ndan ꞅtꞃæte\n"


def test_rewritten_texts_read_the_same(tmp_path: Path) -> None:
    """From every file written back the same text is read, states, hands, pages and fields included."""
    dossier = read_dossier(DEMO)
    files = rewrite_texts(dossier, tmp_path / "new" / "out")
    assert {file.suffix for file in files} >= {".txt", ".tsv"}
    plain = tmp_path / "new" / "out" / "E" / "original.txt"
    again = read_witness(plain, siglum="E")
    assert write_plain(again) == write_plain(dossier.survivors[0].original)
    assert again.letters == dossier.survivors[0].original.letters


def test_rewriting_is_all_or_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A text that no form can hold leaves no folder behind; a folder in use is refused."""
    dossier = dossier_in(tmp_path, ORIGINAL)
    to = tmp_path / "out"
    with monkeypatch.context() as patched:
        patched.setattr(rewrite, "reads_the_same", lambda witness, _: witness.file != "c.txt")
        with pytest.raises(DataError, match="c.txt: neither as plain text nor as TEI"):
            rewrite_texts(dossier, to)
    assert not to.exists()
    with pytest.raises(DataError, match="not empty"):
        check(tmp_path, tmp_path)


def test_command_prints_and_writes(tmp_path: Path) -> None:
    """The command lists everything, as text and as JSON, and names the files written."""
    shown = CliRunner().invoke(main, ["check", str(DEMO), "--rewrite", str(tmp_path / "a")]).output
    assert "Declared folds that occur" in shown
    assert str(tmp_path / "a" / "X" / "copy.txt") in shown
    done = CliRunner().invoke(main, ["check", str(DEMO), "--json", "--rewrite", str(tmp_path / "b")])
    printed = json.loads(done.output)
    assert str(tmp_path / "b" / "K.txt") in printed.pop("rewritten")
    assert printed == json.loads(json.dumps(check_facts(read_dossier(DEMO))))
