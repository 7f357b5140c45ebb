"""Test for coupled changes: two linked fields were both changed, the second to suit the first.

Arrives: a variant and the facts, with the other variants of its line. Leaves: what made the test fit,
as printed, or "". Start reading at ``coupled``.

Linked are a numeral and the number word after it, and the parallel fields of an entry (lemma and
gloss). The copy's pair agrees where the values are the same, or where the pair stands elsewhere in the
survivors. Where one field of an entry is another word altogether and its partner was changed too, two
accidents in one entry are less likely than one that drew the other after it; whether the new pair
agrees is then for the editor to say, and the evidence says so.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from fidelity.causes.facts import Facts, bare, shown
from fidelity.letters import encode
from fidelity.terms import Alignment, Phenomenon, Variant, Witness
from fidelity.variants.numerals import numeral_pairs, value_of_number_word, value_of_numeral
from fidelity.witnesses.folds import Folds

NO_CHANGE = (Phenomenon.DIVISION, Phenomenon.TRANSPOSITION)
NUMBER_WITHIN = 12  # letters from a change in a numeral to one in the word after it; stops, part of a word
UNKNOWN_PAIR = "whether the copy's pair agrees is for the editor to say"


def coupled(variant: Variant, facts: Facts) -> str:
    """Two linked fields both changed so that the copy's pair agrees."""
    if variant.phenomenon in NO_CHANGE:
        return ""
    line = facts.alignment.original.line_of(variant.original_span[0])
    start, end = variant.original_span[0] - NUMBER_WITHIN, variant.original_span[1] + NUMBER_WITHIN
    near = [
        one
        for at in (line - 1, line, line + 1)
        for one in facts.changed.get(at, ())
        if one.original_span[1] >= start and one.original_span[0] <= end and one is not variant
    ]
    return _numerals(variant, near, facts) or _fields(variant, facts.changed.get(line, ()), facts)


def _numerals(variant: Variant, near: Sequence[Variant], facts: Facts) -> str:
    """Numeral and number word were both changed, and agree again."""
    fold = facts.folds.fold
    told = _agreeing(variant.original_words, facts), _agreeing(variant.copy_words, facts)
    if told[0] and told[1] and told[0] != told[1]:  # both stand between the same kept divisions
        return f"{told[0]}, {told[1]}"
    for other in near:
        first, second = sorted((variant, other), key=lambda one: one.original_span)
        was, now = value_of_numeral(fold(first.original_words)), value_of_numeral(fold(first.copy_words))
        if was is None or now is None or was == now:
            continue
        words = fold(second.original_words), fold(second.copy_words)
        if tuple(value_of_number_word(one, facts.numbers) for one in words) == (was, now):
            return (
                f"{first.original_words} {second.original_words} = {was}, "
                f"{first.copy_words} {second.copy_words} = {now}"
            )
    return ""


def _agreeing(words: str, facts: Facts) -> str:
    """Say what numeral and number word agree among some words as printed, if any do."""
    if len(words.split(maxsplit=1)) < 2:
        return ""
    words = facts.folds.fold(encode(words))
    for first, second, numeral, value in numeral_pairs(words, facts.numbers):
        if numeral == value:
            return f"{shown(words[slice(*first)])} {shown(words[slice(*second)])} = {value}"
    return ""


def _fields(variant: Variant, others: Sequence[Variant], facts: Facts) -> str:
    """Two fields of an entry were both changed, and the new pair is known, or one is another word."""
    original = facts.alignment.original
    if len(original.fields) < 2:
        return ""
    field = _field_of(original, variant.original_span[0])
    partners = [
        one
        for one in others
        if one is not variant
        and one.phenomenon not in NO_CHANGE
        and _field_of(original, one.original_span[0]) != field
    ]
    if not partners:
        return ""
    here = {one.original_words: one for one in (*partners, variant)}
    pair = [bare(facts.folds.fold(one.copy_words)) for one in here.values()]
    for first, second in ((pair[0], pair[-1]), (pair[-1], pair[0])):
        if (first, second) in facts.entries:
            return f"{shown(first)} · {shown(second)} is an entry at {facts.entries[first, second]}"
    if variant.replaced or any(one.replaced for one in partners):
        other = partners[0]
        return f"with {shown(other.original_words)}→{shown(other.copy_words)}; {UNKNOWN_PAIR}"
    return ""


def _field_of(original: Witness, offset: int) -> int:
    """Give the index of the field a letter stands in."""
    start = original.line_span(original.line_of(offset))[0]
    return original.letters.count("\t", start, offset)


def entries_of(alignment: Alignment, folds: Folds) -> Iterator[tuple[tuple[str, str], str]]:
    """Give the pairs of parallel fields of an original, folded, each with its place."""
    original = alignment.original
    if len(original.fields) < 2:
        return
    for line in range(len(original.lines)):
        start, end = original.line_span(line)
        fields = [bare(field).strip() for field in folds.fold(original.letters[start:end]).split("\t")]
        for at, first in enumerate(fields):
            for second in fields[at + 1 :]:
                if first and second:
                    yield (first, second), f"{original.siglum} {original.labels[line]}"


def linked(alignment: Alignment, folds: Folds, numbers: Mapping[str, int]) -> bool:
    """Tell whether an original has linked fields at all: columns, or numerals with their words."""
    if len(alignment.original.fields) > 1:
        return True
    return any(True for _ in numeral_pairs(folds.fold(alignment.original.letters), numbers))
