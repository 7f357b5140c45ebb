"""The rows of the review list: patterns, habits in words, rates by circumstance.

Arrives: ``Pattern``s and ``Habit``s. Leaves: rows. Start reading at ``pattern_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.accounts import account, consequence, told_parallel, told_value
from fidelity.apparatus.cells import RATE, Cell, Row, rate_cells, significant
from fidelity.terms import Habit, Pattern, Tendency

PATTERN_COLUMNS = (
    *("pattern", "phenomenon", "cause", "count", "chances"),
    *(*RATE, "where", "example", "expected_in_lost", "expected_low", "expected_high", "places_in_lost"),
    *("judged", "made_word", "unknown_to_known", "known_to_known", "look_at", "effect", "examples"),
)
HABIT_COLUMNS = (
    *("original", "copy", "count", "chances", *RATE, "expected", "systematic"),
    *("more_often", "less_often", "words", "in_print", "account"),
)
CIRCUMSTANCE_COLUMNS = (
    *("original", "copy", "circumstance", "value", "count", "chances", *RATE),
    *("words", "p_value", "q_value", "tendency"),
)


def pattern_rows(patterns: Sequence[Pattern]) -> list[Row]:
    """Give the error patterns to review."""
    return [_pattern_row(pattern) for pattern in patterns]


def _pattern_row(pattern: Pattern) -> Row:
    """Give the row of one pattern."""
    low, high = pattern.expected_limits or (None, None)
    undoing = pattern.undoing
    return {
        "pattern": pattern.pattern,
        "phenomenon": str(pattern.phenomenon),
        "cause": str(pattern.cause),
        "count": pattern.count,
        "chances": pattern.chances,
        **rate_cells(pattern.count, pattern.chances, pattern.low, pattern.high),
        "where": pattern.where,
        "example": pattern.example,
        "expected_in_lost": _cut(pattern.expected_in_lost),
        "expected_low": _cut(low),
        "expected_high": _cut(high),
        "places_in_lost": pattern.places_in_lost,
        "judged": pattern.judged,
        "made_word": pattern.made_word,
        "unknown_to_known": undoing.unknown_to_known if undoing else None,
        "known_to_known": undoing.known_to_known if undoing else None,
        "look_at": tuple(look_at(pattern)),
        "effect": " ".join(consequence(pattern)),
        "examples": pattern.examples,
    }


def look_at(pattern: Pattern) -> list[str]:
    """Cite the places of the lost texts to look at first: what stands there, and what it would be undone."""
    looks = pattern.undoing.looks if pattern.undoing else ()
    return [
        f"{one.locus} {one.transmitted} ({one.undone}{', both words' if one.is_word else ''})"
        for one in looks
    ]


def _cut(value: float | None) -> Cell:
    return None if value is None else significant(value)


def habit_rows(habits: Sequence[Habit], confidence: float) -> list[Row]:
    """Give each habit in numbers and in words."""
    return [
        {
            "original": habit.confusion.original,
            "copy": habit.confusion.copy,
            "count": habit.confusion.count,
            "chances": habit.confusion.chances,
            **rate_cells(
                habit.confusion.count, habit.confusion.chances, habit.confusion.low, habit.confusion.high
            ),
            "expected": significant(habit.confusion.expected),
            "systematic": habit.confusion.systematic,
            "more_often": _values(habit, Tendency.MORE),
            "less_often": _values(habit, Tendency.LESS),
            "words": habit.words,
            "in_print": tuple(map(told_parallel, habit.in_print)),
            "account": " ".join(account(habit, confidence)),
        }
        for habit in habits
    ]


def _values(habit: Habit, tendency: Tendency) -> tuple[str, ...]:
    return tuple(told_value(one) for one in habit.rates if one.tendency is tendency)


def circumstance_rows(habits: Sequence[Habit]) -> list[Row]:
    """Give the rate of every habit under every circumstance; it is drawn towards the rate above it."""
    return [
        {
            "original": one.original,
            "copy": one.copy,
            "circumstance": str(one.circumstance),
            "value": one.value,
            "count": one.count,
            "chances": one.chances,
            **dict(
                zip(RATE, (significant(1000 * share) for share in (one.rate, one.low, one.high)), strict=True)
            ),
            "words": one.words,
            "p_value": significant(one.p_value),
            "q_value": significant(one.q_value),
            "tendency": str(one.tendency),
        }
        for habit in habits
        for one in habit.rates
    ]
