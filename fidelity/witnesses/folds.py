"""What counts as the same letter, and what is in print about letters taken for others.

Arrives: the names of fold sets and pairs of letters that an editor declares equal; the tables of
``confusion_tables/``. Leaves: ``Folds``, and look-ups in the published tables, all in the
one-code-point letters of ``letters.py``. Start reading at ``load_folds``.

A fold makes two letterforms free of cost in alignment and scores. It never changes a text: a
confusion keeps the graphic letter (ꞅ→r is not s→r).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property

from fidelity.errors import DataError, Fault
from fidelity.letters import decode, encode
from fidelity.witnesses.data import published_table


@dataclass(frozen=True)
class Folds:
    """Which letters an editor counts as equal.

    Attributes:
        letters: single letter as written -> the letter it stands for (ꞅ -> s).
        expansions: one sign of the original and the several letters it may be answered by
            (⁊ -> and), or several letters and the one that may answer them (ae -> æ).
    """

    letters: Mapping[str, str] = field(default_factory=dict)
    expansions: tuple[tuple[str, str], ...] = ()

    @cached_property
    def _translation(self) -> dict[int, str]:
        return {ord(written): stands_for for written, stands_for in self.letters.items()}

    @cached_property
    def _expansion_set(self) -> frozenset[tuple[str, str]]:
        return frozenset((self.fold(sign), self.fold(read)) for sign, read in self.expansions)

    def fold(self, letters: str) -> str:
        """Put each letter for the one it stands for; the number of letters stays the same.

        >>> Folds({"ꞅ": "s", "ꞇ": "t"}).fold("ꞅꞇan")
        'stan'
        """
        return letters.translate(self._translation) if self.letters else letters

    def same(self, original: str, copy: str) -> bool:
        """Tell whether the copy's letters are the original's, as far as the folds say.

        >>> folds = Folds({"ꞅ": "s"}, (("⁊", "and"),))
        >>> folds.same("ꞅ", "s"), folds.same("⁊", "and"), folds.same("ꞅ", "r")
        (True, True, False)
        """
        if original == copy:
            return True
        original, copy = self.fold(original), self.fold(copy)
        return original == copy or (original, copy) in self._expansion_set


NO_FOLDS = Folds()

_FOLD_COLUMNS = ("set", "written", "stands_for", "source", "basis")


def fold_sets() -> tuple[str, ...]:
    """Give the names of the published fold sets, in the order of the table."""
    return tuple(dict.fromkeys(row["set"] for row in published_table("folds.tsv", _FOLD_COLUMNS)))


def load_folds(sets: Sequence[str], pairs: Sequence[tuple[str, str]] = ()) -> Folds:
    """Join the named fold sets and the editor's own pairs into one table of equal letters.

    Args:
        sets: names of sets in ``confusion_tables/folds.tsv``.
        pairs: (letters as written, letters they stand for).

    Raises:
        DataError: an unknown set, an empty side, a letter that would stand for two others.
            All faults are in one report.

    >>> load_folds([], [("ę", "æ")]).same("ę", "æ")
    True
    """
    known = fold_sets() if sets else ()
    faults = [_unknown_set(name, known) for name in sets if name not in known]
    wanted = [
        (row["written"], row["stands_for"])
        for row in (published_table("folds.tsv", _FOLD_COLUMNS) if sets else ())
        if row["set"] in sets
    ]
    single: dict[str, str] = {}
    several: list[tuple[str, str]] = []
    for written, stands_for in [*wanted, *pairs]:
        written, stands_for = encode(written), encode(stands_for)
        if not written or not stands_for:
            faults.append(Fault("a fold has an empty side", remedy="give two letters that count as equal"))
        elif len(written) == len(stands_for) == 1:
            faults += _add_single(single, written, stands_for)
        else:
            several.append((written, stands_for))
    faults += _follow_chains(single)
    if faults:
        raise DataError(faults=faults)
    return Folds(single, tuple(dict.fromkeys(several)))


def _unknown_set(name: str, known: Sequence[str]) -> Fault:
    """Say that a fold set is unknown, and which are known."""
    from rapidfuzz import process  # only needed where something is wrong

    near = process.extractOne(name, known, score_cutoff=60)  # of 100; below it the guess misleads
    guess = f"did you mean {near[0]}? " if near else ""
    return Fault(f"unknown fold set {name!r}", remedy=f"{guess}known sets: {', '.join(known)}")


def _add_single(single: dict[str, str], written: str, stands_for: str) -> list[Fault]:
    """Enter one letter; a letter that already stands for another is a fault."""
    if written == stands_for:
        return []
    before = single.setdefault(written, stands_for)
    if before == stands_for:
        return []
    what = f"{decode(written)} is to stand both for {decode(before)} and for {decode(stands_for)}"
    return [Fault(what, remedy="leave out one of the two folds")]


def _follow_chains(single: dict[str, str]) -> list[Fault]:
    """Let each letter stand for the last of its chain (ẛ -> ſ -> s gives ẛ -> s)."""
    faults = []
    for written in list(single):
        seen = {written}
        last = single[written]
        while last in single and last not in seen:
            seen.add(last)
            last = single[last]
        if last in seen:
            what = f"the folds of {decode(written)} go in a circle"
            faults.append(Fault(what, remedy="give each fold in one direction only"))
        else:
            single[written] = last
    return faults


@dataclass(frozen=True)
class PublishedConfusion:
    """A letter taken for another, as a handbook or a study has it: a hypothesis, no count.

    Attributes:
        id: number in ``confusion_tables/letter_confusions.tsv``.
        script: the script it was observed in.
        original: the letters that stood there, in letters; "" where one was put in.
        misread: what was read, in letters; "" where one was overlooked.
        source: who says so, as printed.
        locator: where in the source.
        basis: whether the source was read or is cited from memory.
        direction: "one-way", or "pair" where it is printed without direction.
    """

    id: str
    script: str
    original: str
    misread: str
    source: str
    locator: str
    basis: str
    direction: str


_CONFUSION_COLUMNS = ("id", "script", "original", "misread", "direction", "source", "locator", "basis")
_LETTERFORM_COLUMNS = ("letter", "level", "value")


@cache
def published_confusions(script: str = "") -> tuple[PublishedConfusion, ...]:
    """Give the published letter confusions of a script with their sources.

    A confusion printed as a pair, without direction, is given in both directions.

    Args:
        script: a script of the table; "" for all.
    """
    found: dict[tuple[str, str, str, str], PublishedConfusion] = {}
    for row in published_table("letter_confusions.tsv", _CONFUSION_COLUMNS):
        if script and row["script"] != script:
            continue
        sides = [(encode(row["original"]), encode(row["misread"]))]
        if row["direction"] == "pair":
            sides.append((sides[0][1], sides[0][0]))
        for original, misread in sides:
            key = (row["script"], original, misread, row["source"])
            rest = row["source"], row["locator"], row["basis"], row["direction"]
            found.setdefault(key, PublishedConfusion(row["id"], row["script"], original, misread, *rest))
    return tuple(found.values())


@cache
def published_pairs(script: str = "") -> frozenset[tuple[str, str]]:
    """Give the published letter confusions of a script as (original, misread), in letters.

    >>> ("ꞅ", "ꞃ") in published_pairs("insular")
    True
    """
    return frozenset((pair.original, pair.misread) for pair in published_confusions(script))


@cache
def known_scripts() -> tuple[str, ...]:
    """Give the scripts for which confusions are published, in the order of the table."""
    rows = published_table("letter_confusions.tsv", _CONFUSION_COLUMNS)
    return tuple(dict.fromkeys(row["script"] for row in rows))


@cache
def _letterforms(level: str) -> Mapping[str, str]:
    rows = published_table("letterforms.tsv", _LETTERFORM_COLUMNS)
    chosen = (row for row in rows if row["level"] == level and row["value"] not in ("", "-"))
    return {encode(row["letter"]): unicodedata.normalize("NFC", row["value"]) for row in chosen}


def letterform_value(letter: str) -> str:
    """Give the letter of which this is only another form; itself where it is no such form.

    >>> letterform_value("ꞅ"), letterform_value("ƿ")
    ('s', 'ƿ')
    """
    return encode(_letterforms("graphic").get(letter, decode(letter)))


@cache
def abbreviation_expansions(letter: str) -> tuple[str, ...]:
    """Give what an abbreviation sign may stand for, in letters; nothing where it is none.

    A stroke or sign above a letter is looked up with the letter under it.

    >>> "and" in abbreviation_expansions("⁊"), abbreviation_expansions("ū")
    (True, ('um', 'un'))
    """
    signs = _letterforms("abbr")
    if letter in signs:
        return tuple(encode(text) for text in _alternatives(signs[letter]))
    parts = unicodedata.normalize("NFD", decode(letter))
    if len(parts) == 2 and parts[1] in signs:
        return tuple(encode(parts[0] + text) for text in _alternatives(signs[parts[1]]))
    return ()


def _alternatives(value: str) -> Iterable[str]:
    """Part "et/-que" into et, que; what is left open ("þ-") is no expansion."""
    for part in value.replace("etc.", "").split("/"):
        text = part.strip().removeprefix("-")
        if text and not text.endswith("-"):
            yield text


NASAL_STROKES = frozenset("\u0304\u0303\u0305")  # macron, tilde, overline: how a nasal stroke is transcribed


@cache
def without_stroke(letter: str) -> str:
    """Give a letter without the nasal stroke above it.

    >>> without_stroke("ū"), without_stroke("u")
    ('u', 'u')
    """
    parts = unicodedata.normalize("NFD", decode(letter))
    return encode("".join(part for part in parts if part not in NASAL_STROKES))


def has_stroke(letter: str) -> bool:
    """Tell whether a nasal stroke stands above a letter."""
    return without_stroke(letter) != letter
