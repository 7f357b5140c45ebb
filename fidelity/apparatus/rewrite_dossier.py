"""Write the dossier.toml of texts that were written back, its comments kept and its paths changed.

Arrives: a dossier, and under which names its texts now stand in another folder. Leaves: a
dossier.toml there from which the same texts are read, or none. Start reading at ``write_dossier``.
"""

from __future__ import annotations

import json
import posixpath
import re
import shutil
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from fidelity.apparatus.entries_texts import texts_of
from fidelity.dossier import DOSSIER_FILE, Dossier, read_dossier
from fidelity.dossier.form import FORM
from fidelity.dossier.kinds import Kind
from fidelity.dossier.places import Spot, find_places
from fidelity.errors import DataError
from fidelity.witnesses.source_text import XML_ENDINGS, text_of_file

_PATH = re.compile(r'"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'")


class Forms(NamedTuple):
    """The names of the files in which a text was written back; "" for a form that cannot hold it."""

    plain: str = ""
    tei: str = ""


def write_dossier(dossier: Dossier, forms: Mapping[str, Forms], folder: Path) -> list[str]:
    """Write the dossier.toml with the new paths, and beside it what it names that is no text.

    It is written only if from it the same texts are read.

    Args:
        dossier: the dossier as it was read.
        forms: path of each text within the dossier -> its new files.
        folder: where these lie.

    Returns:
        The names of the files written; none if the paths cannot be replaced safely.
    """
    file = dossier_file(dossier)
    if not file:
        return []
    text = text_of_file(dossier.folder / file).replace("\r\n", "\n")
    named = {posixpath.normpath(path) for _, path in _paths(tomllib.loads(text))}
    others = sorted(named - forms.keys())
    if any((folder / name).exists() for name in (file, *others)):  # a text now bears this name
        return []
    # As in the dossier, where that can be: its profile holds of it. TEI is read the same under any.
    near = {
        name: one.tei
        if one.tei and (not one.plain or name.lower().endswith(tuple(XML_ENDINGS)))
        else one.plain
        for name, one in forms.items()
    }
    for paths in (near, {name: one.tei or one.plain for name, one in forms.items()}):
        changed = with_paths(text, paths)
        if changed is None:
            return []
        (folder / file).write_text(changed, encoding="utf-8", newline="\n")
        for name in others:
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(dossier.folder / name, folder / name)
        if _is_the_same(dossier, folder / file):
            return [file, *others]
        for name in (file, *others):
            (folder / name).unlink()
    return []


def dossier_file(dossier: Dossier) -> str:
    """Give the name of the file that the dossier was read from; "" where there is none."""
    names = [name for name, _ in dossier.inputs if "/" not in name and name.endswith(".toml")]
    return DOSSIER_FILE if DOSSIER_FILE in names else next(iter(names), "")


def with_paths(text: str, paths: Mapping[str, str]) -> str | None:
    """Give a dossier.toml with other paths in it; None where they cannot be replaced safely.

    >>> print(with_paths('[[lost]]\\nid = "X"\\ncopy = "X.xlsx" # his copy\\n', {"X.xlsx": "X.tsv"}), end="")
    [[lost]]
    id = "X"
    copy = "X.tsv" # his copy
    """
    places = find_places(text, Path(DOSSIER_FILE))
    data = tomllib.loads(text)
    pieces: list[tuple[int, int, str]] = []
    for spot, written in _paths(data):
        new = paths.get(posixpath.normpath(written), "")
        if not new or new == written:
            continue
        at = places.offsets.get(spot)
        found = None if at is None else _PATH.match(text, at)
        if not found or tomllib.loads(f"path = {found.group()}")["path"] != written:
            return None
        _replace_in(data, spot, new)
        pieces.append((*found.span(), json.dumps(new, ensure_ascii=False)))
    for start, end, new in sorted(pieces, reverse=True):
        text = text[:start] + new + text[end:]
    return text if tomllib.loads(text) == data else None


def _paths(data: Mapping[str, Any]) -> Iterator[tuple[Spot, str]]:
    """Give every path in a dossier, with its place."""
    for name, section in FORM.items():
        for key, kind in (section.keys or {}).items():
            for number, table in enumerate(data.get(name, []) if kind in (Kind.FILE, Kind.FILES) else []):
                value = table.get(key, [])
                if isinstance(value, str):
                    yield Spot(name, number, key), value
                else:
                    yield from ((Spot(name, number, key, at), one) for at, one in enumerate(value))


def _replace_in(data: Mapping[str, Any], spot: Spot, new: str) -> None:
    """Put a path in the parsed dossier, to compare it with what is read from the changed text."""
    table = data[spot.table][spot.number]
    if spot.item is None:
        table[spot.key] = new
    else:
        table[spot.key][spot.item] = new


def _is_the_same(dossier: Dossier, file: Path) -> bool:
    """Tell whether the same texts are read from a dossier, whatever their files are called."""
    try:
        again = read_dossier(file)
    except DataError:
        return False
    before, after = (
        [(name, role, replace(witness, file="")) for name, role, witness in texts_of(one)]
        for one in (dossier, again)
    )
    passages = [[survivor.passages for survivor in one.survivors] for one in (dossier, again)]
    return before == after and passages[0] == passages[1]
