"""Conjectures are read with the dossier, and every fault of theirs is told at once, with its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError

DOSSIER = """[copyist]
name = "Wickenby"
[[survivor]]
id = "E"
original = "o.txt"
copy = "c.txt"
[[lost]]
id = "X"
copy = "x.txt"
"""


def dossier_in(folder: Path, more: str) -> Path:
    """Lay out a dossier with one survivor and one lost text."""
    texts = {"o": "on þære stræte\n", "c": "on þæne stræte\n", "x": "ic wær on fyre\nsele on .iii. siþar.\n"}
    for name, text in texts.items():
        (folder / f"{name}.txt").write_text(text, encoding="utf-8")
    (folder / "dossier.toml").write_text(DOSSIER + more, encoding="utf-8")
    return folder


def test_conjectures_are_taken_each_at_its_place(tmp_path: Path) -> None:
    """Text, place, reading, and who made it; stops that the copy has stay."""
    more = """[[conjecture]]
text = "X"
locus = "1.2"
reading = "wæs"
by = "Plumtree"
[[conjecture]]
text = "X"
locus = "X l. 2, w. 4"
reading = "siþas"
note = "the sense asks for it"
"""
    first, second = read_dossier(dossier_in(tmp_path, more)).conjectures
    assert (first.cited, first.span, first.reading, first.by) == ("X 1.2", (3, 6), "wæs", "Plumtree")
    assert (second.cited, second.reading, second.by) == ("X 2.4", "siþas.", "")
    assert second.note == "the sense asks for it"


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    """Each with its line and column, and with the nearest that there is."""
    entries = [
        ('text = "Q"', 'locus = "1.2"', 'reading = "wæs"'),
        ('text = "X"', 'locus = "9.2"', 'reading = "wæs"'),
        ('text = "X"', 'locus = "1.9"', 'reading = "wæs"'),
        ('text = "X"', 'locus = "1"', 'reading = "wæs"'),
        ('text = "E"', 'locus = "1.2"', 'reading = "þære"'),
        ('text = "X"', 'locus = "1.2"', 'reading = ""'),
        ('text = "X"', 'locus = "1.2"', 'reeding = "wæs"'),
    ]
    more = "".join("[[conjecture]]\n" + "\n".join(rows) + "\n" for rows in entries)
    with pytest.raises(DataError) as error:
        read_dossier(dossier_in(tmp_path, more))
    found = {(fault.line, fault.column): (fault.what, fault.remedy) for fault in error.value.faults}
    lines = (DOSSIER + more).split("\n")
    told = {lines[line - 1]: words for (line, _), words in found.items() if line}
    assert all(column in (1, 8, 9, 11) for _, column in found)
    assert "did you mean" in told['text = "Q"'][1]
    assert told['locus = "9.2"'] == ("X has no line 9", "the nearest is X 2; its lines go from 1 to 2")
    assert told['locus = "1.9"'][1].endswith("X 1.4")
    assert told['locus = "1"'][1].endswith("X 1.2")  # wæs is most like wær
    assert told['text = "E"'][0].startswith("the original of E survives")
    assert told['reading = ""'][0] == "reading is empty"
    assert "did you mean reading" in told['reeding = "wæs"'][1]
    assert len(found) == 8  # the last lacks its reading, too
