"""Apply the editor's decisions on survivors: which words answer which, what is not the copyist's.

Arrives: decisions, the alignment of a survivor, its differences. Leaves: the alignment as the editor
pairs it; the differences, those that are not the copyist's set aside; and what became of each
decision. Start reading at ``with_decided_pairs`` and ``with_decided_differences``.

A decision holds as long as the words stand that it was made on. Where others stand, it is stale: it
is told, and not used.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from fidelity.alignment.paired import with_pairs
from fidelity.dossier.whereabouts import whereabouts
from fidelity.dossier.word_places import (
    WordPlace,
    as_printed,
    in_words,
    nearest_words,
    stand_at,
    words_at,
)
from fidelity.letters import whole_words
from fidelity.terms import Alignment, StepKind, Variant, Witness
from fidelity.terms.decisions import BY_EDITOR, NOT_APPLIED, STALE, Decision, DecisionUse, Ruling
from fidelity.variants.citations import in_short
from fidelity.witnesses.folds import Folds

REACH = 600  # letters to either side in which the words of a pair are looked for, about twenty lines
NOT_GIVEN = "not his error"  # where the editor gives no reason

Span = tuple[int, int]


def latest(decisions: Iterable[Decision], text: str) -> tuple[list[Decision], list[DecisionUse]]:
    """Give the decisions on a text, of several on one place the last; the others are not applied."""
    last: dict[str, Decision] = {}
    passed = []
    for one in decisions:
        if one.text == text:
            if one.locus in last:
                why = f"line {one.line} decides the same place"
                passed.append(DecisionUse(last[one.locus], NOT_APPLIED, why))
            last[one.locus] = one
    return list(last.values()), passed


def with_decided_pairs(
    decisions: Sequence[Decision], alignment: Alignment, text: str, folds: Folds
) -> tuple[Alignment, list[DecisionUse]]:
    """Give the alignment of a survivor as the editor pairs its words.

    Args:
        decisions: of the dossier.
        alignment: as it was found.
        text: id of the survivor.
        folds: letterforms counted as equal.

    Returns:
        The alignment, and what became of each pairing.
    """
    uses: list[DecisionUse] = []
    pairs: list[tuple[Span, Span]] = []
    for one in latest(decisions, text)[0]:
        if one.ruling is not Ruling.PAIR:
            continue
        found = _pair(one, alignment, text)
        if isinstance(found, str):
            uses.append(_stale(one, found, alignment, text))
        elif any(_cross(found, other) for other in pairs):
            uses.append(DecisionUse(one, NOT_APPLIED, "another decision pairs words across these"))
        else:
            pairs.append(found)
            uses.append(DecisionUse(one))
    return with_pairs(alignment, pairs, folds), uses


def _stale(decision: Decision, why: str, alignment: Alignment, text: str) -> DecisionUse:
    """Say that a decision is stale, and where the original's words now stand if not at their place."""
    gone = decision.original and isinstance(_place(decision, alignment.original, text), str)
    moved = whereabouts(alignment.original, text, decision.locus, decision.original) if gone else ""
    return DecisionUse(decision, STALE, why + moved)


def _pair(decision: Decision, alignment: Alignment, text: str) -> tuple[Span, Span] | str:
    """Find the words that the editor pairs; why they cannot be found."""
    place = _place(decision, alignment.original, text)
    if isinstance(place, str):
        return place
    answer = answering(alignment, *place.span)
    words = nearest_words(alignment.original, decision.value, place.span[0], REACH)
    written = nearest_words(alignment.copy, decision.transmitted, answer[0], REACH)
    if words is None:
        there = _line_at(alignment.original, place.span[0])
        return f"“{decision.value}” does not stand near this place in the original, which has “{there}”"
    if written is None or not decision.transmitted:
        there = _line_at(alignment.copy, answer[0])
        if not decision.transmitted:
            return f"none of the copy's words answers it; the copy has “{there}” there"
        return f"“{decision.transmitted}” does not stand near this place in the copy, which has “{there}”"
    return words, written


def _line_at(witness: Witness, offset: int) -> str:
    """Print the manuscript line of a place: the words an editor may name there, as they must be written."""
    return as_printed(witness.text_of_line(witness.line_of(min(offset, len(witness.letters) - 1))))


def _cross(one: tuple[Span, Span], other: tuple[Span, Span]) -> bool:
    """Tell whether two pairs share words, or stand in another order in the two texts."""
    before = all(first[1] <= second[0] for first, second in zip(one, other, strict=True))
    after = all(second[1] <= first[0] for first, second in zip(one, other, strict=True))
    return not (before or after)


def _place(decision: Decision, original: Witness, text: str) -> WordPlace | str:
    """Find the words of the original; what stands there, where it is something else."""
    place = words_at(original, text, decision.locus)
    if not isinstance(place, WordPlace):
        return place or "the original has no such place"
    if not decision.original:
        return place
    found = stand_at(original, place, decision.original)
    return found or f"the original now has “{as_printed(original.letters[slice(*place.span)])}”"


def answering(alignment: Alignment, start: int, end: int) -> Span:
    """Give the whole words of the copy that answer a span of the original; empty where none do."""
    copy = alignment.copy.letters
    found: list[Span] = []
    place = 0  # in the copy, where nothing answers
    steps = alignment.steps
    near = slice(max(int(np.searchsorted(steps[:, 1], start)) - 1, 0), None)
    for o0, o1, c0, c1, kind in map(np.ndarray.tolist, steps[near]):
        if o0 >= end:
            break
        if o1 <= start:
            place = c1
            continue
        first, last = max(o0, start), min(o1, end)
        if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
            found.append((c0 + first - o0, c0 + last - o0))
            place = c0 + last - o0
        elif c1 > c0:
            found.append((c0, c1))
    if not found:
        return place, place
    first, last = found[0][0], found[-1][1]
    while first < last and copy[first].isspace():
        first += 1
    while last > first and copy[last - 1].isspace():
        last -= 1
    return whole_words(copy, first, last) if last > first else (first, first)


def at_place(variants: Sequence[Variant], original: Witness, place: WordPlace) -> list[Variant]:
    """Give the differences that are cited within a place."""
    line_of = {label: line for line, label in enumerate(original.labels)}
    return [one for one in variants if place.first <= (line_of[one.locus.line], one.locus.word) <= place.last]


def with_decided_differences(
    decisions: Sequence[Decision], alignment: Alignment, text: str, variants: Sequence[Variant]
) -> tuple[list[Variant], list[DecisionUse]]:
    """Set aside the differences of a survivor that the editor says are not the copyist's.

    Args:
        decisions: of the dossier.
        alignment: of the survivor, as the editor pairs it.
        text: id of the survivor.
        variants: its differences.

    Returns:
        The differences, and what became of each decision but the pairings; those on causes name the
        differences they are about.
    """
    here, uses = latest(decisions, text)
    aside: dict[int, str] = {}
    for one in here:
        if one.ruling is Ruling.PAIR:
            continue
        found = _differences(one, alignment, text, variants)
        if isinstance(found, str):
            uses.append(_stale(one, found, alignment, text))
        elif not found:
            uses.append(DecisionUse(one, NOT_APPLIED, "original and copy do not differ there"))
        else:
            spans = frozenset((each.original_span, each.copy_span) for each in found)
            uses.append(DecisionUse(one, variants=spans))
            if one.ruling is Ruling.NOT_HIS:
                aside |= {each.number: BY_EDITOR + (one.reason or NOT_GIVEN) for each in found}
    return [
        replace(one, set_aside=aside[one.number]) if one.number in aside else one for one in variants
    ], uses


def _differences(
    decision: Decision, alignment: Alignment, text: str, variants: Sequence[Variant]
) -> list[Variant] | str:
    """Give the differences a decision is about; why it is stale."""
    where = words_at(alignment.original, text, decision.locus)
    found = at_place(variants, alignment.original, where) if isinstance(where, WordPlace) else []
    place = _place(decision, alignment.original, text)
    if isinstance(place, str):  # a difference may take in words before the one it is cited by
        told = {name for one in found for name in _as_told(one.original_words)}
        if not isinstance(where, WordPlace) or in_words(decision.original) not in told:
            return place
        place = where
    found = at_place(variants, alignment.original, place)
    answer = as_printed(alignment.copy.letters[slice(*answering(alignment, *place.span))])
    possible = {in_words(answer), *(name for one in found for name in _as_told(one.copy_words))}
    if in_words(decision.transmitted) not in possible:
        return f"the copy now has “{answer}”" if answer else "the copy has nothing for it now"
    return found


def _as_told(words: str) -> tuple[str, str]:
    """Give words as they are, and as ``variants.csv`` tells of long ones."""
    return in_words(words), in_words(in_short(words))
