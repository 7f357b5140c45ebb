"""All readings of a place of a lost text against each other, an editor's conjectures among them.

Arrives: a span of the copy, conjectures, and all by which the audit proposes. Leaves: ``JudgedUnit``s. Start
reading at ``RivalsOf.units``.

A conjecture gets no probability of its own making: it joins the candidates of its unit, is judged by the same
features and the same calibration, is drawn down where a spelling has shifted as a proposal would be, and
shares one total with its rivals.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from fidelity.copyist.tagging import normalise
from fidelity.letters import decode, encode
from fidelity.readings.candidates import Candidate, Unit
from fidelity.readings.restore import MAY_BE_HIS, Proposer, may_be_proposed, passage_of, reading_of
from fidelity.readings.select import Choice, told_by
from fidelity.readings.units_at import Span, UnitsAt
from fidelity.readings.why import GAP, NOT_HIS
from fidelity.terms import LOST_LETTER, SUSPECT, ProposedReading, Shift, Witness
from fidelity.terms.conjecture import Conjecture, JudgedUnit
from fidelity.trial.every_reading import WideSupport
from fidelity.trial.gap_rivals import NOTE as GAPS_FILLED
from fidelity.trial.gap_rivals import gap_rivals
from fidelity.trial.ranked import Weighed, ranked
from fidelity.trial.shares import shares_of
from fidelity.trial.withheld import withheld
from fidelity.variants.set_aside import evidence_of

SameRule = Callable[[Sequence[ProposedReading]], Sequence[ProposedReading]]
ALIKE = 1e-9  # probabilities that differ by less are the same
AS_WRITTEN = "as transmitted"  # the kind of the transmitted reading
SHARED = "Drawn down together, so that the conjectures and their rivals share one total of probability."
GAP_NOTE = "The copy has a gap here. The figures take it for what he wrote: they say nothing of what it held."


@dataclass(frozen=True)
class Grounds:
    """By what the readings of one lost text are judged.

    Attributes:
        text: its id.
        copy: its copy.
        proposer: model, calibration, evidence, settings.
        readings: what the audit proposes in all lost texts.
        shifts: of spelling, as the audit found them.
        support: what the blind test supports.
        same_rule: gives the audit's proposals, and further readings, with the other places of their rules.
    """

    text: str
    copy: Witness
    proposer: Proposer
    readings: Sequence[ProposedReading]
    shifts: Sequence[Shift]
    support: WideSupport
    same_rule: SameRule


class RivalsOf:
    """Judges all readings of places of one lost text.

    Args:
        grounds: by what they are judged.
    """

    def __init__(self, grounds: Grounds) -> None:
        self.grounds = grounds
        self.units_at = UnitsAt(grounds.copy, grounds.proposer, grounds.proposer.beside.get(grounds.text))
        self._his = evidence_of(grounds.copy, MAY_BE_HIS)

    def units(self, span: Span, conjectures: Sequence[Conjecture]) -> list[JudgedUnit]:
        """Judge all readings in a span.

        Args:
            span: offsets in the copy.
            conjectures: of this text; those in the units of the span are judged with them. One that takes in
                several units makes one stretch of them.

        Returns:
            The units, or stretches, that have letters in the span, in order.
        """
        stretches = self._stretches(conjectures)
        spans = set()
        for unit in self.units_at.spans(*span):
            spans.add(next((one for one in stretches if _overlap(one, unit)), unit))
        weighed = [
            self._weighed(one, [each for each in conjectures if _overlap(each.span, one)])
            for one in sorted(spans)
        ]
        new = [reading for one in weighed for reading in one.readings if reading.number <= 0]
        told = iter(_with_same_rule(new, self.grounds.same_rule))
        return [self._unit(_with_new(one, told)) for one in weighed]

    def _stretches(self, conjectures: Sequence[Conjecture]) -> list[Span]:
        """Give the stretches judged as wholes: the units of each conjecture, joined where they meet."""
        found: list[Span] = []
        for start, end in sorted({self.units_at.around(*one.span) for one in conjectures}):
            if found and start < found[-1][1]:
                found[-1] = found[-1][0], max(end, found[-1][1])
            else:
                found.append((start, end))
        return found

    def _weighed(self, span: Span, asked: Sequence[Conjecture]) -> Weighed:
        """Weigh the readings of one unit: all that was judged shares one total of probability."""
        calibration, base = self.grounds.proposer.calibration, self.units_at.unit(span)
        wanted = tuple((one, self._whole(one, span)) for one in asked)
        unit = self.units_at.joined(base, [text for _, text in wanted])
        suspect = self._suspect(span)
        limit = 1.0 if suspect is None else suspect.probability
        shares = shares_of(base, unit, limit, calibration)
        unit = replace(unit, words=(*unit.words, *unit.further), further=())
        made = [self._reading(one, p, unit) for one, p in zip(unit.words, shares.words, strict=True)]
        drawn, _ = withheld(made, self.grounds.shifts)
        told = [self._told(one) for one in drawn]
        lost = sum(one.probability - other.probability for one, other in zip(made, drawn, strict=True))
        left = 1.0 - limit if suspect else 1.0 - sum(one.probability for one in made)
        left = left if unit.beside is None else shares.transmitted
        others = self.units_at.restorations(unit)
        return Weighed(
            unit=unit,
            asked=wanted,
            readings=tuple(told),
            transmitted=max(left + lost, 0.0),
            others=tuple(zip(shares.of_others(others, calibration), others, strict=True)),
            joined=shares.joined,
            note=SHARED if shares.scale < shares.alone else "",
        )

    def _whole(self, one: Conjecture, span: Span) -> str:
        """Give what a conjecture makes of a whole unit, folded: the words around it stay."""
        copied = self.units_at.copied
        reading = normalise(encode(one.reading), self.grounds.proposer.folds)
        return copied[span[0] : one.span[0]] + reading + copied[one.span[1] : span[1]]

    def _reading(self, one: Candidate, p: float, unit: Unit) -> ProposedReading:
        """Give a candidate with its evidence; its number is no proposal's."""
        grounds, span = self.grounds, (one.start, one.end)
        choice = Choice(one, p, (), told=told_by(unit), attested=one.proposed in unit.plainly)
        return reading_of(choice, span, grounds.copy, grounds.text, grounds.proposer)

    def _proposals(self, span: Span) -> list[ProposedReading]:
        """Give what the audit proposes in a span."""
        return [
            one
            for one in self.grounds.readings
            if one.text == self.grounds.text and _overlap(one.copy_span, span)
        ]

    def _told(self, reading: ProposedReading) -> ProposedReading:
        """Give a reading with what the blind test supports; one that the audit proposes as it has it."""
        for one in self._proposals(reading.copy_span):
            same = one.copy_span == reading.copy_span and one.proposed == reading.proposed and not one.single
            if same and abs(one.probability - reading.probability) < ALIKE:
                return one
        return self.grounds.support.of(reading)

    def _suspect(self, span: Span) -> ProposedReading | None:
        """Give the mark by which the audit calls a unit corrupt, if it does."""
        some = self._proposals(span)
        return next((one for one in some if one.verdict == SUSPECT and one.copy_span == span), None)

    def _unit(self, weighed: Weighed) -> JudgedUnit:
        """Put the readings of a unit in their order and say of each what is to be said."""
        grounds, unit, span = self.grounds, weighed.unit, (weighed.unit.start, weighed.unit.end)
        transmitted = decode(grounds.copy.letters[span[0] : span[1]])
        as_written = ProposedReading(
            number=0,
            text=grounds.text,
            locus=replace(grounds.copy.locus(unit.start), text=grounds.text),
            copy_span=span,
            transmitted=transmitted,
            proposed=transmitted,
            probability=weighed.transmitted,
            kind=AS_WRITTEN,
            attested=all(word in grounds.proposer.model.words for word in unit.transmitted.split()),
        )
        proposals = self._proposals(span)
        barred = self._barred(unit)
        proposer = grounds.proposer
        gap = barred == GAP and gap_rivals(
            grounds.copy, grounds.text, span, weighed.asked, proposer, grounds.support
        )
        return JudgedUnit(
            text=grounds.text,
            locus=as_written.locus,
            span=span,
            transmitted=transmitted,
            passage=passage_of(grounds.copy.letters, span),
            rivals=gap or tuple(ranked(weighed, as_written, proposals, barred, proposer)),
            proposals=tuple(proposals),
            note=GAPS_FILLED if gap else GAP_NOTE if barred == GAP else weighed.note,
        )

    def _barred(self, unit: Unit) -> str:
        """Say why nothing may be proposed in a unit; "" where it may."""
        span, copy = (unit.start, unit.end), self.grounds.copy
        if LOST_LETTER in copy.letters[unit.start : unit.end]:
            return GAP
        whole = Candidate(*span, 0, unit.transmitted, unit.transmitted, 1.0, (), single=False)
        return "" if may_be_proposed(Choice(whole, 1.0, ()), copy, self._his) else NOT_HIS


def _overlap(one: Span, other: Span) -> bool:
    """Tell whether two spans have letters in common."""
    return one[0] < other[1] and other[0] < one[1]


def _with_same_rule(new: Sequence[ProposedReading], same_rule: SameRule) -> list[ProposedReading]:
    """Give readings with the other places of their rules: only what the audit proposes there counts."""
    if not new:
        return []
    numbered = [replace(one, number=-number) for number, one in enumerate(new, start=1)]
    told = {one.number: one for one in same_rule(numbered)}
    own = {f"{one.locus} {one.transmitted} → {one.proposed} (" for one in numbered}
    found = []
    for one in (told[each.number] for each in numbered):
        cited = [line for line in one.same_rule_elsewhere if not line.startswith((*own, f"{one.locus} "))]
        found.append(replace(one, number=0, same_rule_elsewhere=tuple(cited)))
    return found


def _with_new(one: Weighed, told: Iterator[ProposedReading]) -> Weighed:
    """Put readings that were told of anew in the place of those they come from."""
    return replace(one, readings=tuple(next(told) if each.number <= 0 else each for each in one.readings))


def judged_conjectures(
    conjectures: Sequence[Conjecture], rivals: Callable[[str], RivalsOf], progress: Callable[[str], None]
) -> Iterator[JudgedUnit]:
    """Judge an editor's conjectures, each place of them once, text by text.

    Args:
        conjectures: of all lost texts.
        rivals: id of a lost text -> what judges its places.
        progress: told in a few words what is being done.
    """
    for text in dict.fromkeys(one.text for one in conjectures):
        progress(f"judging conjectures on {text}")
        asked = [one for one in conjectures if one.text == text]
        of_text = rivals(text)
        found = {unit.span: unit for one in asked for unit in of_text.units(one.span, asked)}
        yield from (found[span] for span in sorted(found))
