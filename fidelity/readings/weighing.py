"""Weigh all readings of a unit, the transmitted one and something else among them.

Arrives: a unit, readings of it, the calibration. Leaves: ``Weights``, which sum to 1. Start reading at
``weighed``: whoever asks how probable readings of a unit are asks here, so that all agree.

Where something is known beside the copy (``beside.py``), the calibrated probabilities are what is believed
before it is heard; Bayes' rule does the rest. Where nothing is, they stay as they are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from fidelity.readings.beside import OTHER, Telling
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.carried import Carried
from fidelity.readings.features import log_odds

if TYPE_CHECKING:
    from fidelity.readings.calibrating import Calibration  # which asks here what was heard


@dataclass(frozen=True)
class Weights:
    """How probable the readings of a unit are.

    Attributes:
        words: of each reading asked about, in order.
        transmitted: of the transmitted one; where nothing is known beside the copy, of anything else.
        other: that the original had something else; 0 where nothing is known beside the copy.
        evidence: log of how probable what is known beside the copy was, whatever the original had; nats.
    """

    words: tuple[float, ...]
    transmitted: float
    other: float = 0.0
    evidence: float = 0.0


def weighed(unit: Unit, words: Sequence[Candidate], calibration: Calibration) -> Weights:
    """Give the probability of each of these whole readings of a unit, and of the transmitted one.

    Args:
        unit: with what is known beside it.
        words: readings of all of it.
        calibration: what the features of a reading are worth.
    """
    before = before_it_is_heard(unit, words, calibration)
    if unit.beside is None:
        return before
    heard = _heard(unit, words, before, unit.beside)
    return _carried(unit, words, heard, calibration.heard) if calibration.heard and unit.plainly else heard


def named_probability(unit: Unit, calibration: Calibration) -> float:
    """Give the probability of the readings that what is known beside a unit names, all together, 0-1."""
    words = (*unit.words, *unit.further)
    found = weighed(unit, words, calibration).words
    return min(sum(p for one, p in zip(words, found, strict=True) if one.proposed in unit.plainly), 1.0)


def _carried(unit: Unit, words: Sequence[Candidate], heard: Weights, carried: Carried) -> Weights:
    """Let the readings that are named have what such readings were worth on the survivors."""
    named = [one.proposed in unit.plainly for one in words]
    p = sum(p for is_named, p in zip(named, heard.words, strict=True) if is_named)
    if not 0 < p < 1:
        return heard
    worth = carried.probability(log_odds(p))
    scale, others = worth / p, (1 - worth) / (1 - p)
    return Weights(
        tuple(p * (scale if is_named else others) for is_named, p in zip(named, heard.words, strict=True)),
        heard.transmitted * others,
        heard.other * others,
        heard.evidence,
    )


def before_it_is_heard(unit: Unit, words: Sequence[Candidate], calibration: Calibration) -> Weights:
    """Give the same before what is known beside the copy is brought to bear."""
    found = [_before(unit, one, calibration) for one in words]
    total = sum(found)
    if total > 1:
        found = [p / total for p in found]
    left = max(1.0 - sum(found), 0.0)
    if unit.beside is None:
        return Weights(tuple(found), left)
    corrupt = calibration.corrupt_probability(unit) if unit.doubt else 0.0
    other = max(min(corrupt, 1.0) - sum(found), calibration.unsuspected * left, 0.0)
    return Weights(tuple(found), max(left - other, 0.0), other)


def _before(unit: Unit, one: Candidate, calibration: Calibration) -> float:
    """Give the probability of a reading before what is known beside the copy is heard.

    Of one that this names, no more than plain Bayes says: it may be as improbable as can be, and the
    calibration, learned on what a restoration thinks of by itself, does not reach there.
    """
    p = calibration.probability(one)
    odds = unit.plainly.get(one.proposed)
    return p if odds is None else min(p, math.exp(min(odds, 0.0)))


def _heard(unit: Unit, words: Sequence[Candidate], before: Weights, beside: Telling) -> Weights:
    """Bring to bear what is known beside the copy."""
    names = [*(one.proposed for one in words), unit.transmitted, OTHER]
    likelihoods = [beside.log_likelihood(name) for name in names]
    best = max(likelihoods)
    shares = (*before.words, before.transmitted, before.other)
    found = [p * math.exp(one - best) for p, one in zip(shares, likelihoods, strict=True)]
    total = math.fsum(found)
    if not total:
        return before
    *after, transmitted, other = (p / total for p in found)
    return Weights(tuple(after), transmitted, other, best + math.log(total))


def weighed_letters(unit: Unit, calibration: Calibration) -> list[float]:
    """Give the probability of each single letter that may be proposed in a unit, 0-1.

    What is known beside the copy bears on the letter as on the unit with that letter in it.
    """
    found = calibration.letter_probabilities(unit)
    if unit.beside is None or not found:
        return found
    whole = before_it_is_heard(unit, (*unit.words, *unit.further), calibration)
    return [
        _letter_heard(unit, one, p, whole, unit.beside) for one, p in zip(unit.letters, found, strict=True)
    ]


def _letter_heard(unit: Unit, one: Candidate, p: float, whole: Weights, beside: Telling) -> float:
    """Bring to bear on a single letter what is known: it is right, the transmitted is, or neither."""
    at = one.start - unit.start
    edited = unit.transmitted[:at] + one.proposed + unit.transmitted[at + one.end - one.start :]
    transmitted = min(whole.transmitted, 1.0 - p)
    shares = (p, transmitted, max(1.0 - p - transmitted, 0.0))
    likelihoods = [beside.log_likelihood(name) for name in (edited, unit.transmitted, OTHER)]
    best = max(likelihoods)
    found = [share * math.exp(each - best) for share, each in zip(shares, likelihoods, strict=True)]
    total = math.fsum(found)
    return found[0] / total if total else p
