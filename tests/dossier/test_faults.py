"""A dossier that cannot be used is refused with every fault at its line."""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError, Fault
from tests.dossier.test_read import SMALLEST, lay_out


def faults_of(folder: Path, toml: str) -> list[Fault]:
    """Read what must be refused and give the faults."""
    with pytest.raises(DataError) as caught:
        read_dossier(lay_out(folder, toml))
    return caught.value.faults


def the_fault(folder: Path, toml: str, shown: str) -> Fault:
    """Give the only fault; its caret must stand under the first letter of ``shown`` in its line."""
    (fault,) = faults_of(folder, toml)
    assert fault.file == folder / "dossier.toml"
    assert fault.line is not None and fault.column is not None
    assert toml.split("\n")[fault.line - 1][fault.column - 1 :].startswith(shown)
    return fault


@pytest.mark.parametrize(
    ("toml", "line"),
    [
        ("[copyist]\nname = Erasmus\n", 2),
        ("[copyist\n", 1),
        ("[fold]\nsets = [\n", 2),
        ("[fold]\na = 1\na = 2\n", 3),
    ],
)
def test_toml_syntax(tmp_path: Path, toml: str, line: int) -> None:
    """What is not TOML is refused at its line."""
    (fault,) = faults_of(tmp_path, toml)
    assert (fault.line, fault.file) == (line, tmp_path / "dossier.toml")
    assert "not TOML" in fault.what


def test_dossier_in_latin1(tmp_path: Path) -> None:
    """A dossier.toml in another encoding is refused like any text."""
    (tmp_path / "dossier.toml").write_bytes(b'[copyist]\nname = "\xc6thel"\n')
    with pytest.raises(DataError, match="not UTF-8") as caught:
        read_dossier(tmp_path)
    assert (caught.value.faults[0].line, caught.value.faults[0].column) == (2, 9)


@pytest.mark.parametrize(
    ("old", "new", "shown", "what", "remedy"),
    [
        ('name = "Er', 'nmae = "x"\nname = "Er', "nmae", "unknown key 'nmae'", "did you mean name?"),
        ("[copyist]", "[coppyist]\n[copyist]", "[coppyist]", "unknown table or key", "did you mean copyist?"),
        ('id = "E"\n', "", "[[survivor]]", "lacks id", "add id"),
        ('name = "Erasmus Wickenby"', "", "[copyist]", "lacks name", "add name"),
        ('"Erasmus Wickenby"', '" "', '" "', "name is empty", "text in quotation marks"),
        ('"Erasmus Wickenby"', "12", "12", "name cannot be 12", "text in quotation marks"),
        ('id = "E"', 'id = "../E"', '"../E"', "id cannot be '../E'", "without blanks or slashes"),
        ("E/copy.txt", "E/kopy.txt", '"E/kopy.txt"', "no file E/kopy.txt", "did you mean E/copy.txt? paths"),
        (
            "E/copy.txt",
            "copy.txt",
            '"copy.txt"',
            "no file copy.txt",
            "did you mean E/copy.txt or X/copy.txt? ",
        ),
        ("E/copy.txt", "E/q.txt", '"E/q.txt"', "no file E/q.txt", "paths start at"),
        ("E/copy.txt", "E", '"E"', "E is no file", "name a file"),
        ("E/copy.txt", "../E/copy.txt", '"../E', "leaves the dossier", "into the dossier"),
        ("E/copy.txt", "/etc/hostname", '"/etc', "leaves the dossier", "into the dossier"),
        ("E/copy.txt", "E/original.txt", '"E/orig', "same file", "name both"),
        ("E/copy.txt", "E\\u0000", '"E', "copy cannot be", "the path of a file"),
        ('"E/copy.txt"', '["E/copy.txt", "no.txt"]', '"no.txt"', "no file no.txt", "paths start at"),
        ('id = "E"', 'id = "E"\nscript = "insuler"', '"insuler"', "unknown script", "did you mean insular?"),
        ('id = "E"', 'id = "E"\nprofile = "Leyden"', '"Leyden"', "unknown profile", "did you mean leiden?"),
        ('id = "E"', 'id = "E"\nlanguage = "Old English"', '"Old', "language cannot be", "language tag"),
        ('id = "E"', 'id = "E"\nnumbered = "yes"', '"yes"', "numbered cannot be", "true or false"),
        (
            "[copyist]",
            '[fold]\nsets = ["insular",\n "wyn"]\n[copyist]',
            '"wyn"',
            "unknown fold set",
            "did you mean wynn?",
        ),
        (
            "[copyist]",
            '[fold]\npairs = [["a", "b"], ["a", "c"]]\n[copyist]',
            '["a", "c"]',
            "both for b and for c",
            "",
        ),
        ("[copyist]", "[fold]\npairs = 3\n[copyist]", "3", "pairs cannot be 3", "list of pairs"),
        (
            "[copyist]",
            '[fold]\npairs = [["ę", "æ"],\n ["ab"]]\n[copyist]',
            '["ab"]',
            "pairs cannot hold ['ab']",
            "list of pairs",
        ),
        ('id = "E"', 'id = "E"\nchoice = ["corr", "reg2"]', '"reg2"', "cannot hold 'reg2'", "abbr, corr"),
        ('id = "E"', 'id = "E"\ncopy_numbered = "no"', '"no"', "cannot be 'no'", "true or false"),
        (
            "[copyist]",
            "[settings]\nbeams = 3\n[copyist]",
            "beams",
            "unknown key 'beams'",
            "did you mean beam?",
        ),
        ("[copyist]", "[settings]\nbeam = 3.5\n[copyist]", "3.5", "beam cannot be 3.5", "whole number"),
        ("[copyist]", "[settings]\nfolds = 1\n[copyist]", "1", "folds cannot be 1", "2 or more"),
        ("[copyist]", "[settings]\nseed = true\n[copyist]", "true", "seed cannot be True", "whole number"),
        (
            "[copyist]",
            "[settings]\nconfidence = 95\n[copyist]",
            "95",
            "confidence cannot be 95",
            "from 0 to 1",
        ),
        ("[copyist]", "[[fold]]\n[copyist]", "[[fold]]", "not given as a table", "[fold]"),
        ("[copyist]", "lost = 3\n[copyist]", "3", "not given as a table", "[[lost]]"),
    ],
)
def test_fault_stands_at_its_place(
    tmp_path: Path, old: str, new: str, shown: str, what: str, remedy: str
) -> None:
    """Each kind of fault is shown under the very word that is wrong, with what to do."""
    assert SMALLEST.count(old) == 1
    fault = the_fault(tmp_path, SMALLEST.replace(old, new), shown)
    assert what in fault.what
    assert remedy in fault.remedy


@pytest.mark.parametrize(
    ("more", "shown", "what"),
    [
        ('[[lost]]\nid = "E"\ncopy = "X/copy.txt"', '"E"', "id E is given twice (first in line 5)"),
        ('[[witness]]\nsiglum = "K"\nof = "Y"\nfile = "K.txt"', '"Y"', "there is no text Y"),
        (
            '[[witness]]\nsiglum = "K"\nof = "E"\nfile = "K.txt"\n' * 2,
            '"K"',
            "siglum K is given twice (first in line 9)",
        ),
        ('[[witness]]\nsiglum = "K"\nof = "E"\nfile = "K.txt"\ndepends_on = "K"', '"K"', "depend on itself"),
        ('[[reference]]\nfiles = ["K.txt", "none.txt"]', '"none.txt"', "there is no file none.txt"),
        ("[[reference]]\nfiles = []", "[]", "files cannot be []"),
        ('[[words]]\nfiles = "none.tsv"', '"none.tsv"', "there is no file none.tsv"),
        ('passages = [{ script = "caroline" }]', "{ script", "does not say where"),
        (
            'passages = [{ lines = "1" }, { lines = "2-9" }]',
            '{ lines = "2-9"',
            "the original has no lines 2-9",
        ),
        ('passages = [{ page = "12r" }]', "{ page", "the original has no page 12r"),
        ('passages = [{ field = "lemma" }]', "{ field", "the original has no field lemma"),
        ('passages = [{ line = "1" , page = ""}]', "{ line", "unknown key 'line'"),
        ('quires = ["1r-8v"]', '"1r-8v"', "the original has no pages 1r-8v"),
        ('original_checked = ["E/copy.txt"]', '["E/copy.txt"]', "read twice needs three files"),
        ('original_unchecked = "E/copy.txt"', '"E/copy.txt"', "read twice needs three files"),
    ],
)
def test_fault_in_another_table(tmp_path: Path, more: str, shown: str, what: str) -> None:
    """Faults of later tables are told from those of earlier ones of the same name."""
    faults = faults_of(tmp_path, SMALLEST + more + "\n")
    (fault,) = (fault for fault in faults if what in fault.what)
    assert fault.line and fault.line > SMALLEST.count("\n")
    row = (SMALLEST + more).split("\n")[fault.line - 1]
    assert row[(fault.column or 0) - 1 :].startswith(shown)


def test_texts_are_listed_once_and_by_kind(tmp_path: Path) -> None:
    """Where a witness is of no text, those that there are are named, each once, with what it is."""
    more = '[[lost]]\nid = "X"\ncopy = "X/copy.txt"\n[[witness]]\nsiglum = "K"\nof = "Y"\nfile = "K.txt"\n'
    faults = faults_of(tmp_path, SMALLEST + SMALLEST[SMALLEST.index("[[surv") :] + more)
    (fault,) = (fault for fault in faults if "no text Y" in fault.what)
    assert fault.remedy == "texts of the dossier: survivor E, lost text X"


def test_a_missing_page_is_told_with_the_pages(tmp_path: Path) -> None:
    """What a passage names and the original lacks is said to be a page, and which there are is said."""
    folder = lay_out(tmp_path, SMALLEST + 'passages = [{ page = "9" }]\n')
    (folder / "E/original.txt").write_text("[fol. 3r]\nlupus\n[fol. 3v]\nwulf\n", encoding="utf-8")
    with pytest.raises(DataError) as caught:
        read_dossier(folder)
    (fault,) = caught.value.faults
    assert (fault.what, fault.remedy) == ("the original has no page 9", "its pages go from 3r to 3v")


def test_nothing_to_learn_from(tmp_path: Path) -> None:
    """A dossier without copyist or survivor is refused, each in its words."""
    faults = faults_of(tmp_path, "")
    assert ["who the copyist is" in faults[0].what, "no survivor" in faults[1].what] == [True, True]


def test_path_that_leaves_by_a_link(tmp_path: Path) -> None:
    """A symbolic link out of the dossier is not followed; one that stays inside is."""
    (tmp_path / "outside.txt").write_text("lupus\n")
    folder = lay_out(tmp_path / "dossier", SMALLEST)
    (folder / "E/copy.txt").rename(folder / "E/first.txt")
    os.symlink("first.txt", folder / "E/copy.txt")
    assert read_dossier(folder).survivors[0].copy.file == "E/copy.txt"
    (folder / "E/copy.txt").unlink()
    os.symlink(tmp_path / "outside.txt", folder / "E/copy.txt")
    with pytest.raises(DataError, match=re.escape("E/copy.txt leaves the dossier by a link")):
        read_dossier(folder)
    (folder / "E/copy.txt").unlink()
    os.symlink("copy.txt", folder / "E/copy.txt")
    with pytest.raises(DataError, match="dossier.toml:7"):
        read_dossier(folder)


def test_faults_of_texts_are_in_the_same_report(tmp_path: Path) -> None:
    """One report holds the faults of the dossier, in order, and those of its texts."""
    lay_out(
        tmp_path, SMALLEST.replace("dates", "date") + '[lots]\n[[lost]]\nid = "X 1"\ncopy = "X/copy.txt"\n'
    )
    (tmp_path / "E/original.txt").write_bytes(b"lupus\n\x07wulf\n")
    (tmp_path / "E/copy.txt").write_bytes(b"lupus\nwulf\xe6\n")
    with pytest.raises(DataError) as caught:
        read_dossier(tmp_path)
    told = [(fault.file and fault.file.name, fault.line, fault.column) for fault in caught.value.faults]
    assert told == [
        ("dossier.toml", 8, 1),
        ("dossier.toml", 10, 6),
        ("original.txt", 2, 1),
        ("copy.txt", 2, 5),
    ]
    assert f"{tmp_path / 'E' / 'copy.txt'}:2:5" in str(caught.value)
