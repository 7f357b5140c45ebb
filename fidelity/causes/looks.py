"""Where in the lost texts to look for each kind of error.

Arrives: patterns, the habits told in full, and the words of the lost texts. Leaves: the patterns with
what undoing them would do. Start reading at ``with_looks``.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from fidelity.causes.patterns import DIVIDED, JOINED
from fidelity.causes.undone import Fits, LostWords, anywhere
from fidelity.confusions.surroundings import PLACES
from fidelity.letters import encode
from fidelity.terms import Cause, Circumstance, CircumstanceRate, Habit, Pattern, Tendency, Undoing
from fidelity.witnesses.folds import Folds

WITHIN_WORDS = (Circumstance.PLACE, Circumstance.BEFORE, Circumstance.AFTER)


def with_looks(
    patterns: Sequence[Pattern],
    habits: Sequence[Habit],
    words: LostWords,
    modern: Mapping[str, Collection[str]],
    folds: Folds,
) -> list[Pattern]:
    """Say of every pattern that can be undone word by word what that would do to the lost texts.

    Args:
        patterns: the kinds of error; confusions that may be chance are not undone.
        habits: confusions told in full, by which places like his are known.
        words: of the lost texts.
        modern: word -> its later forms, all normalised.
        folds: letterforms counted as equal.
    """
    fits = {(one.confusion.original, one.confusion.copy): where_he_did_it(one, folds) for one in habits}
    return [replace(one, undoing=_undoing(one, fits, words, modern)) for one in patterns]


def _undoing(
    pattern: Pattern,
    fits: Mapping[tuple[str, str], Fits],
    words: LostWords,
    modern: Mapping[str, Collection[str]],
) -> Undoing | None:
    """Undo one kind of error; None where that cannot be done word by word."""
    if pattern.letters is not None:
        original, copy = map(encode, pattern.letters)
        like_his = fits.get(pattern.letters, anywhere)
        if pattern.cause is Cause.HAPLOGRAPHY and not copy:
            return words.confusion(2 * original, original)  # one for two of them, wherever
        return words.confusion(original, copy, like_his) if pattern.systematic else None
    if pattern.pattern in (JOINED, DIVIDED):
        return words.joined() if pattern.pattern == JOINED else words.divided()
    if pattern.cause is Cause.HAPLOGRAPHY:
        return words.once_for_twice()
    if pattern.cause is Cause.DITTOGRAPHY:
        return words.twice_for_once()
    return words.later_forms(modern) if pattern.cause is Cause.MODERNISED else None


def where_he_did_it(habit: Habit, folds: Folds) -> Fits:
    """Tell at which places of a word a confusion happened, as far as the survivors show a difference.

    A place is none of his where it has a value under which it happened less often, and never; or, where
    all of it happened under values that make it more frequent, any other value of that circumstance.
    """
    shut: dict[Circumstance, set[str]] = {}
    only: dict[Circumstance, set[str]] = {}
    for kind in WITHIN_WORDS:
        rates = [one for one in habit.rates if one.circumstance is kind]
        never = {_folded(one, folds) for one in rates if one.tendency is Tendency.LESS and not one.count}
        more = [one for one in rates if one.tendency is Tendency.MORE]
        met = {_folded(one, folds) for one in rates if one.count}
        shut[kind] = never - met
        if more and sum(one.count for one in more) == sum(one.count for one in rates):
            only[kind] = {_folded(one, folds) for one in more}

    def fits(word: str, start: int, end: int) -> bool:
        values = {
            Circumstance.PLACE: PLACES[(start == 0) + 2 * (end == len(word))],
            Circumstance.BEFORE: word[start - 1 : start] if start else "",
            Circumstance.AFTER: word[end : end + 1],
        }
        return not any(value in shut[kind] for kind, value in values.items()) and all(
            not values[kind] or values[kind] in allowed for kind, allowed in only.items()
        )

    return fits


def _folded(one: CircumstanceRate, folds: Folds) -> str:
    """Give a value as words are looked up: a letter small and folded, a place as it is."""
    return one.value if one.circumstance is Circumstance.PLACE else folds.fold(encode(one.value)).lower()
