"""Stated totals against their parts: "in all nine" after three and four is contradicted.

Arrives: the letters of a text, folded, with its numerals. Leaves: every ``Total`` that can be tested, with
what would mend it. Start reading at ``totals_in``.

Which numerals a total adds up is not written in the text. It is taken to hold if it is the sum of the last
two, or three, or more numerals before it; what is no sum of any of these is contradicted, or adds up
something else. A total is a check from outside the pair of numeral and word, in which the one may have been
changed to suit the other.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import cache
from itertools import accumulate
from typing import NamedTuple

from fidelity.letters import encode, without_stops
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.variants.numeral_slips import Numeral, misread_from
from fidelity.variants.numerals import value_of_number_word, value_of_numeral
from fidelity.witnesses.data import published_table

MOST_WORDS = 60  # before a total, in which its parts are looked for: about six manuscript lines
MOST_PARTS = 8
AFTER = 3  # words after "in all" among which the number stands
_WORD = re.compile(r"\S+")


class Mend(NamedTuple):
    """A single numeral that, read otherwise, would make a total hold."""

    numeral: Numeral
    reading: str
    value: int


class Total(NamedTuple):
    """A stated total.

    Attributes:
        span: offsets from the word that announces it to the number.
        numeral: the number stated.
        parts: the numerals before it, in order.
        holds: the numerals whose sum it is; () where it is no sum of any.
        mends: what would make it one.
    """

    span: tuple[int, int]
    numeral: Numeral
    parts: tuple[Numeral, ...]
    holds: tuple[Numeral, ...]
    mends: tuple[Mend, ...]


@cache
def total_words() -> frozenset[str]:
    """Give the words of the table that announce a total, in letters."""
    return frozenset(encode(row["word"]) for row in published_table("total_words.tsv", ("word", "language")))


def totals_in(
    text: str,
    numerals: Sequence[Numeral],
    words: Collection[str],
    slips: Collection[tuple[str, str]],
    bounds: Sequence[int] = (),
    own: Mapping[str, int] = NO_NUMBERS,
) -> Iterator[Total]:
    """Give every total that has two numerals or more before it.

    Args:
        text: letters, folded.
        numerals: of the text, in order.
        words: that announce a total, small, in letters; several that stand together parted by blanks.
        slips: operations of the copyist, (original letters, written letters), folded.
        bounds: offsets that the parts do not reach back over, ascending: where an entry begins.
        own: number words that the dossier declares, with their values.
    """
    tokens = words_of(text)
    last = 0  # a total adds up what stands since the one before it
    for at, size in announced(text, tokens, words):
        start = tokens[at][0]
        stated = _stated(text, tokens[at + size : at + size + AFTER], numerals, own)
        if stated is None:
            continue
        reach = max(last, tokens[max(at - MOST_WORDS, 0)][0], *(one for one in bounds if one <= start), 0)
        parts = tuple(one for one in numerals if reach <= one.span[0] < start)[-MOST_PARTS:]
        last = stop = stated.whole[1]
        if len(parts) < 2:
            continue
        holds = _adding_up(parts, stated.value)
        mends = () if holds else tuple(_mends(text, parts, stated, slips))
        yield Total((start, stop), stated, parts, holds, mends)


def announced(
    text: str, tokens: Sequence[tuple[int, int]], words: Collection[str]
) -> Iterator[tuple[int, int]]:
    """Give where a total is announced: the first of its words, and how many words announce it.

    Args:
        text: letters, folded.
        tokens: offsets of its words.
        words: as ``totals_in`` has them.
    """
    bare = [without_stops(text[start:end].lower()) for start, end in tokens]
    phrases = sorted((tuple(without_stops(one).split()) for one in words), key=len, reverse=True)
    first: dict[str, list[tuple[str, ...]]] = {}
    for phrase in phrases:
        if phrase:
            first.setdefault(phrase[0], []).append(phrase)
    for at, word in enumerate(bare):
        for phrase in first.get(word, ()):
            if tuple(bare[at : at + len(phrase)]) == phrase:
                yield at, len(phrase)
                break


def words_of(text: str) -> list[tuple[int, int]]:
    """Give the offsets of the words of a text."""
    return [found.span() for found in _WORD.finditer(text)]


def _stated(
    text: str, after: Sequence[tuple[int, int]], numerals: Sequence[Numeral], own: Mapping[str, int]
) -> Numeral | None:
    """Find the number that follows: a numeral of the text, a bare numeral or a number word."""
    known = {one.span[0]: one for one in numerals}
    for start, end in after:
        if start in known:
            return known[start]
        word = text[start:end]
        value = value_of_number_word(word, own)
        if value is not None and value > 1:
            return Numeral((start, end), value)
        value = value_of_numeral(word)
        if value is not None and len(word.strip(".·,;:")) > 1 and not (word.isalpha() and value > 999):
            return Numeral((start, end), value)
        if word.endswith((".", ";", ":")):  # the sentence is over
            return None
    return None


def _adding_up(parts: Sequence[Numeral], stated: int) -> tuple[Numeral, ...]:
    """Give the last two numerals or more whose sum is what is stated."""
    for count, total in enumerate(accumulate(one.value for one in reversed(parts)), start=1):
        if count > 1 and total == stated:
            return tuple(parts[-count:])
    return ()


def _mends(
    text: str, parts: Sequence[Numeral], stated: Numeral, slips: Collection[tuple[str, str]]
) -> Iterator[Mend]:
    """Give the single numerals that read otherwise would make the total hold, the nearest first."""
    others = {one.span: misread_from(text[slice(*one.span)], slips) for one in (*parts, stated)}
    done: set[tuple[tuple[int, int], str]] = set()
    for count in range(2, len(parts) + 1):
        chosen = parts[-count:]
        total = sum(one.value for one in chosen)
        for one in (*reversed(chosen), stated):
            wanted = total if one is stated else stated.value - total + one.value
            for reading in others[one.span]:
                if value_of_numeral(reading) == wanted and (one.span, reading) not in done:
                    done.add((one.span, reading))
                    yield Mend(one, reading, wanted)
