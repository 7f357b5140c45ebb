"""Tests for what hand, eye and habit do to letters and words.

Arrives: a variant and the facts. Leaves: what made the test fit, as printed, or "". Start reading at
``spelling_habit``.
"""

from __future__ import annotations

from fidelity.causes.facts import Facts, Pair, both, conventions, is_whole_words, one_word, shown, step
from fidelity.causes.marks import nasal_stroke
from fidelity.letters import encode
from fidelity.terms import Phenomenon, Variant
from fidelity.variants.events import MINIMS

HABIT_SHARE = 0.1  # of chances: a conventional exchange done so often is a habit (chosen)
SYSTEMATIC_SHARE = 0.01  # of chances: so is one beyond chance that he makes this often; a rarer one is a slip
OWN_HABIT_SHARE, OWN_HABIT_COUNT = 0.3, 10  # an exchange no convention names, done as a rule (chosen)
STROKES_APART = 1  # minims miscounted by one stroke still count as minims (trade practice)
OTHER_WORD_FROM = 2  # letters changed; a single one that happens to make a word is no other word yet
PERHAPS_ANOTHER = 1 / 3  # of a word's letters changed: perhaps another word, though unknown (chosen)


def spelling_habit(variant: Variant, facts: Facts) -> str:
    """He does it as a rule: a conventional exchange of letters, or any that he makes very often."""
    if variant.replaced or variant.phenomenon in (Phenomenon.DIVISION, Phenomenon.TRANSPOSITION):
        return ""
    if nasal_stroke(variant, facts):
        return ""  # strokes that he overlooks often are still strokes
    each = [_habit(pair, facts) for pair in facts.folded(variant)]
    return "; ".join(each) if all(each) else _habit(facts.both(variant), facts)


def _habit(pair: Pair, facts: Facts) -> str:
    """Say how often he makes this exchange, if it is a habit of his."""
    count, chances = facts.shares.get(pair, (0, 0))
    if not chances:
        return ""
    least = SYSTEMATIC_SHARE if pair in facts.systematic else HABIT_SHARE
    often = count >= least * chances
    conventional = pair in conventions() and often
    as_a_rule = count >= OWN_HABIT_COUNT and count >= OWN_HABIT_SHARE * chances
    return f"{step(*pair)} {count} times of {chances}" if conventional or as_a_rule else ""


def modernised(variant: Variant, facts: Facts) -> str:
    """The copy has a later form of the same word, as the editor's table has it."""
    if not facts.modern or variant.phenomenon is Phenomenon.DIVISION:
        return ""
    original = one_word(encode(variant.original_words), facts.folds).lower()
    copy = one_word(encode(variant.copy_words), facts.folds).lower()
    later = copy in facts.modern.get(original, ())
    return f"{shown(copy)} is a later form of {shown(original)}" if later else ""


def metathesis(variant: Variant, facts: Facts) -> str:
    """The same letters, or words, in another order."""
    return step(*both(variant)) if variant.phenomenon is Phenomenon.TRANSPOSITION else ""


def minims(variant: Variant, facts: Facts) -> str:
    """Both are runs of minims, with the minims that were kept beside them, of like stroke count."""
    if variant.phenomenon is Phenomenon.DIVISION or not _strokes_of(variant, facts):
        return ""
    original, copy = _runs(variant, facts)
    counts = _strokes(original), _strokes(copy)
    if not original or not copy or abs(counts[0] - counts[1]) > STROKES_APART:
        return ""
    strokes = str(counts[0]) if counts[0] == counts[1] else f"{counts[0]} and {counts[1]}"
    return f"{step(original, copy)}: {strokes} strokes"


def _strokes(letters: str) -> int:
    return sum(MINIMS[letter] for letter in letters)


def _strokes_of(variant: Variant, facts: Facts) -> bool:
    """Tell whether all that was changed is minims; of nothing there is one stroke at most."""
    original, copy = facts.both(variant)
    if any(letter not in MINIMS for letter in original + copy):
        return False
    return bool(original and copy) or _strokes(original + copy) <= STROKES_APART


def _runs(variant: Variant, facts: Facts) -> Pair:
    """Give both sides, where one is nothing with the minims kept on either side of it."""
    original, copy = facts.both(variant)
    if original and copy:
        return original, copy
    letters = facts.alignment.original.letters
    start, end = variant.original_span
    before = facts.folds.fold(letters[start - 1 : start]) if start else ""
    after = facts.folds.fold(letters[end : end + 1])
    before, after = (x if x in MINIMS else "" for x in (before, after))
    return before + original + after, before + copy + after


def letter_confusion(variant: Variant, facts: Facts) -> str:
    """Letters taken for others: in print for this script, or beyond chance in this copyist.

    Of letters changed side by side one that is so explained is enough: where the eye misreads a
    group, its other letters are made to fit.
    """
    if variant.replaced or variant.phenomenon is not Phenomenon.SUBSTITUTION or nasal_stroke(variant, facts):
        return ""  # a stroke overlooked is no letter taken for another, however often it happens
    whole = _known(facts.both(variant), variant, facts)
    if whole or len(variant.pairs) == 1:
        return whole
    return "; ".join(filter(None, (_known(pair, variant, facts) for pair in facts.folded(variant))))


def _known(pair: Pair, variant: Variant, facts: Facts) -> str:
    """Say by what an answer is known as a confusion."""
    if not pair[1] or pair[0] == pair[1]:
        return ""
    if pair in facts.systematic:
        count, chances = facts.shares.get(pair, (0, 0))
        return f"{step(*pair)} {count} times of {chances}, beyond chance"
    source = facts.published(variant).get(pair)
    return f"{step(*pair)} in print: {source}" if source else ""


def word_substitution(variant: Variant, facts: Facts) -> str:
    """Another word stands for the original's: most of it changed, or several letters to a known word."""
    if variant.replaced:
        return f"{shown(encode(variant.copy_words))} for {shown(encode(variant.original_words))}"
    changed = max(map(len, both(variant)))
    if variant.phenomenon is not Phenomenon.SUBSTITUTION or changed < OTHER_WORD_FROM:
        return ""
    copy = one_word(encode(variant.copy_words), facts.folds)
    original = one_word(encode(variant.original_words), facts.folds)
    other = bool(original) and original != copy and copy in facts.words
    return f"{shown(copy)} is a word of the originals" if other else ""


def perhaps_another_word(variant: Variant, facts: Facts) -> str:
    """As a rival only: a known word came of it, or so much of a short word was changed."""
    original, copy = facts.both(variant)
    words = (one_word(encode(side), facts.folds) for side in (variant.original_words, variant.copy_words))
    was, became = words
    if variant.phenomenon is not Phenomenon.SUBSTITUTION or not was or not became or was == became:
        return ""
    if became in facts.words:
        return f"{shown(became)} is a word of the originals"
    changed = max(len(original), len(copy)) / max(len(was), len(became))
    return f"{changed:.0%} of the word changed" if changed >= PERHAPS_ANOTHER else ""


def interpolation(variant: Variant, facts: Facts) -> str:
    """Words were put in, and no other test says why."""
    letters = facts.alignment.copy.letters
    if variant.phenomenon is not Phenomenon.ADDITION or not is_whole_words(letters, *variant.copy_span):
        return ""
    return f"{shown(letters[slice(*variant.copy_span)])} put in"
