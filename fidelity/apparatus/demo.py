"""Lay out the demo dossiers and audit them, as a first look at what comes out.

Arrives: the path of a new folder. Leaves: in it the invented dossiers with the results of each
beside it. Start reading at ``lay_out_demo``.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from fidelity.apparatus.folder import write_audit, written_whole
from fidelity.audit import audit
from fidelity.dossier import DOSSIER_FILE
from fidelity.errors import DataError
from fidelity.judge import Audit
from fidelity.witnesses.data import data_folder

RESULTS = "_results"  # is added to the dossier's name


def lay_out_demo(folder: Path, progress: Callable[[str], None] = lambda _: None) -> list[tuple[Path, Audit]]:
    """Lay out the invented demo dossiers, audit them, and write the results beside them.

    Args:
        folder: where they go; new or empty.
        progress: told in a few words what is being done.

    Returns:
        For each dossier the folder of its results, and the audit.

    Raises:
        DataError: the folder is not empty, or cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise DataError(
            "this is not an empty folder", file=folder, remedy="name a new folder, or an empty one"
        )
    demos = data_folder("demo_pairs")
    found = []
    with written_whole(folder) as whole:
        shutil.copytree(demos, whole, dirs_exist_ok=True)
        for dossier in sorted((file.parent for file in whole.glob(f"*/{DOSSIER_FILE}")), key=_size):
            progress(f"demo dossier {dossier.name}")
            made = audit(dossier, progress)
            name = f"{dossier.name}{RESULTS}"
            write_audit(made, whole / name)
            found.append((folder / name, made))
    return found


def _size(dossier: Path) -> tuple[int, str]:
    """Order dossiers from the smallest, which is the one to read first."""
    return sum(file.stat().st_size for file in dossier.rglob("*") if file.is_file()), dossier.name
