"""Turn the rules behind the proposals, and what the lost texts have that is new, into rows.

Arrives: ``RuleUse``s, ``RulePlace``s and ``Shift``s. Leaves: the rows of ``consistency.csv``,
``consistency_places.csv`` and ``transfer.csv``, and sentences. Start reading at ``rule_rows``.
"""

from __future__ import annotations

from collections.abc import Sequence

from fidelity.apparatus.cells import Row, significant
from fidelity.terms import RulePlace, RuleUse, Shift

NEAREST = 5  # tests of a shift that are no finds, shown on the page
RULE_COLUMNS = (
    *("rule", "text", "where", "places", "proposed", "possible", "left", "would_be_known", "both_known"),
    *("word_lost", "both_unknown", "survivor_places", "right", "wrong", "otherwise", "share_right", "low"),
    *("high", "wrong_at", "by"),
)
PLACE_COLUMNS = (
    "rule",
    "text",
    "same",
    "locus",
    "word",
    "undone",
    "context",
    "probability",
    "outcome",
    "why",
    "by",
)
SHIFT_COLUMNS = (
    *("text", "kind", "what", "share", "low", "high", "survivor_share", "p_value", "q_value", "found"),
    *("factor", "chance", "from", "to", "withheld", "example"),
)


def rule_rows(uses: Sequence[RuleUse]) -> list[Row]:
    """Give what became of each rule; ``share_right`` and its limits are shares of survivor_places, 0-1.

    They are empty where the survivors tell nothing of a rule.
    """
    return [
        {
            "rule": one.rule,
            "text": one.text,
            "where": one.where,
            "places": one.places,
            "proposed": one.proposed,
            "possible": one.possible,
            "left": one.left,
            "would_be_known": one.would_be_known,
            "both_known": one.both_known,
            "word_lost": one.word_lost,
            "both_unknown": one.both_unknown,
            "survivor_places": one.survivor_places,
            "right": one.right,
            "wrong": one.wrong,
            "otherwise": one.survivor_places - one.right - one.wrong,
            "share_right": significant(one.right / one.survivor_places) if one.is_tested else None,
            "low": significant(one.low) if one.is_tested else None,
            "high": significant(one.high) if one.is_tested else None,
            "wrong_at": one.wrong_at,
            "by": one.by,
        }
        for one in uses
    ]


def place_rows(places: Sequence[RulePlace]) -> list[Row]:
    """Give the places at which a rule is followed here and not there."""
    return [
        {
            "rule": one.rule,
            "text": one.text,
            "same": one.same,
            "locus": str(one.locus),
            "word": one.word,
            "undone": one.undone,
            "context": one.context,
            "probability": None if one.probability is None else significant(one.probability),
            "outcome": _outcome(one),
            "why": one.why,
            "by": one.by,
        }
        for one in places
    ]


def _outcome(one: RulePlace) -> str:
    if one.decided:
        return one.decided
    if one.probability is None:
        return "left"
    return "proposed" if one.probability >= 0.5 else "possible"


def _cut(value: float | None) -> float | None:
    return None if value is None else significant(value)


def headline_shifts(shifts: Sequence[Shift]) -> list[Shift]:
    """Give those shown on the page: what is tested once for a text, all finds, and the nearest to one."""
    tested = [one for one in shifts if one.q_value is not None]
    found = [one for one in tested if one.found]
    nearest = sorted((one for one in tested if not one.found), key=lambda one: one.q_value or 0.0)
    return [one for one in shifts if one.q_value is None] + found + nearest[:NEAREST]


def shift_rows(shifts: Sequence[Shift]) -> list[Row]:
    """Give the ways in which the lost texts lie outside the evidence, or differ from it."""
    return [
        {
            "text": one.text,
            "kind": one.kind,
            "what": one.what,
            "share": significant(one.share),
            "low": _cut(one.low),
            "high": _cut(one.high),
            "survivor_share": _cut(one.survivor_share),
            "p_value": _cut(one.p_value),
            "q_value": _cut(one.q_value),
            "found": one.found,
            "factor": significant(one.factor),
            "chance": significant(one.chance),
            "from": None if one.span is None else one.span[0],
            "to": None if one.span is None else one.span[1],
            "withheld": one.withheld,
            "example": one.example,
        }
        for one in shifts
    ]
