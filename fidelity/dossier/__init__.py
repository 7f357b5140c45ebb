"""A dossier: one copyist, his copies, the originals that survive, and all other evidence.

Arrives: a folder with a ``dossier.toml``. Leaves: a ``Dossier``. Start reading at ``read.py``.
"""

from typing import TYPE_CHECKING, Any

from fidelity.dossier.contents import DOSSIER_FILE, Dossier, LostText, OtherWitness, Passage, Survivor

if TYPE_CHECKING:
    from fidelity.dossier.read import read_dossier

__all__ = [
    "DOSSIER_FILE",
    "Dossier",
    "LostText",
    "OtherWitness",
    "Passage",
    "Survivor",
    "read_dossier",
]


def __getattr__(name: str) -> Any:
    """Import the reader of dossiers when it is first asked for: two texts are compared without it."""
    if name != "read_dossier":
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    from fidelity.dossier.read import read_dossier

    return read_dossier
