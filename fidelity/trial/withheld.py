"""Draw down the probability of proposals that rest on a spelling which has shifted.

Arrives: proposals and the shifts found. Leaves: the proposals, those concerned made less probable, with
the reason. Start reading at ``withheld``.

Calibration on survivors says how often such a proposal was right where the spellings stood as they stand
in the survivors. A shift has two explanations that the copy alone cannot tell apart, and what remains
supported is the less favourable. Let w be written for o. Where w has become rarer, either he writes it for
o less often, and the odds that a w was an o fall by about the factor by which the odds of the spelling
have; or the exemplar had o more often, which speaks for the proposal. Where w has become commoner, either
he writes it for o more often, which speaks for the proposal; or the exemplar itself had w. If he goes on as
in the survivors, where a share S of the places (nearly all o) became w, and now a share T is w, the
exemplar had o in (1 - T) / (1 - S) of the places, and a w was an o with probability
(1 - T) / T x S / (1 - S): the *probability*, not its odds, is divided by the factor.

A shift that is no find may be one all the same. The probability is then the mean of both cases, weighed by
the chance that it is one; where this is very small, nothing is changed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace

from fidelity.readings.calibrating import SETTLED
from fidelity.terms import POSSIBLE, PROPOSED, ProposedReading, Shift
from fidelity.trial.shifted import LEAST_FACTOR

LEAST_CHANCE = 0.03  # of a shift; below it a probability would change by less than it is sure to
LEAST_DOUBT = 1e-9  # stands for none where one divides by it


def withheld(
    readings: Sequence[ProposedReading], shifts: Sequence[Shift]
) -> tuple[list[ProposedReading], list[Shift]]:
    """Draw down what rests on shifted rules.

    Args:
        readings: proposals with the probabilities the survivors support.
        shifts: of all lost texts.

    Returns:
        The proposals in the same order, and the shifts, each with how many proposals it touched.
    """
    acting: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for number, shift in enumerate(shifts):
        if shift.chance >= LEAST_CHANCE and shift.factor >= LEAST_FACTOR:
            for rule in {shift.what, _opposite(shift.what)}:
                acting[shift.text, rule].append(number)
    touched: Counter[int] = Counter()
    done = []
    for reading in readings:
        found = {
            (step, number): shifts[number]
            for step in reading.steps
            for number in acting.get((reading.text, step), ())
            if _inside(reading, shifts[number])
        }
        touched.update({number for _, number in found})
        done.append(_drawn_down(reading, [(step, one) for (step, _), one in found.items()]))
    return done, [replace(one, withheld=touched[number]) for number, one in enumerate(shifts)]


def _opposite(rule: str) -> str:
    """Give a rule the other way round, as printed."""
    return "→".join(reversed(rule.split("→")))


def _inside(reading: ProposedReading, shift: Shift) -> bool:
    """Tell whether a proposal stands in the part of the text that a shift concerns."""
    return shift.span is None or shift.span[0] <= reading.copy_span[0] < shift.span[1]


def _drawn_down(reading: ProposedReading, found: Sequence[tuple[str, Shift]]) -> ProposedReading:
    """Draw a proposal down for each of its steps that has shifted, by what speaks most against it."""
    if not found:
        return reading
    worst: dict[str, tuple[float, Shift]] = {}
    for step, shift in found:
        p = _supported(reading.probability, step, shift)
        if step not in worst or p < worst[step][0]:
            worst[step] = (p, shift)
    p = reading.probability
    for step, (_, shift) in worst.items():
        p = _supported(p, step, shift)
    lost = reading.probability - p
    alternatives = tuple(
        (text, share + lost if text == reading.transmitted else share) for text, share in reading.alternatives
    )
    return replace(
        reading,
        probability=p,
        verdict=PROPOSED if p >= SETTLED else POSSIBLE,
        alternatives=tuple(sorted(alternatives, key=lambda rival: (-rival[1], rival[0]))),
        note=_why(reading, [shift for _, shift in worst.values()]),
    )


def _supported(probability: float, step: str, shift: Shift) -> float:
    """Give what remains of a probability under the less favourable explanation of a shift."""
    commoner = shift.survivor_share is None or (shift.share > shift.survivor_share) == (shift.what == step)
    odds = probability / max(1 - probability, LEAST_DOUBT) / shift.factor
    if_shifted = probability / shift.factor if commoner else odds / (1 + odds)
    return shift.chance * if_shifted + (1 - shift.chance) * probability


def _why(reading: ProposedReading, shifts: Sequence[Shift]) -> str:
    """Say why a probability was drawn down."""
    reasons = [
        f"the spelling {one.what} stands at {one.share:.2f} of its places"
        f" {'here' if one.span is None else 'in this part of the text'}"
        + ("" if one.survivor_share is None else f" and at {one.survivor_share:.2f} in the survivors")
        for one in shifts
    ]
    sure = max(one.chance for one in shifts)
    changed = "has changed" if sure == 1 else f"may have changed (chance {sure:.2f})"
    return (
        f"drawn down from {reading.probability:.2f}: {'; '.join(reasons)}: his habit or his exemplar's"
        f" spelling {changed}, and the survivors do not tell which"
    )
