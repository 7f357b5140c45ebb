"""Numerals of a text, and which other numerals each may have been misread from.

Arrives: letters, and the copyist's operations. Leaves: ``Numeral``s with their places, and numerals that
he may have had before him. Start reading at ``numerals_in`` and ``misread_from``.

A numeral misread as another makes as good sense as before: where no word, no total and no list tells it,
nothing shows.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

from fidelity.terms.parallels import NO_NUMBERS
from fidelity.variants.numerals import numeral_pairs, value_of_numeral

# Between two stops a numeral is one without more; Arabic figures are.
_STANDING = re.compile(r"(?<!\S)(?:[.·]+[iujvxlcdm]+[.·]+|[.·]?[0-9]+[.·]?)(?![^\s,;:])", re.IGNORECASE)
_NOT_ALONE = frozenset("ilcdm")  # .i. is "that is", .l. is "or": by themselves they are no numerals
_WELL_FORMED = re.compile(r"m{0,4}(cm|cd|d?c{0,4})(xc|xl|l?x{0,4})(ix|iu|u?i{0,4})")
_STROKES = {"i": 1, "u": 2}  # m has three, but a thousand among units is no misreading to reckon with
_STOPS = ".·,;:"
MOST_STROKES = 9  # of one run; uiiii has six


class Numeral(NamedTuple):
    """A numeral in a text, perhaps with its word.

    Attributes:
        span: offsets of the numeral, its stops with it.
        value: what it is worth.
        word_span: offsets of the number word after it.
        word_value: what that is worth; None where there is no such word.
    """

    span: tuple[int, int]
    value: int
    word_span: tuple[int, int] = (0, 0)
    word_value: int | None = None

    @property
    def has_word(self) -> bool:
        """Whether a number word stands after it."""
        return self.word_value is not None

    @property
    def whole(self) -> tuple[int, int]:
        """Give the offsets of numeral and word together."""
        return self.span[0], self.word_span[1] if self.has_word else self.span[1]


def numerals_in(text: str, own: Mapping[str, int] = NO_NUMBERS) -> list[Numeral]:
    """Give the numerals of a text in order: those with a number word, and those between stops.

    Args:
        text: letters, folded.
        own: number words that the dossier declares, with their values.

    >>> [one.value for one in numerals_in("genim .iii. þry croppas, .u. leaf .i. leaf mid .x. niht")]
    [3, 5, 10]
    """
    found = {one[0]: Numeral(one[0], one[2], one[1], one[3]) for one in numeral_pairs(text, own)}
    for one in _STANDING.finditer(text):
        bare = one[0].strip(_STOPS).lower()
        value = value_of_numeral(one[0])
        if value is not None and bare not in _NOT_ALONE and (bare.isdigit() or _is_well_formed(bare)):
            found.setdefault(one.span(), Numeral(one.span(), value))
    return [found[span] for span in sorted(found)]


def _is_well_formed(bare: str) -> bool:
    """Tell whether a numeral is written as scribes write one: iiii and uiiii as well as iu and ix."""
    plain = _plain(bare)
    return bool(plain) and bool(_WELL_FORMED.fullmatch(plain))


def _plain(bare: str) -> str:
    return bare.lower().replace("v", "u").replace("j", "i")


def misread_from(numeral: str, slips: Collection[tuple[str, str]]) -> list[str]:
    """Give the numerals that may have been misread as this one, each by one operation.

    Minims parted otherwise (ui, iii and iu have three strokes each), or one operation of this copyist on
    signs of numerals.

    Args:
        numeral: as it stands, with its stops, folded.
        slips: operations of the copyist, (original letters, written letters), folded.

    Returns:
        As they would stand, with the same stops; those nearest in value first.

    >>> misread_from(".iu.", ()), misread_from(".ii.", ()), misread_from(".x.", {("u", "x")})
    (['.iii.', '.ui.'], ['.u.'], ['.u.'])
    """
    bare = numeral.strip(_STOPS)
    if not bare or bare.isdigit():
        return []
    before, _, after = numeral.partition(bare)
    signs = {"u": "v" if "v" in bare.lower() else "u", "i": "i"}
    value = value_of_numeral(numeral) or 0
    made = {_plain(bare)}
    found: list[tuple[int, str]] = []
    for one in (*_by_minims(_plain(bare)), *_by_slips(_plain(bare), slips)):
        worth = value_of_numeral(one)
        if one in made or worth is None or worth == value or not _is_well_formed(one):
            continue
        made.add(one)
        found.append((abs(worth - value), "".join(signs.get(sign, sign) for sign in one)))
    return [f"{before}{one}{after}" for _, one in sorted(found)]


def _by_minims(plain: str) -> Iterator[str]:
    """Part one run of minims otherwise."""
    runs = ["".join(run) for _, run in groupby(plain, key=lambda sign: sign in _STROKES)]
    for at, run in enumerate(runs):
        if run[0] in _STROKES:
            for other in _parted(sum(_STROKES[sign] for sign in run)):
                yield "".join((*runs[:at], other, *runs[at + 1 :]))


@lru_cache(maxsize=MOST_STROKES + 1)
def _parted(strokes: int) -> tuple[str, ...]:
    """Give every way to read so many strokes as i and u."""
    if strokes > MOST_STROKES:
        return ()
    if strokes == 0:
        return ("",)
    longer = tuple("u" + rest for rest in _parted(strokes - 2)) if strokes > 1 else ()
    return tuple("i" + rest for rest in _parted(strokes - 1)) + longer


def _by_slips(plain: str, slips: Collection[tuple[str, str]]) -> Iterator[str]:
    """Undo one of his operations at one place."""
    for original, written in sorted(slips):
        first, second = _plain(original), _plain(written)
        if not second or (first + second).strip("iuxlcd"):  # as above, no thousand among units
            continue
        at = plain.find(second)
        while at >= 0:
            yield plain[:at] + first + plain[at + len(second) :]
            at = plain.find(second, at + 1)
