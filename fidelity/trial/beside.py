"""The simple methods, tried in the same rounds of the blind test as the whole program.

Arrives: what was held out, and what each method would put for each word. Leaves: a ``MethodScore``
for each. Start reading at ``method_scores``. They change word by word; the places at which
something went wrong are those the whole program is judged by.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from fidelity.copyist.tagging import Tagged, word_spans
from fidelity.readings.held_out import HeldOut
from fidelity.terms import MethodScore, Witness
from fidelity.trial.interval import share_interval
from fidelity.trial.rounds import AS_TRANSMITTED, Answer, Rounds
from fidelity.trial.truth import Edit, Place, distance_after, places_in

METHOD_LEVELS = (0.5, 0.9)  # more likely than not, and sure enough to print
WHOLE = "fidelity"  # the whole program among the methods


@dataclass
class Fared:
    """How one method fared so far, at one probability.

    Attributes:
        changed, right: words, by page.
        survivors: page -> survivor.
        wrong, restored: places where the copy differs, and how many were restored in full.
        left: wrong letters left.
    """

    changed: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    survivors: dict[str, str] = field(default_factory=dict)
    wrong: int = 0
    restored: int = 0
    left: int = 0

    def note(self, place: Place, edits: Sequence[Edit], stretch: Tagged) -> None:
        """Note what was changed at one place."""
        self.survivors[place.page] = place.survivor
        for start, end, word in edits:
            self.changed[place.page] += 1
            self.right[place.page] += word == stretch.original(start, end)
        self.wrong += place.wrong
        if place.wrong and edits:
            self.restored += not distance_after(stretch, place.start, place.end, edits)

    def score(self, method: str, at_least: float | None, confidence: float) -> MethodScore:
        """Give the score."""
        return MethodScore(
            method,
            at_least,
            self.changed.total(),
            self.right.total(),
            *share_interval(self.right, self.changed, confidence, self.survivors),
            self.wrong,
            self.restored,
            self.left,
        )


def method_scores(
    held: Sequence[HeldOut],
    tagged: Sequence[Tagged],
    copies: Sequence[tuple[str, Witness]],
    rounds: Rounds,
    confidence: float,
) -> list[MethodScore]:
    """Score every simple method, at 0.5 and at 0.9 where it gives probabilities.

    Args:
        held: the held-out parts.
        tagged: the survivors' copies with the truth.
        copies: for each survivor its id and its copy.
        rounds: what each round knew.
        confidence: of the intervals, 0-1.
    """
    fared: dict[tuple[str, float | None], Fared] = {}
    for part in held:
        stretch = tagged[part.part.survivor]
        places = list(places_in(part, tagged, copies))
        left: dict[tuple[Edit, ...], int] = {}  # what changes the same leaves the same, as at 0.5 and 0.9
        for method, answers in rounds.noted[part.part.fold].answers.items():
            for level in _levels(answers, method):
                ours = fared.setdefault((method, level), Fared())
                edits: list[Edit] = []
                for place in places:
                    made = _edits(place, answers, level)
                    ours.note(place, made, stretch)
                    edits += made
                changed = tuple(edits)
                if changed not in left:
                    left[changed] = distance_after(stretch, part.part.start, part.part.end, changed)
                ours.left += left[changed]
    return [ours.score(method, level, confidence) for (method, level), ours in fared.items()]


def _levels(answers: Mapping[str, Answer], method: str) -> tuple[float | None, ...]:
    """Give the probabilities a method is tried at; None for one that gives none."""
    gives = method != AS_TRANSMITTED and any(p is not None for _, p in answers.values())
    return METHOD_LEVELS if gives else (None,)


def _edits(place: Place, answers: Mapping[str, Answer], level: float | None) -> list[Edit]:
    """Give what a method changes at one place."""
    edits = []
    for first, last in word_spans(place.unit.transmitted):
        word = place.unit.transmitted[first:last]
        other, probability = answers.get(word, (word, None))
        sure = level is None or (probability is not None and probability >= level)
        if other != word and sure:
            edits.append((place.start + first, place.start + last, other))
    return edits
