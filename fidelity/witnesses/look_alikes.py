"""Point out letters that are perhaps not the ones that were meant.

Arrives: a text as it stands in its file, and the declared folds. Leaves: notes, each with its place:
letters of another script that look like Latin ones (the Cyrillic а in a Latin word), and letters of
the private use area (as MUFI assigns them) that no fold explains. Start reading at ``notes_on``.

Nothing is changed and nothing is refused: such a letter may be meant. But one that crept in at the
keyboard would count as the copyist's error.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import NamedTuple

import regex

from fidelity.errors import DataError
from fidelity.letters import decode, encode
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import Folds
from fidelity.witnesses.sheet_cells import Cell, cell_name
from fidelity.witnesses.source_text import SHEET_ENDINGS, XML_ENDINGS, bytes_of_any, text_of_file
from fidelity.witnesses.spreadsheets import table_of_sheet
from fidelity.witnesses.xml_letters import Located, glyphs_used, text_with_offsets
from fidelity.witnesses.xml_source import _decoded

MOST_NOTES = 10  # look-alikes told of one text; whoever has more has a wrong keyboard, not a slip

_COLUMNS = ("letter", "looks_like")
_FOREIGN = regex.compile(r"[\p{Cyrillic}\p{Greek}--\p{M}]\p{M}*", regex.VERSION1)
_WORD = regex.compile(r"[\p{L}\p{M}]+")
_LATIN = regex.compile(r"\p{Latin}")
_PRIVATE_AREAS = "\ue000-\uf8ff\U000f0000-\U000ffffd\U00100000-\U0010fffd"  # Unicode, ch. 23.5
_PRIVATE = regex.compile(f"[{_PRIVATE_AREAS}]")
# Without these there is nothing to tell.
_MAY_BE = regex.compile(rf"[\p{{Cyrillic}}\p{{Greek}}{_PRIVATE_AREAS}ÂÃÄÅÆ]|&#|mapping>")
# UTF-8 read as Latin-1 or Windows-1252 and saved as UTF-8: two signs for a letter from £ to ƿ. Those
# that may follow one of the first letters in a text (quotation marks, · and ¶) tell nothing.
_TWICE = regex.compile("Æ¿|[ÂÃÄÅ][¡-¦¨©ª¬\u00ad®-µ¸-º¼-¿]")


class Place(NamedTuple):
    """A letter and where it stands: line and column, in letters, from 1; the word around it."""

    letter: str
    line: int
    column: int
    word: str


class _Found(NamedTuple):
    """A letter, its offset in the text, and the word around it."""

    letter: str
    at: int
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
    return list(_with_places(text, _look_alikes(text)))


def _look_alikes(text: str) -> Iterator[_Found]:
    """Find the same, in a text without anything else in it."""
    if not _FOREIGN.search(text) or not _LATIN.search(text):
        return
    known = look_alike_letters()
    letters = {_letter(found.group()) for found in _FOREIGN.finditer(text)}
    used = {_script(letter) for letter in letters if letter not in known}
    for word in _WORD.finditer(text):
        if not _FOREIGN.search(word.group()):
            continue
        mixed = _LATIN.search(word.group())
        for each in _FOREIGN.finditer(word.group()):
            letter = _letter(each.group())
            if letter in known and (mixed or _script(letter) not in used):
                yield _Found(letter, word.start() + each.start(), unicodedata.normalize("NFC", word.group()))


def _letter(written: str) -> str:
    """Give a foreign letter with the marks that Unicode composes with it (NFC)."""
    return unicodedata.normalize("NFC", written)[0]


def private_letters_in(text: str, folds: Folds) -> list[Place]:
    """Find the letters of the private use area that no declared fold explains, each once."""
    return list(_with_places(text, _private_letters(text, folds)))


def _private_letters(text: str, folds: Folds) -> Iterator[_Found]:
    declared = set(decode("".join((*folds.letters, *(sign for sign, _ in folds.expansions)))))
    for each in _PRIVATE.finditer(text):
        if each.group() not in declared:
            declared.add(each.group())
            yield _Found(each.group(), each.start(), "")


def _private_glyphs(text: str, folds: Folds) -> Iterator[_Found]:
    """Find glyphs of a TEI text that its header maps to such letters, where each is first used."""
    for mapped, at in glyphs_used(text):
        yield from (_Found(one.letter, at, "") for one in _private_letters(mapped, folds))


def _twice(text: str) -> Iterator[_Found]:
    """Find letters that look encoded twice, where these cannot be the letters of the text."""
    for found in _TWICE.finditer(text):
        yield _Found(found.group(), found.start(), "")


def _with_places(file: str, found: Iterable[_Found], offsets: Sequence[int] | None = None) -> Iterator[Place]:
    """Give line and column in a file of what was found in the text in it, in ascending order.

    Args:
        file: the whole file, line ends "\\n".
        found: with the offset in the text.
        offsets: of each sign of the text in the file; None where the file is all text.
    """
    counted, line, column = 0, 1, 1  # up to where lines and letters are counted
    for one in found:
        at = one.at if offsets is None else offsets[one.at]
        ends = file.count("\n", counted, at)
        if ends:
            line, counted, column = line + ends, file.rindex("\n", counted, at) + 1, 1
        column += len(encode(file[counted:at]))
        counted = at
        yield Place(one.letter, line, column, one.word)


def notes_on(
    text: str, name: str, folds: Folds, told: set[str] | None = None, *, kind: str = ""
) -> list[str]:
    """Say what is perhaps not meant in a text, one sentence for each place.

    Args:
        text: as it stands in its file, line ends "\\n".
        name: the file, as printed.
        folds: what the editor declared equal.
        told: private letters already told of in another text; is added to.
        kind: what the file is: "xml" (then only what is text in it is looked at), "sheet" (a
            spreadsheet as a table: its cells are named), or "" for text.
    """
    located = text_with_offsets(text) if kind == "xml" and _MAY_BE.search(text) else Located(text, [])
    offsets = located.offsets if kind == "xml" else None
    found = list(_look_alikes(located.text))
    rows = text.split("\n") if kind == "sheet" else []
    notes = [
        f"{_where(name, one, rows)}: {_about_look_alike(one)}"
        for one in _with_places(text, found[:MOST_NOTES], offsets)
    ]
    if len(found) > MOST_NOTES:
        notes.append(f"{name}: and {len(found) - MOST_NOTES} more letters that look like Latin ones")
    notes += [
        f"{_where(name, one, rows)}: {_about_twice(one)}"
        for one in _with_places(text, list(_twice(located.text))[:1], offsets)
    ]
    told = set() if told is None else told
    private = list(_with_places(text, _private_letters(located.text, folds), offsets))
    if kind == "xml" and "mapping>" in text:
        private += _with_places(text, _private_glyphs(text, folds))
    for one in private:
        if one.letter not in told:
            notes.append(f"{_where(name, one, rows)}: {_about_private(one)}")
            told.add(one.letter)
    return notes


def _where(name: str, one: Place, rows: Sequence[str]) -> str:
    """Cite a place by line and column, in a spreadsheet by its cell."""
    if not rows:
        return f"{name}:{one.line}:{one.column}"
    field = encode(rows[one.line - 1])[: one.column - 1].count("\t") + 1
    return f"{name}, cell {cell_name(Cell(one.line, field))}"


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
        text, kind = _text_of(folder / name)
        notes += notes_on(text, name, folds, told, kind=kind)
    return notes


def _text_of(file: Path) -> tuple[str, str]:
    """Read a file again, as it is written; tell what kind it is."""
    ending = file.suffix.lower()
    try:
        if ending in SHEET_ENDINGS:
            return table_of_sheet(file, []), "sheet"
        text = _decoded(bytes_of_any(file), file) if ending in XML_ENDINGS else text_of_file(file)
    except DataError:  # it was read without fault before, so it has just been changed or taken away
        return "", ""
    return text.replace("\r\n", "\n").replace("\r", "\n"), "xml" if ending in XML_ENDINGS else ""


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
    number = ord(one.letter)
    written = f"\\u{number:04X}" if number <= 0xFFFF else f"\\U{number:08X}"
    return (
        f"U+{number:04X} is a private letter that no fold explains; to count it as another, add to pairs "
        f'under [fold] in dossier.toml, with that other between the empty quotation marks: ["{written}", ""]'
    )


def _about_twice(one: Place) -> str:
    meant = one.letter.encode("latin-1").decode("utf-8", "replace")
    return (
        f"{one.letter} looks doubly encoded, {meant} as UTF-8 taken for Latin-1; "
        "get the text anew from the file it was made of, if that is so"
    )
