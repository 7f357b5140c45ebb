"""Write decisions so that no word of the editor is lost.

Not when two write at once, nor on a full disk, nor when the program is killed in the middle.

Arrives: a decision. Leaves: ``decisions.csv`` with it, all other lines as they were; a line that it
replaces goes to ``decisions_earlier.csv`` first. Start reading at ``write_decision``.

A file is written beside the old one, brought to the disk, and only then put in its place: whoever
reads sees the old file or the new one, whole.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from fidelity.dossier.decision_rows import FileRow, FileRows
from fidelity.dossier.decisions import DECISIONS, EARLIER, read_rows
from fidelity.dossier.lock import WAITED, cannot_write, locked
from fidelity.errors import DataError
from fidelity.terms.decisions import WITHDRAWN, Decision

LOCK = ".decisions.lock"
_TO_BE = ".decisions-{}.new"  # what is being written, until it takes its place


def write_decision(
    folder: Path, decision: Decision, same: Callable[[str, str], bool] | None = None, waited: float = WAITED
) -> list[dict[str, str]]:
    """Add a decision to a dossier's, in the place of an earlier one on the same place.

    Args:
        folder: of the dossier.
        decision: the decision; its ``line`` is not looked at.
        same: tells of a text and a locus, as a line has them, whether they are the decision's own
            place; None to compare them as they are printed, with or without the text's id.
        waited: seconds to wait for another writer.

    Returns:
        The lines that were replaced, by column.

    Raises:
        DataError: the file cannot be read or written, or another process is writing all the time.
            Nothing is changed then.
    """
    file = folder / DECISIONS
    with locked(folder / LOCK, waited) as held:
        _clear_away(folder)
        rows = read_rows(file)
        _refuse_misshapen(rows, file)
        replaced = [row for row in rows.decisions if _is_same(rows, row, decision, same)]
        if replaced:
            _keep(rows, replaced, folder, held)
        _put(file, rows.without(replaced).with_record(_record(decision)), held)
    return [rows.record(row) for row in replaced]


def withdraw_decision(
    folder: Path,
    decision: Decision,
    told: Mapping[str, str],
    same: Callable[[str, str], bool],
    waited: float = WAITED,
) -> list[dict[str, str]]:
    """Take the decision on a place out of a dossier's; it stands among the earlier ones then.

    Args:
        folder: of the dossier.
        decision: the one that is taken back.
        told: reason, who and when, of the taking back.
        same, waited: as in ``write_decision``.

    Returns:
        The lines that were taken out, by column.

    Raises:
        DataError: as ``write_decision``, or the decision stands there no more.
    """
    file = folder / DECISIONS
    with locked(folder / LOCK, waited) as held:
        _clear_away(folder)
        rows = read_rows(file)
        _refuse_misshapen(rows, file)
        taken = [row for row in rows.decisions if same(rows.cell(row, "text"), rows.cell(row, "locus"))]
        if not taken:
            what = f"{decision.text} {decision.locus} is decided no more: another has changed the file"
            raise DataError(what, file=file, remedy="look at the file and decide again")
        _keep(rows, taken, folder, held)
        record = _record(decision) | {"decision": WITHDRAWN, "value": "", **told}
        _add_earlier([record], folder, held)
        _put(file, rows.without(taken), held)
    return [rows.record(row) for row in taken]


def _record(decision: Decision) -> dict[str, str]:
    """Give a decision by column."""
    return {
        "text": decision.text,
        "locus": decision.locus,
        "transmitted": decision.transmitted,
        "original": decision.original,
        "decision": str(decision.ruling),
        "value": decision.value,
        "reason": decision.reason,
        "who": decision.who,
        "when": decision.when,
    }


def _is_same(
    rows: FileRows, row: FileRow, decision: Decision, same: Callable[[str, str], bool] | None
) -> bool:
    """Tell whether a line decides the same place."""
    text, locus = rows.cell(row, "text"), rows.cell(row, "locus")
    if same is not None:
        return same(text, locus)
    return text == decision.text and locus.removeprefix(text + " ") == decision.locus


def _refuse_misshapen(rows: FileRows, file: Path) -> None:
    """Write nothing where a line runs on for ever, or has cells of no column: words might get lost."""
    for row in rows.rows:
        if not row.closed:
            what, remedy = "a quotation mark is opened and not closed", 'close it (") and decide again'
            raise DataError(what, file=file, line=row.line, column=1, remedy=remedy)
        if not row.is_remark and len(row.cells) > len(rows.names):
            what = f"{len(row.cells)} cells, but {len(rows.names)} columns are named"
            raise DataError(what, file=file, line=row.line, column=1, remedy="mend the line and decide again")


def _keep(rows: FileRows, replaced: list[FileRow], folder: Path, held: Callable[[], bool]) -> None:
    """Put lines that are replaced among the earlier decisions, before they are taken out."""
    _add_earlier([rows.record(row) for row in replaced], folder, held)


def _add_earlier(records: Sequence[dict[str, str]], folder: Path, held: Callable[[], bool]) -> None:
    """Add lines to the earlier decisions.

    If that was done and the program was killed before they were taken out, they are there already.
    """
    file = folder / EARLIER
    earlier = read_rows(file)
    _refuse_misshapen(earlier, file)
    there = [_filled(earlier.record(row)) for row in earlier.decisions]
    new = [record for record in records if _filled(record) not in there]
    for record in new:
        earlier = earlier.with_record(record)
    if new:
        _put(file, earlier, held)


def _filled(record: dict[str, str]) -> dict[str, str]:
    """Give the cells of a line that hold something."""
    return {name: cell for name, cell in record.items() if cell}


def _clear_away(folder: Path) -> None:
    """Delete what a writer that was killed has left half-written; whoever holds the lock may."""
    for left in folder.glob(_TO_BE.format("*")):
        with suppress(OSError):
            left.unlink()


def _put(file: Path, rows: FileRows, held: Callable[[], bool]) -> None:
    """Write a file whole and put it in the place of the old one."""
    target = file.resolve()  # a link stays a link
    made = target.with_name(_TO_BE.format(secrets.token_hex(4)))
    try:
        with made.open("xb") as opened:
            opened.write(rows.text().encode("utf-8"))
            opened.flush()
            os.fsync(opened.fileno())
        if file.exists():
            with suppress(OSError):
                made.chmod(file.stat().st_mode)
        if not held():
            what = "another run has taken the lock away meanwhile; nothing was written"
            raise DataError(what, file=file, remedy="decide again")
        made.replace(target)
        _settle(target.parent)
    except OSError as error:
        raise cannot_write(file, error) from error
    finally:
        with suppress(OSError):
            made.unlink(missing_ok=True)


def _settle(folder: Path) -> None:
    """Bring the change of names in a folder to the disk, where the system lets one."""
    with suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
