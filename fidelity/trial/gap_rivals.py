"""All readings of a place where he could not read: known words, an editor's conjectures among them.

Arrives: a stretch of a lost text's copy with one word that has a gap, conjectures, what proposes. Leaves:
``Rival``s. Start reading at ``gap_rivals``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.letters import encode
from fidelity.readings.flagged import Span
from fidelity.readings.gap_words import Filled, GapWords
from fidelity.readings.gaps import NONE_OF_THESE, filled_at, note_on, reading_of_gap, words_with_gaps
from fidelity.readings.restore import Proposer
from fidelity.terms import Witness
from fidelity.terms.conjecture import Conjecture, Rival
from fidelity.trial.every_reading import WideSupport
from fidelity.trial.ranked import CANDIDATE, CONJECTURE

NOTE = (
    "The copy has a gap here: the readings are known words that agree with what he read and with the number"
    " of letters he shows, and none of these. What he wrote beside it is taken as it stands."
)
UNKNOWN = "no known word that agrees with what he read and how much he shows as lost: one of “none of these”"


def gap_rivals(
    copy: Witness,
    text: str,
    span: Span,
    asked: Sequence[tuple[Conjecture, str]],
    proposer: Proposer,
    support: WideSupport,
) -> tuple[Rival, ...]:
    """Give the readings of a stretch with one word that has a gap, the most probable first.

    Args:
        copy, text: of the lost text, and its id.
        span: of the stretch.
        asked: conjectures, and what each makes of the whole stretch, folded.
        proposer: model, settings, what the survivors show of his gaps.
        support: what the blind test supports.

    Returns:
        Nothing where several words of the stretch have gaps.
    """
    inside = [(word, gaps) for word, gaps in words_with_gaps(copy) if span[0] <= word[0] < span[1]]
    if len(inside) != 1:
        return ()
    filler = GapWords(proposer.model, proposer.marks.gaps)
    word, gaps = inside[0]
    filled = filled_at(copy, word, gaps, filler, proposer.folds)
    note = note_on(gaps, filler)
    return tuple(_ranked(copy, text, (span, word), asked, filled, note, proposer, support))


def _ranked(
    copy: Witness,
    text: str,
    spans: tuple[Span, Span],
    asked: Sequence[tuple[Conjecture, str]],
    filled: Filled,
    note: str,
    proposer: Proposer,
    support: WideSupport,
) -> list[Rival]:
    """Put the words in their order, those that are listed and those that are conjectured."""
    (start, end), word = spans
    copied = proposer.folds.fold(copy.letters)
    before, after = copied[start : word[0]], copied[word[1] : end]
    least = proposer.settings.rival_from
    none = reading_of_gap(copy, text, word, encode(NONE_OF_THESE), filled.none, "", proposer)
    none = replace(none, proposed=NONE_OF_THESE, attested=False)
    asked_of = {
        one: tuple(each for each, whole in asked if whole == before + one + after) for one, _ in filled.words
    }
    met = {id(each) for some in asked_of.values() for each in some}
    unmet = [each for each, _ in asked if id(each) not in met]
    order = sorted([*filled.words, ("", filled.none)], key=lambda one: -one[1])  # "" is none of these
    of = len(order) + len(unmet)
    found: list[Rival] = []
    for rank, (known, p) in enumerate(order, start=1):
        ours = asked_of.get(known, ())
        if not known:
            found.append(Rival(none, NONE_OF_THESE, rank, of))
        elif p >= least or ours:
            reading = support.of(reading_of_gap(copy, text, word, known, p, note, proposer))
            found.append(Rival(reading, CANDIDATE, rank, of, ours, (note,)))
    for rank, each in enumerate(unmet, start=len(order) + 1):
        reading = replace(none, proposed=each.reading, probability=0.0)
        found.append(Rival(reading, CONJECTURE, rank, of, (each,), (UNKNOWN,)))
    return found
