"""Numerals and the words for them: what each is worth.

Arrives: a word of a text. Leaves: its value, if it is a numeral or a number word. Start reading at
``numeral_pairs``. The words stand in ``confusion_tables/number_words.tsv``; a dossier may declare its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from fidelity.letters import decode, encode
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.witnesses.data import published_table

_ROMAN = {"i": 1, "j": 1, "u": 5, "v": 5, "x": 10, "l": 50, "c": 100, "d": 500, "m": 1000}
_SIGNS = "".join(_ROMAN)
_STOPS = ".·,;:"  # what a scribe sets about a numeral
_PERHAPS_NUMERAL = re.compile(  # and the word after it
    rf"(?<!\S)([{_STOPS}]*+(?:[0-9]++|[{_SIGNS}]++)[{_STOPS}]*+)(?=\s+(\S+))", re.IGNORECASE
)


@cache
def _number_words() -> dict[str, int]:
    rows = published_table("number_words.tsv", ("word", "value", "language"))
    return {encode(row["word"]): int(row["value"]) for row in rows}


def words_for(value: int) -> list[tuple[str, str]]:
    """Give the number words of a value with their languages, in the order of the table.

    >>> words_for(9)[0]
    ('nigon', 'ang')
    """
    rows = published_table("number_words.tsv", ("word", "value", "language"))
    return [(encode(row["word"]), row["language"]) for row in rows if int(row["value"]) == value]


def main_tag(language: str) -> str:
    """Give a language without its region or script.

    >>> main_tag("en-GB")
    'en'
    """
    return language.partition("-")[0].lower()


@cache
def languages_with_words() -> frozenset[str]:
    """Give the languages of whose numbers the table has words."""
    rows = published_table("number_words.tsv", ("word", "value", "language"))
    return frozenset(row["language"] for row in rows)


@lru_cache(maxsize=4096)  # the same few words stand near many changes
def value_of_numeral(word: str) -> int | None:
    """Give the value of a Roman or Arabic numeral; None where a word is none.

    A smaller sign before a greater is taken off; four signs alike are common in manuscripts.

    >>> value_of_numeral(".ui."), value_of_numeral("iu"), value_of_numeral("iiii"), value_of_numeral("leaf")
    (6, 4, 4, None)
    """
    bare = word.strip(_STOPS).lower()
    if bare.isascii() and bare.isdigit():
        return int(bare)
    if not bare or bare.strip(_SIGNS):
        return None
    values = [_ROMAN[sign] for sign in bare]
    return sum(-value if value < max(values[at:]) else value for at, value in enumerate(values))


def value_of_number_word(word: str, own: Mapping[str, int] = NO_NUMBERS) -> int | None:
    """Give the value of a number word of the languages in the table; None where a word is none.

    Args:
        word: with the stops about it.
        own: number words that the dossier declares, folded and small, with their values.

    >>> value_of_number_word("feower"), value_of_number_word("leaf")
    (4, None)
    """
    bare = word.strip(_STOPS).lower()
    declared = own.get(encode(bare)) if own else None
    return _number_words().get(bare) if declared is None else declared


def numeral_pairs(
    text: str, own: Mapping[str, int] = NO_NUMBERS
) -> Iterator[tuple[tuple[int, int], tuple[int, int], int, int]]:
    """Give every numeral with a number word after it: both spans, both values.

    Args:
        text: letters, folded.
        own: number words that the dossier declares, with their values.
    """
    for found in _PERHAPS_NUMERAL.finditer(text):
        value = value_of_number_word(decode(found[2]), own)
        numeral = value_of_numeral(found[1])
        if value is not None and numeral is not None:
            yield found.span(1), found.span(2), numeral, value
