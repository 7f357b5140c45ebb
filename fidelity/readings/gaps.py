"""Propose what stood where he could not read, each known word with its probability.

Arrives: the copy of a lost original, the model, what the survivors show of his gaps. Leaves: one
``ProposedReading`` for each word with a gap for which a known word is probable enough. Start reading at
``gap_readings``. What stands beside a gap, outside its word, is judged as anything else is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from fidelity.letters import decode
from fidelity.readings.calibrating import SETTLED
from fidelity.readings.flagged import Gap, Span, gaps_in
from fidelity.readings.gap_words import Filled, GapWords, Token
from fidelity.readings.restore import MAY_BE_HIS, Proposer, grafted, passage_of
from fidelity.terms import GAP, LOST_LETTER, POSSIBLE, PROPOSED, ProposedReading, Witness
from fidelity.variants.set_aside import evidence_of
from fidelity.witnesses.folds import Folds

NONE_OF_THESE = "none of these"


def gap_readings(copy: Witness, text: str, proposer: Proposer) -> list[ProposedReading]:
    """Propose readings for the gaps of one lost text.

    Args:
        copy: the transcript.
        text: id of the lost text.
        proposer: model, folds, thresholds, what the survivors show of his gaps.

    Returns:
        Readings at least ``settings.report_from`` probable, in order, not numbered.
    """
    if LOST_LETTER not in copy.letters:
        return []
    filler, settings = GapWords(proposer.model, proposer.marks.gaps), proposer.settings
    his = evidence_of(copy, MAY_BE_HIS)
    found = []
    for span, gaps in words_with_gaps(copy):
        filled = filled_at(copy, span, gaps, filler, proposer.folds)
        if his[slice(*span)].all() and filled.words and filled.words[0][1] >= settings.report_from:
            note = note_on(gaps, filler)
            best = reading_of_gap(copy, text, span, *filled.words[0], note, proposer)
            found.append(replace(best, alternatives=_rivals(filled, settings.rival_from)))
    return found


def words_with_gaps(copy: Witness) -> Iterator[tuple[Span, list[Gap]]]:
    """Give the words of a copy that have gaps, each with its gaps."""
    by_word: dict[Span, list[Gap]] = {}
    for gap in gaps_in(copy):
        by_word.setdefault(gap.word, []).append(gap)
    yield from by_word.items()


def filled_at(copy: Witness, span: Span, gaps: Sequence[Gap], filler: GapWords, folds: Folds) -> Filled:
    """Give the known words that may have stood in a copied word with gaps."""
    copied = folds.fold(copy.letters)
    before, after = _beside(copied, span)
    return filler.fill(_token(copied, span, gaps), before, after)


def _token(copied: str, span: Span, gaps: Sequence[Gap]) -> Token:
    """Give a copied word as the letters he read and his gaps."""
    parts: list[str | int | None] = []
    at = span[0]
    for gap in gaps:
        parts += [*copied[at : gap.span[0]], gap.shown]
        at = gap.span[1]
    return [*parts, *copied[at : span[1]]]


def _beside(copied: str, span: Span) -> tuple[str, str]:
    """Give the words before and after; "" where there is none, another field begins, or it has a gap."""
    reach = 60  # letters looked at on either side: a word is shorter
    before = copied[max(span[0] - reach, 0) : span[0]].rpartition("\t")[2].split()[-1:]
    after = copied[span[1] : span[1] + reach].partition("\t")[0].split()[:1]
    sides = [(one or [""])[0] for one in (before, after)]
    one, other = ("" if LOST_LETTER in side else side for side in sides)
    return one, other


def reading_of_gap(
    copy: Witness, text: str, span: Span, word: str, p: float, note: str, proposer: Proposer
) -> ProposedReading:
    """Make the record of one known word for a copied word with a gap; its number is no proposal's."""
    graphic = copy.letters[slice(*span)]
    return ProposedReading(
        number=0,
        text=text,
        locus=replace(copy.locus(span[0]), text=text),
        copy_span=span,
        transmitted=decode(graphic),
        proposed=decode(grafted(graphic, proposer.folds.fold(graphic), word)),
        probability=p,
        verdict=PROPOSED if p >= SETTLED else POSSIBLE,
        kind=GAP,
        context=decode(graphic),
        passage=passage_of(copy.letters, span),
        attested=True,
        note=note,
    )


def _rivals(filled: Filled, least: float) -> tuple[tuple[str, float], ...]:
    """Give the rivals of the likeliest word that are worth telling, and the share of none of these."""
    others = [(decode(one), q) for one, q in filled.words[1:] if q >= least]
    return tuple(sorted([*others, (NONE_OF_THESE, filled.none)], key=lambda one: (-one[1], one[0])))


def note_on(gaps: Sequence[Gap], filler: GapWords) -> str:
    """Say on what the probability of a word in a gap rests."""
    shown = [gap.shown for gap in gaps if gap.shown is not None]
    parts = ["a known word that agrees with what he read"]
    if len(shown) == len(gaps):
        marked = " and ".join(f"{one:,}" for one in shown)
        number, right = filler.lengths.number, filler.lengths.right
        parts.append(f"he shows {marked} {'letter' if shown == [1] else 'letters'} as lost")
        parts.append(
            f"in {right:,} of {number:,} gaps of the survivors his number is right"
            if number
            else "no gap of the survivors shows how well he counts"
        )
    else:
        parts.append("he does not show how many letters are lost")
    return "; ".join(parts)
