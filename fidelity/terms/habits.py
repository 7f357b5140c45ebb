"""A confusion told in full: under which circumstances it happens, and who has seen it elsewhere.

Shares and limits are 0-1; fields are as printed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from fidelity.in_notebook import Shown
from fidelity.terms.variation import Confusion


class Circumstance(StrEnum):
    """What a confusion may depend on."""

    PLACE = "place_in_word"
    BEFORE = "letter_before"
    AFTER = "letter_after"
    WORD = "word"
    SCRIPT = "script"
    HAND = "hand"
    LANGUAGE = "language"
    TEXT = "text"


class Tendency(StrEnum):
    """Whether a confusion happens more or less often under one circumstance than under the others."""

    MORE = "more often"
    LESS = "less often"
    NONE = ""


@dataclass(frozen=True)
class CircumstanceRate:
    """How often a confusion happened under one circumstance.

    Attributes:
        original, copy: the confusion.
        circumstance: what is looked at.
        value: what it is here ("last", "ꞇ", "insular", ...).
        count, chances: how often, out of how many.
        words: in how many different words it happened.
        rate: share of the chances, drawn towards the confusion's rate under all values together as far
            as the chances here are few and the confusions at large depend little on this circumstance.
        low, high: limits of its interval.
        p_value: probability that a value which changes nothing differs as much from the rest.
        q_value: false-discovery rate over all values of this circumstance of all confusions tested.
        tendency: more or less often than under the other values; "" where that is not shown.
    """

    original: str
    copy: str
    circumstance: Circumstance
    value: str
    count: int
    chances: int
    words: int
    rate: float
    low: float
    high: float
    p_value: float = 1.0
    q_value: float = 1.0
    tendency: Tendency = Tendency.NONE


@dataclass(frozen=True)
class InPrint:
    """A published letter confusion that is the same as one of his: a parallel, not a count.

    Attributes:
        id: number in ``confusion_tables/letter_confusions.tsv``.
        script: the script it was seen in.
        original, misread: the letters as they stand there.
        direction: "one-way", "pair" (printed without direction) or "reversed" (printed the other way round).
        source, locator: who says so, and where.
        basis: whether the source was read or is cited from memory.
        his_script: whether it is a script of the originals in which he made this confusion.
    """

    id: str
    script: str
    original: str
    misread: str
    direction: str
    source: str
    locator: str
    basis: str
    his_script: bool


@dataclass(frozen=True)
class Habit(Shown):
    """One confusion with its circumstances and its parallels in print.

    Attributes:
        confusion: with count, chances, rate and interval.
        words: the different words it happened in, normalised, the most frequent first.
        rates: by circumstance and value; those that could make a difference.
        in_print: published parallels, those of his script first.
    """

    confusion: Confusion
    words: tuple[str, ...]
    rates: tuple[CircumstanceRate, ...]
    in_print: tuple[InPrint, ...]
