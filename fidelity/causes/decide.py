"""Decide why each variant happened: ordered tests, the first that fits is the cause.

Arrives: variants with their phenomenon, and what is known of this copyist. Leaves: the same
variants with a cause, what made its test fit, the other tests that fit, and whether the copy's word
is a word. Start reading at ``decide``; ``TESTS`` is the list.

Tests whose input is missing are not made and not guessed: ``skipped_tests`` lists them with what they
would need.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace

from fidelity.causes.coupled import coupled, linked
from fidelity.causes.drawn import PERHAPS_BY_CHANCE, anticipation, perseveration
from fidelity.causes.facts import Facts, Test, one_word
from fidelity.causes.marks import (
    capital,
    expansion,
    has_strokes,
    later_hand,
    left_illegible,
    letterform,
    nasal_stroke,
    punctuation,
    supplied,
)
from fidelity.causes.repeats import dittography, eye_skip, haplography, line_skip
from fidelity.causes.slips import (
    interpolation,
    letter_confusion,
    metathesis,
    minims,
    modernised,
    perhaps_another_word,
    spelling_habit,
    word_substitution,
)
from fidelity.confusions.count import NO_CONFUSION, is_left_out_whole
from fidelity.letters import encode
from fidelity.terms import LOST_LETTER, Cause, Phenomenon, State, Variant

TESTS: tuple[tuple[Cause, Test], ...] = (
    (Cause.LATER_HAND, later_hand),
    (Cause.LETTERFORM, letterform),
    (Cause.SUPPLIED, supplied),
    (Cause.LEFT_ILLEGIBLE, left_illegible),
    (Cause.CAPITAL, capital),
    (Cause.PUNCTUATION, punctuation),
    (Cause.EXPANSION, expansion),
    (Cause.SPELLING_HABIT, spelling_habit),
    (Cause.MODERNISED, modernised),
    (Cause.COUPLED, coupled),
    (Cause.EYE_SKIP, eye_skip),
    (Cause.LINE_SKIP, line_skip),
    (Cause.DITTOGRAPHY, dittography),
    (Cause.HAPLOGRAPHY, haplography),
    (Cause.METATHESIS, metathesis),
    (Cause.MINIMS, minims),
    (Cause.LETTER_CONFUSION, letter_confusion),
    (Cause.NASAL_STROKE, nasal_stroke),
    (Cause.ANTICIPATION, anticipation),
    (Cause.PERSEVERATION, perseveration),
    (Cause.WORD_SUBSTITUTION, word_substitution),
    (Cause.INTERPOLATION, interpolation),
)

# What cannot be ruled out: never the first cause, and looked for only where that is none of the above
# that says what the hand or the eye did. Each stands in TESTS in its strict form.
PERHAPS: tuple[tuple[Cause, Test], ...] = (
    (Cause.ANTICIPATION, lambda variant, facts: anticipation(variant, facts, PERHAPS_BY_CHANCE)),
    (Cause.PERSEVERATION, lambda variant, facts: perseveration(variant, facts, PERHAPS_BY_CHANCE)),
    (Cause.WORD_SUBSTITUTION, perhaps_another_word),
)
OPEN = frozenset({Cause.UNDETERMINED, *(cause for cause, _ in PERHAPS)})  # first causes that leave room

# The tests that fit nothing but these; all others may fit whatever happened.
ONLY: Mapping[Cause, tuple[Phenomenon, ...]] = {
    Cause.LATER_HAND: (Phenomenon.OMISSION, Phenomenon.ADDITION),
    Cause.EYE_SKIP: (Phenomenon.OMISSION,),
    Cause.LINE_SKIP: (Phenomenon.OMISSION,),
    Cause.DITTOGRAPHY: (Phenomenon.ADDITION,),
    Cause.HAPLOGRAPHY: (Phenomenon.OMISSION,),
    Cause.METATHESIS: (Phenomenon.TRANSPOSITION,),
    Cause.LETTER_CONFUSION: (Phenomenon.SUBSTITUTION,),
    Cause.NASAL_STROKE: (Phenomenon.SUBSTITUTION, Phenomenon.OMISSION),
    Cause.ANTICIPATION: (Phenomenon.SUBSTITUTION, Phenomenon.ADDITION),
    Cause.PERSEVERATION: (Phenomenon.SUBSTITUTION, Phenomenon.ADDITION),
    Cause.INTERPOLATION: (Phenomenon.ADDITION,),
}
TESTS_OF = {
    each: tuple((cause, test) for cause, test in TESTS if each in ONLY.get(cause, Phenomenon))
    for each in Phenomenon
}
DRAWN = (Cause.ANTICIPATION, Cause.PERSEVERATION)
NOT_DRAWN = {each: tuple(one for one in tests if one[0] not in DRAWN) for each, tests in TESTS_OF.items()}
COUNTED_APART = NO_CONFUSION | {Cause.MINIMS}  # by ``count_answers``; all others are counted alike

NOT_MADE: tuple[tuple[Cause, str], ...] = (
    (Cause.ASSIMILATION, "needs a list of parallel passages"),
    (
        Cause.IMPORTED,
        "needs other witnesses, and is told of stretches, not of single differences: `fidelity imported`",
    ),
)


def skipped_tests(facts: Mapping[str, Facts]) -> list[tuple[Cause, str]]:
    """Give the tests that were not made in this run, each with what it would have needed.

    Args:
        facts: by id of the survivor.
    """
    originals = [known.alignment.original for known in facts.values()]
    layered = any(any(one.hands) or State.DELETED in one.states for one in originals)
    put_back = {State.RESTORED, State.SUPPLIED}
    damaged = any(LOST_LETTER in one.letters or put_back & set(one.states) for one in originals)
    lined = any(len(one.lines) > 1 for one in originals)
    strokes = any(has_strokes(known.alignment) for known in facts.values())
    fields = any(linked(known.alignment, known.folds, known.numbers) for known in facts.values())
    modern = any(known.modern for known in facts.values())
    needs = (
        (Cause.LATER_HAND, layered, "needs originals in which other hands or cancelled letters are marked"),
        (Cause.SUPPLIED, damaged, "needs originals in which lost or supplied letters are marked"),
        (Cause.MODERNISED, modern, "needs a table of word forms, [[words]] in the dossier"),
        (Cause.COUPLED, fields, "needs parallel fields, or numerals with their words"),
        (Cause.LINE_SKIP, lined, "needs originals line by line"),
        (Cause.NASAL_STROKE, strokes, "needs texts in which nasal strokes are transcribed or resolved"),
    )
    return [(cause, what) for cause, there, what in needs if not there] + list(NOT_MADE)


def decide(
    variants: Sequence[Variant], facts: Mapping[str, Facts], *, thorough: bool = True
) -> list[Variant]:
    """Give each variant its cause, the rival causes, and whether the copy's word is a word.

    Args:
        variants: with their phenomenon.
        facts: by id of the survivor.
        thorough: whether rivals are sought too, and words judged; else the first cause is all, and
            that only where it matters to ``count_answers``.
    """
    changed: defaultdict[str, defaultdict[int, list[Variant]]] = defaultdict(lambda: defaultdict(list))
    for variant in variants:
        line = facts[variant.text].alignment.original.line_of(variant.original_span[0])
        changed[variant.text][line].append(variant)
    for text, lines in changed.items():
        facts = {**facts, text: facts[text].with_changed(lines)}
    if not thorough:
        return [_first_cause(variant, facts[variant.text]) for variant in variants]
    return [_decided(variant, facts[variant.text]) for variant in variants]


def _first_cause(variant: Variant, facts: Facts) -> Variant:
    """Decide one variant by the first test that fits, as far as counting makes a difference of it.

    Whether letters were drawn in is looked into only where it would be another word otherwise.
    """
    tests = NOT_DRAWN[variant.phenomenon]
    cause = next((cause for cause, test in tests if test(variant, facts)), Cause.UNDETERMINED)
    if cause is Cause.WORD_SUBSTITUTION:
        cause = next(cause for cause, test in TESTS_OF[variant.phenomenon] if test(variant, facts))
    return replace(variant, cause=cause) if cause in COUNTED_APART else variant


def _decided(variant: Variant, facts: Facts) -> Variant:
    """Decide one variant."""
    tests = TESTS_OF[variant.phenomenon]
    fitting = [(cause, found) for cause, test in tests if (found := test(variant, facts))]
    cause, evidence = fitting[0] if fitting else (Cause.UNDETERMINED, "")
    rivals = [rival for rival, _ in fitting[1:]]
    if cause in OPEN:
        rivals += [one for one, test in PERHAPS if one not in (cause, *rivals) and test(variant, facts)]
    makes_word = None if cause is Cause.LATER_HAND else _makes_word(variant, facts)
    return replace(variant, cause=cause, other_causes=tuple(rivals), evidence=evidence, makes_word=makes_word)


def _makes_word(variant: Variant, facts: Facts) -> bool | None:
    """Tell whether the copy's word is known in the originals' language; None for no single word."""
    if variant.phenomenon is Phenomenon.DIVISION or is_left_out_whole(variant):
        return None
    word = one_word(encode(variant.copy_words), facts.folds)
    return word in facts.words if word else None
