"""Say in words what differs in a facing line, for those who read it and those who have it read to them.

Arrives: a difference. Leaves: escaped markup. Start reading at ``told``.
"""

from __future__ import annotations

from collections.abc import Sequence

from markupsafe import escape

from fidelity.apparatus.tables import in_plain_words
from fidelity.terms import Cause, Phenomenon, Variant
from fidelity.variants.citations import in_short

NOTHING = "∅"  # as everywhere on the page
ENDS = "–"  # ends the words of the texts: no stop does, as words may end in one themselves
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
    return f"<div>{_heading(variants, language)}{'; '.join(map(_one, variants))}</div>"


def told_where_moved(variant: Variant, language: str) -> str:
    """Say, where moved words now stand, where they stood."""
    words = _quoted(variant.copy, language)
    return f"<div>{words} {ENDS} stood at {escape(str(variant.locus))}, variant {variant.number}</div>"


def _heading(variants: Sequence[Variant], language: str) -> str:
    """Give the words and what they became; where words were left out, or put in, only those that stay.

    What was left out is said once: the words of both texts stand in the line above.
    """
    first = variants[0]
    words = first.original_words, first.copy_words
    if first.moved:
        words = first.original, first.copy
    elif len(variants) == 1 and (stays := _stays(first)) is not None:
        words = (stays,)
        if not stays:
            return ""
    return f"{' → '.join(_quoted(one.strip(), language) for one in words)} {ENDS} "


def _stays(variant: Variant) -> str | None:
    """Give the words that stay where whole words were left out or put in; None for any other difference."""
    longer, shorter, changed = (
        words.strip() for words in (variant.original_words, variant.copy_words, variant.original)
    )
    if variant.phenomenon is Phenomenon.ADDITION:
        longer, shorter, changed = shorter, longer, variant.copy.strip()
    elif variant.phenomenon is not Phenomenon.OMISSION:
        return None
    if longer == shorter:
        return ""
    if changed == longer and shorter:
        return None  # a sign, such as one for what cannot be read, stands in their place
    return shorter if " " in changed or changed in longer.split() else None


def _one(variant: Variant) -> str:
    """Say why, and what happened, under an address."""
    what = _what(variant)
    is_order = variant.phenomenon is Phenomenon.TRANSPOSITION and variant.cause is Cause.METATHESIS
    parts = [what]
    if not (variant.moved or is_order):  # of these the cause says no more
        known = variant.cause is not Cause.UNDETERMINED
        cause = in_plain_words(variant.cause) if known else "cause undetermined"
        parts = [f"{cause} ({what})"]
    if variant.set_aside:
        parts.append(f"not counted: {escape(variant.set_aside)}")
    if variant.or_else:
        parts.append(f"or {escape(_one_line(variant.or_else))}")
    parts.append(f"variant {variant.number}")
    return f'<span id="{address_of(variant.number)}">{", ".join(parts)}</span>'


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
