"""How often a copyist changed the partner of what he had misread, and how often he misread numerals.

Arrives: the survivors' alignments and variants, causes decided. Leaves: the coupled changes one by one, the
rate with its chances for each kind of pair, and the rate of misread numerals. Start reading at
``coupled_pairs``.

A chance is a pair of the original, clear and in the main hand, of which the copy has a part misread: only
there was anything to be made to agree. Which part was misread and which was changed to suit it cannot be
told from the result.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from fidelity.causes.facts import bare
from fidelity.confusions.intervals import clustered
from fidelity.letters import decode
from fidelity.terms import LOST_LETTER, Alignment, Cause, Phenomenon, Variant
from fidelity.terms.parallels import NO_NUMBERS, CoupledChange, CoupledRate, Declared, PairKind
from fidelity.variants.answers import answered
from fidelity.variants.citations import Citations
from fidelity.variants.numeral_slips import Numeral, numerals_in
from fidelity.variants.numerals import value_of_numeral
from fidelity.variants.set_aside import evidence_in
from fidelity.witnesses.folds import Folds

Span = tuple[int, int]
# What changes no reading of a word: nothing need be made to agree with it.
NO_MISREADING = frozenset(
    {Cause.LETTERFORM, Cause.CAPITAL, Cause.PUNCTUATION, Cause.EXPANSION, Cause.LATER_HAND, Cause.SUPPLIED}
    | {Cause.LEFT_ILLEGIBLE, Cause.SPELLING_HABIT, Cause.MODERNISED}
)
MISREAD = frozenset({Phenomenon.SUBSTITUTION, Phenomenon.OMISSION, Phenomenon.ADDITION})
PLACES_CITED = 5
REACH = 200  # letters before a pair at which a variant that touches it may begin; longer ones are skips


@dataclass
class _Counted:
    """Chances and events of one kind of pair, by page."""

    pairs: int = 0
    changed: Counter[str] = field(default_factory=Counter)
    coupled: Counter[str] = field(default_factory=Counter)


@dataclass(frozen=True)
class NumeralsRead:
    """How the survivors' numerals were read, by page: all, those misread, and where these are."""

    seen: Counter[str]
    misread: Counter[str]
    at: tuple[str, ...]


def coupled_pairs(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    folds: Folds,
    declared: Declared,
    confidence: float,
) -> tuple[list[CoupledChange], list[CoupledRate]]:
    """Find the coupled changes in the survivors, and out of how many chances.

    Args:
        alignments: by id of the survivor.
        variants: of all of them, causes decided.
        folds: letterforms counted as equal.
        declared: what the dossier says of parallels.
        confidence: of the intervals, 0-1.
    """
    known = known_pairs(alignments, folds, declared)
    counted = {kind: _Counted() for kind in PairKind}
    found = []
    for text, alignment in alignments.items():
        one = _Survivor(text, alignment, [each for each in variants if each.text == text], folds)
        for kind, parts in one.pairs(declared):
            counted[kind].pairs += 1
            touching = [one.touching(part) for part in parts]
            if not any(touching):
                continue
            page = alignment.original.page_of(parts[0][0])
            counted[kind].changed[page] += 1
            coupled = [part for part in touching if any(variant.cause is Cause.COUPLED for variant in part)]
            if coupled and all(touching):
                counted[kind].coupled[page] += 1
                found.append(one.change(kind, parts, coupled[0], known))
    rates = []
    for kind, this in counted.items():
        if this.pairs:
            limits = clustered(this.coupled, this.changed, confidence) if this.changed else (0.0, 1.0)
            total = this.changed.total(), this.coupled.total()
            rates.append(CoupledRate(kind, this.pairs, *total, *limits[:2]))
    return found, rates


def known_pairs(
    alignments: Mapping[str, Alignment], folds: Folds, declared: Declared
) -> dict[tuple[str, str], tuple[str, ...]]:
    """Give the pairs that belong together, folded, small and without stops, each with where it stands.

    Fields of the survivors' originals, and what the dossier declares.
    """
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for text, alignment in alignments.items():
        original = alignment.original
        letters, cited = folds.fold(original.letters), Citations(original, text)
        for parts in fields_of(original.fields, letters, original.lines, declared):
            pair = tuple(bare(letters[slice(*part)]).strip() for part in parts)
            if all(pair) and LOST_LETTER not in "".join(pair):
                found[pair[0], pair[1]] = (*found.get((pair[0], pair[1]), ()), str(cited.locus(parts[0][0])))
    for first, second in declared.pairs:
        pair = bare(folds.fold(first)).strip(), bare(folds.fold(second)).strip()
        found.setdefault((pair[0], pair[1]), ("declared",))
    return found


def fields_of(
    names: Sequence[str], letters: str, lines: Sequence[int], declared: Declared
) -> Iterator[tuple[Span, Span]]:
    """Give the fields of a table that answer one another, two by two, without blanks at their ends.

    Args:
        names: of the fields; fewer than two for running text.
        letters: of the table.
        lines: offset of each line.
        declared: which fields answer one another; all where nothing is said.
    """
    if len(names) < 2:
        return
    groups = [[names.index(name) for name in group if name in names] for group in declared.fields]
    groups = [group for group in groups if len(group) > 1] or [list(range(len(names)))]
    for at, start in enumerate(lines):
        end = lines[at + 1] if at + 1 < len(lines) else len(letters)
        spans = fields_between(letters, start, end, "\t")
        for group in groups:
            there = [spans[one] for one in group if one < len(spans)]
            for first, one in enumerate(there):
                yield from (
                    (one, other) for other in there[first + 1 :] if one[0] < one[1] and other[0] < other[1]
                )


def fields_between(letters: str, start: int, end: int, parted_by: str) -> list[Span]:
    """Part a line into its fields; blanks at their ends are left out.

    >>> fields_between("acer · hlin ", 0, 12, "·")
    [(0, 4), (7, 11)]
    """
    spans = []
    for field_ in letters[start:end].split(parted_by):
        inner = field_.strip()
        first = start + len(field_) - len(field_.lstrip())
        spans.append((first, first + len(inner)))
        start += len(field_) + len(parted_by)
    return spans


class _Survivor:
    """One survivor, to be asked which of its pairs were changed."""

    def __init__(self, text: str, alignment: Alignment, variants: Sequence[Variant], folds: Folds) -> None:
        self.text, self.alignment, self.folds = text, alignment, folds
        self.letters = folds.fold(alignment.original.letters)
        self.good = evidence_in(alignment)
        self.variants = sorted((one for one in variants if _is_misreading(one)), key=_start)
        self.starts = [_start(one) for one in self.variants]
        self.citations = Citations(alignment.original, text)

    def is_clear(self, span: Span) -> bool:
        """Tell whether all letters of a part are evidence, and there are any."""
        start, end = span
        letters = self.letters[start:end]
        whole = self.good is None or bool(self.good[start:end].all())
        return start < end and whole and LOST_LETTER not in letters

    def pairs(self, declared: Declared) -> Iterator[tuple[PairKind, tuple[Span, Span]]]:
        """Give its pairs: fields of entries, and numerals with words that agree with them."""
        original = self.alignment.original
        for parts in fields_of(original.fields, self.letters, original.lines, declared):
            if all(map(self.is_clear, parts)):
                yield PairKind.ENTRY, parts
        for one in numerals_in(self.letters, declared.numbers):
            if one.word_value == one.value and self.is_clear(one.span) and self.is_clear(one.word_span):
                yield PairKind.NUMBER, (one.span, one.word_span)

    def touching(self, span: Span) -> list[Variant]:
        """Give the misreadings in a part of a pair."""
        first = bisect_left(self.starts, span[0] - REACH)
        last = bisect_right(self.starts, span[1])
        return [one for one in self.variants[first:last] if _overlaps(one.original_span, span)]

    def change(
        self,
        kind: PairKind,
        parts: tuple[Span, Span],
        coupled: Sequence[Variant],
        known: Collection[tuple[str, str]],
    ) -> CoupledChange:
        """Make the record of a coupled change."""
        written = self._written(kind, parts)
        between = " · " if kind is PairKind.ENTRY else " "
        folded = [bare(self.folds.fold(one)).strip() for one in written]
        agrees = True if kind is PairKind.NUMBER or (folded[0], folded[1]) in known else None
        evidence = next((one.evidence for one in coupled if one.cause is Cause.COUPLED), "")
        return CoupledChange(
            kind=kind,
            text=self.text,
            locus=self.citations.locus(parts[0][0]),
            original=between.join(decode(self.alignment.original.letters[slice(*part)]) for part in parts),
            copy=between.join(map(decode, written)),
            agrees=agrees,
            evidence=evidence,
        )

    def _written(self, kind: PairKind, parts: tuple[Span, Span]) -> list[str]:
        """Give what the copy has for the parts: of an entry the same fields, else the words that answer."""
        original, copy = self.alignment.original, self.alignment.copy
        spans = [whole_words(copy.letters, answered(self.alignment, part)) for part in parts]
        there = next((span for span in spans if span[0] < span[1]), None)
        if kind is PairKind.ENTRY and there is not None:
            start, end = copy.line_span(copy.line_of(there[0]))
            fields = fields_between(copy.letters, start, end, "\t")
            first = original.line_span(original.line_of(parts[0][0]))[0]
            at = [original.letters.count("\t", first, part[0]) for part in parts]
            if max(at) < len(fields):
                spans = [fields[one] for one in at]
        elif kind is PairKind.NUMBER and spans[1][0] == spans[1][1] and there is not None:
            after = copy.letters.find(" ", there[1]) + 1  # the word is another altogether: the next one
            spans[1] = whole_words(copy.letters, (after, after + 1)) if after else spans[1]
        return [copy.letters[slice(*span)] for span in spans]


def numerals_read(
    alignments: Mapping[str, Alignment], folds: Folds, numbers: Mapping[str, int] = NO_NUMBERS
) -> NumeralsRead:
    """Count how often a numeral of the survivors came out with another value.

    What the copy left out, or has as no numeral, is not counted as misread: that would show.
    """
    seen, misread, at = Counter[str](), Counter[str](), list[str]()
    for text, alignment in alignments.items():
        one = _Survivor(text, alignment, (), folds)
        for numeral in numerals_in(one.letters, numbers):
            if not one.is_clear(numeral.span):
                continue
            page = alignment.original.page_of(numeral.span[0])
            seen[page] += 1
            written = _copied(alignment, numeral, folds)
            value = value_of_numeral(written)
            if value is not None and value != numeral.value:
                misread[page] += 1
                original = decode(alignment.original.letters[slice(*numeral.span)])
                at.append(f"{one.citations.locus(numeral.span[0])} {original} → {decode(written)}")
    return NumeralsRead(seen, misread, tuple(at[:PLACES_CITED]))


def _copied(alignment: Alignment, numeral: Numeral, folds: Folds) -> str:
    copy = alignment.copy.letters
    return folds.fold(copy[slice(*whole_words(copy, answered(alignment, numeral.span)))])


def whole_words(letters: str, span: Span) -> Span:
    """Widen a span to whole words; blanks at its ends are left out.

    >>> whole_words(".iu. feower leaf", (7, 12))
    (5, 11)
    """
    start, end = span
    while start < end and letters[start].isspace():
        start += 1
    while end > start and letters[end - 1].isspace():
        end -= 1
    while start and start < end and not letters[start - 1].isspace():
        start -= 1
    while start < end < len(letters) and not letters[end].isspace():
        end += 1
    return start, end


def _is_misreading(variant: Variant) -> bool:
    if variant.set_aside or variant.moved or variant.cause in NO_MISREADING:
        return False
    return variant.phenomenon in MISREAD


def _start(variant: Variant) -> int:
    return variant.original_span[0]


def _overlaps(one: Span, part: Span) -> bool:
    """Tell whether a change lies in a part; what was put in counts within it and not at its ends."""
    if one[0] == one[1]:
        return part[0] < one[0] < part[1]
    return one[0] < part[1] and part[0] < one[1]
