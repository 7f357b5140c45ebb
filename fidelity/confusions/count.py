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

from fidelity.letters import is_punctuation
from fidelity.terms import LOST_LETTER, Alignment, Cause, Locus, Phenomenon, StepKind, Variant
from fidelity.variants.moves import steps_without_moved
from fidelity.variants.places import Places
from fidelity.variants.set_aside import evidence_in
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
        words: wrong pairs -> the different words of the original it happened in.
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
        and not any(letter.isspace() for letter in variant.original + variant.copy)
        and not is_left_out_whole(variant)
    )


def is_left_out_whole(variant: Variant) -> bool:
    """Tell whether whole words were left out: that is no slip in their letters."""
    words = variant.original.split()
    return variant.phenomenon is Phenomenon.OMISSION and set(words) <= set(variant.original_words.split())


def _answers_of(variant: Variant) -> Iterator[tuple[str, str]]:
    """Give the letter confusions a variant is made of.

    A run of minims is one, and so is one letter for two or three (th for þ), or the other way round.
    """
    whole = ("".join(o for o, _ in variant.pairs), "".join(c for _, c in variant.pairs))
    sizes = sorted(map(len, whole))
    if variant.cause is Cause.MINIMS or (sizes[0] == 1 and len(variant.pairs) > 1):
        if sizes[1] <= LONGEST and LOST_LETTER not in whole[0] + whole[1]:
            yield whole
        return
    for original, written in variant.pairs:
        if original and max(len(original), len(written)) <= LONGEST and LOST_LETTER not in original + written:
            yield original, written


def count_answers(
    alignments: Mapping[str, Alignment], variants: Sequence[Variant], places: Mapping[str, Places]
) -> AnswerCounts:
    """Count what every letter of the survivors was answered by.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, with at least their mechanical causes decided.
        places: pages and scripts of each original, by id of the survivor.
    """
    answers: defaultdict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    chances: defaultdict[str, Counter[str]] = defaultdict(Counter)
    loci: defaultdict[tuple[str, str], list[Locus]] = defaultdict(list)
    words: defaultdict[tuple[str, str], set[str]] = defaultdict(set)
    right: set[tuple[str, str]] = set()
    for text, alignment in alignments.items():
        for (original, written, page), count in _kept_letters(alignment, places[text]).items():
            answers[original, written][page] += count
            chances[original][page] += count
            right.add((original, written))
        for variant in variants:
            if variant.text != text:
                continue
            _add_variant(variant, places[text], answers, chances, loci, words, right)
    _chances_of_several(alignments, variants, places, answers, chances)
    return AnswerCounts(
        {pair: dict(pages) for pair, pages in answers.items()},
        {letters: dict(pages) for letters, pages in chances.items()},
        frozenset(right),
        {pair: tuple(places) for pair, places in loci.items()},
        {pair: frozenset(found) for pair, found in words.items()},
    )


def _kept_letters(alignment: Alignment, places: Places) -> Counter[tuple[str, str, str]]:
    """Count the letters kept, with the page they stand on: clear, main hand, no stops or spaces."""
    original, copy = alignment.original, alignment.copy
    found: Counter[tuple[str, str, str]] = Counter()
    good = evidence_in(alignment)
    for o0, o1, c0, c1, kind in steps_without_moved(alignment):
        if kind != StepKind.KEPT or o1 - o0 != c1 - c0:
            continue
        for start, end, page in places.spans(o0, o1):
            pairs: Iterator[tuple[str, str]] = zip(
                original.letters[start:end], copy.letters[c0 + start - o0 : c0 + end - o0], strict=True
            )
            if good is not None:
                clear = good[start:end].tolist()
                pairs = (pair for pair, counts in zip(pairs, clear, strict=True) if counts)
            for (letter, written), count in Counter(pairs).items():
                if not letter.isspace() and not is_punctuation(letter):
                    found[letter, written, page] += count
    return found


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
    if variant.cause in (Cause.LETTERFORM, Cause.CAPITAL) and all(len(o) == 1 for o, _ in variant.pairs):
        for pair in variant.pairs:
            answers[pair][page] += 1
            chances[pair[0]][page] += 1
            right.add(pair)
        return
    if not is_letter_event(variant):
        return
    for original, written in _answers_of(variant):
        if any(is_punctuation(letter) for letter in original):
            continue
        answers[original, written][page] += 1
        loci[original, written].append(variant.locus)
        words[original, written].add(variant.original_words)
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
    skipped: defaultdict[str, list[tuple[int, int]]] = defaultdict(list)
    for variant in variants:
        if variant.replaced or not is_letter_event(variant):
            skipped[variant.text].append(variant.original_span)
    for text, alignment in alignments.items():
        good = evidence_in(alignment)
        letters = list(alignment.original.letters)
        for start, end in skipped[text]:
            letters[start:end] = " " * (end - start)
        kept = "".join(letters)
        for string in several:
            at = kept.find(string)
            while at >= 0:
                if good is None or good[at : at + len(string)].all():
                    chances[string][places[text].page(at)] += 1
                at = kept.find(string, at + 1)


def is_other_form(original: str, written: str) -> bool:
    """Tell whether two letters are forms of the same one (published letterforms), case kept."""
    return len(original) == len(written) == 1 and letterform_value(original) == letterform_value(written)
