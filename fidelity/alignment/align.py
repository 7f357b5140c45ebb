"""Align a copy with its original, letter by letter, with costs learned from the pair itself.

Arrives: two witnesses and the declared folds. Leaves: an ``Alignment`` that gives back both texts
exactly. Start reading at ``align_witnesses``.

The texts are cut into pieces and anchored (``pieces.py``, ``anchors.py``); between the anchors the
weighted programme finds the paths of least cost (``windows.py``), with the flat costs of
``channel.py`` at first. Then the costs are learned from what came out, and the windows are done
again, until the costs change no more or the whole comes out no cheaper. A long text is learned
from in a sample of it first.

What is brought down from round to round, over the whole alignment, anchors included, is what it
takes to tell the copy to one who has the original: -log P(copy and steps | original) under the
channel, and the letters of the channel's operations of several letters, named one by one.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.alignment.anchors import windows_between
from fidelity.alignment.channel import AnswerTotals, LetterChannel, LetterTable, letter_table
from fidelity.alignment.costs import Costs, costs_from
from fidelity.alignment.counts import Tally, count_answers_of
from fidelity.alignment.layout import Layout, lay_out
from fidelity.alignment.moved import with_moved
from fidelity.alignment.pieces import Piece, pieces_of, sample_of
from fidelity.alignment.settle import settle_gaps
from fidelity.alignment.steps import StepTable, cost_of, free_kept, kept_runs
from fidelity.alignment.texts import Ints, NumberedTexts, numbered, share_of
from fidelity.alignment.windows import solve_windows
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds

MOST_ROUNDS = 8  # a bound, not a tuning: few pairs need more than four
SETTLED = 1e-3  # share of the whole that new paths must save under new costs to be looked for again
SETTLED_SAMPLE = 5e-3  # the same while a sample is learned from
KEPT_LAID = 24_000_000  # bytes of windows that stay laid out from round to round: ten million letters at 2 %
CLEARLY_RELATED = 0.6  # share of letters kept above which no further question is asked
UNRELATED = 0.85  # cost against a reversed copy: same letters, no relation (chosen on invented pairs)
TOO_SHORT_TO_JUDGE = 40  # letters; below, a chance likeness cannot be told from a real one

__all__ = ["align_witnesses", "count_answers_of", "kept_share"]


def align_witnesses(original: Witness, copy: Witness, folds: Folds = NO_FOLDS) -> Alignment:
    """Find which letters of the copy answer which letters of the original, at least cost.

    Args:
        original: the manuscript the copy is presumed to be made from.
        copy: the transcript.
        folds: letterforms counted as equal; equality is free, the graphic letters are kept.

    Returns:
        The alignment; its steps cover both texts without holes.

    Raises:
        UnrelatedTextsError: the two have no more in common than chance gives.
    """
    pair = Pair(original, copy, folds)
    alignment = pair.aligned()
    _refuse_unrelated(alignment, folds, pair)
    return with_moved(alignment, folds)


@dataclass(frozen=True)
class Round:
    """What one round of solving left.

    Attributes:
        objective: what it was to bring down, in nats.
        cost: the same without the naming of operations.
        used: what the costs were learned from.
        tally: what was counted on the paths found.
        costs: under which they are the cheapest.
    """

    objective: float
    cost: float
    used: AnswerTotals | None
    tally: Tally
    costs: Costs

    def saved_over(self, last: Round) -> float:
        """Give what these paths save over those of the round before, both under the costs of this round.

        What each path's operations of several letters cost is taken from its own round, in nats.
        """
        steps = last.tally.steps()
        size = len(steps)
        dearer = self.costs.exact[:size, :size] - last.costs.exact[:size, :size]
        dearer[0, 0] = 0.0
        return last.cost + float((steps * dearer).sum()) - self.cost


class Pair:
    """An original and its copy on their way to being aligned."""

    def __init__(self, original: Witness, copy: Witness, folds: Folds) -> None:
        self.original, self.copy, self.folds = original, copy, folds
        self.texts = numbered(original.letters, copy.letters, folds)
        self.free = free_pairs(folds, copy.letters)
        self.letters = _letters_of(self.texts)
        self.table = StepTable(max(len(original), len(copy)))
        self.chances: dict[str, int] = {}
        self.stretches: dict[tuple[int, int], npt.NDArray[np.int64]] = {}
        self.laid: dict[int, Layout] = {}  # windows laid out, by the identity of their piece

    def aligned(self) -> Alignment:
        """Align without asking whether the texts are related."""
        pieces = pieces_of(self.texts)
        sample = sample_of(pieces)
        objectives: list[float] = []
        totals: AnswerTotals | None = None
        if sample is not pieces:
            share = sum(piece.end - piece.start for piece in sample) / max(len(self.texts.original), 1)
            totals = self._learned(sample, None, share, objectives)[1].tally.totals(share)
        used, last = self._learned(pieces, totals, 1.0, objectives)
        self.kept = share_of(last.tally.letters_kept(), self.texts)
        steps = self.table.whole()
        return Alignment(self.original, self.copy, steps, last.cost, len(objectives), tuple(objectives), used)

    def _learned(
        self, pieces: Sequence[Piece], totals: AnswerTotals | None, share: float, objectives: list[float]
    ) -> tuple[AnswerTotals | None, Round]:
        """Solve and learn in turn until nothing changes or nothing is gained.

        Returns:
            What the costs of the last round were learned from, and what that round left.
        """
        last: Round | None = None
        settled = SETTLED if share == 1.0 else SETTLED_SAMPLE
        for _ in range(MOST_ROUNDS):
            found = self._round(pieces, totals)
            objectives.append(found.objective)
            if last is not None and found.objective > last.objective:  # never seen on the benchmarks
                totals, found = last.used, self._round(pieces, last.used)
                objectives.append(found.objective)
                break
            if last is not None and found.saved_over(last) < settled * found.objective:
                break
            counted = found.tally.totals(share)
            if counted == totals:
                break
            last, totals = found, counted
        else:
            totals = found.used
        return totals, found

    def _solved(self, piece: Piece, costs: Costs) -> Ints:
        """Give the steps of least cost through a piece, with its anchors."""
        laid = self.laid.get(id(piece))
        if laid is None:
            original = self.texts.original[piece.start : piece.end]
            copy = self.texts.copy[piece.start_copy : piece.end_copy]
            windows = windows_between(piece.anchors.astype(np.int64), len(original), len(copy))
            laid = lay_out(original, copy, self.texts.folded, windows)
            if sum(kept.nbytes for kept in self.laid.values()) + laid.nbytes <= KEPT_LAID:
                self.laid[id(piece)] = laid
        steps = solve_windows(laid, costs, kept_between=True)
        steps[:, :2] += piece.start
        steps[:, 2:4] += piece.start_copy
        return steps

    def channel(self, totals: AnswerTotals | None) -> LetterChannel:
        """Give the letter channel that was learned from these counts."""
        return LetterChannel((), (), self.folds.same, totals, self.free, self.letters)

    def _round(self, pieces: Sequence[Piece], totals: AnswerTotals | None) -> Round:
        """Solve all windows under the costs that were counted, and count again."""
        costs = costs_from(self.channel(totals), self.texts.letters)
        tally = Tally(self.texts, chances=self.chances, stretches=self.stretches)
        self.table.count = 0
        cost = 0.0
        free = frozenset(self.free)
        alike = self.texts.plain and not free
        for piece in pieces:
            steps = self._solved(piece, costs)
            free_kept(steps, self.original.letters, self.copy.letters, free)
            steps = settle_gaps(steps, self.texts, self.original.letters, self.copy.letters, costs)
            run = kept_runs(steps, self.texts, free)
            tally.add(steps, run, alike=alike)
            cost += cost_of(steps[~run], self.texts, costs)
            self.table.add(steps)
        cost += float((tally.kept * costs.exact[: tally.size, : tally.size])[1:, 1:].sum())
        named = sum(len(o) + len(c) for o, c in totals.several) if totals else 0
        objective = cost + named * math.log(max(len(self.texts.letters), 2))
        return Round(objective, cost, totals, tally, costs)


def _letters_of(texts: NumberedTexts) -> LetterTable:
    """Give the table of letters that channels between two texts share."""
    rows, columns = np.flatnonzero(texts.in_original), np.flatnonzero(texts.in_copy)
    same = texts.folded[rows][:, None] == texts.folded[columns][None, :]
    return letter_table(
        (texts.letters[number] for number in rows), (texts.letters[number] for number in columns), same
    )


def free_pairs(folds: Folds, copy: str) -> list[tuple[str, str]]:
    """Give the declared expansions that one operation can hold, in every form the copy has them.

    Up to three letters a side; longer ones are seen to be equal when the differences are collected.
    """
    pairs: list[tuple[str, str]] = []
    folded_copy = folds.fold(copy) if folds.expansions else ""
    for sign, text in folds.expansions:
        if max(len(sign), len(text)) > 3:
            continue
        pairs.append((sign, text))
        folded = folds.fold(text)
        at = folded_copy.find(folded)
        while at >= 0:
            pairs.append((sign, copy[at : at + len(folded)]))
            at = folded_copy.find(folded, at + 1)
    return list(dict.fromkeys(pairs))


def kept_share(alignment: Alignment) -> float:
    """Give the share of the longer text's letters that the alignment keeps, spaces apart, 0-1."""
    texts = numbered(alignment.original.letters, alignment.copy.letters, NO_FOLDS)
    tally = Tally(texts)
    tally.add(alignment.steps[alignment.steps[:, 4] == StepKind.KEPT].astype(np.int64), alike=False)
    return share_of(tally.letters_kept(), texts)


def _refuse_unrelated(alignment: Alignment, folds: Folds, pair: Pair) -> None:
    """Raise when the two texts have no more in common than the same letters in reverse order."""
    original, copy = alignment.original, alignment.copy
    if min(len(original), len(copy)) < TOO_SHORT_TO_JUDGE or pair.kept >= CLEARLY_RELATED:
        return
    reversed_copy = Witness(copy.siglum, copy.letters[::-1])
    if alignment.cost < UNRELATED * Pair(original, reversed_copy, folds).aligned().cost:
        return
    raise UnrelatedTextsError(
        f"{original.siglum or 'the original'} ({original.file or 'text'}) and its copy "
        f"({copy.file or 'text'}) have nothing in common: only {pair.kept:.0%} of the letters "
        "answer each other, no more than in a text read backwards",
        remedy="check that the two files are the same text, and that the original is named first",
    )
