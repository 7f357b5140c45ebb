"""The units of a lost text at one place, with any further reading judged beside the rest.

Arrives: the copy of a lost original, what proposes readings, a span of its letters. Leaves: ``Unit``s as
the audit has them, with readings of others' added to their candidates. Start reading at ``UnitsAt.unit``,
then ``joined``.

Only the piece of the text that a place stands in is restored. Several units together are judged as one
stretch, where a conjecture takes in several.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fidelity.readings.beside import Beside
from fidelity.readings.candidates import Candidate, Unit, pieces, told_of, unit_at, unit_spans
from fidelity.readings.features import word_features
from fidelity.readings.lattice import Lattice, Restorer
from fidelity.readings.near_words import NearWords
from fidelity.readings.restore import Proposer
from fidelity.terms import Witness

Span = tuple[int, int]


class UnitsAt:
    """Gives the units of the copy of one lost text.

    Args:
        copy: the transcript.
        proposer: model, calibration, settings.
        known: what is known beside the copy.
    """

    def __init__(self, copy: Witness, proposer: Proposer, known: Beside | None = None) -> None:
        self.copy, self.model, self.known = copy, proposer.model, known
        self.copied = proposer.folds.fold(copy.letters)
        self.pieces = pieces(self.copied, copy.lines)
        self._restorer = Restorer(proposer.model, proposer.settings.beam)
        self._near = NearWords(proposer.model)
        self._known: dict[Span, Lattice] = {}

    def spans(self, start: int, end: int) -> list[Span]:
        """Give the units that have letters in a span."""
        found = []
        for first, last in self._pieces_of(start, end):
            for one, other in unit_spans(self._lattice(first, last), self.model):
                if one + first < end and other + first > start:
                    found.append((one + first, other + first))
        return found

    def around(self, start: int, end: int) -> Span:
        """Give the stretch from the first to the last unit that has letters in a span."""
        found = self.spans(start, end)
        return (found[0][0], found[-1][1]) if found else (start, end)

    def unit(self, span: Span) -> Unit:
        """Give a unit as the audit has it, or several as one stretch, from a beginning of one to an end."""
        found = self._pieces_of(*span)
        first, last = found[0][0], found[-1][1]
        inside = span[0] - first, span[1] - first
        unit = unit_at(self._lattice(first, last), inside, first, 0, self._near, self._beside(*span))
        telling = self.known.at(*span) if self.known else None
        return told_of(unit, telling, self._beside(*span), self.model, 0) if telling else unit

    def joined(self, unit: Unit, more: Sequence[str]) -> Unit:
        """Let further readings of all of a unit, folded, join its candidates."""
        there = {one.proposed for one in (*unit.words, *unit.further)} | {unit.transmitted}
        added = [self.candidate(unit, text) for text in dict.fromkeys(more) if text not in there]
        return replace(unit, words=(*unit.words, *added))

    def restorations(self, unit: Unit) -> list[Candidate]:
        """Give the restorations of a unit that are not among its candidates."""
        there = {one.proposed for one in (*unit.words, *unit.further)} | {unit.transmitted}
        return [self.candidate(unit, text) for text in unit.readings if text not in there]

    def candidate(self, unit: Unit, text: str) -> Candidate:
        """Give a reading of a unit with the features by which any candidate is judged."""
        beside = self._beside(unit.start, unit.end)
        return Candidate(
            unit.start,
            unit.end,
            0,
            unit.transmitted,
            text,
            unit.readings.get(text, 0.0),
            word_features(unit.transmitted, text, unit.readings, beside, self.model),
            single=False,
        )

    def _beside(self, start: int, end: int) -> tuple[str, str]:
        """Give the copied words before and after, as the audit has them: after a piece there is none."""
        piece_end = self._pieces_of(start, end)[-1][1]
        before = self.copied[:start].rsplit(maxsplit=1)[-1:]
        after = self.copied[end:piece_end].split(maxsplit=1)[:1]
        return (before or [""])[0], (after or [""])[0]

    def _pieces_of(self, start: int, end: int) -> list[Span]:
        """Give the pieces that have letters in a span."""
        return [(first, last) for first, last in self.pieces if first < end and last > start]

    def _lattice(self, first: int, last: int) -> Lattice:
        """Restore a piece, or several as one; each once."""
        if (first, last) not in self._known:
            stretch = self.copied[first:last]
            habits = self.model.beside_habits(stretch, (self.copy.script,) * len(stretch))
            self._known[first, last] = self._restorer.restore(stretch, habits)
        return self._known[first, last]
