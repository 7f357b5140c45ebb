"""The rows of the review list: patterns, habits in words, rates by circumstance.

Arrives: ``Pattern``s and ``Habit``s. Leaves: rows. Start reading at ``pattern_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.accounts import account, consequence, told_parallel, told_value
from fidelity.apparatus.cells import RATE, Cell, Row, rate_cells, significant
from fidelity.terms import Habit, Pattern, Tendency, Undone

PATTERN_COLUMNS = (
    *("pattern", "phenomenon", "cause", "count", "chances"),
    *(*RATE, "where", "example", "expected_in_lost", "places_in_lost"),
    *("judged", "made_word", "unknown_to_known", "known_to_known", "look_at", "effect", "examples"),
)
HABIT_COLUMNS = (
    *("original", "copy", "count", "chances", *RATE, "expected", "systematic"),
    *("more_often", "less_often", "words", "parallels", "account"),
)
LOOK_COLUMNS = ("pattern", "locus", "transmitted", "undone", "both_words", "not_where_he_did_it")
LOOKS = 10  # places of the lost texts shown for each pattern; look_at.csv has all
CIRCUMSTANCE_COLUMNS = (
    *("original", "copy", "circumstance", "value", "count", "chances", *RATE),
    *("words", "p_value", "q_value", "tendency"),
)


def pattern_rows(patterns: Sequence[Pattern]) -> list[Row]:
    """Give the error patterns to review."""
    return [_pattern_row(pattern) for pattern in patterns]


def _pattern_row(pattern: Pattern) -> Row:
    """Give the row of one pattern."""
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
        "places_in_lost": pattern.places_in_lost,
        "judged": pattern.judged,
        "made_word": pattern.made_word,
        "unknown_to_known": undoing.unknown_to_known if undoing else None,
        "known_to_known": undoing.known_to_known if undoing else None,
        "look_at": tuple(look_at(pattern)[:LOOKS]),
        "effect": " ".join(consequence(pattern)),
        "examples": pattern.examples,
    }


def look_at(pattern: Pattern) -> list[str]:
    """Cite the places of the lost texts to look at: what stands there, and what it would be undone."""
    looks = pattern.undoing.looks if pattern.undoing else ()
    return [f"{one.locus} {one.transmitted} ({one.undone}{_remark(one)})" for one in looks]


def _remark(one: Undone) -> str:
    """Say what speaks against a place."""
    both, unlike = (", both words" if one.is_word else ""), (", not where he did it" if one.unlike else "")
    return both + unlike


def look_rows(patterns: Sequence[Pattern]) -> list[Row]:
    """Give every place of the lost texts to look at, pattern by pattern."""
    return [
        {
            "pattern": pattern.pattern,
            "locus": str(one.locus),
            "transmitted": one.transmitted,
            "undone": one.undone,
            "both_words": one.is_word,
            "not_where_he_did_it": one.unlike,
        }
        for pattern in patterns
        for one in (pattern.undoing.looks if pattern.undoing else ())
    ]


def _cut(value: float | None) -> Cell:
    return None if value is None else significant(value)


def habit_rows(habits: Sequence[Habit], confidence: float, level: float) -> list[Row]:
    """Give each habit in numbers and in words; ``level`` is the false-discovery rate of a find."""
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
            "parallels": tuple(map(told_parallel, habit.in_print)),
            "account": " ".join(account(habit, confidence, level)),
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
