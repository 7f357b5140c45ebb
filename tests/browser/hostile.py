"""Lay out a dossier whose every text, name and note could be taken for markup, script, path or formula.

Arrives: a new folder. Leaves: the short demo with a hostile word at the end of every line, miscopied where
he would miscopy it, and hostile names, notes, sigla, conjectures, rules, decisions, file names and
photographs (``laid_out_hostile``). ``harmless`` gives the same records with other letters for those that
markup is made of: a page of these must have the same elements.
"""

from __future__ import annotations

import json
import shutil
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from itertools import cycle
from pathlib import Path
from typing import TypeVar, cast

import fidelity
from fidelity.witnesses.data import data_folder

T = TypeVar("T")
WORDS = (
    "<script>alert('s')</script>",
    "\"><img/src=x/onerror=alert('s')>",
    "]]></p></lem></rdg></app>",
    "</style></svg></title></textarea><script>alert('s')</script>",
    "{{7*7}}{%set/s=1%}",
    "&lt;script&gt;&#x3c;&amp;",
    "$s^2$\\frac{s}",
    "=1+1",
    "@SUM(A1:A9)s",
    "+s|'/C/calc'!A0",
    "<!--s",
    "--><?s?><![CDATA[s]]>",
    "\u202eresrever\u202c",  # turns round what follows, if nothing stops it
    "\u2067\u05e9\u05dc\u05d5\u05dd",  # Hebrew, and an isolate that is never closed
    "'s'onmouseover='alert(1)'",
    "javascript:alert(1)s",
    "__proto__",
    "constructor",
    "%s%n%x\\0",
    "../../s\\..\\s",
)
LONG_WORD = "<sr>" * 100  # longer than any column; restoring takes time with the square of a word's length
# Letters of which markup is made, or that turn text round, and others that do neither.
HARMLESS = str.maketrans("<>&\"'\u202e\u202c\u2067", "¬±§¡¿\u2061\u2061\u2061")
NAME = "</title><script>alert(1)</script>"
NOTE = "\"'><img src=x onerror=alert(1)> {{7*7}} ]]> \u202e"
SIGLUM = "<b>K&"
IMAGES = "https://photographs.invalid/{folio}?q=\"'><img/src=x/onerror=alert(1)>"
FILE = "\"'><b>&amp;.txt"
PLAIN = ("E", "X", "K")  # texts without Leiden signs, which these letters would be
IDS = {
    "E": "__proto__",
    "B": "constructor",
    "G": "toString",
    "X": "X",
}  # an id has no signs, but may mean a thing


def laid_out_hostile(folder: Path) -> Path:
    """Lay the dossier out in a new folder."""
    shutil.copytree(data_folder("demo_pairs") / "wickenby_short", folder)
    for file in sorted(folder.rglob("*.txt")):
        if file.parent.name in PLAIN or file.stem in PLAIN:
            _with_hostile_words(file, with_long_word=file.parent.name in PLAIN)
    (folder / "X" / "copy.txt").rename(folder / "X" / FILE)
    dossier = folder / "dossier.toml"
    text = dossier.read_text(encoding="utf-8").replace('"X/copy.txt"', json.dumps(f"X/{FILE}"))
    text = text.replace("Erasmus Wickenby", NAME).replace("1698-1757", "1698<i>")
    for before, after in IDS.items():
        text = text.replace(f'id = "{before}"', f'id = "{after}"')
    text = text.replace('siglum = "K"', f"siglum = {json.dumps(SIGLUM)}\ndate = {json.dumps(NOTE)}")
    dossier.write_text(text + _more(), encoding="utf-8")
    fidelity.decide(folder, "X 1.2", "adopted", "<u>wæs</u>", reason=NOTE, who=NAME)
    fidelity.decide(folder, "X 3.3", "open", reason=NOTE, who=NAME)
    return folder


def _more() -> str:
    """Give more for the dossier: conjectures, a rule, and an address of photographs."""
    conjecture = {"text": "X", "locus": "4.2", "reading": "<img/src=x>", "by": NAME, "note": NOTE}
    rule = {"from": "r", "to": "s", "reason": NOTE, "by": NAME}
    parts = (("[[conjecture]]", conjecture), ("[[rule]]", rule), ("[images]", {"pattern": IMAGES}))
    return "".join(
        f"\n{head}\n" + "".join(f"{key} = {json.dumps(value)}\n" for key, value in entry.items())
        for head, entry in parts
    )


def _with_hostile_words(file: Path, with_long_word: bool) -> None:
    """Put a hostile word at the end of every line; in a copy every other one has r for s, as he writes."""
    words = cycle(WORDS)
    lines = file.read_text(encoding="utf-8").splitlines()
    for at, line in enumerate(lines):
        word = LONG_WORD if with_long_word and at == len(lines) // 2 else next(words)
        miscopied = file.stem == "copy" and at % 2
        lines[at] = f"{line} {word.replace('s', 'r') if miscopied else word}"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")


def harmless(record: T) -> T:
    """Give a record, or anything made of records, with harmless letters in every text.

    >>> harmless(("<b>", {"a": 1}))
    ('¬b±', {'a': 1})
    """
    made: object = record
    if isinstance(record, str) and not isinstance(record, Enum):
        made = record.translate(HARMLESS)
    elif is_dataclass(record) and not isinstance(record, type):
        made = replace(
            record, **{one.name: harmless(getattr(record, one.name)) for one in fields(record) if one.init}
        )
    elif isinstance(record, (tuple, list, frozenset, set)):
        made = type(record)(harmless(one) for one in record)
    elif isinstance(record, dict):
        made = {harmless(key): harmless(value) for key, value in record.items()}
    return cast("T", made)
