"""Say in words what differs in a facing line, for those who read it and those who have it read to them.

Arrives: a difference. Leaves: escaped markup. Start reading at ``told``.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import escape

from fidelity.terms import Cause, Phenomenon, Variant
from fidelity.variants.citations import in_short

NOTHING = "∅"  # as everywhere on the page
FIELD_BORDER = " ¦ "  # a tab would not be seen


def address_of(number: int) -> str:
    """Give the address on the page of what is said of a difference.

    >>> address_of(12)
    'variant-12'
    """
    return f"variant-{number}"


def told(variants: Sequence[Variant], language: str) -> str:
    """Say what happened to words and why, each difference under its own address.

    Args:
        variants: differences in the same words.
        language: of the original's words, a BCP 47 tag; "" where it is not known.
    """
    first = variants[0]
    original, copy = first.original_words, first.copy_words
    if first.moved:
        original, copy = first.original, first.copy
    words = f"{_quoted(original, language)} → {_quoted(copy, language)}"
    return f"<div>{words}: {'; '.join(_one(variant) for variant in variants)}</div>"


def told_where_moved(variant: Variant, language: str) -> str:
    """Say, where moved words now stand, where they stood."""
    words = _quoted(variant.copy, language)
    return f"<div>{words}: stood at {escape(str(variant.locus))} (variant {variant.number})</div>"


def _one(variant: Variant) -> str:
    """Say what happened and why, under an address."""
    cause = "cause undetermined"
    if variant.cause is not Cause.UNDETERMINED:
        cause = str(variant.cause).replace("_", " ")
    parts = [_what(variant), cause]
    if variant.set_aside:
        parts.append(f"not counted: {escape(variant.set_aside)}")
    if variant.or_else:
        parts.append(f"or {escape(_one_line(variant.or_else))}")
    number = variant.number
    return f'<span id="{address_of(number)}">{", ".join(parts)} (variant {number})</span>'


def _what(variant: Variant) -> str:
    """Say what happened, in words and with the letters.

    >>> from fidelity.terms import Locus
    >>> n = Variant(1, "E", Locus("E", "1", 2), "n", "", "on", "o", (4, 5), (4, 4), Phenomenon.OMISSION)
    >>> _what(n)
    '<bdi>n</bdi> left out'
    """
    original, copy = (_quoted(letters.strip(), "") for letters in (variant.original, variant.copy))
    if variant.moved:
        return f"moved, in the copy it stands at {escape(str(variant.copy_locus or variant.locus))}"
    match variant.phenomenon:
        case Phenomenon.OMISSION:
            return f"{original} left out"
        case Phenomenon.ADDITION:
            return f"{copy} put in"
        case Phenomenon.DIVISION:
            return "parted" if len(variant.copy) > len(variant.original) else "joined"
        case Phenomenon.TRANSPOSITION:
            return "in another order"
    return "another word" if variant.replaced else f"{original} → {copy}"


def _quoted(words: str, language: str) -> str:
    """Set words of a text apart from the sentence, in their own direction and language."""
    if not words:
        return NOTHING
    named = f' lang="{escape(language)}"' if language else ""
    return f"<bdi{named}>{escape(_one_line(in_short(words)))}</bdi>"


def _one_line(words: str) -> str:
    return words.replace("\t", FIELD_BORDER)
