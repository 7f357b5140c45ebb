"""Count how the copyist answered each letter of the originals, with the chances he had.

Arrives: alignments of survivors and their variants. Leaves: ``AnswerCounts``, the table of which
letters answered which, page by page, that ``measure.py`` judges. Start reading at
``count_answers``.

A chance for a letter confusion is a letter of the original, clear and in the main hand, which the
copy answers inside a kept word. Letters inside skipped stretches, replaced words, moved words and
damage are no chances, nor are stops and word divisions.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fidelity.confusions.kept import Kept, bare_word, kept_letters, where_stands
from fidelity.letters import encode, is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Cause, Locus, Phenomenon, Variant
from fidelity.variants.places import Places
from fidelity.variants.set_aside import Codes, cause_by_editor, codes_of, evidence_in
from fidelity.witnesses.folds import letterform_value


@dataclass(frozen=True)
class AnswerCounts:
    """What the original's letters were answered by, and how many chances there were.

    Letters are graphic (unfolded) and in the one-code-point form of ``letters.py``.

    Attributes:
        answers: (original letters, written letters) -> page -> how often. Holds the right
            answers (letter for letter, or equal by a declared fold) and the wrong ones;
            written letters are "" where he wrote nothing.
        chances: original letters -> page -> how many chances: clear letters of the main hand,
            answered inside kept words. Has an entry for every single letter and for every
            longer string that stands on the left of ``answers``.
        right: the pairs of ``answers`` that count as the same letter.
        loci: wrong pairs -> where, in order.
        words: wrong pairs -> the different words of the original it happened in, small and without stops.
    """

    answers: Mapping[tuple[str, str], Mapping[str, int]]
    chances: Mapping[str, Mapping[str, int]]
    right: frozenset[tuple[str, str]]
    loci: Mapping[tuple[str, str], tuple[Locus, ...]]
    words: Mapping[tuple[str, str], frozenset[str]]


NO_CONFUSION = frozenset(
    {
        Cause.LETTERFORM,
        Cause.CAPITAL,
        Cause.PUNCTUATION,
        Cause.EXPANSION,
        Cause.LATER_HAND,
        Cause.SUPPLIED,
        Cause.LEFT_ILLEGIBLE,
        Cause.EYE_SKIP,
        Cause.LINE_SKIP,
        Cause.DITTOGRAPHY,
        Cause.WORD_SUBSTITUTION,
        Cause.COUPLED,
        Cause.IMPORTED,
    }
)
LONGEST = 3  # letters a side; more is no confusion of letters


def is_letter_event(variant: Variant) -> bool:
    """Tell whether a variant is letters answered by others, or by none, inside a kept word."""
    return (
        variant.phenomenon in (Phenomenon.SUBSTITUTION, Phenomenon.OMISSION)
        and variant.cause not in NO_CONFUSION
        and not variant.replaced
        and not any(map(str.isspace, variant.original + variant.copy))
        and not is_left_out_whole(variant)
    )


def is_left_out_whole(variant: Variant) -> bool:
    """Tell whether whole words were left out: that is no slip in their letters."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return False
    return set(variant.original.split()) <= set(variant.original_words.split())


def answers_of(variant: Variant) -> Iterator[tuple[int, str, str]]:
    """Give the letter confusions a variant is made of: offset in the original, letters, what he wrote.

    A run of minims is one, and so is one letter for two or three (th for þ), or the other way round.
    Stops are no letters.
    """
    at = variant.original_span[0]
    whole = ("".join(o for o, _ in variant.pairs), "".join(c for _, c in variant.pairs))
    sizes = sorted(map(len, whole))
    if variant.cause is Cause.MINIMS or (sizes[0] == 1 and len(variant.pairs) > 1):
        parts: tuple[tuple[str, str], ...] = (whole,)
    else:
        parts = variant.pairs
    for original, written in parts:
        both = original + written
        longest = max(len(original), len(written))
        if original and longest <= LONGEST and LOST_LETTER not in both and not _has_stop(original):
            yield at, original, written
        at += len(original)


def _has_stop(letters: str) -> bool:
    return any(map(is_punctuation, letters))


def is_other_form_only(variant: Variant) -> bool:
    """Tell whether single letters are answered by the same ones in another form: a right answer.

    If the editor calls other letters so, their answer is neither right nor wrong: what is right is right
    at every place.
    """
    form = variant.cause in (Cause.LETTERFORM, Cause.CAPITAL)
    if form and cause_by_editor(variant):
        form = all(letterform_value(o).lower() == letterform_value(c).lower() for o, c in variant.pairs)
    return form and all(len(original) == 1 for original, _ in variant.pairs)


def count_answers(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    kept: Mapping[str, Kept] | None = None,
) -> AnswerCounts:
    """Count what every letter of the survivors was answered by.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, with at least their mechanical causes decided.
        places: pages and scripts of each original, by id of the survivor.
        kept: what ``kept_letters`` gives of each, where that is known; causes make no difference to it.
    """
    answers: defaultdict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    chances: defaultdict[str, Counter[str]] = defaultdict(Counter)
    loci: defaultdict[tuple[str, str], list[Locus]] = defaultdict(list)
    words: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    right: set[tuple[str, str]] = set()
    for text, alignment in alignments.items():
        ours = [variant for variant in variants if variant.text == text]
        counted = kept[text] if kept else kept_letters(alignment, ours, places[text])
        for (original, written, page), count in counted.items():
            answers[original, written][page] += count
            chances[original][page] += count
            right.add((original, written))
        for variant in ours:
            _add_variant(variant, places[text], answers, chances, loci, words, right)
    _chances_of_several(alignments, variants, places, answers, chances)
    return AnswerCounts(
        {pair: dict(pages) for pair, pages in answers.items()},
        {letters: dict(pages) for letters, pages in chances.items()},
        frozenset(right),
        {pair: tuple(places) for pair, places in loci.items()},
        {pair: frozenset(found) for pair, found in words.items()},
    )


def _add_variant(
    variant: Variant,
    places: Places,
    answers: defaultdict[tuple[str, str], Counter[str]],
    chances: defaultdict[str, Counter[str]],
    loci: defaultdict[tuple[str, str], list[Locus]],
    words: defaultdict[tuple[str, str], set[str]],
    right: set[tuple[str, str]],
) -> None:
    """Add the answers of one variant, right ones in another form and wrong ones."""
    start, end = variant.original_span
    if variant.set_aside or start == end:
        return
    page = places.page(start)
    if is_other_form_only(variant):
        for pair in variant.pairs:
            answers[pair][page] += 1
            chances[pair[0]][page] += 1
            right.add(pair)
        return
    if not is_letter_event(variant):
        return
    for _, original, written in answers_of(variant):
        answers[original, written][page] += 1
        loci[original, written].append(variant.locus)
        words[original, written].add(bare_word(encode(variant.original_words).lower()))
        for letter in original:
            chances[letter][page] += 1


def _chances_of_several(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    answers: Mapping[tuple[str, str], Mapping[str, int]],
    chances: defaultdict[str, Counter[str]],
) -> None:
    """Count how often each confused string of several letters stands in kept words."""
    several = sorted({original for original, _ in answers if len(original) > 1})
    if not several:
        return
    for text, alignment in alignments.items():
        good = evidence_in(alignment)
        kept = kept_words(alignment, [variant for variant in variants if variant.text == text])
        for string in several:
            stretches = places[text].stretches(where_stands(string, kept, good))
            for stretch, count in enumerate(np.bincount(stretches).tolist()):
                if count:
                    chances[string][places[text].page_of(stretch)] += count


def kept_words(alignment: Alignment, variants: Sequence[Variant]) -> Codes:
    """Give the original as numbers, with blanks for what is not answered letter by letter in kept words.

    Args:
        alignment: of a survivor.
        variants: of the same survivor.
    """
    letters = codes_of(alignment.original.letters).copy()
    for variant in variants:
        if variant.replaced or not is_letter_event(variant):
            letters[slice(*variant.original_span)] = ord(" ")
    return letters


def is_other_form(original: str, written: str) -> bool:
    """Tell whether two letters are forms of the same one (published letterforms), case kept."""
    return len(original) == len(written) == 1 and letterform_value(original) == letterform_value(written)
