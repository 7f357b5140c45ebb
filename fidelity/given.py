"""How what is given to a function of the package is taken: folders, dossiers, texts.

Arrives: a str, a Path, or a record already read. Leaves: what the function works on. Start reading at
``taken_folder``.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # the records' modules are heavy to import; a command that prints help must not wait
    from fidelity.dossier import Dossier
    from fidelity.terms import Witness
    from fidelity.witnesses.folds import Folds

    Source = str | Path | Witness
    Folder = str | PathLike[str]

Progress = Callable[[str], None]


def silent(_: str) -> None:
    """Say nothing about progress."""


def taken_folder(folder: Folder) -> Path:
    """Take a folder however its path is given.

    Raises:
        UsageError: it is given as something else.
    """
    if not folder or not isinstance(folder, (str, PathLike)):
        from fidelity.errors import UsageError

        raise UsageError(f"{folder!r} is no folder", remedy="give its path, as a str or a Path")
    return Path(folder)


def taken_dossier(dossier: Folder | Dossier) -> Path | Dossier:
    """Take a dossier that is already read, or the path of one."""
    from fidelity.dossier import Dossier

    return dossier if isinstance(dossier, Dossier) else taken_folder(dossier)


def taken_pair(
    original: Source, copy: Source, folds: Sequence[str], profile: str, script: str
) -> tuple[Witness, Witness, Folds]:
    """Read an original and its copy, and the folds they are compared under."""
    from fidelity.witnesses.folds import load_folds
    from fidelity.witnesses.read import read_witness

    return (
        read_witness(original, siglum="original", profile=profile, script=script),
        read_witness(copy, siglum="copy", profile=profile),
        load_folds(list(folds)),
    )
