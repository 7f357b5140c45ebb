"""The copyist's score card: how often each kind of thing went wrong, per chance.

Arrives: the survivors' variants and chances. Leaves: one ``Score`` for each survivor and measure,
then for all together. Start reading at ``tallies``, then ``score``.

Both units stand side by side: letter events (what the pen did) and changed words (what a reader
meets). A word with two slips is two events and one word.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from fidelity.confusions.count import NO_CONFUSION, is_left_out_whole
from fidelity.confusions.intervals import clustered
from fidelity.terms import Alignment, Cause, Phenomenon, Score, Variant
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.variants.chances import CHANCES, chances_by_page
from fidelity.variants.places import Places
from fidelity.variants.set_aside import counts_as_his
from fidelity.witnesses.folds import Folds

NOT_IN_LETTERS = NO_CONFUSION  # measured on their own; no slips of single letters
NOT_IN_WORDS = frozenset(
    {
        Cause.LETTERFORM,
        Cause.PUNCTUATION,
        Cause.CAPITAL,
        Cause.EYE_SKIP,
        Cause.LINE_SKIP,
        Cause.LATER_HAND,
        Cause.SUPPLIED,
    }
)
BEFORE_CORRECTION = {"letters": "letters_before_correction", "words": "words_before_correction"}


@dataclass(frozen=True)
class Tally:
    """How often one kind of thing went wrong on each page of one survivor.

    Attributes:
        text: id of the survivor.
        measure: "letters", "words", "division", or a cause.
        errors: page -> how often; pages without errors may be left out.
        chances: page -> out of how many, in the order of the text, none smaller than its errors.
    """

    text: str
    measure: str
    errors: Mapping[str, int]
    chances: Mapping[str, int]


def errors_of(variants: Sequence[Variant]) -> dict[str, list[Variant]]:
    """Give the variants that each measure counts as errors, in order.

    "letters" counts letter events inside kept words; "words" the words with at least one
    difference that is not only a stop, a capital, a letterform or a division (by the first of them).
    Differences in letters that are no evidence (restored, in another hand, ...) are not among them.

    Args:
        variants: of one survivor, causes decided.
    """
    found: dict[str, list[Variant]] = {str(measure): [] for measure in CHANCES}
    words: set[tuple[str, int]] = set()
    for variant in filter(counts_as_his, variants):
        if variant.phenomenon is Phenomenon.DIVISION:
            found["division"].append(variant)
            continue
        if variant.cause in found:  # the editor may decide a cause that has no measure of its own
            found[variant.cause].append(variant)
        if variant.set_aside:
            continue
        whole = variant.replaced or variant.moved or is_left_out_whole(variant)
        if variant.cause not in NOT_IN_LETTERS and not whole:
            found["letters"].append(variant)
        added_words = variant.phenomenon is Phenomenon.ADDITION and " " in variant.copy.strip()
        word = (variant.locus.line, variant.locus.word)
        if variant.cause not in NOT_IN_WORDS and not added_words and word not in words:
            words.add(word)
            found["words"].append(variant)
    return found


def errors_by_page(variants: Sequence[Variant], places: Places) -> dict[str, Counter[str]]:
    """Count the errors of every measure of one survivor, page by page."""
    return {
        measure: Counter(places.page(variant.original_span[0]) for variant in counted)
        for measure, counted in errors_of(variants).items()
    }


def tallies(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    folds: Folds,
    mended: Sequence[Variant] = (),
    numbers: Mapping[str, int] = NO_NUMBERS,
) -> list[Tally]:
    """Count errors and chances of every measure, survivor by survivor and page by page.

    Where he corrected himself there are two observations: his final text, and what he wrote first,
    scored as "letters_before_correction" and "words_before_correction".

    Args:
        alignments, places: by id of the survivor.
        variants: of all survivors, causes decided.
        folds: letterforms counted as equal.
        mended: the slips that he corrected himself.
        numbers: number words that the dossier declares, with their values.
    """
    found = []
    for text, alignment in alignments.items():
        own = [variant for variant in variants if variant.text == text]
        chances = chances_by_page(alignment, own, places[text], folds, numbers)
        by_measure = errors_by_page(own, places[text])
        if mended:
            at_first = errors_by_page([*own, *(slip for slip in mended if slip.text == text)], places[text])
            by_measure |= {name: at_first[measure] for measure, name in BEFORE_CORRECTION.items()}
            chances |= {name: chances[measure].copy() for measure, name in BEFORE_CORRECTION.items()}
        for measure, errors in by_measure.items():
            _at_least_errors(errors, chances[measure])
            found.append(Tally(text, measure, errors, chances[measure]))
    return found


def score(counted: Sequence[Tally], confidence: float) -> list[Score]:
    """Score the copyist by survivor and measure, then over all survivors ("all").

    Args:
        counted: the tallies of all survivors.
        confidence: coverage of the intervals, 0-1.
    """
    scores: list[Score] = []
    errors: dict[str, Counter[str]] = {}
    chances: dict[str, Counter[str]] = {}
    for one in counted:
        scores += _score(one.text, one.measure, one.errors, one.chances, confidence)
        errors.setdefault(one.measure, Counter()).update(one.errors)
        chances.setdefault(one.measure, Counter()).update(one.chances)
    for measure in errors:
        scores += _score("all", measure, errors[measure], chances[measure], confidence)
    return scores


def _at_least_errors(errors: Counter[str], chances: Counter[str]) -> None:
    """Let no page have more errors than chances: what happened could happen."""
    for page, count in errors.items():
        chances[page] = max(chances[page], count)


def _score(
    text: str, measure: str, errors: Mapping[str, int], chances: Mapping[str, int], confidence: float
) -> list[Score]:
    """Make the score of one measure; none where there was no chance."""
    total = sum(chances.values())
    if not total:
        return []
    offered = {page: count for page, count in chances.items() if count}
    low, high, method = clustered({p: n for p, n in errors.items() if n}, offered, confidence)
    return [Score(text, str(measure), sum(errors.values()), total, low, high, method)]
