"""The short demo dossier without its other witnesses: what is proposed there is conjecture alone."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from fidelity.witnesses.data import data_folder


@cache
def short_alone() -> Path:
    """Lay the dossier out in a folder of its own, and give that."""
    folder = Path(mkdtemp()) / "wickenby_short"
    shutil.copytree(data_folder("demo_pairs") / "wickenby_short", folder)
    file = folder / "dossier.toml"
    text = file.read_text(encoding="utf-8")
    file.write_text(text[: text.index("[[witness]]")], encoding="utf-8")
    return folder
