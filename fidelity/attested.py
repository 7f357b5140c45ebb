"""What all the witnesses of a dossier's lost texts attest, for those who ask for that alone.

Arrives: a dossier. Leaves: an ``AttestedTable``, as of a plain table of sources, with the readings that
``attestation.csv`` of an audit has. Start reading at ``attested_in``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

from fidelity.audit import audit
from fidelity.dossier import read_dossier
from fidelity.errors import DataError
from fidelity.judge import Audit, Progress
from fidelity.sources.attested_table import NOT_THE_TRUTH, WITHOUT_LINE, AttestedTable


def attested_in(folder: Path, progress: Progress = lambda _: None) -> AttestedTable:
    """Set the witnesses of a dossier's lost texts side by side.

    The whole audit is made: whether a witness was made from the copy is seen only by what is probably wrong
    there, and a witness that is not suspected in time vouches for every error of the copyist.

    Args:
        folder: the dossier's.
        progress: told in a few words what is being done.

    Raises:
        DataError: the dossier cannot be used, or names no other witness of a lost text.
    """
    dossier = read_dossier(folder)
    lost = {one.id for one in dossier.lost}
    if not any(one.of in lost for one in dossier.witnesses):
        raise DataError(
            "the dossier names no other witness of a lost text: his copy stands alone",
            file=dossier.folder / "dossier.toml",
            remedy="add a [[witness]], or give a table of sources instead",
        )
    found = audit(dossier, progress)
    sigla = {siglum for one in found.attestation for siglum in one.witnesses}
    return AttestedTable(found.attestation, len(sigla), tuple(_cautions(found)))


def _cautions(found: Audit) -> Iterator[str]:
    """Say what is to be borne in mind, and what the audit notes of a witness."""
    if not found.attestation:
        yield "There is no place at which the witnesses differ."
    yield NOT_THE_TRUTH
    yield (
        "Witnesses are independent as far as the dossier says, or as was found: one that was copied from"
        " another, and of which nobody knows, counts too."
    )
    if any(not one.lines for one in found.attestation):
        yield WITHOUT_LINE
    sigla = {one.witness.siglum for one in found.dossier.witnesses}
    yield from (f"Note: {note}" for note in found.notes if sigla & set(re.findall(r"\w+", note)))
