"""Write the texts of a dossier back, and make sure that they read the same again.

Arrives: a dossier and the path of a folder. Leaves: each text in that folder as plain text (a table
where it has parallel fields) and as TEI, or nothing at all. Start reading at ``rewrite_texts``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path, PurePosixPath

from fidelity.apparatus.entries_texts import texts_of
from fidelity.apparatus.folder import written_whole
from fidelity.dossier import Dossier
from fidelity.errors import DataError, Fault
from fidelity.terms import Witness
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.tei_write import write_tei
from fidelity.witnesses.write import write_plain


def rewrite_texts(dossier: Dossier, to: Path) -> list[Path]:
    """Write every text of a dossier so that the same text is read from it, all or nothing.

    A form that cannot hold all of a text (plain text knows no names of hands) is left out.

    Args:
        dossier: read without fault.
        to: the folder, new or empty. The files bear the names they have in the dossier.

    Returns:
        The files written.

    Raises:
        DataError: the folder is in use, or a text cannot be written so that it reads the same.
    """
    if to.exists() and (not to.is_dir() or any(to.iterdir())):
        raise DataError("the folder is not empty", file=to, remedy="name a new folder, or an empty one")
    faults: list[Fault] = []
    names: list[str] = []
    with written_whole(to) as folder:
        for witness in {one.file or one.siglum: one for _, _, one in texts_of(dossier)}.values():
            written = list(_written(witness, folder))
            names += written
            if not written:
                remedy = "keep the file as it was given, and name it in the dossier"
                what = "neither as plain text nor as TEI would it read the same again"
                faults.append(Fault(what, dossier.folder / witness.file, remedy=remedy))
        if faults:
            raise DataError(faults=faults)
    return [to / name for name in names]


def _written(witness: Witness, folder: Path) -> Iterator[str]:
    """Write a text in each form from which the same is read; give the names of the files."""
    for ending, write in ((".tsv" if witness.fields else ".txt", write_plain), (".xml", write_tei)):
        name = rewritten_name(witness, ending)
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(write(witness), encoding="utf-8", newline="")
        if reads_the_same(witness, file):
            yield name
        else:
            file.unlink()


def rewritten_name(witness: Witness, ending: str) -> str:
    """Give the name under which a text is written back.

    >>> rewritten_name(Witness("E", "a", file="E/copy.txt"), ".txt")
    'E/copy.txt'
    >>> rewritten_name(Witness("E", "a", file="E/copy.txt"), ".xml")
    'E/copy.txt.xml'
    """
    path = PurePosixPath(witness.file or f"{witness.siglum or 'text'}{ending}")
    return str(path if path.suffix.lower() == ending else path.with_name(path.name + ending))


def reads_the_same(witness: Witness, file: Path) -> bool:
    """Tell whether the text is read from a file, with the profile and the citations it needs."""
    profile = "leiden" if (witness.states or witness.hands) and file.suffix != ".xml" else "plain"
    about = {"script": witness.script, "language": witness.language, "file": witness.file}
    for numbered in (False, True):
        try:
            again = read_witness(file, siglum=witness.siglum, profile=profile, numbered=numbered)
        except DataError:
            continue
        if replace(again, **about, trusted_states=witness.trusted_states) == witness:  # type: ignore[arg-type]
            return True
    return False
