"""Writing the texts of a dossier back, and a dossier.toml that names them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from fidelity import check
from fidelity.apparatus import rewrite
from fidelity.apparatus.entries_texts import texts_of
from fidelity.apparatus.rewrite import notes_on_rewriting, rewrite_texts
from fidelity.apparatus.rewrite_dossier import with_paths
from fidelity.dossier import Dossier, read_dossier
from fidelity.errors import DataError
from fidelity.terms import Witness
from fidelity.witnesses.data import data_folder
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.write import write_plain
from tests.apparatus.test_check import ORIGINAL, dossier_in

DEMO = data_folder("demo_pairs") / "wickenby_short"


def texts_in(dossier: Dossier) -> list[Witness]:
    """Give all texts of a dossier, whatever their files are called."""
    return [replace(witness, file="") for _, _, witness in texts_of(dossier)]


def written_in(folder: Path) -> set[str]:
    """Give the files in a folder."""
    return {file.relative_to(folder).as_posix() for file in folder.rglob("*") if file.is_file()}


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
    assert set(written) == {"dossier.toml", "o.xml", "o.xml.txt", "c.xml", "c.xml.txt"}
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
        patched.setattr(rewrite, "reads_the_same", lambda witness, *_: witness.file != "c.txt")
        with pytest.raises(DataError, match="c.txt: neither as plain text nor as TEI"):
            rewrite_texts(dossier, to)
    assert not to.exists()
    with pytest.raises(DataError, match="not empty"):
        check(tmp_path, tmp_path)


def test_the_folder_is_a_dossier_again(tmp_path: Path) -> None:
    """The demo written back is a dossier with the same texts, and every comment in it is kept."""
    before = check(DEMO, tmp_path / "out")
    after = check(tmp_path / "out")
    assert texts_in(after) == texts_in(before)
    assert [one.passages for one in after.survivors] == [one.passages for one in before.survivors]
    comments = [
        [row for row in (folder / "dossier.toml").read_text("utf-8").split("\n") if row.startswith("#")]
        for folder in (DEMO, tmp_path / "out")
    ]
    assert comments[0] == comments[1]
    assert len(comments[0]) > 5


TABLES = """\
[copyist]
name = "W"
# a glossary
[[survivor]]
id = "G"
original = './G.csv'   # the leaf
copy = ["G.tsv", "g.txt"]
original_profile = "leiden"
[[words]]
files = "names.tsv"
"""


def tables_in(folder: Path, toml: str = TABLES) -> Dossier:
    """Lay out and read a dossier with two tables of one name, a second copy and a table of words."""
    files = {"G.csv": "lemma,gloss\nlupus,w[ul]f\n", "G.tsv": "lemma\tgloss\nlupus\twulf\n"}
    files |= {"g.txt": "draft", "names.tsv": "form\tmodern\nwulf\twolf\n", "dossier.toml": toml}
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return read_dossier(folder)


def test_tables_do_not_take_each_others_names(tmp_path: Path) -> None:
    """A table in another format becomes G.tsv unless that is another's; what is no text is copied."""
    dossier = tables_in(tmp_path)
    out = tmp_path / "out"
    files = rewrite_texts(dossier, out)
    assert {file.relative_to(out).as_posix() for file in files} == written_in(out)
    assert written_in(out) == {
        *("dossier.toml", "G.csv.tsv", "G.csv.xml", "G.tsv", "G.tsv.xml", "g.txt", "g.txt.xml", "names.tsv")
    }
    changed = (out / "dossier.toml").read_text(encoding="utf-8")
    assert changed == TABLES.replace("'./G.csv'", '"G.csv.tsv"')
    assert texts_in(check(out)) == texts_in(dossier)


def test_paths_that_cannot_be_replaced_are_told(tmp_path: Path) -> None:
    """Where a path is written as no path is expected, the user is told what to do instead."""
    toml = (
        '[copyist]\nname = "W"\n[[survivor]]\nid = "G"\noriginal = """G.csv"""\ncopy = "G.tsv"\n'
        'original_profile = "leiden"\n'
    )
    dossier = tables_in(tmp_path, toml)
    out = tmp_path / "out"
    rewrite_texts(dossier, out)
    assert not (out / "dossier.toml").exists()
    (note,) = notes_on_rewriting(dossier, out)
    assert "could not be replaced safely" in note
    assert "replace G.csv by G.csv.xml" in note


def test_a_text_that_only_tei_holds_is_told(tmp_path: Path) -> None:
    """Plain text knows no names of hands: such a text comes out as TEI, and the screen says so."""
    dossier = dossier_in(tmp_path, ORIGINAL)
    original = replace(dossier.survivors[0].original, hand_names=("main", "Ælfric"))
    named = replace(dossier, survivors=(replace(dossier.survivors[0], original=original),))
    out = tmp_path / "out"
    rewrite_texts(named, out)
    assert "o.txt" not in written_in(out)
    only, whole = notes_on_rewriting(named, out)
    assert only.startswith("Only as TEI") and only.endswith(": o.txt.")
    assert str(out / "dossier.toml") in whole
    assert texts_in(check(out)) == texts_in(named)


def test_numbered_lines_are_told_from_counted_ones(tmp_path: Path) -> None:
    """A numbered text is named so that it reads the same, even if its numbers are those of the lines."""
    toml = '[copyist]\nname = "W"\n[[survivor]]\nid = "E"\noriginal = "o.txt"\ncopy = "c.txt"\n'
    (tmp_path / "dossier.toml").write_text(toml + "original_numbered = true\n", encoding="utf-8")
    (tmp_path / "o.txt").write_text("1\ton þæꞃe\n2\tealdan\n", encoding="utf-8")
    (tmp_path / "c.txt").write_text("on þære\nealdan\n", encoding="utf-8")
    dossier = check(tmp_path, tmp_path / "out")
    assert dossier.survivors[0].original.letters == "on þæꞃe ealdan"
    assert texts_in(check(tmp_path / "out")) == texts_in(dossier)


def test_only_paths_are_replaced() -> None:
    """What looks like a path in a comment or in another entry stays as it is."""
    text = '[copyist]\nname = "X.csv"\n[[lost]] # X.csv\nid = "X"\ncopy = "X.csv"\n'
    assert with_paths(text, {"X.csv": "X.tsv"}) == text.replace('copy = "X.csv"', 'copy = "X.tsv"')
    assert with_paths('lost = [{ id = "X", copy = "X.csv" }]\n', {"X.csv": "X.tsv"}) is None


@pytest.mark.parametrize("profile", ["plain", "leiden"])
def test_his_own_marks_are_written_back(tmp_path: Path, profile: str) -> None:
    """A copy with queries and dots is written with them, and read as it was."""
    toml = TABLES.replace('"G.tsv", "g.txt"', '"G.tsv"') + (
        '[[lost]]\nid = "X"\ncopy = "x.txt"\nprofile = "' + profile + '"\n'
        '[his_marks]\ndoubtful = ["(?)"]\nletter_unread = ["."]\nblanks = true\n'
    )
    (tmp_path / "x.txt").write_text("on st..n (?) ac  her(?)\n", encoding="utf-8")
    dossier = tables_in(tmp_path, toml)
    assert dossier.lost[0].copy.letters == "on st▯▯n ac ▯ her"
    rewrite_texts(dossier, tmp_path / "out")
    assert (tmp_path / "out" / "x.txt").read_text(encoding="utf-8") == "on st..n (?) ac  her(?)\n"
    assert texts_in(check(tmp_path / "out")) == texts_in(dossier)
