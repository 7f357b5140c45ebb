"""Pairs, totals and lists: what the survivors show of them, and what they say of the lost texts.

Arrives: a dossier that has been judged, then the proposals for its lost texts. Leaves: the proposals with
undecided entries marked, and ``Parallels``. Start reading at ``Pairs``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property

from fidelity.causes.coupled_pairs import coupled_pairs, known_pairs, numerals_read
from fidelity.confusions.intervals import clustered
from fidelity.judge import Audit
from fidelity.readings.entry_pairs import KnownEntries, entry_pairs, known_entries
from fidelity.readings.number_pairs import NumberGrounds, number_pairs
from fidelity.readings.outside import LostText, Ways, in_checks, outside_checks
from fidelity.readings.undecided import touches, with_undecided
from fidelity.terms import OPE_CODICUM, ProposedReading
from fidelity.terms.decisions import APPLIED, DecisionUse, Ruling
from fidelity.terms.parallels import LostPair, NumeralRate, OutsideCheck, PairKind, Parallels
from fidelity.variants.numeral_slips import misread_from

DECIDED_BY = "decided by the editor: decisions.csv"
ATTESTED_BY = "another witness tells what stood there: attestation.csv"


class Pairs:
    """What one run knows of pairs, totals and lists.

    Args:
        found: the first half of the chain.
        decided: what became of the editor's decisions on the lost texts.
    """

    def __init__(self, found: Audit, decided: Sequence[DecisionUse]) -> None:
        self.found, self.dossier, self.decided = found, found.dossier, decided
        self.folds, self.confidence = self.dossier.folds, self.dossier.settings.confidence
        self.alignments = found.by_survivor
        declared = self.dossier.parallels
        self.coupled, self.rates = coupled_pairs(
            self.alignments, found.variants, self.folds, declared, self.confidence
        )
        self.lost = [LostText(one.id, one.copy, self.folds, declared.numbers) for one in self.dossier.lost]

    @cached_property
    def ways(self) -> Ways:
        """Give the copyist's operations on letters, folded, the commonest first."""
        counts: Counter[tuple[str, str]] = Counter()
        for (original, written), pages in self.found.counts.answers.items():
            step = self.folds.fold(original), self.folds.fold(written)
            if step[0] != step[1] and (original, written) not in self.found.counts.right:
                counts[step] += sum(pages.values())
        steps = dict(sorted(counts.items(), key=lambda item: (-item[1], item[0])))
        return Ways(steps, self.folds, self.dossier.parallels)

    @cached_property
    def entries(self) -> KnownEntries:
        """Give what is known of pairs of fields."""
        known = known_pairs(self.alignments, self.folds, self.dossier.parallels)
        return known_entries(known, self.coupled, self.alignments, self.ways)

    @cached_property
    def checks(self) -> dict[str, list[OutsideCheck]]:
        """Give the totals and lists of each lost text."""
        return {one.text: outside_checks(one, self.ways) for one in self.lost}

    @cached_property
    def attested(self) -> Counter[str]:
        """Count the words of the originals and references, folded."""
        texts = [one.original for one in self.dossier.survivors] + list(self.dossier.references)
        return Counter(word for text in texts for word in self.folds.fold(text.letters).split())

    def with_undecided(self, readings: Sequence[ProposedReading]) -> list[ProposedReading]:
        """Mark the entries that are suspect and undecided, in the place of proposals for their fields."""
        pairs = [one for lost in self.lost for one in self._entries(lost, (), readings)]
        return with_undecided(readings, pairs, {one.text: one.copy for one in self.lost})

    def _entries(
        self, lost: LostText, moved: Sequence[ProposedReading], readings: Sequence[ProposedReading]
    ) -> list[LostPair]:
        """Give the entries of a lost text.

        Args:
            lost: the text.
            moved: proposals whose partners are asked for.
            readings: all proposals: an entry that the editor or another witness decides is not undecided.
        """
        told = []
        for one in entry_pairs(lost, moved, self.entries, self.ways):
            why = self._decided_by(one, readings) if one.undecided else ""
            told.append(replace(one, undecided=False, caution=why) if why else one)
        return told

    def _decided_by(self, pair: LostPair, readings: Sequence[ProposedReading]) -> str:
        """Say who decides what an entry reads; "" if nobody does."""
        if self._is_decided(pair):
            return DECIDED_BY
        here = [one for one in readings if one.text == pair.text and touches(one, pair)]
        return ATTESTED_BY if any(one.ground == OPE_CODICUM and one.is_proposal for one in here) else ""

    def _is_decided(self, pair: LostPair) -> bool:
        return any(
            use.applied == APPLIED
            and use.decision.ruling in (Ruling.ADOPTED, Ruling.KEPT)
            and use.decision.text == pair.text
            and use.span[0] < pair.span[1]
            and pair.span[0] < use.span[1]
            for use in self.decided
        )

    def parallels(self, readings: Sequence[ProposedReading]) -> Parallels:
        """Give everything, with what the proposals ask of the partners of what they change."""
        pairs: list[LostPair] = []
        for lost in self.lost:
            own = [one for one in readings if one.text == lost.text]
            grounds = NumberGrounds(
                next((one for one in self.rates if one.kind is PairKind.NUMBER), None),
                self.coupled,
                lost.copy.language,
                self.attested if lost.numerals else Counter(),
                self.dossier.parallels.numbers,
            )
            here = [
                *number_pairs(lost, own, self.checks[lost.text], grounds, self.ways),
                *self._entries(lost, own, own),
            ]
            pairs += sorted(here, key=lambda one: (one.span, -(one.probability or 0.0)))
        return Parallels(
            coupled=tuple(self.coupled),
            rates=tuple(self.rates),
            numerals=self._numerals(),
            pairs=tuple(pairs),
            checks=tuple(one for lost in self.lost for one in self.checks[lost.text]),
        )

    def _numerals(self) -> NumeralRate | None:
        """Give how often numerals were misread, and how many of the lost texts are open to it."""
        read = numerals_read(self.alignments, self.folds, self.dossier.parallels.numbers)
        every = [(lost, one) for lost in self.lost for one in lost.numerals]
        if not read.seen and not every:
            return None
        exposed = [
            (lost, one)
            for lost, one in every
            if misread_from(lost.letters[slice(*one.span)], self.ways.steps)
        ]
        unchecked = [one for lost, one in exposed if not in_checks(one, self.checks[lost.text])]
        limits = clustered(read.misread, read.seen, self.confidence)[:2] if read.seen else (0.0, 1.0)
        return NumeralRate(
            numerals=read.seen.total(),
            misread=read.misread.total(),
            low=limits[0],
            high=limits[1],
            misread_at=read.at,
            lost=len(every),
            open=len(exposed),
            unchecked=len(unchecked),
            alone=sum(not one.has_word for one in unchecked),
        )
