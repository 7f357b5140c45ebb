"""The copyist's score card: how often each kind of thing went wrong, per chance.

Arrives: the survivors' variants and chances. Leaves: one ``Score`` for each survivor and measure,
then for all together. Start reading at ``score``.

Both units stand side by side: letter events (what the pen did) and changed words (what a reader
meets). A word with two slips is two events and one word.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from fidelity.confusions.count import NO_CONFUSION, is_left_out_whole
from fidelity.confusions.intervals import clustered
from fidelity.terms import Alignment, Cause, Phenomenon, Score, Variant
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


def errors_by_page(variants: Sequence[Variant], places: Places) -> dict[str, Counter[str]]:
    """Count the errors of every measure, page by page.

    "letters" counts letter events inside kept words; "words" the words with at least one
    difference that is not only a stop, a capital, a letterform or a division. Differences in letters
    that are no evidence (restored, in another hand, ...) are not among them.
    """
    found: dict[str, Counter[str]] = {measure: Counter() for measure in CHANCES}
    words: set[tuple[str, str, int]] = set()
    for variant in filter(counts_as_his, variants):
        start = variant.original_span[0]
        page = places.page(start)
        if variant.phenomenon is Phenomenon.DIVISION:
            found["division"][page] += 1
            continue
        found[variant.cause][page] += 1
        if variant.set_aside:
            continue
        whole = variant.replaced or variant.moved or is_left_out_whole(variant)
        if variant.cause not in NOT_IN_LETTERS and not whole:
            found["letters"][page] += 1
        added_words = variant.phenomenon is Phenomenon.ADDITION and " " in variant.copy.strip()
        if variant.cause not in NOT_IN_WORDS and not added_words:
            words.add((page, variant.locus.line, variant.locus.word))
    for page, _, _ in words:
        found["words"][page] += 1
    return found


def score(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    folds: Folds,
    confidence: float,
    mended: Sequence[Variant] = (),
) -> list[Score]:
    """Score the copyist by survivor and measure, then over all survivors ("all").

    Where he corrected himself there are two observations: his final text, and what he wrote first,
    scored as "letters_before_correction" and "words_before_correction".

    Args:
        alignments, places: by id of the survivor.
        variants: of all survivors, causes decided.
        folds: letterforms counted as equal.
        confidence: coverage of the intervals, 0-1.
        mended: the slips that he corrected himself.
    """
    scores: list[Score] = []
    measures = [*CHANCES, *(BEFORE_CORRECTION.values() if mended else ())]
    all_errors: dict[str, Counter[str]] = {measure: Counter() for measure in measures}
    all_chances: dict[str, Counter[str]] = {measure: Counter() for measure in measures}
    for text, alignment in alignments.items():
        own = [variant for variant in variants if variant.text == text]
        errors = errors_by_page(own, places[text])
        chances = chances_by_page(alignment, own, places[text], folds)
        if mended:
            at_first = [*own, *(slip for slip in mended if slip.text == text)]
            first = errors_by_page(at_first, places[text])
            errors |= {name: first[measure] for measure, name in BEFORE_CORRECTION.items()}
            chances |= {name: chances[measure].copy() for measure, name in BEFORE_CORRECTION.items()}
        for measure in measures:
            _at_least_errors(errors[measure], chances[measure])
            scores += _score(text, measure, errors[measure], chances[measure], confidence)
            all_errors[measure] += errors[measure]
            all_chances[measure] += chances[measure]
    for measure in measures:
        scores += _score("all", measure, all_errors[measure], all_chances[measure], confidence)
    return scores


def _at_least_errors(errors: Counter[str], chances: Counter[str]) -> None:
    """Let no page have more errors than chances: what happened could happen."""
    for page, count in errors.items():
        chances[page] = max(chances[page], count)


def _score(
    text: str, measure: str, errors: Counter[str], chances: Counter[str], confidence: float
) -> list[Score]:
    """Make the score of one measure; none where there was no chance."""
    total = sum(chances.values())
    if not total:
        return []
    offered = {page: count for page, count in chances.items() if count}
    low, high, method = clustered({p: n for p, n in errors.items() if n}, offered, confidence)
    return [Score(text, str(measure), sum(errors.values()), total, low, high, method)]
