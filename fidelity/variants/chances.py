"""How often each kind of error might have happened: the denominators.

Arrives: an original with its alignment and variants. Leaves: for each measure the chances, page
by page. Start reading at ``CHANCES``, where each rule is told in a line.

A rate without its chances says nothing: ten eye-skips in a text without repeated words are many.
Only clear letters of the main hand are chances; what the copyist skipped altogether offers no
chance of a slip within it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

import numpy as np
import regex

from fidelity.letters import is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Cause, StepKind, Variant
from fidelity.variants.places import Places
from fidelity.variants.set_aside import evidence_in
from fidelity.witnesses.folds import Folds, abbreviation_expansions

REACH_OF_THE_EYE = 12  # words: about two manuscript lines, within which an eye may come back wrong
LIKE_LETTERS = 3  # the same letters at the end that count as alike, as in the test for eye-skip

_WORD = regex.compile(rf"[^\s{LOST_LETTER}]+")
_MINIM_RUN = regex.compile(r"[iınmuvj]{2,}|[nmuv]")
_DOUBLED = regex.compile(r"(\S)(?=\1)|(\S\S)(?=\2)")

Rule = Callable[[str], int]


def _letters(text: str) -> int:
    return sum(not (x.isspace() or x == LOST_LETTER or is_punctuation(x)) for x in text)


def _words(text: str) -> int:
    return sum(any(not is_punctuation(x) for x in found.group()) for found in _WORD.finditer(text))


def _recurring(text: str) -> int:
    """Count the words after which, within reach, a word ends alike: each may draw the eye."""
    ends = [found.group().strip(".,;:·")[-LIKE_LETTERS:] for found in _WORD.finditer(text)]
    return sum(end in ends[at + 1 : at + 1 + REACH_OF_THE_EYE] for at, end in enumerate(ends) if end)


def _neighbours(text: str) -> int:
    return sum(
        first != second and not first.isspace() and not second.isspace() for first, second in pairwise(text)
    )


CHANCES: dict[str, Rule] = {
    "letters": _letters,  # every letter
    "words": _words,  # every word
    "division": _words,  # every word may be divided, or joined to the next
    Cause.CAPITAL: _words,  # every word may begin otherwise
    Cause.PUNCTUATION: _words,  # after every word a stop may be set or left out
    Cause.EXPANSION: lambda text: sum(
        bool(abbreviation_expansions(x)) for x in set(text) for _ in range(text.count(x))
    ),
    Cause.SPELLING_HABIT: _letters,  # every letter (each habit's own chances stand in confusions.csv)
    Cause.EYE_SKIP: _recurring,  # every word that has one like it within reach
    Cause.LINE_SKIP: lambda _: 0,  # every line; filled from the lines, see below
    Cause.DITTOGRAPHY: _words,  # every word may be written twice
    Cause.HAPLOGRAPHY: lambda text: len(_DOUBLED.findall(text)),  # every doubled letter or pair
    Cause.METATHESIS: _neighbours,  # every pair of unlike neighbours
    Cause.MINIMS: lambda text: len(_MINIM_RUN.findall(text)),  # every run of two strokes or more
    Cause.LETTER_CONFUSION: _letters,  # every letter
    Cause.WORD_SUBSTITUTION: _words,  # every word
    Cause.LEFT_ILLEGIBLE: _words,  # every word
    Cause.SUPPLIED: lambda text: text.count(LOST_LETTER),  # every letter marked as lost
    Cause.LETTERFORM: _letters,  # every letter
    Cause.UNDETERMINED: _letters,  # every letter
}


def offered_text(
    alignment: Alignment, replaced: Sequence[tuple[int, int]] = (), with_skips: bool = False
) -> str:
    """Give the original with every letter that is no chance put out of sight.

    Args:
        alignment: of the survivor.
        replaced: spans of the original that hold words replaced by others.
        with_skips: whether what the copyist skipped stays in sight.
    """
    original = alignment.original
    letters = list(original.letters)
    good = evidence_in(alignment)
    if good is not None:
        for at in np.flatnonzero(~good).tolist():
            if not letters[at].isspace():
                letters[at] = LOST_LETTER
    for o0, o1, _, _, kind in alignment.steps.tolist():
        if kind == StepKind.SKIPPED and not with_skips:
            letters[o0:o1] = [x if x.isspace() else LOST_LETTER for x in letters[o0:o1]]
    moved = [block.original_span for block in alignment.moved]
    for start, end in (*replaced, *moved):
        letters[start:end] = [x if x.isspace() else LOST_LETTER for x in letters[start:end]]
    return "".join(letters)


def chances_by_page(
    alignment: Alignment, variants: Sequence[Variant], places: Places, folds: Folds
) -> dict[str, Counter[str]]:
    """Count the chances of every measure, page by page.

    Args:
        alignment: of the survivor.
        variants: of the same survivor.
        places: its pages.
        folds: letterforms counted as equal.
    """
    replaced = [variant.original_span for variant in variants if variant.replaced or variant.set_aside]
    within_words = folds.fold(offered_text(alignment, replaced))
    graphic = offered_text(alignment)
    words = folds.fold(graphic)
    unskipped = folds.fold(offered_text(alignment, with_skips=True))  # a skip was a chance of skipping
    offered = {Cause.EXPANSION: graphic, Cause.EYE_SKIP: unskipped, "letters": within_words}
    found: dict[str, Counter[str]] = {measure: Counter() for measure in CHANCES}
    for start, end, page in places.spans(0, len(words)):
        counted: dict[tuple[Rule, int], int] = {}  # several measures have the same rule
        for measure, rule in CHANCES.items():
            text = offered.get(measure, words)
            once = rule, id(text)
            if once not in counted:
                counted[once] = rule(text[start:end])
            found[measure][page] += counted[once]
    for line, start in enumerate(alignment.original.lines):
        if alignment.original.line_span(line)[1] > start:
            found[Cause.LINE_SKIP][places.page(start)] += 1
    found[Cause.SUPPLIED] = _lost_by_page(alignment, places)
    return found


def _lost_by_page(alignment: Alignment, places: Places) -> Counter[str]:
    """Count the letters the transcriber marked as lost, page by page."""
    found: Counter[str] = Counter()
    for at in _places_of_lost(alignment.original.letters):
        found[places.page(at)] += 1
    return found


def _places_of_lost(letters: str) -> Iterator[int]:
    at = letters.find(LOST_LETTER)
    while at >= 0:
        yield at
        at = letters.find(LOST_LETTER, at + 1)


def total(pages: Mapping[str, int]) -> int:
    """Add up the chances of all pages."""
    return sum(pages.values())
