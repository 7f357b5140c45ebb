"""Find and read the published tables that travel with the program.

Arrives: the name of a data folder (``confusion_tables``, ``demo_pairs``). Leaves: where it lies,
or a table in it as rows by column name. Start reading at ``data_folder``.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from fidelity.errors import DataError, Fault

_PACKAGE = Path(__file__).resolve().parent.parent


def data_folder(name: str) -> Path:
    """Give the folder that holds the published tables or the demo dossiers.

    In a checkout it lies beside the package, in a wheel inside it (``fidelity/_data``).

    Args:
        name: ``confusion_tables`` or ``demo_pairs``.

    Raises:
        DataError: the folder is in neither place.
    """
    for folder in (_PACKAGE / "_data" / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise DataError(
        f"the data folder {name} was not installed with the program",
        remedy="install fidelity again, from a complete wheel or checkout",
    )


@cache
def published_table(name: str, columns: tuple[str, ...]) -> tuple[Mapping[str, str], ...]:
    """Read one of the published tables (TSV without quoting), each row by column name.

    Args:
        name: file name in ``confusion_tables``.
        columns: the columns that must be there.

    Raises:
        DataError: the file is missing, a column is missing, or a row is ragged.
    """
    file = data_folder("confusion_tables") / name
    if not file.is_file():
        raise DataError("this published table is missing", file=file, remedy="install fidelity again")
    lines = file.read_text(encoding="utf-8").split("\n")
    header = lines[0].split("\t") if lines else []
    missing = [column for column in columns if column not in header]
    if missing:
        raise DataError(f"the header lacks {', '.join(missing)}", file=file, line=1)
    rows = []
    faults = []
    for number, line in enumerate(lines[1:], start=2):
        cells = line.split("\t")
        if len(cells) == len(header):
            rows.append(dict(zip(header, cells, strict=True)))
        elif line.strip():
            what = f"{len(cells)} columns where the header has {len(header)}"
            faults.append(Fault(what, file=file, line=number))
    if faults:
        raise DataError(faults=faults)
    return tuple(rows)
