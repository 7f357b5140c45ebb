"""How often each kind of error might have happened: the denominators.

Arrives: an original with its alignment and variants. Leaves: for each measure the chances, page
by page. Start reading at ``CHANCES``, where each rule is told in a line.

A rate without its chances says nothing: ten eye-skips in a text without repeated words are many.
Only clear letters of the main hand are chances; what the copyist skipped altogether offers no
chance of a slip within it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache, partial
from itertools import pairwise

import numpy as np

from fidelity.letters import is_punctuation, without_stops
from fidelity.terms import LOST_LETTER, Alignment, Cause, StepKind, Variant, Witness
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.variants.layers import BY_HANDS, stretches_of
from fidelity.variants.numerals import numeral_pairs
from fidelity.variants.places import Places
from fidelity.variants.set_aside import codes_of, evidence_in
from fidelity.witnesses.folds import Folds, abbreviation_expansions, has_stroke

REACH_OF_THE_EYE = 12  # words: about two manuscript lines, within which an eye may come back wrong
LIKE_LETTERS = 3  # the same letters at the end that count as alike, as in the test for eye-skip

_WORD = re.compile(rf"[^\s{LOST_LETTER}]+")
_MINIM_RUN = re.compile(r"[iınmuvj]{2,}|[nmuv]")
_LOST = re.compile(f"{LOST_LETTER}+")
_DOUBLED = re.compile(r"(\S)(?=\1)|(\S\S)(?=\2)")

Rule = Callable[[str], int]


def _letters(text: str) -> int:
    counts = Counter(text)
    return sum(n for x, n in counts.items() if not (x.isspace() or x == LOST_LETTER or is_punctuation(x)))


def _words(text: str) -> int:
    return len(without_stops(text).replace(LOST_LETTER, " ").split())


def _recurring(text: str) -> int:
    """Count the words after which, within reach, a word ends alike: each may draw the eye."""
    ends = [word.strip(".,;:·")[-LIKE_LETTERS:] for word in _WORD.findall(text)]
    last: dict[str, int] = {}
    found = 0
    for at, end in enumerate(ends):
        found += bool(end) and at - last.get(end, -1 - REACH_OF_THE_EYE) <= REACH_OF_THE_EYE
        last[end] = at
    return found


def _neighbours(text: str) -> int:
    pairs = Counter(pairwise(text))
    return sum(n for (x, y), n in pairs.items() if x != y and not x.isspace() and not y.isspace())


def _linked(text: str, numbers: Mapping[str, int] = NO_NUMBERS) -> int:
    """Count the pairs of linked fields: columns of an entry, a numeral and the number word after it."""
    return text.count("\t") + sum(1 for _ in numeral_pairs(text, numbers))


def _strokes(text: str) -> int:
    """Count the letters that bear a nasal stroke, and m and n, over which one might be seen."""
    return sum(text.count(letter) for letter in set(text) if letter in "mn" or has_stroke(letter))


CHANCES: dict[str, Rule] = {
    "letters": _letters,  # every letter
    "words": _words,  # every word
    "division": _words,  # every word may be divided, or joined to the next
    Cause.CAPITAL: _words,  # every word may begin otherwise
    Cause.PUNCTUATION: _words,  # after every word a stop may be set or left out
    Cause.EXPANSION: lambda text: sum(text.count(x) for x in set(text) if abbreviation_expansions(x)),
    Cause.LATER_HAND: lambda _: 0,  # every addition and cancelled stretch; filled below
    Cause.MODERNISED: _words,  # every word may be written in a later form
    Cause.COUPLED: _linked,  # every pair of linked fields
    Cause.SPELLING_HABIT: _letters,  # every letter (each habit's own chances stand in confusions.csv)
    Cause.EYE_SKIP: _recurring,  # every word that has one like it within reach
    Cause.LINE_SKIP: lambda _: 0,  # every line; filled from the lines, see below
    Cause.DITTOGRAPHY: _words,  # every word may be written twice
    Cause.HAPLOGRAPHY: lambda text: len(_DOUBLED.findall(text)),  # every doubled letter or pair
    Cause.METATHESIS: _neighbours,  # every pair of unlike neighbours
    Cause.MINIMS: lambda text: len(_MINIM_RUN.findall(text)),  # every run of two strokes or more
    Cause.LETTER_CONFUSION: _letters,  # every letter
    Cause.NASAL_STROKE: _strokes,  # every letter with a stroke, every m and n
    Cause.ANTICIPATION: _words,  # every word may take letters from those to come
    Cause.PERSEVERATION: _words,  # every word may take letters from those before
    Cause.WORD_SUBSTITUTION: _words,  # every word
    Cause.INTERPOLATION: _words,  # after every word something may be put in
    Cause.LEFT_ILLEGIBLE: _words,  # every word
    Cause.SUPPLIED: lambda _: 0,  # every stretch marked as lost; filled below
    Cause.LETTERFORM: _letters,  # every letter
    Cause.UNDETERMINED: _letters,  # every letter
}
# No copy shows the chances of these.
NOT_IN_COPIES = frozenset({Cause.EXPANSION, Cause.SUPPLIED, Cause.LINE_SKIP, Cause.LATER_HAND})


def chances_in_copies(
    copies: Sequence[str], measure: str, numbers: Mapping[str, int] = NO_NUMBERS
) -> int | None:
    """Count the chances of a measure in copies whose originals are lost; None where they show none.

    The copies stand for their originals: what he changed in them changes the count but little.
    Abbreviations, though, are written out in a copy, and letters that he could not read are gone.

    Args:
        copies: their letters, folded.
        measure: a key of ``CHANCES``, or a cause that only the editor can decide: it has no chances.
        numbers: number words that the dossier declares, with their values.
    """
    if not copies or measure in NOT_IN_COPIES or measure not in CHANCES:
        return None
    rule = _rule(measure, numbers)
    return sum(_counted(rule, text) for text in copies)


@lru_cache(maxsize=32)  # several measures have the same rule, and a copy is asked about more than once
def _counted(rule: Rule, text: str) -> int:
    return rule(text)


def _rule(measure: str, numbers: Mapping[str, int]) -> Rule:
    """Give the rule of a measure; that of linked fields knows the number words a dossier declares."""
    rule = CHANCES[measure]
    return partial(_linked, numbers=numbers) if numbers and rule is _linked else rule


def chances_by_piece(
    measure: str, text: str, starts: Sequence[int], numbers: Mapping[str, int] = NO_NUMBERS
) -> list[int]:
    """Count the chances of a measure in each piece of a text: what runs over a border is none.

    Args:
        measure: a key of ``CHANCES``.
        text: its letters, folded.
        starts: where pieces begin, ascending, the first at 0; each ends where the next begins.
        numbers: number words that the dossier declares, with their values.
    """
    rule = _rule(measure, numbers)
    if rule in (_letters, _words):  # asked for most, and so for all pieces at once
        codes = codes_of(text)
        parts, stops = (np.isin(codes, [ord(letter) for letter in some]) for some in _parting_and_stops(text))
        at = np.flatnonzero(~stops)
        piece = np.searchsorted(starts, at, side="right") - 1
        counts = ~parts[at]
        if rule is _words:  # its first letter
            counts[1:] &= parts[at[:-1]] | (np.diff(piece) > 0)
        return list(map(int, np.bincount(piece[counts], minlength=len(starts))))
    return [rule(text[start:end]) for start, end in pairwise([*starts, len(text)])]


def _parting_and_stops(text: str) -> tuple[list[str], list[str]]:
    """Give the letters of a text that part words, and those that are stops."""
    letters = set(text)
    return [x for x in letters if x.isspace() or x == LOST_LETTER], list(filter(is_punctuation, letters))


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
    codes = codes_of(original.letters).copy()
    spaces = np.isin(codes, [ord(letter) for letter in set(original.letters) if letter.isspace()])
    good = evidence_in(alignment)
    hidden = np.zeros(len(codes), dtype=np.bool_) if good is None else ~good
    skipped = alignment.steps[alignment.steps[:, 4] == StepKind.SKIPPED]
    for start, end in () if with_skips else skipped[:, :2].tolist():
        hidden[start:end] = True
    for start, end in (*replaced, *(block.original_span for block in alignment.moved)):
        hidden[start:end] = True
    codes[hidden & ~spaces] = ord(LOST_LETTER)
    return codes.tobytes().decode("utf-32-le")


def chances_by_page(
    alignment: Alignment,
    variants: Sequence[Variant],
    places: Places,
    folds: Folds,
    numbers: Mapping[str, int] = NO_NUMBERS,
) -> dict[str, Counter[str]]:
    """Count the chances of every measure, page by page.

    Args:
        alignment: of the survivor.
        variants: of the same survivor.
        places: its pages.
        folds: letterforms counted as equal.
        numbers: number words that the dossier declares, with their values.
    """
    replaced = [variant.original_span for variant in variants if variant.replaced or variant.set_aside]
    within_words = folds.fold(offered_text(alignment, replaced))
    graphic = offered_text(alignment)
    words = folds.fold(graphic)
    unskipped = folds.fold(offered_text(alignment, with_skips=True))  # a skip was a chance of skipping
    offered = {
        Cause.EXPANSION: graphic,
        Cause.NASAL_STROKE: graphic,
        Cause.EYE_SKIP: unskipped,
        "letters": within_words,
    }
    found: dict[str, Counter[str]] = {measure: Counter() for measure in CHANCES}
    spans = list(places.spans(0, len(words)))
    starts = [start for start, _, _ in spans]
    counted: dict[tuple[Rule, int], list[int]] = {}  # several measures have the same rule
    for measure, rule in CHANCES.items():
        text = offered.get(measure, words)
        once = rule, id(text)
        if once not in counted:
            counted[once] = chances_by_piece(measure, text, starts, numbers)
        for (_, _, page), count in zip(spans, counted[once], strict=True):
            found[measure][page] += count
    for line, start in enumerate(alignment.original.lines):
        if alignment.original.line_span(line)[1] > start:
            found[Cause.LINE_SKIP][places.page(start)] += 1
    found[Cause.SUPPLIED], found[Cause.LATER_HAND] = _layers_by_page(alignment.original, places)
    return found


def _layers_by_page(original: Witness, places: Places) -> tuple[Counter[str], Counter[str]]:
    """Count, page by page, the stretches that are lost, and those of other hands or cancelled."""
    lost: Counter[str] = Counter()
    later: Counter[str] = Counter()
    for found in _LOST.finditer(original.letters):
        lost[places.page(found.start())] += 1
    for stretch in stretches_of(original):
        if stretch.layer in BY_HANDS:
            later[places.page(stretch.start)] += 1
    return lost, later


def total(pages: Mapping[str, int]) -> int:
    """Add up the chances of all pages."""
    return sum(pages.values())
