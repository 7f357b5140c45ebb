"""The blind test of readings for what he could not read: gaps of the survivors, filled blind.

Arrives: what the survivors show of his gaps, and the model of each round. Leaves: the trial with the
proposals for gaps beside the truth, and figures of their own. Start reading at ``GapTest``.

Gaps are few, and what was proposed for them says nothing of what is proposed elsewhere: they are kept apart
from all other kinds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.copyist.model import Model
from fidelity.letters import decode, without_stops
from fidelity.readings.flagged import GapSeen, Seen, Span
from fidelity.readings.gap_words import Filled, GapWords
from fidelity.readings.gaps import filled_at
from fidelity.readings.held_out import Part
from fidelity.terms import GAP, Locus, Trial, TrialReading, Witness
from fidelity.trial.measures import bands, precisions
from fidelity.witnesses.folds import Folds


class GapTest:
    """Fills the gaps of what is left out in each round.

    Args:
        seen: what the survivors show of his gaps.
        copies: of the survivors, id and copy, in the dossier's order.
        folds: letterforms counted as equal.
        report_from: least probability at which a reading is listed, 0-1.

    Attributes:
        made: what was proposed, beside the truth.
        tried: words with gaps of which the truth is known.
    """

    def __init__(
        self, seen: Seen, copies: Sequence[tuple[str, Witness]], folds: Folds, report_from: float
    ) -> None:
        self.seen, self.copies, self.folds, self.report_from = seen, copies, folds, report_from
        self.made: list[TrialReading] = []
        self.tried = 0

    def note(self, model: Model, left_out: Sequence[Part]) -> None:
        """Fill the gaps of what was left out in a round with what the round knew."""
        spans = [(part.survivor, part.start, part.end) for part in left_out]
        ours = [one for one in self.seen.gaps if _lies_in(one, spans) and one.original is not None]
        if not ours:
            return
        filler = GapWords(model, self.seen.without(spans).gaps)
        by_word: dict[tuple[int, Span], list[GapSeen]] = {}
        for one in ours:
            by_word.setdefault((one.survivor, one.gap.word), []).append(one)
        for (survivor, span), gaps in by_word.items():
            self.tried += 1
            text, copy = self.copies[survivor]
            filled = filled_at(copy, span, [one.gap for one in gaps], filler, self.folds)
            if filled.words and filled.words[0][1] >= self.report_from:
                self.made.append(_judged(text, copy, span, gaps[0], filled))


def _lies_in(one: GapSeen, spans: Sequence[tuple[int, int, int]]) -> bool:
    return any(one.survivor == number and start <= one.gap.span[0] < end for number, start, end in spans)


def _judged(text: str, copy: Witness, span: Span, seen: GapSeen, filled: Filled) -> TrialReading:
    """Mark the likeliest word right or wrong: its letters must be the original's; stops are not asked."""
    word, p = filled.words[0]
    locus, original = copy.locus(span[0]), seen.original or ""
    return TrialReading(
        survivor=text,
        locus=Locus(text, locus.line, locus.word),
        transmitted=decode(copy.letters[slice(*span)]),
        proposed=decode(word),
        original=decode(original),
        probability=p,
        right=without_stops(word) == without_stops(original),
        single=False,
        kind=GAP,
        context=decode(copy.letters[slice(*span)]),
        page=seen.page,
    )


def with_gaps(trial: Trial, test: GapTest | None) -> Trial:
    """Give the blind test with what was proposed for gaps, and with figures for these alone."""
    if test is None or not test.tried:
        return trial
    made, wrong = sorted(test.made, key=lambda one: str(one.locus)), {GAP: test.tried}
    return replace(
        trial,
        gaps=tuple(made),
        kind_precisions=(*trial.kind_precisions, *precisions(made, wrong, trial.confidence, GAP)),
        kind_bands=(*trial.kind_bands, *bands(made, wrong, trial.confidence, GAP)),
    )
