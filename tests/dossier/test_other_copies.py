"""A man's other copies of a text are read with the first; what is said amiss of them is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.apparatus.entries_check import state_rows
from fidelity.apparatus.rewrite import rewrite_texts
from fidelity.dossier import read_dossier
from fidelity.errors import DataError

TOML = """\
[copyist]
name = "Erasmus Wickenby"

[[survivor]]
id = "E"
original = "E.txt"
copy = ["E_draft.txt", "E_fair.txt"]

[[lost]]
id = "X"
copy = ["X_draft.txt", "X_fair.txt", "X_third.txt"]

[[witness]]
siglum = "K"
of = "X"
file = "X_K.txt"
from_original = true
"""


def lay_out(folder: Path, toml: str) -> Path:
    """Write a dossier in which every text it may name says something else."""
    folder.mkdir(exist_ok=True)
    (folder / "dossier.toml").write_text(toml, encoding="utf-8")
    names = ("E", "E_draft", "E_fair", "X_draft", "X_fair", "X_third", "X_K")
    for number, name in enumerate(names):
        (folder / f"{name}.txt").write_text(f"of þam wulf {number}\n", encoding="utf-8")
    return folder


def test_all_copies_are_kept(tmp_path: Path) -> None:
    """The first copy is the one the work is about; the others stand beside it in their order."""
    dossier = read_dossier(lay_out(tmp_path / "in", TOML))
    [survivor], [lost], [witness] = dossier.survivors, dossier.lost, dossier.witnesses
    assert survivor.copy.file == "E_draft.txt"
    assert [one.file for one in survivor.other_copies] == ["E_fair.txt"]
    assert [one.letters for one in lost.other_copies] == ["of þam wulf 4", "of þam wulf 5"]
    assert witness.from_original
    assert not dossier.notes


def test_written_back_with_all_copies(tmp_path: Path) -> None:
    """A dossier that is written back names all copies, and the same are read from it."""
    dossier = read_dossier(lay_out(tmp_path / "in", TOML))
    rewrite_texts(dossier, tmp_path / "out")
    again = read_dossier(tmp_path / "out")
    for before, after in zip([*dossier.lost], [*again.lost], strict=True):
        assert [one.letters for one in before.other_copies] == [one.letters for one in after.other_copies]


@pytest.mark.parametrize(
    ("before", "after", "line", "what"),
    [
        ('"X_fair.txt", "X_third', '"X_draft.txt", "X_third', 11, "X_draft.txt is named twice"),
        ('"E_fair.txt"', '"E_other.txt"', 7, "there is no file E_other.txt"),
        ('"E_fair.txt"', '"E.txt"', 7, "E.txt is the original"),
        ("from_original = true", 'from_original = true\ndepends_on = "C"', 17, "to depend on C"),
        ('of = "X"', 'of = "Y"', 15, "there is no text Y"),
        ("from_original = true", 'from_original = "yes"', 17, "from_original cannot be 'yes'"),
    ],
)
def test_faults_are_told_with_their_line(
    tmp_path: Path, before: str, after: str, line: int, what: str
) -> None:
    """A copy named twice, a file that is not there, a transcript said to be two things: each by its line."""
    folder = lay_out(tmp_path / "in", TOML.replace(before, after))
    with pytest.raises(DataError) as caught:
        read_dossier(folder)
    [fault] = caught.value.faults
    assert what in fault.what
    assert fault.line == line
    assert fault.remedy


NAMED = TOML.replace('id = "X"\n', 'id = "X"\nname = "MS 9, lost"\ncopy_name = ["draft", "fair copy"]\n', 1)
NAMED = NAMED.replace('id = "E"\n', 'id = "E"\nname = "Charter 4"\ncopy_name = "volume A"\n')
NAMED = NAMED.replace('siglum = "K"\n', 'siglum = "K"\nname = "Brockhurst MS"\n')


def test_manuscripts_and_copies_have_names(tmp_path: Path) -> None:
    """What a manuscript is, and each copy of it, may be said in words; it is kept when written back."""
    dossier = read_dossier(lay_out(tmp_path / "in", NAMED))
    rewrite_texts(dossier, tmp_path / "out")
    for one in (dossier, read_dossier(tmp_path / "out")):
        [survivor], [lost], [witness] = one.survivors, one.lost, one.witnesses
        assert (survivor.name, survivor.copy_names) == ("Charter 4", ("volume A",))
        assert (lost.name, lost.copy_names) == ("MS 9, lost", ("draft", "fair copy"))
        assert witness.name == "Brockhurst MS"
    assert [row["name"] for row in state_rows(dossier)] == [
        *("Charter 4", "volume A", ""),
        *("MS 9, lost, known from draft", "fair copy", "", "Brockhurst MS"),
    ]


def test_more_names_than_copies_are_told(tmp_path: Path) -> None:
    """A name without a copy is a fault, at its place."""
    toml = NAMED.replace('copy_name = "volume A"', 'copy_name = ["a", "b", "c"]')
    with pytest.raises(DataError, match="copy_name has 3 names, copy 2 files") as caught:
        read_dossier(lay_out(tmp_path, toml))
    (fault,) = caught.value.faults
    assert fault.line == 1 + toml[: toml.index('"c"')].count("\n")
