"""Turn an alignment into tags: for each copied letter the original letters it answers.

Arrives: an alignment and the folds. Leaves: ``Tagged``, the copied letters and their tags on the
normalised level (declared letterforms folded, declared abbreviations written out), where copy
and original speak the same alphabet. Start reading at ``tag_alignment``.

A tag is the letter itself, another, none, two or three. Letters the copyist left out hang on the
letter before, at the beginning of a word on the letter after, so that divisions stay divisions; runs over
six letters are left to eye-skips and hang nowhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np

from fidelity.terms import Alignment, StepKind
from fidelity.variants.moves import blocks_of, opposite, steps_without_moved
from fidelity.variants.places import Places
from fidelity.variants.set_aside import Mask, evidence_of
from fidelity.witnesses.folds import Folds

LONGEST_TAIL = 6  # letters; a longer run left out is a skip, not a slip of the pen


@dataclass(frozen=True)
class Tagged:
    """The copy of a survivor with what stood in the original at each letter.

    Attributes:
        copied: the copied letters, folded.
        tags: for each the original's letters it answers, normalised.
        trusted: for each whether the original's letters are clear, in the main hand, not moved
            from elsewhere, and not beside a skip.
        scripts: for each the script the original is written in there; empty where no script is named.
    """

    copied: str
    tags: tuple[str, ...]
    trusted: tuple[bool, ...]
    scripts: tuple[str, ...] = ()

    def original(self, start: int, end: int) -> str:
        """Give what the original had for a span of copied letters."""
        return "".join(self.tags[start:end])


def with_words_beside(tagged: Tagged, start: int, end: int) -> frozenset[str]:
    """Give what the original had for a span with words that he left out before it, after it, or both.

    Such words hang on the blanks beside the span, or on the word beyond, copied right but for them; nothing
    is given where none were left out.
    """
    copied = tagged.copied
    first = copied.rfind(" ", 0, max(start - 1, 0)) + 1
    last = copied.find(" ", end + 1) if copied.find(" ", end + 1) >= 0 else len(copied)
    before, after = tagged.original(first, start), tagged.original(end, last)
    word_before, word_after = copied[first:start], copied[end:last]
    before = before[len(word_before) :] if before.startswith(word_before) else ""
    after = after[: len(after) - len(word_after)] if after.endswith(word_after) else ""
    here = tagged.original(start, end)
    found = {f"{before}{here}", f"{here}{after}", f"{before}{here}{after}"}
    return frozenset(found - {here})


def normalise(letters: str, folds: Folds) -> str:
    """Put a text on the level where copy and original speak the same alphabet.

    Declared letterforms are folded and declared abbreviations written out (the first declared
    expansion of a sign, where there are several).

    >>> normalise("⁊ ꞅꞇan", Folds({"ꞅ": "s", "ꞇ": "t"}, (("⁊", "and"),)))
    'and stan'
    """
    folded = folds.fold(letters)
    done: set[str] = set()
    for sign, text in folds.expansions:
        if len(sign) == 1 and sign not in done and sign in folded:
            folded = folded.replace(sign, folds.fold(text))
        done.add(sign)
    return folded


def shared_out(original: str, written: str) -> list[str]:
    """Share the original's letters out over the letters written for them.

    >>> shared_out("rn", "m"), shared_out("m", "in"), shared_out("ab", "ba")
    (['rn'], ['m', ''], ['a', 'b'])
    """
    size = len(written)
    if len(original) <= size:
        return list(original) + [""] * (size - len(original))
    return [*original[: size - 1], original[size - 1 :]]


def tag_alignment(alignment: Alignment, folds: Folds) -> Tagged:
    """Give the copied letters of a survivor with their tags.

    Beside letters that are no evidence (lost, restored, in another hand) nothing is to be learned:
    a run of changes with one of them in it keeps the copied letters as their own tags, untrusted.
    """
    original, copy = alignment.original, alignment.copy
    copied = folds.fold(copy.letters)
    tags = [""] * len(copied)
    trusted = [True] * len(copied)
    good, written = evidence_of(original), evidence_of(copy)
    all_clear = bool(good.all() and written.all())
    waiting: dict[int, str] = {}  # letters left out before a word's first letter hang on that one
    runs = groupby(steps_without_moved(alignment), key=lambda step: step[4] == StepKind.KEPT)
    for kept, run in runs:
        steps = list(run)
        if kept:
            for o0, o1, c0, c1, _ in steps:
                tags[c0:c1] = copied[c0:c1]
                if not all_clear:
                    trusted[c0:c1] = _trusted_letters(good[o0:o1], written[c0:c1])
            continue
        clear = all_clear or all(good[o0:o1].all() and written[c0:c1].all() for o0, o1, c0, c1, _ in steps)
        for o0, o1, c0, c1, kind in steps:
            skip = kind == StepKind.SKIPPED and max(o1 - o0, c1 - c0) > LONGEST_TAIL
            if not clear or skip:
                trusted[c0:c1] = [False] * (c1 - c0)
                if not clear:
                    tags[c0:c1] = copied[c0:c1]
                if c0 and o1 > o0:  # what was left out would have hung on the letter before
                    trusted[c0 - 1] = False
            elif c1 > c0 and kind != StepKind.SKIPPED:
                tags[c0:c1] = shared_out(normalise(original.letters[o0:o1], folds), copied[c0:c1])
            elif o1 > o0:
                left_out = normalise(original.letters[o0:o1], folds)
                if _begins_a_word(copied, c0, left_out):
                    waiting[c0] = waiting.get(c0, "") + left_out
                elif c0:
                    tags[c0 - 1] += left_out
    for at, left_out in waiting.items():
        tags[at] = left_out + tags[at]
    _tag_moved(alignment, folds, tags, trusted)
    return Tagged(copied, tuple(tags), tuple(trusted))


def _begins_a_word(copied: str, at: int, left_out: str) -> bool:
    """Tell whether what was left out before a copied letter belongs to the beginning of its word."""
    if at >= len(copied):
        return False
    if not at:
        return True
    starts = copied[at - 1].isspace() and not copied[at].isspace()
    return starts and not any(letter.isspace() for letter in left_out)


def _tag_moved(alignment: Alignment, folds: Folds, tags: list[str], trusted: list[bool]) -> None:
    """Tag what was moved with the letters it answers; neither it nor the place it lacks is trusted."""
    for (o0, _, c0, c1), block in zip(blocks_of(alignment), alignment.moved, strict=True):
        trusted[c0:c1] = [False] * (c1 - c0)
        place = opposite(alignment, o0)
        if place:
            trusted[place - 1] = False
        for a, b, c, d, kind in block.steps.tolist():
            letters, copied = normalise(alignment.original.letters[a:b], folds), alignment.copy.letters[c:d]
            if c == d:
                tags[c - 1] += letters
            else:
                tags[c:d] = folds.fold(copied) if kind == StepKind.KEPT else shared_out(letters, copied)


def without_passages(tagged: Tagged, alignment: Alignment, passages: Sequence[tuple[int, int]]) -> Tagged:
    """Take the trust from what answers these spans of the original: they teach nothing here."""
    if not passages:
        return tagged
    trusted = list(tagged.trusted)
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        for start, end in passages:
            if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
                first, last = max(o0, start), min(o1, end)
                if first < last:
                    trusted[c0 + first - o0 : c0 + last - o0] = [False] * (last - first)
            elif start <= o0 < end:
                trusted[c0:c1] = [False] * (c1 - c0)
    return replace(tagged, trusted=tuple(trusted))


def in_scripts(tagged: Tagged, alignment: Alignment, places: Places) -> Tagged:
    """Say for each copied letter in which script the original is written there."""
    if not any(places.scripts):
        return tagged
    answered = np.zeros(len(tagged.copied), dtype=np.intp)
    for o0, o1, c0, c1, _ in alignment.steps.tolist():
        answered[c0:c1] = o0 + np.minimum(np.arange(c1 - c0), max(o1 - o0 - 1, 0))
    scripts = tuple(places.scripts[at] for at in places.stretches(answered).tolist())
    return replace(tagged, scripts=scripts)


def _trusted_letters(good: Mask, written: Mask) -> list[bool]:
    """Tell for each copied letter of a kept run whether it and the original's letter are evidence."""
    if len(good) != len(written):
        return [bool(good.all() and written.all())] * len(written)
    return list((good & written).tolist())


def word_spans(letters: str) -> list[tuple[int, int]]:
    """Give the spans between word divisions, in letters.

    >>> word_spans("of þære ac")
    [(0, 2), (3, 7), (8, 10)]
    """
    spans, start = [], None
    for at, letter in enumerate(letters):
        if letter.isspace():
            if start is not None:
                spans.append((start, at))
            start = None
        elif start is None:
            start = at
    if start is not None:
        spans.append((start, len(letters)))
    return spans
