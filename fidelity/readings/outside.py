"""Totals, numbered lists and the order of entries in a lost text: what speaks from outside a pair.

Arrives: the copy of a lost text, and what is known of the copyist's operations. Leaves: ``OutsideCheck``s,
those that hold and those that contradict, with what would mend them. Start reading at ``outside_checks``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from fidelity.causes.coupled_pairs import fields_between
from fidelity.letters import decode, without_stops
from fidelity.readings.steps import Step
from fidelity.terms import Witness
from fidelity.terms.parallels import NO_NUMBERS, NOTHING_DECLARED, CheckKind, Declared, OutsideCheck
from fidelity.variants.citations import Citations
from fidelity.variants.lists import Misfit, fits, or_its_neighbour, out_of_order, out_of_sequence
from fidelity.variants.numeral_slips import Numeral, misread_from, numerals_in
from fidelity.variants.numerals import value_of_numeral
from fidelity.variants.totals import Total, total_words, totals_in
from fidelity.witnesses.folds import Folds

Span = tuple[int, int]
MOST_MENDS = 5  # cited of one check
OF_TOTALS = (
    "which numerals a total adds up is not written: it is tested against the sums of the last numerals before"
    " it, so it may be that it adds up something else; the lost original may have been wrong itself"
)
NONE_MENDS = "no single misreading, by minims or by an operation of his, would make it hold"
OF_LISTS = "whoever made the list may have miscounted; it is tested only where the numbers around agree"
OF_ORDER = "whoever made the list may have put the entry there; lists are seldom in strict order"
_WORD = re.compile(r"\S+")
_NUMBER = re.compile(r"[.·]?([iujvxlcdm]+[.·:)]+|[0-9]+[.·:)]*)", re.IGNORECASE)


@dataclass(frozen=True)
class Ways:
    """How this copyist went wrong.

    Attributes:
        steps: his operations (original letters, written letters), folded, with how often; commonest first.
        folds: letterforms counted as equal.
        declared: what the dossier says of parallels.
    """

    steps: Mapping[Step, int]
    folds: Folds
    declared: Declared = NOTHING_DECLARED


class LostText:
    """One lost text's copy, with its numerals.

    Attributes:
        text: its id.
        copy: the copy.
        letters: the same, folded.
        numerals: in it.
    """

    def __init__(self, text: str, copy: Witness, folds: Folds, own: Mapping[str, int] = NO_NUMBERS) -> None:
        self.text, self.copy = text, copy
        self.letters = folds.fold(copy.letters)
        self.numerals = numerals_in(self.letters, own)
        self.citations = Citations(copy, text)

    def shown(self, span: Span) -> str:
        """Print a stretch of the copy."""
        return " ".join(decode(self.copy.letters[slice(*span)]).split())


def outside_checks(lost: LostText, ways: Ways) -> list[OutsideCheck]:
    """Make every check that the copy of a lost text allows, in order of the text."""
    found = [*_totals(lost, ways), *_numbered(lost, ways), *_ordered(lost, ways)]
    return sorted(found, key=lambda one: (one.span, one.kind))


def _totals(lost: LostText, ways: Ways) -> Iterator[OutsideCheck]:
    """Hold every stated total against the numerals before it."""
    words = total_words() | {ways.folds.fold(word).lower() for word in ways.declared.totals}
    bounds = lost.copy.lines if lost.copy.fields else ()
    for one in totals_in(lost.letters, lost.numerals, words, ways.steps, bounds, ways.declared.numbers):
        added = one.holds or one.parts
        total = sum(part.value for part in added)
        sign = "=" if one.holds else ", together"
        told = " + ".join(lost.shown(part.span) for part in added) + f" {sign} {total}"
        yield OutsideCheck(
            kind=CheckKind.TOTAL,
            text=lost.text,
            locus=lost.citations.locus(one.numeral.span[0]),
            span=(added[0].span[0], one.span[1]),
            stated=f"{lost.shown(one.span)} = {one.numeral.value}",
            found=told.replace(" ,", ","),
            holds=bool(one.holds),
            mends=tuple(_told_mends(lost, one)),
            mended=tuple((mend.numeral.span, mend.reading) for mend in one.mends[:MOST_MENDS]),
            caution=OF_TOTALS if one.holds or one.mends else f"{NONE_MENDS}; {OF_TOTALS}",
        )


def _told_mends(lost: LostText, total: Total) -> Iterator[str]:
    for mend in total.mends[:MOST_MENDS]:
        at = lost.citations.locus(mend.numeral.span[0])
        yield f"{at} {lost.shown(mend.numeral.span)} → {decode(mend.reading)} ({mend.value})"


def _numbered(lost: LostText, ways: Ways) -> Iterator[OutsideCheck]:
    """Hold the numbers at the beginnings of lines, or of fields, against their neighbours."""
    for series in _series(lost):
        listed: list[tuple[Span, int]] = []
        for span in series:
            found = _NUMBER.fullmatch(lost.letters[slice(*span)]) or (
                lost.letters[slice(*span)].isdigit() or None
            )
            value = value_of_numeral(lost.letters[slice(*span)].strip(".·:)")) if found else None
            if value is not None:
                listed.append((span, value))
        numbers = [value for _, value in listed]
        for misfit in out_of_sequence(numbers):
            span = listed[misfit.at][0]
            wanted = int(misfit.low)
            readings = [
                one
                for one in misread_from(lost.letters[slice(*span)], ways.steps)
                if value_of_numeral(one) == wanted
            ]
            yield _of_list(lost, CheckKind.SEQUENCE, span, readings, f"the list asks for {wanted}", OF_LISTS)


def _series(lost: LostText) -> list[list[Span]]:
    """Give the first words of lines, or of each field."""
    copy = lost.copy
    columns: dict[int, list[Span]] = {}
    for line in range(len(copy.lines)):
        start, end = copy.line_span(line)
        for at, (first, last) in enumerate(fields_between(lost.letters, start, end, "\t")):
            if found := _WORD.match(lost.letters, first, last):
                columns.setdefault(at, []).append(found.span())
    return [columns[at] for at in sorted(columns)]


def _ordered(lost: LostText, ways: Ways) -> Iterator[OutsideCheck]:
    """Hold the entries of a table, or of declared lines, against alphabetical order."""
    columns = _series(lost) if lost.copy.fields else [[parts[0] for parts in parted_lines(lost, ways)]]
    for spans in columns:
        firsts = [span for span in spans if without_stops(lost.letters[slice(*span)])]
        words = [without_stops(lost.letters[slice(*span)].lower()).split()[0] for span in firsts]
        misfits, level = out_of_order(words)
        for first in misfits:
            candidates = [
                (one, list(_brought_into_order(words[one.at], one, level, ways.steps)))
                for one in or_its_neighbour(words, first, level)
            ]
            misfit, readings = next((one for one in candidates if one[1]), candidates[0])
            where = " and ".join(
                told
                for told, one in ((f"after {misfit.low}", misfit.low), (f"before {misfit.high}", misfit.high))
                if one
            )
            span = firsts[misfit.at]
            yield _of_list(
                lost, CheckKind.ORDER, span, readings, f"it should stand {decode(where)}", OF_ORDER
            )


def _brought_into_order(word: str, misfit: Misfit, level: int, steps: Mapping[Step, int]) -> Iterator[str]:
    """Undo one operation at one place so that a word stands in order, the commonest operations first."""
    made: set[str] = set()
    for original, written in steps:
        at = word.find(written) if written else -1
        while at >= 0:
            other = word[:at] + original + word[at + len(written) :]
            if other not in made and not any(map(str.isspace, other)) and fits(other, misfit, level):
                made.add(other)
                yield other
            at = word.find(written, at + 1)


def _of_list(
    lost: LostText, kind: CheckKind, span: Span, readings: Sequence[str], found: str, caution: str
) -> OutsideCheck:
    """Make the record of something that breaks a list."""
    at, here = lost.citations.locus(span[0]), lost.shown(span)
    return OutsideCheck(
        kind=kind,
        text=lost.text,
        locus=at,
        span=span,
        stated=here,
        found=found,
        holds=False,
        mends=tuple(f"{at} {here} → {decode(one)}" for one in readings[:MOST_MENDS]),
        mended=tuple((span, one) for one in readings[:MOST_MENDS]),
        caution=caution,
    )


def parted_lines(lost: LostText, ways: Ways) -> Iterator[tuple[Span, ...]]:
    """Give the fields of lines of running text that the dossier declares to be entries."""
    for text, lines, sign in ways.declared.parted:
        if text not in ("", lost.text):
            continue
        first, last = lines or (0, len(lost.copy.lines))
        for line in range(first, last):
            spans = fields_between(lost.letters, *lost.copy.line_span(line), sign)
            if len(spans) > 1 and all(start < end for start, end in spans):
                yield tuple(spans)


def in_checks(numeral: Numeral, checks: Sequence[OutsideCheck]) -> list[OutsideCheck]:
    """Give the checks that a numeral stands in."""
    return [
        one
        for one in checks
        if one.kind is not CheckKind.ORDER
        and one.span[0] <= numeral.span[0]
        and numeral.span[1] <= one.span[1]
    ]
