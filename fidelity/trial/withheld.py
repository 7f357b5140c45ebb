"""Draw down the probability of proposals that rest on a spelling which has shifted.

Arrives: proposals and the shifts found. Leaves: the proposals, those concerned made less probable, with
the reason. Start reading at ``withheld``.

Calibration on survivors says how often such a proposal was right where the spellings stood as they stand
in the survivors. A shift has two explanations that the copy alone cannot tell apart. Either his habit
has changed: where he writes w for o less often by a factor, the odds that a w was an o fall by about
this factor. Or the exemplar's spelling has: where w stands oftener because the original had it oftener,
the odds fall again, by about the factor by which o has become rarer beside w. One explanation would
raise the odds where the other lowers them; what remains supported is the lower. So the odds of the
proposal are divided by the factor by which the odds of the spelling have moved, in either direction.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from fidelity.readings.select import SETTLED
from fidelity.terms import ProposedReading, Shift
from fidelity.trial.transfer import odds_factor


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
    acting: dict[tuple[str, str], list[int]] = {}
    for number, shift in enumerate(shifts):
        if odds_factor(shift) > 1.0:
            for rule in {shift.what, "→".join(reversed(shift.what.split("→")))}:
                acting.setdefault((shift.text, rule), []).append(number)
    touched: Counter[int] = Counter()
    done = []
    for reading in readings:
        numbers = [
            number
            for step in dict.fromkeys(reading.steps)
            for number in acting.get((reading.text, step), ())
            if _inside(reading, shifts[number])
        ]
        for number in numbers:
            touched[number] += 1
        done.append(_drawn_down(reading, [shifts[number] for number in numbers]) if numbers else reading)
    return done, [replace(one, withheld=touched[number]) for number, one in enumerate(shifts)]


def _inside(reading: ProposedReading, shift: Shift) -> bool:
    """Tell whether a proposal stands in the part of the text that a shift concerns."""
    return shift.span is None or shift.span[0] <= reading.copy_span[0] < shift.span[1]


def _drawn_down(reading: ProposedReading, shifts: Sequence[Shift]) -> ProposedReading:
    """Divide the odds of a proposal by the factor of each rule that has shifted, the greatest of each."""
    factors: dict[frozenset[str], Shift] = {}
    for one in shifts:
        rule = frozenset(one.what.split("→"))
        if rule not in factors or odds_factor(one) > odds_factor(factors[rule]):
            factors[rule] = one
    odds = reading.probability / max(1 - reading.probability, 1e-9)
    for one in factors.values():
        odds /= odds_factor(one)
    p = odds / (1 + odds)
    lost = reading.probability - p
    alternatives = tuple(
        (text, share + lost if text == reading.transmitted else share) for text, share in reading.alternatives
    )
    return replace(
        reading,
        probability=p,
        verdict="proposed" if p >= SETTLED else "suspect",
        alternatives=tuple(sorted(alternatives, key=lambda rival: (-rival[1], rival[0]))),
        note=_why(reading, list(factors.values())),
    )


def _why(reading: ProposedReading, shifts: Sequence[Shift]) -> str:
    """Say why a probability was drawn down."""
    reasons = [
        f"the spelling {one.what} stands at {one.share:.2f} of its places"
        f" {'here' if one.span is None else 'in this part of the text'}"
        + ("" if one.survivor_share is None else f" and at {one.survivor_share:.2f} in the survivors")
        for one in shifts
    ]
    return (
        f"drawn down from {reading.probability:.2f}: {'; '.join(reasons)}: his habit or his exemplar's"
        " spelling has changed, and the survivors do not tell which"
    )
