"""Tables of word forms: what they must hold, and what is said where they do not."""

from __future__ import annotations

from pathlib import Path

import pytest

from fidelity.dossier import read_dossier
from fidelity.errors import DataError

DOSSIER = """\
[copyist]
name = "Erasmus Wickenby"

[[survivor]]
id = "E"
original = "original.txt"
copy = "copy.txt"

[[words]]
files = {files}
"""


def dossier_in(folder: Path, files: str, **tables: str) -> Path:
    """Lay out a dossier with tables of word forms."""
    (folder / "dossier.toml").write_text(DOSSIER.replace("{files}", files), encoding="utf-8")
    for name in ("original", "copy"):
        (folder / f"{name}.txt").write_text("on þone feld\n", encoding="utf-8")
    for name, text in tables.items():
        (folder / f"{name}.tsv").write_text(text, encoding="utf-8")
    return folder


def test_forms_in_order(tmp_path: Path) -> None:
    """A form may have several later ones; other columns, empty cells and further files are no matter."""
    first = "note\tform\tmodern\nplain\tfeld\tfield\n\tfeld\tfields\n\tniht\t\n"
    folder = dossier_in(tmp_path, '["a.tsv", "b.tsv"]', a=first, b="form\tmodern\nniht\tnight\n")
    found = read_dossier(folder)
    assert found.words == (("feld", "field"), ("feld", "fields"), ("niht", "night"))
    assert {"a.tsv", "b.tsv"} <= {name for name, _ in found.inputs}


@pytest.mark.parametrize("table", ["old\tnew\nfeld\tfield\n", "form\tnew\nfeld\tfield\n"])
def test_a_table_without_its_columns(tmp_path: Path, table: str) -> None:
    """A table that does not name its columns is a fault of the dossier, with what it has."""
    with pytest.raises(DataError) as raised:
        read_dossier(dossier_in(tmp_path, '["a.tsv"]', a=table))
    (fault,) = raised.value.faults
    assert "a.tsv has no columns form and modern" in fault.what
    assert "new" in fault.remedy and fault.line == 10
