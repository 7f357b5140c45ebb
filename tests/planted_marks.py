"""Errors about what a manuscript marks: abbreviations, strokes, later hands, holes, numerals.

Arrives: the exemplar and a word of it. Leaves: the error made there. Each has first to put its mark
into the exemplar (``PREPARED``). Start reading at ``MARKED``.
"""

from __future__ import annotations

from fidelity.terms import State
from tests.planted_mechanisms import LOST, PREPARED, Edit, Exemplar, Mechanism, bare

NUMBERS = (
    (2, "tveir"), (3, "þrír"), (4, "fjórir"), (5, "fimm"), (6, "sex"), (7, "sjau"), (8, "átta"), (9, "níu"),
    (10, "tíu"), (11, "ellifu"), (12, "tólf"), (20, "tuttugu"),
)  # fmt: skip
ROMAN = {
    2: ".ii.", 3: ".iii.", 4: ".iu.", 5: ".u.", 6: ".ui.", 7: ".uii.", 8: ".uiii.", 9: ".ix.", 10: ".x.",
    11: ".xi.", 12: ".xii.", 20: ".xx.",
}  # fmt: skip


def wrong_expansion(exemplar: Exemplar, at: int) -> Edit | None:
    """The sign for ok is taken for another word's."""
    return exemplar.replaced("expansion", at, str(exemplar.rng.choice(["eða", "er", "en", "oc"])))


def stroke_overlooked(exemplar: Exemplar, at: int) -> Edit | None:
    """The stroke over a vowel escapes him."""
    word = exemplar.words[at]
    letter = {"ū": "u", "ā": "a", "ī": "i"}
    for first, sign in enumerate(word):
        if sign in letter:
            return exemplar.replaced("nasal_stroke", at, letter[sign], first, first + 1)
    return None


def added_later(exemplar: Exemplar, at: int) -> Edit | None:
    """What a later hand added he copies as if it belonged, or leaves out."""
    start, end = exemplar.span(at, at)
    if exemplar.rng.random() < 0.5:
        return Edit("later_hand", start, end, exemplar.words[at])
    return Edit("later_hand", start, end + 1, "")


def cancelled_copied(exemplar: Exemplar, at: int) -> Edit | None:
    """The dots of expunction escape him."""
    return Edit("later_hand", *exemplar.span(at, at), exemplar.words[at])


def fills_a_hole(exemplar: Exemplar, at: int) -> Edit | None:
    """Where letters are lost he writes what he thinks stood there."""
    word = exemplar.words[at]
    return exemplar.replaced(
        "supplied", at, "nar"[: word.count(LOST)], word.index(LOST), word.rindex(LOST) + 1
    )


def leaves_a_gap(exemplar: Exemplar, at: int) -> Edit | None:
    """What he cannot read he leaves blank."""
    word = bare(exemplar.words[at])
    first = exemplar.pick(max(len(word) - 2, 1))
    return exemplar.replaced("left_illegible", at, LOST, first, len(word)) if len(word) > 3 else None


def numeral_and_word(exemplar: Exemplar, at: int) -> Edit | None:
    """He misreads a numeral and changes the number word to suit it."""
    value, word = NUMBERS[exemplar.pick(len(NUMBERS))]
    if exemplar.words[at + 1] == word:
        return None
    return Edit("coupled", *exemplar.span(at, at + 1), f"{ROMAN[value]} {word}")


def _abbreviated(exemplar: Exemplar, at: int) -> None:
    exemplar.mark(at, "⁊")


def _with_stroke(exemplar: Exemplar, at: int) -> None:
    word, sign = exemplar.words[at], ("ū", "ā", "ī")[exemplar.pick(3)]
    exemplar.mark(at, word[: len(bare(word)) - 2] + sign)


def _with_hole(exemplar: Exemplar, at: int) -> None:
    word = exemplar.words[at]
    exemplar.mark(at, word[:1] + LOST * 2 + word[3:])
    exemplar.states[at] = [int(State.LOST) if x == LOST else 0 for x in exemplar.words[at]]


def _numbered(exemplar: Exemplar, at: int) -> None:
    value, word = NUMBERS[exemplar.pick(len(NUMBERS))]
    exemplar.mark(at, ROMAN[value])
    exemplar.mark(at + 1, word)


PREPARED |= {
    "expansion": _abbreviated,
    "nasal stroke": _with_stroke,
    "later hand": lambda exemplar, at: exemplar.mark(at, exemplar.words[at], hand=1),
    "cancelled": lambda exemplar, at: exemplar.mark(at, exemplar.words[at], State.DELETED),
    "supplied": _with_hole,
    "coupled": _numbered,
}

MARKED: dict[str, Mechanism] = {
    "expansion": wrong_expansion,
    "nasal stroke": stroke_overlooked,
    "later hand": added_later,
    "cancelled": cancelled_copied,
    "supplied": fills_a_hole,
    "coupled": numeral_and_word,
}
