"""Say why a reading is, or is not, among the proposals.

Arrives: a judged reading with its evidence. Leaves: clauses in plain words, the weightiest first. Start
reading at ``why_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rapidfuzz.distance import Levenshtein

from fidelity.letters import decode, without_stops
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.candidates import Candidate
from fidelity.readings.restore import Proposer
from fidelity.readings.select import MOST_CHANGED
from fidelity.terms import SUSPECT, ProposedReading

PROPOSED_AS, POSSIBLE_AS = "proposed", "listed as possible"
NOT_RESTORED = "no restoration of the line that was carried on leads to it"
NEAR_WORD = "judged as a known word near what is written"
TOLD_APART = 3  # digits: what is said of a reading in a thousand rests on no such number of held-out ones
NOT_HIS = "nothing is proposed there: letters of it are not the copyist's own"
GAP = "nothing is proposed there: the copy has a gap, and what it held cannot be judged by his habits"


def why_of(
    one: Candidate,
    reading: ProposedReading,
    better: Sequence[tuple[str, float]],
    proposals: Sequence[ProposedReading],
    barred: str,
    proposer: Proposer,
    joined: bool = False,
) -> tuple[str, ...]:
    """Give the reasons for which a reading is, or is not, proposed.

    Args:
        one: the reading as it was judged.
        reading: the same with its evidence.
        better: readings of the same unit that are more probable, as printed, the best first.
        proposals: what is proposed at this place.
        barred: why nothing may be proposed there; "" where it may.
        proposer: words and settings.
        joined: whether only a conjecture brought it in.
    """
    reasons = [*_proposed(one, reading, proposals)]
    if barred:
        reasons.append(barred)
    elif not any(reason.startswith((PROPOSED_AS, POSSIBLE_AS)) for reason in reasons):
        reasons += _outdone(_found_how(one, joined), reading, better, proposer.settings.report_from)
    reasons += _letters_proposed(reading, proposals)
    reasons += _never_seen(reading)
    reasons += _unknown_words(one, proposer)
    if not one.posterior and all(step.count for step in reading.evidence):
        reasons.append(
            "given up early: all it needs was seen, but no restoration that was carried on holds it"
        )
    reasons += _too_far(one)
    if reading.note:
        reasons.append(reading.note)
    return tuple(reasons)


def _proposed(
    one: Candidate, reading: ProposedReading, proposals: Sequence[ProposedReading]
) -> Iterator[str]:
    """Say under which number it is proposed."""
    for each in proposals:
        if each.copy_span == (one.start, one.end) and each.proposed == reading.proposed:
            how = PROPOSED_AS if each.probability >= SETTLED else POSSIBLE_AS
            yield f"{how}, no. {each.number} of readings.csv"
        elif each.verdict == SUSPECT and each.copy_span == (one.start, one.end):
            yield f"the place is marked as corrupt ({each.probability:.2f}): no reading of it is settled"


def _found_how(one: Candidate, joined: bool) -> str:
    """Say how a reading came to be judged."""
    if one.posterior:
        return "a restoration of the line leads to it"
    return NOT_RESTORED if joined else f"{NEAR_WORD}, though {NOT_RESTORED}"


def _outdone(
    found: str, reading: ProposedReading, better: Sequence[tuple[str, float]], report_from: float
) -> Iterator[str]:
    """Say how it was found, which reading is more probable, or as probable, and what is listed at all."""
    yield found
    if better:
        text, p = better[0]
        than = "the transmitted reading" if text == reading.transmitted else text
        equal = round(p, TOLD_APART) == round(reading.probability, TOLD_APART)
        yield f"equally probable as {than} ({p:.2f})" if equal else f"less probable than {than} ({p:.2f})"
    else:
        yield "no reading of the place is more probable"
    if reading.probability < report_from:
        yield f"less probable than {report_from:g}, from which readings are listed"


def _letters_proposed(reading: ProposedReading, proposals: Sequence[ProposedReading]) -> Iterator[str]:
    """Say which letters of it are proposed by themselves."""
    for each in proposals:
        if each.single and set(each.steps) & set(reading.steps):
            letter = f"{each.proposed or 'nothing'} for {each.transmitted}"
            yield f"its letter {letter} is proposed by itself, no. {each.number}"


def _never_seen(reading: ProposedReading) -> Iterator[str]:
    """Say which of its operations the survivors do not show."""
    never = [step for step in reading.evidence if not step.count]
    untried = [step.step for step in never if not step.chances]
    tried = [f"{step.step} (0 of {step.chances:,} chances)" for step in never if step.chances]
    if tried:
        yield f"needs what was never seen: {', '.join(tried)}"
    if untried:
        yield f"needs {', '.join(untried)}, for which there was no chance: no evidence, not none of it"


def _unknown_words(one: Candidate, proposer: Proposer) -> Iterator[str]:
    """Say which of its words stand in no original and no reference text."""
    copied = one.transmitted.split()
    known = proposer.model.words
    words = (word for word in one.proposed.split() if word not in copied)
    unknown = [word for word in words if word not in known and without_stops(word) not in known]
    if unknown:
        what = "not a known word" if len(unknown) == 1 else "not known words"
        yield f"{what} of the originals or the references: {', '.join(map(decode, unknown))}"


def _too_far(one: Candidate) -> Iterator[str]:
    """Say if most of its letters are others than those written."""
    sides = [without_stops(text) for text in (one.proposed, one.transmitted)]
    changed, size = Levenshtein.distance(*sides), max(map(len, sides))
    if changed > MOST_CHANGED * size:
        yield f"too far from what is written: {changed} of {size} letters differ"
