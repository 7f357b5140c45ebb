"""The kinds of error to review, worst first.

Arrives: variants, confusions, scores, the copies of the lost texts, and the originals. Leaves:
``Pattern``s in the order of the damage they must be expected to have done to the lost texts. Start
reading at ``patterns``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from typing import TypedDict

from fidelity.confusions.count import is_left_out_whole, is_letter_event
from fidelity.confusions.intervals import jeffreys
from fidelity.letters import NOTHING, decode, encode
from fidelity.terms import Cause, Confusion, Pattern, Phenomenon, Score, Variant, Witness
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.variants.chances import chances_in_copies
from fidelity.variants.citations import in_short
from fidelity.variants.set_aside import counts_as_his
from fidelity.witnesses.folds import Folds

# Told apart by what happened where one cause has several: stops left out, stops put in.
TOLD_APART = frozenset(
    {
        Cause.PUNCTUATION,
        Cause.MODERNISED,
        Cause.SPELLING_HABIT,
        Cause.MINIMS,
        Cause.NASAL_STROKE,
        Cause.ANTICIPATION,
        Cause.PERSEVERATION,
    }
)
CHANGES_NO_WORD = frozenset({Cause.CAPITAL, Cause.PUNCTUATION, Cause.LETTERFORM})
HAPPENED = {Phenomenon.OMISSION: "something left out", Phenomenon.ADDITION: "something put in"}
CHANGED = {"words": "words changed", "letters": "single letters changed"}
EXAMPLES = 5  # loci cited for each pattern; all stand in variants.csv
JOINED, DIVIDED = "words joined", "words divided"
FEW_LINES = 3  # whole lines; more are hardly lost by an eye that jumps (a rule of thumb, no source)
UNEXPLAINED = frozenset({Cause.EYE_SKIP, Cause.LINE_SKIP, Cause.UNDETERMINED})  # may be a leaf instead


class Shown(TypedDict):
    """What is shown of the places of a pattern: fields of ``Pattern``."""

    example: str
    examples: tuple[str, ...]
    judged: int
    made_word: int


def patterns(
    variants: Sequence[Variant],
    confusions: Sequence[Confusion],
    scores: Sequence[Score],
    lost: Mapping[str, Witness],
    folds: Folds,
    originals: Mapping[str, Witness],
    confidence: float,
    numbers: Mapping[str, int] = NO_NUMBERS,
) -> list[Pattern]:
    """Give the kinds of error to review, worst first.

    Recurring letter confusions stand for themselves; everything else is put together by what
    happened and why.

    Args:
        variants: of all survivors.
        confusions: of all survivors.
        scores: of all survivors together (``text == "all"``) are used.
        lost: copies of the lost texts, by id.
        folds: letterforms counted as equal.
        originals: by id of the survivor; their lines and pages tell how much was lost or moved.
        confidence: of the intervals, 0-1.
        numbers: number words that the dossier declares, with their values.
    """
    variants = list(filter(counts_as_his, variants))
    copies = [folds.fold(copy.letters) for copy in lost.values()]
    written = Counter("".join(copies))
    recurring = [c for c in confusions if c.systematic or c.count > 1]
    by_pair = _by_pair(variants)
    found = [
        _of_confusion(c, by_pair[c.original, c.copy], _expected(c, written, copies, folds)) for c in recurring
    ]
    taken = {(c.original, c.copy) for c in recurring}
    whole = {score.measure: score for score in scores if score.text == "all"}
    groups: defaultdict[tuple[str, Phenomenon, Cause], list[Variant]] = defaultdict(list)
    for variant in variants:
        if not _stands_for_itself(variant, taken):
            groups[_name(variant, originals[variant.text]), variant.phenomenon, variant.cause].append(variant)
    for (name, phenomenon, cause), some in groups.items():
        measure = "division" if phenomenon is Phenomenon.DIVISION else str(cause)
        in_lost = chances_in_copies(copies, measure, numbers)
        found.append(_of_group(name, phenomenon, cause, some, whole.get(measure), in_lost, confidence))
    return sorted(found, key=_damage)


def _damage(pattern: Pattern) -> tuple[bool, float, int, str]:
    """Order by expected damage to the lost texts, then by frequency, then by name.

    What changes no word does no damage, however often it is to be expected.
    """
    expected = pattern.expected_in_lost if pattern.expected_in_lost is not None else -1.0
    return (pattern.cause in CHANGES_NO_WORD, -expected, -pattern.count, pattern.pattern)


def _stands_for_itself(variant: Variant, taken: set[tuple[str, str]]) -> bool:
    """Tell whether all that happened in a variant stands under recurring confusions."""
    if not is_letter_event(variant):
        return False
    pairs = [(decode(o), decode(c)) for o, c in variant.pairs]
    return all(pair in taken for pair in pairs) or (variant.original, variant.copy) in taken


def _name(variant: Variant, original: Witness) -> str:
    """Name the group a variant belongs to."""
    if variant.phenomenon is Phenomenon.DIVISION:
        return JOINED if len(variant.copy) < len(variant.original) else DIVIDED
    if variant.phenomenon is Phenomenon.TRANSPOSITION:
        return _what_was_moved(variant, original)
    if variant.cause in UNEXPLAINED and _is_passage(variant, original):
        return "leaf or passage missing"
    if variant.cause is Cause.UNDETERMINED:
        size = "words" if _in_whole_words(variant) else "letters"
        return {
            Phenomenon.OMISSION: f"{size} left out, cause undetermined",
            Phenomenon.ADDITION: f"{size} put in, cause undetermined",
        }.get(variant.phenomenon, f"{CHANGED[size]}, cause undetermined")
    name = str(variant.cause).replace("_", " ")
    if variant.cause is Cause.LETTER_CONFUSION:
        return "other letter confusions"  # those that recur have patterns of their own
    if variant.cause in TOLD_APART and variant.phenomenon in HAPPENED:
        return f"{name}, {HAPPENED[variant.phenomenon]}"
    return name


def _in_whole_words(variant: Variant) -> bool:
    """Tell whether words, not letters of a word, were left out, put in or changed."""
    if variant.replaced or " " in (variant.original + variant.copy).strip():
        return True
    if variant.phenomenon is Phenomenon.ADDITION:
        return set(variant.copy.split()) <= set(variant.copy_words.split())
    return is_left_out_whole(variant)


def _what_was_moved(variant: Variant, original: Witness) -> str:
    """Name a transposition by what stands elsewhere in the copy."""
    start, end = variant.original_span
    if not variant.moved and not any(letter.isspace() for letter in original.letters[start:end].strip()):
        return "letters exchanged"
    first, stop = original.line_span(original.line_of(start))
    is_line = len(original.lines) > 1 and len(original.letters[start:end].strip()) >= stop - first
    return "lines or passages moved" if is_line else "words moved"


def _is_passage(variant: Variant, original: Witness) -> bool:
    """Tell whether a whole page, or more than a few whole lines, were left out."""
    if variant.phenomenon is not Phenomenon.OMISSION:
        return False
    start, end = variant.original_span
    touched = range(original.line_of(start), original.line_of(max(end - 1, start)) + 1)
    spans = {line: original.line_span(line) for line in touched}
    lost = [line for line, (first, stop) in spans.items() if start <= first < stop <= end]
    if len(lost) > FEW_LINES:
        return True
    on_page = Counter(original.pages)
    gone = Counter(original.pages[line] for line in lost)
    return any(page and count == on_page[page] for page, count in gone.items())


def _expected(
    confusion: Confusion, written: Counter[str], lost: Sequence[str], folds: Folds
) -> tuple[float | None, int | None]:
    """Give how many of these the lost texts must be expected to hold, and among how many places.

    The number of times the written letters stand there, times the share of such places in the
    survivors where the original had the other letters; for none or several letters written, the
    rate itself, on the letters that are still there.
    """
    if not written:
        return None, None
    copy = folds.fold(encode(confusion.copy))
    original = folds.fold(encode(confusion.original))
    if len(copy) == 1:
        return written[copy] * confusion.p_original_given_copy, written[copy]
    still_there = sum(text.count(original) for text in lost)
    expected = still_there * confusion.rate / (1 - confusion.rate) if confusion.rate < 1 else None
    return expected, still_there


def _by_pair(variants: Sequence[Variant]) -> defaultdict[tuple[str, str], list[Variant]]:
    """Give the variants in which letters were answered by others, by the letters as printed."""
    found: defaultdict[tuple[str, str], list[Variant]] = defaultdict(list)
    for variant in variants:
        if not is_left_out_whole(variant):
            pairs = [(decode(o), decode(c)) for o, c in variant.pairs]
            for pair in dict.fromkeys([(variant.original, variant.copy), *pairs]):
                found[pair].append(variant)
    return found


def _of_confusion(
    confusion: Confusion,
    some: Sequence[Variant],
    expected: tuple[float | None, int | None],
) -> Pattern:
    """Make the pattern of one recurring letter confusion."""
    causes = Counter(variant.cause for variant in some)
    return Pattern(
        pattern=f"{confusion.original} → {confusion.copy or NOTHING}",
        phenomenon=Phenomenon.SUBSTITUTION if confusion.copy else Phenomenon.OMISSION,
        cause=causes.most_common(1)[0][0] if causes else Cause.UNDETERMINED,
        count=confusion.count,
        chances=confusion.chances,
        low=confusion.low,
        high=confusion.high,
        expected_in_lost=expected[0],
        places_in_lost=expected[1],
        where=tuple(str(locus) for locus in confusion.loci[:EXAMPLES]),
        systematic=confusion.systematic,
        letters=(confusion.original, confusion.copy),
        **_shown(some),
    )


def _shown(some: Sequence[Variant]) -> Shown:
    """Give the examples of a pattern, in different words first, and how many made a known word."""
    other_words = {(v.original_words, v.copy_words): v for v in reversed(some)}.values()
    chosen = sorted(other_words, key=lambda variant: variant.number)[:EXAMPLES]
    judged = [variant.makes_word for variant in some if variant.makes_word is not None]
    return {
        "example": _example(some[0]) if some else "",
        "examples": tuple(f"{variant.locus} {_example(variant)}" for variant in chosen),
        "judged": len(judged),
        "made_word": sum(judged),
    }


def _of_group(
    name: str,
    phenomenon: Phenomenon,
    cause: Cause,
    some: Sequence[Variant],
    whole: Score | None,
    in_lost: int | None,
    confidence: float,
) -> Pattern:
    """Make the pattern of all variants of one kind."""
    chances = max(whole.chances if whole else 0, len(some))
    low, high = _limits(len(some), chances, whole, confidence) if whole else (0.0, 1.0)
    return Pattern(
        pattern=name,
        phenomenon=phenomenon,
        cause=cause,
        count=len(some),
        chances=chances,
        low=low,
        high=high,
        expected_in_lost=len(some) / chances * in_lost if in_lost is not None and whole else None,
        places_in_lost=in_lost if whole else None,
        where=tuple(str(variant.locus) for variant in some[:EXAMPLES]),
        **_shown(some),
    )


def _limits(count: int, chances: int, whole: Score, confidence: float) -> tuple[float, float]:
    """Give the interval of one kind's rate: Jeffreys' on counts divided by the design effect of its cause.

    How much pages that differ widen the interval of the cause as a whole is known; it is taken to hold
    for each kind in it.
    """
    plain = jeffreys(whole.errors, whole.chances, confidence)
    wider = (whole.high - whole.low) / (plain[1] - plain[0])
    effect = max(wider**2, 1.0)
    low, high = jeffreys(count / effect, chances / effect, confidence)
    return min(low, count / chances), max(high, count / chances)


def _example(variant: Variant) -> str:
    """Give the words of a variant, of what was moved the letters themselves, a long stretch in short."""
    if variant.moved:
        return f"{in_short(variant.original.strip())} → {in_short(variant.copy.strip())}"
    if is_left_out_whole(variant) and variant.copy_words:
        return f"{in_short(variant.original.strip())} left out"
    if variant.cause is Cause.LATER_HAND and variant.copy:
        return f"{in_short(variant.copy.strip())} copied as text"
    if variant.phenomenon is Phenomenon.ADDITION and _in_whole_words(variant):
        return f"{in_short(variant.copy.strip())} put in after {in_short(variant.original_words)}"
    return f"{in_short(variant.original_words)} → {in_short(variant.copy_words) or NOTHING}"
