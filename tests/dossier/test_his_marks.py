"""The table [his_marks] of a dossier: what it says is taken, and what it cannot mean is told at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from tests.dossier.test_conjectures import DOSSIER


def dossier_in(folder: Path, table: str) -> Path:
    """Lay out a dossier with one survivor and one lost text, and with these signs."""
    texts = {"o": "on þære stræte?\n", "c": "on þæne(?) stræte?\n", "x": "ic wær sic on f..e (?)\n"}
    for name, text in texts.items():
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")
    (folder / "dossier.toml").write_text(f"{DOSSIER}[his_marks]\n{table}\n", encoding="utf-8")
    return folder


def test_signs_are_taken_out_of_the_copies_alone(tmp_path: Path) -> None:
    """An original's query mark is no mark of his; a sign that he never uses is named."""
    table = 'doubtful = ["(?)", "dub."]\nvouched = ["sic"]\nletter_unread = ["."]'
    dossier = read_dossier(dossier_in(tmp_path, table))
    assert dossier.survivors[0].original.letters == "on þære stræte?"
    assert dossier.survivors[0].copy.letters == "on þæne stræte?"
    assert dossier.lost[0].copy.letters == "ic wær on f▯▯e"
    assert [str(one.kind) for one in dossier.lost[0].copy.marks] == ["vouched", "unread", "doubt"]
    (note,) = [note for note in dossier.notes if "his_marks" in note]
    assert note == "[his_marks]: the sign dub. (doubtful) stands in none of his copies"


@pytest.mark.parametrize(
    ("table", "what", "remedy"),
    [
        ('dubious = ["?"]', "unknown key 'dubious'", "doubtful"),
        ('doubtful = "?"', "doubtful cannot be '?'", "a list"),
        ('doubtful = ["?"]\nvouched = ["?"]', "? stands under doubtful already", "one thing"),
        ('letter_unread = ["..."]', "... is more than one letter", "some_unread"),
        ('doubtful = [" ?"]', "has blanks around it", "“?”"),
        ('doubtful = ["?"]\nstands_before = ["q."]', "q. is neither", "signs on words: ?"),
        ('blanks = "yes"', "blanks cannot be 'yes'", "true or false"),
    ],
)
def test_faults_are_told_at_their_places(tmp_path: Path, table: str, what: str, remedy: str) -> None:
    """Each with the line of its key, and what to do."""
    with pytest.raises(DataError) as caught:
        read_dossier(dossier_in(tmp_path, table))
    (fault,) = caught.value.faults
    assert what in fault.what
    assert remedy in fault.remedy
    lines = (tmp_path / "dossier.toml").read_text(encoding="utf-8").split("\n")
    assert fault.line == lines.index(table.split("\n")[-1]) + 1
