"""Write an audit into a folder: every table, the summary, the page, the edition, all or nothing.

Arrives: an audit and the path of a folder. Leaves: the folder, complete, or as it was before.
Start reading at ``write_audit``; ``written_whole`` is how all or nothing is done.
"""

from __future__ import annotations

import hashlib
import json
import secrets
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from fidelity.apparatus.collated import collated_texts
from fidelity.apparatus.edition import edition
from fidelity.apparatus.entries import TABLES
from fidelity.apparatus.page import page
from fidelity.apparatus.pictures.of_audit import files_of, pictures_of
from fidelity.apparatus.printed_apparatus import printed_apparatus
from fidelity.apparatus.summary import PROGRAM, summary
from fidelity.apparatus.tables import csv_text, json_text
from fidelity.confusions.table import write_confusions
from fidelity.errors import DataError
from fidelity.judge import Audit
from fidelity.terms import Witness
from fidelity.witnesses.his_marks import NO_MARKS, HisMarks
from fidelity.witnesses.read import read_witness
from fidelity.witnesses.taken_out import as_written
from fidelity.witnesses.write import write_plain

SUMMARY = "summary.json"
REPORT = "report.html"
EDITION = "apparatus.xml"
APPARATUS = "apparatus.txt"
TEXTS = "texts"
READINGS = "readings.csv"

_NEW_FOLDER = "name a new folder, or an empty one"


def write_audit(audit: Audit, out: Path) -> list[Path]:
    """Write everything an audit found into a folder, all or nothing.

    Args:
        audit: what was found.
        out: the folder. One that this program wrote before is replaced.

    Returns:
        The files written.

    Raises:
        DataError: the folder holds something else, or cannot be written. Nothing is changed then.
    """
    check_out(out)
    files = {f"{name}.csv": csv_text(table.columns, table.rows(audit)) for name, table in TABLES.items()}
    files[REPORT] = page(audit)
    if texts := collated_texts(audit.dossier):
        files |= {EDITION: edition(audit, texts), APPARATUS: printed_apparatus(audit, texts)}
    drawn = files_of(pictures_of(audit))
    facts = summary(audit)
    with written_whole(out) as folder:
        for name, text in files.items():
            write_file(folder / name, text)
        write_pictures(drawn, folder)
        write_confusions(audit.confusions, folder / "confusions.csv")  # its own writer, so that it reads back
        (folder / TEXTS).mkdir()
        copies = [
            _write_text(lost.copy, lost.id, folder, audit.dossier.his_marks) for lost in audit.dossier.lost
        ]
        names = sorted([*_files_in(folder), SUMMARY])
        write_file(folder / SUMMARY, json_text(facts | {"lost_copies": copies, "files": names}))
    return [out / name for name in names]


def check_out(out: Path, facts: str = SUMMARY) -> None:
    """Refuse a folder that holds anything this program did not write.

    Args:
        out: the folder.
        facts: name of the file by which what was written before is known.

    Raises:
        DataError: it does; what, and what to do.
    """
    if out.exists() and not out.is_dir():
        raise DataError("this is a file, not a folder", file=out, remedy=_NEW_FOLDER)
    present = _files_in(out) if out.is_dir() else []
    if not present and not (out.is_dir() and any(out.iterdir())):
        return
    ours = _written_before(out / facts)
    if not ours:
        raise DataError("the folder holds something else", file=out, remedy=_NEW_FOLDER)
    others = [name for name in present if name not in ours]
    if others:
        what = f"the folder holds files that were not written with the rest: {', '.join(others[:5])}"
        raise DataError(what, file=out, remedy=f"move them elsewhere, or {_NEW_FOLDER}")


def _written_before(facts: Path) -> list[str]:
    """Give the files an earlier run wrote into a folder, by its own summary; none if there is none."""
    try:
        earlier = json.loads(facts.read_text(encoding="utf-8"))
        return list(earlier["files"]) if earlier["colophon"]["program"] == PROGRAM else []
    except (OSError, ValueError, KeyError, TypeError):
        return []


def _files_in(folder: Path) -> list[str]:
    """Give every file under a folder, as paths within it."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if not path.is_dir())


def write_file(file: Path, text: str) -> None:
    """Write a text as it is, line ends and all."""
    file.write_text(text, encoding="utf-8", newline="")


def write_pictures(drawn: Mapping[str, bytes], folder: Path) -> None:
    """Write the files of pictures under their paths in a folder."""
    for name, content in drawn.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)


def _write_text(copy: Witness, name: str, folder: Path, his_marks: HisMarks) -> dict[str, object]:
    """Write a lost text's copy as transmitted, his marks with it; give how it is to be read back."""
    text = write_plain(as_written(copy))
    file = f"{TEXTS}/{name}{'.tsv' if copy.fields else '.txt'}"
    write_file(folder / file, text)
    return {
        "text": name,
        "file": file,
        "sha256": hashlib.sha256(text.encode("utf-8")).hexdigest(),
        **_how_to_read(copy, folder / file, his_marks if copy.marks else NO_MARKS),
    }


def _how_to_read(copy: Witness, file: Path, his_marks: HisMarks) -> dict[str, object]:
    """Find with which profile, and whether numbered, a written text gives the same letters again."""
    written = as_written(copy)
    profile = "leiden" if written.states or written.hands else "plain"
    signs = {"his_marks": his_marks.given()} if his_marks else {}
    for numbered in (False, True):
        with suppress(DataError):
            again = read_witness(
                file, siglum=copy.siglum, profile=profile, numbered=numbered, his_marks=his_marks
            )
            if (again.letters, again.labels) == (copy.letters, copy.labels):
                return {"profile": profile, "numbered": numbered, **signs}
    raise DataError(
        f"the copy of {copy.siglum} cannot be written so that it reads the same again",
        remedy="give it as a file, one line for each manuscript line",
    )


@contextmanager
def written_whole(out: Path) -> Iterator[Path]:
    """Give a folder to write in, which takes the place of ``out`` only when all went well.

    It stands beside ``out`` until then. If anything fails, it is taken away again, and ``out`` is
    as it was.

    Raises:
        DataError: the folder cannot be written.
    """
    out = out.resolve()  # a link stays a link: what it leads to is replaced
    made = [folder for folder in out.parents if not folder.exists()]
    token = secrets.token_hex(4)
    new, old = (out.with_name(f".{out.name}.{token}.{what}") for what in ("new", "old"))
    try:
        new.mkdir(parents=True)
        yield new
        _exchange(out, new, old)
    except BaseException as error:
        shutil.rmtree(new, ignore_errors=True)
        for folder in made:
            with suppress(OSError):
                folder.rmdir()
        if isinstance(error, OSError):
            raise DataError(
                f"cannot be written: {error.strerror or error}", file=out, remedy=_NEW_FOLDER
            ) from error
        raise


def _exchange(out: Path, new: Path, old: Path) -> None:
    """Put a new folder in the place of an old one, which comes back if that fails."""
    if not out.exists():
        new.rename(out)
        return
    out.rename(old)
    try:
        new.rename(out)
    except BaseException:
        old.rename(out)
        raise
    shutil.rmtree(old, ignore_errors=True)
