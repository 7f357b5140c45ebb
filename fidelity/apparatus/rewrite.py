"""Write the texts of a dossier back, and make sure that they read the same again.

Arrives: a dossier and the path of a folder. Leaves: each text in that folder as plain text (a table
where it has parallel fields) and as TEI, with a dossier.toml that names them, or nothing at all.
Start reading at ``rewrite_texts``.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path, PurePosixPath

from fidelity.apparatus.entries_texts import texts_of
from fidelity.apparatus.folder import written_whole
from fidelity.apparatus.rewrite_dossier import Forms, dossier_file, write_dossier
from fidelity.dossier import Dossier
from fidelity.dossier.decisions import DECISIONS, EARLIER
from fidelity.errors import DataError, Fault
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import NO_MARKS, HisMarks
from fidelity.witnesses.read import DELIMITERS, read_witness
from fidelity.witnesses.taken_out import as_written
from fidelity.witnesses.tei_write import write_tei
from fidelity.witnesses.write import write_plain


def rewrite_texts(dossier: Dossier, to: Path) -> list[Path]:
    """Write every text of a dossier so that the same text is read from it, all or nothing.

    A form that cannot hold all of a text (plain text knows no names of hands) is left out. The
    dossier.toml is written with the new paths, so that the folder is a dossier again, unless its
    paths cannot be replaced safely: ``notes_on_rewriting`` says so.

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
    with written_whole(to) as folder:
        forms: dict[str, Forms] = {}
        for name, planned in _planned(dossier).items():
            forms[name] = _written(_texts(dossier)[name], planned, folder, dossier.his_marks)
            if forms[name] == Forms():
                remedy = "keep the file as it was given, and name it in the dossier"
                what = "neither as plain text nor as TEI would it read the same again"
                faults.append(Fault(what, dossier.folder / name, remedy=remedy))
        if faults:
            raise DataError(faults=faults)
        names = [name for each in forms.values() for name in each if name]
        names += _copied_decisions(dossier, folder)
        names += write_dossier(dossier, forms, folder)
    return [to / name for name in names]


def _copied_decisions(dossier: Dossier, folder: Path) -> list[str]:
    """Put the editor's decisions, the earlier ones too, beside the texts they are about."""
    there = [name for name in (DECISIONS, EARLIER) if (dossier.folder / name).is_file()]
    copied = [name for name in there if not (folder / name).exists()]  # a text may bear the name
    for name in copied:
        shutil.copyfile(dossier.folder / name, folder / name)
    return copied


def notes_on_rewriting(dossier: Dossier, folder: Path) -> list[str]:
    """Say of texts that were written back which forms were left out, and how to go on.

    Args:
        dossier: the dossier.
        folder: where ``rewrite_texts`` has written its texts.
    """
    planned = _planned(dossier)
    forms = {name: _there(each, folder) for name, each in planned.items()}
    notes = []
    if only := [name for name, there in forms.items() if not there.plain]:
        why = "since plain text cannot hold all that is in them, such as the names of hands"
        notes.append(f"Only as TEI, {why}: {', '.join(only)}.")
    if only := [name for name, there in forms.items() if not there.tei]:
        notes.append(f"Not as TEI, since it would not read the same: {', '.join(only)}.")
    file = dossier_file(dossier)
    if file and (folder / file).is_file():
        return [*notes, f"{folder / file} names these texts: the folder can be checked as it is."]
    moved = [f"{name} by {there.tei or there.plain}" for name, there in forms.items() if name not in there]
    change = f" In a copy of it replace {', '.join(moved)}." if moved else ""
    return [*notes, f"The dossier.toml was not written back: its paths could not be replaced safely.{change}"]


def _texts(dossier: Dossier) -> Mapping[str, Witness]:
    """Give each text once, by its file."""
    return {one.file or one.siglum: one for _, _, one in texts_of(dossier)}


def _planned(dossier: Dossier) -> dict[str, Forms]:
    """Give the names under which the texts are to be written back; no two are the same."""
    texts = _texts(dossier)
    taken = {name.casefold() for name in texts}
    planned = {}
    for name, witness in texts.items():
        taken.discard(name.casefold())
        plain = _free(rewritten_names(witness, ".tsv" if witness.fields else ".txt"), taken)
        taken.add(plain.casefold())
        tei = _free(rewritten_names(witness, ".xml"), taken)
        taken |= {tei.casefold(), name.casefold()}
        planned[name] = Forms(plain, tei)
    return planned


def _free(names: Iterator[str], taken: set[str]) -> str:
    """Give the first name that no other text has, on any file system."""
    return next(name for name in names if name.casefold() not in taken)


def _written(witness: Witness, planned: Forms, folder: Path, his_marks: HisMarks) -> Forms:
    """Write a text in each form from which the same is read; give the names of the files."""
    for name, write in zip(planned, (write_plain, write_tei), strict=True):
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(write(as_written(witness)), encoding="utf-8", newline="")
        if not reads_the_same(witness, file, his_marks if witness.marks else NO_MARKS):
            file.unlink()
    return _there(planned, folder)


def _there(planned: Forms, folder: Path) -> Forms:
    """Give the names of those files that were written."""
    return Forms(*(name if (folder / name).is_file() else "" for name in planned))


def rewritten_names(witness: Witness, ending: str) -> Iterator[str]:
    """Give the names under which a text may be written back, the best first.

    >>> next(rewritten_names(Witness("E", "a", file="E/copy.txt"), ".txt"))
    'E/copy.txt'
    >>> next(rewritten_names(Witness("E", "a", file="E/copy.txt"), ".xml"))
    'E/copy.txt.xml'
    >>> list(zip(range(2), rewritten_names(Witness("G", "a", file="G.xlsx"), ".tsv")))
    [(0, 'G.tsv'), (1, 'G.xlsx.tsv')]
    """
    path = PurePosixPath(witness.file or f"{witness.siglum or 'text'}{ending}")
    if path.suffix.lower() == ending:
        yield str(path)
    elif path.suffix.lower() in DELIMITERS and ending in DELIMITERS:
        yield str(path.with_suffix(ending))
    yield str(path.with_name(path.name + ending))
    number = 2
    while True:
        yield str(path.with_name(f"{path.name}_{number}{ending}"))
        number += 1


def reads_the_same(witness: Witness, file: Path, his_marks: HisMarks = NO_MARKS) -> bool:
    """Tell whether the text is read from a file, with the profile and the citations it needs."""
    written = as_written(witness)
    profile = "leiden" if (written.states or written.hands) and file.suffix != ".xml" else "plain"
    about = {"script": witness.script, "language": witness.language, "file": witness.file}
    for numbered in (False, True):
        try:
            again = read_witness(
                file, siglum=witness.siglum, profile=profile, numbered=numbered, his_marks=his_marks
            )
        except DataError:
            continue
        if replace(again, **about, trusted_states=witness.trusted_states) == witness:  # type: ignore[arg-type]
            return True
    return False
