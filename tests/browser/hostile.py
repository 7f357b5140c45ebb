"""Lay out a dossier whose every text, name and note could be taken for markup, script, path or formula.

Arrives: a new folder, and whether the letters are to be hostile or harmless. Leaves: the short demo with
a hostile word at the end of every line, miscopied where he would miscopy it, and hostile names, notes,
sigla, conjectures, rules, decisions, file names and photographs. The harmless dossier is the same, letter
for letter, but for the letters that markup is made of, each of which another of its sort stands for
(``HARMLESS``): what is found in it, and how a page shows it, must be the same too. Start reading at
``laid_out_hostile``.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from itertools import cycle
from pathlib import Path

import fidelity
from fidelity.witnesses.data import data_folder

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
LONG_WORD = "<sr>" * 2500  # 10,000 letters
# Letters of which markup is made, and others of the same Unicode category that mean nothing in it; the
# letters that turn text round, and one that does not.
HARMLESS = str.maketrans(
    {
        "<": "¬", ">": "±", "=": "×", "+": "÷", "|": "~", "&": "§", '"': "¡", "'": "¿", "@": "‡", "!": "†",
        "$": "£", "^": "¨", "\u202e": "\u2061", "\u202c": "\u2061", "\u2067": "\u2061",
    }
)  # fmt: skip
NAME = "</title><script>alert(1)</script>"
NOTE = "\"'><img src=x onerror=alert(1)> {{7*7}} ]]> \u202e"
SIGLUM = "<b>K&"
IMAGES = "https://photographs.invalid/{folio}?q=\"'><img/src=x/onerror=alert(1)>"
PLAIN = ("E", "X", "K")  # texts without Leiden signs, which these letters would be
IDS = {
    "E": "__proto__",
    "B": "constructor",
    "G": "toString",
    "X": "X",
}  # an id has no signs, but may mean a thing


def laid_out_hostile(folder: Path, hostile: bool = True, long_word: bool = True) -> Path:
    """Lay the dossier out.

    Args:
        folder: where; new.
        hostile: or harmless, the same otherwise.
        long_word: whether a word of 10,000 letters stands in a survivor and in the lost text.
    """

    def told(text: str) -> str:
        return text if hostile else text.translate(HARMLESS)

    shutil.copytree(data_folder("demo_pairs") / "wickenby_short", folder)
    for file in sorted(folder.rglob("*")):
        if file.suffix == ".txt" and (file.parent.name in PLAIN or file.stem in PLAIN):
            _with_hostile_words(file, told, long_word and file.parent.name in PLAIN)
    odd = told("\"'><b>&amp;.txt")
    (folder / "X" / "copy.txt").rename(folder / "X" / odd)
    dossier = folder / "dossier.toml"
    text = dossier.read_text(encoding="utf-8").replace('"X/copy.txt"', json.dumps(f"X/{odd}"))
    text = text.replace("Erasmus Wickenby", told(NAME)).replace("1698-1757", told("1698<i>"))
    for before, after in IDS.items():
        text = text.replace(f'id = "{before}"', f'id = "{after}"')
    text = text.replace(
        'siglum = "K"', f"siglum = {json.dumps(told(SIGLUM))}\ndate = {json.dumps(told(NOTE))}"
    )
    dossier.write_text(text + _more(told), encoding="utf-8")
    for place, verdict, reading in (("X 1.2", "adopted", told("<u>wæs</u>")), ("X 3.3", "open", "")):
        given = (reading,) if reading else ()
        fidelity.decide(folder, place, verdict, *given, reason=told(NOTE), who=told(NAME))
    return folder


def _more(told: Callable[[str], str]) -> str:
    """Give more for the dossier: conjectures, a rule, and an address of photographs."""
    conjecture = {
        "text": "X",
        "locus": "4.2",
        "reading": told("<img/src=x>"),
        "by": told(NAME),
        "note": told(NOTE),
    }
    rule = {"from": "r", "to": "s", "reason": told(NOTE), "by": told(NAME)}
    parts = [("[[conjecture]]", conjecture), ("[[rule]]", rule), ("[images]", {"pattern": told(IMAGES)})]
    return "".join(
        f"\n{head}\n" + "".join(f"{key} = {json.dumps(value)}\n" for key, value in entry.items())
        for head, entry in parts
    )


def _with_hostile_words(file: Path, told: Callable[[str], str], long_word: bool) -> None:
    """Put a hostile word at the end of every line; in copies every other s of these is an r."""
    words = cycle(WORDS)
    copied = file.stem == "copy"
    lines = file.read_text(encoding="utf-8").splitlines()
    for at, line in enumerate(lines):
        if not line.strip() or line.startswith("[fol"):
            continue
        word = LONG_WORD if long_word and at == len(lines) // 2 else next(words)
        lines[at] = f"{line} {told(word.replace('s', 'r') if copied and at % 2 else word)}"
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
