"""A dossier: one copyist, his copies, the originals that survive, and all other evidence.

Arrives: a folder with a ``dossier.toml``. Leaves: a ``Dossier``. Start reading at ``read.py``.
"""

from fidelity.dossier.read import (
    DOSSIER_FILE,
    Dossier,
    LostText,
    OtherWitness,
    Survivor,
    read_dossier,
)
from fidelity.dossier.texts import Passage

__all__ = [
    "DOSSIER_FILE",
    "Dossier",
    "LostText",
    "OtherWitness",
    "Passage",
    "Survivor",
    "read_dossier",
]
