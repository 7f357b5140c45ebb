"""Put beside the proposals what is known of the pairs they touch.

Arrives: the proposals for the lost texts, and the pairs in these. Leaves: the proposals, with one mark in the
place of all that concern a pair that is suspect and undecided, and with a note where a partner moves. Start
reading at ``with_undecided``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from fidelity.readings.restore import passage_of
from fidelity.terms import CORRUPT, SUSPECT, ProposedReading, Witness
from fidelity.terms.parallels import LostPair

NOTE = (
    "suspect, undecided: {why}; so nothing is proposed for either part of the entry, and the probability is"
    " {source}"
)
MOVES = "with it {} (parallels.csv): the two stand or fall together"
OF_LETTERS = "that of the part in doubt as if it stood alone"
OF_ENTRIES = "the share of such entries, a half added on either side, and was not tried blind"


def with_undecided(
    readings: Sequence[ProposedReading], pairs: Sequence[LostPair], copies: Mapping[str, Witness]
) -> list[ProposedReading]:
    """Put a mark in the place of the proposals for either part of each undecided pair.

    Args:
        readings: of all lost texts, in order, numbered from 1.
        pairs: those that are undecided.
        copies: the lost texts, by id.
    """
    undecided = [one for one in pairs if one.undecided]
    if not undecided:
        return list(readings)
    order = {text: at for at, text in enumerate(copies)}
    kept = list(readings)
    for pair in undecided:
        concerned = [one for one in kept if one.text == pair.text and touches(one, pair)]
        kept = [one for one in kept if one not in concerned]
        kept.insert(_place_of(pair, kept, order), _mark(pair, concerned, copies[pair.text]))
    return [replace(one, number=at) for at, one in enumerate(kept, start=1)]


def with_partners(
    readings: Sequence[ProposedReading], pairs: Sequence[LostPair]
) -> tuple[ProposedReading, ...]:
    """Note with each proposal what would have to move with it, and that it stands for both."""
    moving = {one.reading: one for one in pairs if one.reading and one.moves}
    return tuple(
        replace(one, note="; ".join(filter(None, (one.note, MOVES.format(moving[one.number].moves)))))
        if one.number in moving
        else one
        for one in readings
    )


def _place_of(pair: LostPair, kept: Sequence[ProposedReading], order: Mapping[str, int]) -> int:
    """Give the index before which the mark of a pair belongs."""
    here = order[pair.text], pair.span[0]
    after = (at for at, one in enumerate(kept) if (order[one.text], one.copy_span[0]) >= here)
    return next(after, len(kept))


def touches(reading: ProposedReading, pair: LostPair) -> bool:
    """Tell whether a proposal is for letters of a pair."""
    (start, end), (first, last) = reading.copy_span, pair.span
    return (start < last and first < end) or (start == end and first <= start <= last)


def _mark(pair: LostPair, concerned: Sequence[ProposedReading], copy: Witness) -> ProposedReading:
    """Make the mark of one pair."""
    wrong = [_not_as_transmitted(one) for one in concerned]
    probability = max(wrong, default=0.0) or _share(pair)
    return ProposedReading(
        number=0,
        text=pair.text,
        locus=pair.locus,
        copy_span=pair.span,
        transmitted=pair.transmitted,
        proposed="",
        probability=probability,
        verdict=SUSPECT,
        kind=CORRUPT,
        alternatives=((pair.transmitted, 1.0 - probability),),
        context=pair.transmitted,
        passage=passage_of(copy.letters, pair.span).replace("\t", " "),
        note=NOTE.format(why=pair.evidence[0], source=OF_LETTERS if any(wrong) else OF_ENTRIES),
    )


def _not_as_transmitted(reading: ProposedReading) -> float:
    """Give the probability that a place is not as transmitted, as far as a proposal tells."""
    known = next((p for text, p in reading.alternatives if text == reading.transmitted), None)
    return reading.probability if known is None else 1.0 - known


def _share(pair: LostPair) -> float:
    """Give the share of such entries that he wrote for others, a half added on either side (Jeffreys)."""
    times, of = pair.seen
    return (times + 0.5) / (of + 1.0)
