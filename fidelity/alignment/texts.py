"""Two texts as small whole numbers, so that arrays can stand for them.

Arrives: two texts in letters, the declared folds. Leaves: ``NumberedTexts``. Start reading at
``numbered``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.witnesses.folds import Folds

Numbers = npt.NDArray[np.unsignedinteger]
Ints = npt.NDArray[np.int32]

AT_ONCE = 1 << 17  # letters turned into numbers at a time, so that no wide copy of a text is made
FEW = 4096  # letters among which nearly all of an alphabet are met


@dataclass(frozen=True, eq=False)
class NumberedTexts:
    """An original and its copy as numbers of letters.

    Attributes:
        letters: the letters of both texts in order; a letter's number is its place here.
        original, copy: the texts, each letter by its number, in the narrowest type that holds it.
        folded: for each letter a number that is the same for letters that count as equal.
        plain: whether no two letters are folded together.
        in_original, in_copy: for each letter whether that text has it.
    """

    letters: str
    original: Numbers
    copy: Numbers
    folded: Ints
    plain: bool
    in_original: npt.NDArray[np.bool_]
    in_copy: npt.NDArray[np.bool_]

    def fold(self, numbers: Numbers) -> Numbers:
        """Give a stretch of a text with one number for letters that count as equal."""
        return numbers if self.plain else self.folded.astype(numbers.dtype)[numbers]


def numbered(original: str, copy: str, folds: Folds) -> NumberedTexts:
    """Number the letters of two texts.

    Args:
        original, copy: the texts in letters (one code point each).
        folds: letterforms counted as equal.
    """
    most = max(_highest(original), _highest(copy)) + 1
    there, there_copy = _occurring(original, most), _occurring(copy, most)
    codes = np.flatnonzero(there | there_copy)
    letters = "".join(map(chr, codes.tolist()))
    number_of = np.zeros(int(codes[-1]) + 1 if len(codes) else 1, dtype=_narrowest(len(codes)))
    number_of[codes] = np.arange(len(codes))
    stands_for = folds.fold(letters)
    first: dict[str, int] = {}
    folded = np.array([first.setdefault(letter, at) for at, letter in enumerate(stands_for)], dtype=np.int32)
    return NumberedTexts(
        letters,
        _in_numbers(original, number_of),
        _in_numbers(copy, number_of),
        folded,
        len(first) == len(letters),
        there[codes],
        there_copy[codes],
    )


def _narrowest(count: int) -> type[np.unsignedinteger]:
    """Give the narrowest type for so many different letters."""
    if count <= 1 << 8:
        return np.uint8
    return np.uint16 if count <= 1 << 16 else np.uint32


def _codes(text: str) -> Numbers:
    """Give the code points of a stretch of text."""
    return np.frombuffer(text.encode("utf-32-le", "surrogatepass"), dtype="<u4")


def _in_bytes(text: str) -> bytes | None:
    """Give a stretch of text in one byte a letter, None where that does not hold it."""
    try:
        return text.encode("latin-1")
    except UnicodeEncodeError:
        return None


def _highest(text: str) -> int:
    """Give a number that no code point of the text is above."""
    most = 0xFF
    for at in range(0, len(text), AT_ONCE):
        part = text[at : at + AT_ONCE]
        if _in_bytes(part) is None:
            most = max(most, int(_codes(part).max()))
    return most


def _occurring(text: str, most: int) -> npt.NDArray[np.bool_]:
    """Tell for each code point below ``most`` whether the text has it."""
    found = np.zeros(most, dtype=np.bool_)
    known: set[int] = set()
    for at in range(0, len(text), AT_ONCE):
        part = text[at : at + AT_ONCE]
        rest = _in_bytes(part)
        if rest is None:
            found[_codes(part)] = True
            continue
        while rest:  # bytes are struck out in one go, many times faster than they are looked up
            rest = rest.translate(None, bytes(known))
            known.update(rest[:FEW])
    found[sorted(known)] = True
    return found


def _in_numbers(text: str, number_of: Numbers) -> Numbers:
    """Put the text into numbers, a stretch at a time."""
    numbers = np.empty(len(text), dtype=number_of.dtype)
    narrow = number_of.dtype == np.uint8
    table = number_of[:256].tobytes().ljust(256, b"\0") if narrow else b""
    for at in range(0, len(text), AT_ONCE):
        part = text[at : at + AT_ONCE]
        in_bytes = _in_bytes(part) if narrow else None
        if in_bytes is None:
            numbers[at : at + len(part)] = number_of[_codes(part)]
        else:
            numbers[at : at + len(part)] = np.frombuffer(in_bytes.translate(table), dtype=np.uint8)
    return numbers


def share_of(kept: int, texts: NumberedTexts) -> float:
    """Give what share of the longer text's letters so many are, spaces apart, 0-1."""
    spaces = [number for number, letter in enumerate(texts.letters) if letter.isspace()]
    sides = (texts.original, texts.copy)
    letters = max(len(side) - sum(np.count_nonzero(side == number) for number in spaces) for side in sides)
    return kept / letters if letters else 1.0
