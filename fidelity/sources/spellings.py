"""Spellings that were current side by side: no errors, and so no sign of where a text comes from.

Arrives: the letters in which two witnesses differ. Leaves: whether that may be spelling alone. Start
reading at ``is_spelling``.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Set

from fidelity.letters import decode

VOWELS = frozenset("aeiouyæœøꝏ")


def is_vowel(letter: str) -> bool:
    """Tell whether a letter is a vowel, whatever mark it bears.

    >>> is_vowel("ę"), is_vowel("þ")
    (True, False)
    """
    parts = unicodedata.normalize("NFD", decode(letter))
    return parts[:1].lower() in VOWELS


def is_spelling(
    third: str, reading: str, before: str, after: str, conventions: Set[tuple[str, str]] = frozenset()
) -> bool:
    """Tell whether two witnesses may differ in their spelling alone.

    So it is with pairs of spellings in print, with one letter doubled or not, and with a vowel between
    consonants that is written or not (haligum, halgum).

    Args:
        third, reading: the letters that differ, folded and small.
        before, after: what stands before and after, in the same form.
        conventions: pairs of spellings in print.

    >>> is_spelling("", "i", "hal", "gum"), is_spelling("u", "o", "s", "nganges")
    (True, False)
    """
    if third == reading:
        return True
    if (third, reading) in conventions:
        return True
    one = third or reading
    if len(third) + len(reading) != 1 or one.isspace():
        return False
    if one in (before[-1:], after[:1]):
        return True
    inside = before[-1:].strip() and after[:1].strip()
    return bool(inside) and is_vowel(one) and not is_vowel(before[-1:]) and not is_vowel(after[:1])
