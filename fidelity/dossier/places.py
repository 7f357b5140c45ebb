"""Find where in a dossier.toml a key or a value stands, so that a fault can be shown there.

Arrives: the text of a well-formed TOML file. Leaves: ``Places``, line and column of every table,
key and list item. Start reading at ``find_places``. (The standard library's reader gives values
without their places.)
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from fidelity.errors import Fault
from fidelity.letters import encode

_BARE = r"(?:[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*')"
_NAME = rf"{_BARE}(?:[ \t]*\.[ \t]*{_BARE})*"
_HEADER = re.compile(rf"[ \t]*(\[\[?)[ \t]*({_NAME})[ \t]*\]\]?")
_KEY = re.compile(rf"[ \t]*({_NAME})[ \t]*=[ \t]*")
_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"""+' + r"|'''.*?'''+" + r'|"(?:[^"\\\n]|\\.)*"' + r"|'[^'\n]*'"
    r"|\#[^\n]*|\n|[\[\]{},]|[ \t]+|[^\s\[\]{},\"'\#]+|.",
    re.DOTALL,
)


KEY = -1  # as a Spot's item: the key itself, not its value


class Spot(NamedTuple):
    """What a place belongs to: "" and None stand for the table itself and the whole value."""

    table: str
    number: int
    key: str = ""
    item: int | None = None


@dataclass(frozen=True)
class Places:
    """Where everything stands in a dossier.toml.

    Attributes:
        file: the file.
        text: its text, every line end "\\n".
        offsets: what -> offset of its first character in the text.
    """

    file: Path
    text: str
    offsets: Mapping[Spot, int]

    def fault(self, spot: Spot, what: str, remedy: str = "") -> Fault:
        """Say what is wrong at a place, or at the nearest one above it that is written out."""
        for near in (spot, spot._replace(item=None), spot._replace(item=None, key="")):
            if near in self.offsets:
                return self.fault_at(self.offsets[near], what, remedy)
        return Fault(what, self.file, remedy=remedy)

    def fault_at(self, offset: int, what: str, remedy: str = "") -> Fault:
        """Say what is wrong at an offset in the text."""
        start = self.text.rfind("\n", 0, offset) + 1
        row = self.text[start:].split("\n", 1)[0]
        line = self.text.count("\n", 0, offset) + 1
        column = len(encode(self.text[start:offset])) + 1
        return Fault(what, self.file, line, column, row.replace("\t", " "), remedy)

    def line(self, spot: Spot) -> int:
        """Give the line, from 1, on which something stands."""
        return self.fault(spot, "").line or 1


def find_places(text: str, file: Path) -> Places:
    """Find every table, key and list item of a well-formed TOML text.

    >>> places = find_places('[fold]\\nsets = ["insular", "wyn"]\\n', Path("dossier.toml"))
    >>> places.offsets[Spot("fold", 0, "sets", 1)]
    26
    """
    offsets: dict[Spot, int] = {}
    counts: dict[str, int] = {}
    table = Spot("", 0)
    at = 0
    while at < len(text):
        if header := _HEADER.match(text, at):
            name, above, last = _parts(header[2])
            counts[name] = counts.get(name, -1) + 1 if header[1] == "[[" else 0
            table = Spot(name, counts[name])
            offsets[table] = header.start(1)
            offsets.setdefault(Spot(above, counts.get(above, 0), last), header.start(1))
            at = _after_value(text, header.end(), {}, table)
        elif key := _KEY.match(text, at):
            _, above, last = _parts(key[1])
            inside = ".".join(part for part in (table.table, above) if part)
            spot = Spot(inside, table.number if not above else counts.get(inside, 0), last)
            offsets[spot] = key.end()
            offsets[spot._replace(item=KEY)] = key.start(1)
            offsets.setdefault(spot._replace(key=""), key.start(1))
            at = _after_value(text, key.end(), offsets, spot)
        else:
            at = _after_value(text, at, {}, table)
    return Places(file, text, offsets)


def _parts(name: str) -> tuple[str, str, str]:
    """Part a dotted name: the whole without quotation marks, all but its last part, the last."""
    parts = [part.strip("\"'") for part in re.findall(_BARE, name)]
    return ".".join(parts), ".".join(parts[:-1]), parts[-1]


def _after_value(text: str, at: int, offsets: dict[Spot, int], spot: Spot) -> int:
    """Pass over a value to the line after it; enter where the items of a list begin."""
    depth = item = 0
    awaited = False
    while at < len(text):
        token = _TOKEN.match(text, at)
        sign = token[0] if token else text[at]
        if sign == "\n" and depth == 0:
            return at + 1
        if depth == 1 and awaited and not sign.isspace() and sign[0] not in "#]}":
            offsets[spot._replace(item=item)] = at
            item += 1
            awaited = False
        awaited = awaited or (depth == 1 and sign == ",") or (depth == 0 and sign == "[")
        depth += (sign in ("[", "{")) - (sign in ("]", "}"))
        at += len(sign)
    return at


def syntax_fault(message: str, text: str, file: Path) -> Fault:
    """Say where a file is not TOML; the standard library gives the place in its message."""
    found = re.fullmatch(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", message, re.DOTALL)
    what, line, column = found.groups() if found else (message, None, None)
    rows = text.split("\n")
    number = int(line) if line else len(text.rstrip().split("\n"))
    row = rows[number - 1]
    remedy = "texts stand in quotation marks, lists in [ ], each key on a line of its own"
    if re.search("[“”„‘’«»]", row):
        remedy = 'the quotation marks must be straight ones ("), not curly'
    elif "\\" in row:
        remedy = "write paths with / and not with a backslash"
    at = int(column) if column else len(row) + 1
    return Fault(f"this is not TOML: {what}", file, number, at, row, remedy)
