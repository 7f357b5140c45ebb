"""Point out letters that are perhaps not the ones that were meant.

Arrives: a text as it stands in its file, and the declared folds. Leaves: notes, each with its place:
letters of another script that look like Latin ones (the Cyrillic а in a Latin word), and letters of
the private use area (as MUFI assigns them) that no fold explains. Start reading at ``notes_on``.

Nothing is changed and nothing is refused: such a letter may be meant. But one that crept in at the
keyboard would count as the copyist's error.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import NamedTuple

import regex

from fidelity.errors import DataError
from fidelity.letters import decode, encode
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.source_text import text_of_file

MOST_NOTES = 10  # look-alikes told of one text; whoever has more has a wrong keyboard, not a slip

_COLUMNS = ("letter", "looks_like")
_FOREIGN = regex.compile(r"[\p{Cyrillic}\p{Greek}]")
_WORD = regex.compile(r"[\p{L}\p{M}]+")
_LATIN = regex.compile(r"\p{Latin}")
_PRIVATE = regex.compile("[\ue000-\uf8ff]")  # the private use area of plane 0 (Unicode, ch. 23.5)


class Place(NamedTuple):
    """A letter and where it stands: line and column, in letters, from 1; the word around it."""

    letter: str
    line: int
    column: int
    word: str


@cache
def look_alike_letters() -> Mapping[str, str]:
    """Give the published letters of other scripts that look like Latin ones, with those."""
    return {row["letter"]: row["looks_like"] for row in published_table("look_alikes.tsv", _COLUMNS)}


def look_alikes_in(text: str) -> list[Place]:
    """Find letters of another script that stand where a Latin letter is to be expected.

    That is: in a word with Latin letters; or in a word of such letters only, where the text has
    Latin letters and shows nowhere that it really uses the other script.

    >>> [(place.letter, place.line, place.column) for place in look_alikes_in("þa\\nlаnd")]
    [('а', 2, 2)]
    >>> look_alikes_in("λόγος est verbum")
    []
    """
    if not _FOREIGN.search(text) or not _LATIN.search(text):
        return []
    known = look_alike_letters()
    used = {_script(x) for x in _FOREIGN.findall(unicodedata.normalize("NFC", text)) if x not in known}
    found = []
    for number, line in enumerate(text.split("\n"), start=1):
        if not _FOREIGN.search(line):
            continue
        line = unicodedata.normalize("NFC", line)
        counted, column = 0, 1  # up to where the letters of the line are counted, and the column there
        for word in _WORD.finditer(line):
            foreign = [x for x in _FOREIGN.finditer(word.group()) if x.group() in known]
            mixed = _LATIN.search(word.group())
            for each in foreign:
                if mixed or _script(each.group()) not in used:
                    at = word.start() + each.start()
                    column += len(encode(line[counted:at]))
                    counted = at
                    found.append(Place(each.group(), number, column, word.group()))
    return found


def private_letters_in(text: str, folds: Folds) -> list[Place]:
    """Find the letters of the private use area that no declared fold explains, each once."""
    declared = decode("".join((*folds.letters, *(sign for sign, _ in folds.expansions))))
    found: dict[str, Place] = {}
    if not _PRIVATE.search(text):
        return []
    for number, line in enumerate(text.split("\n"), start=1):
        for each in _PRIVATE.finditer(line):
            if each.group() not in found and each.group() not in declared:
                column = len(encode(line[: each.start()])) + 1
                found[each.group()] = Place(each.group(), number, column, "")
    return list(found.values())


def notes_on(text: str, name: str, folds: Folds, told: set[str] | None = None) -> list[str]:
    """Say what is perhaps not meant in a text, one sentence for each place.

    Args:
        text: as it stands in its file, line ends "\\n".
        name: the file, as printed.
        folds: what the editor declared equal.
        told: private letters already told of in another text; is added to.
    """
    found = look_alikes_in(text)
    notes = [f"{name}:{one.line}:{one.column}: {_about_look_alike(one)}" for one in found[:MOST_NOTES]]
    if len(found) > MOST_NOTES:
        notes.append(f"{name}: and {len(found) - MOST_NOTES} more letters that look like Latin ones")
    told = set() if told is None else told
    for one in private_letters_in(text, folds):
        if one.letter not in told:
            notes.append(f"{name}:{one.line}:{one.column}: {_about_private(one)}")
            told.add(one.letter)
    return notes


def notes_on_files(folder: Path, names: Iterable[str], folds: Folds) -> list[str]:
    """Say what is perhaps not meant in texts that were read without fault.

    Args:
        folder: the dossier.
        names: paths within it.
        folds: what the editor declared equal.
    """
    notes: list[str] = []
    told: set[str] = set()
    for name in dict.fromkeys(names):
        try:
            text = text_of_file(folder / name)
        except DataError:  # XML may be in another encoding than UTF-8; it was read all the same
            continue
        text = text.replace("\r\n", "\n").replace("\r", "\n")
        notes += notes_on(text, name, folds, told)
    return notes


def _script(letter: str) -> str:
    return "Greek" if regex.match(r"\p{Greek}", letter) else "Cyrillic"


def _about_look_alike(one: Place) -> str:
    name = unicodedata.name(one.letter, "no name")
    latin = look_alike_letters()[one.letter]
    point = f"U+{ord(one.letter):04X}"
    return (
        f"{one.letter} in {one.word} is {point} {name}, like the Latin {latin} only in looks; "
        "type it anew if the Latin letter is meant"
    )


def _about_private(one: Place) -> str:
    return (
        f"U+{ord(one.letter):04X} is a private letter that no fold explains; to count it as another, "
        f'add to pairs under [fold] in dossier.toml: ["\\u{ord(one.letter):04X}", "…"]'
    )
