"""Propose readings for a lost text, each with its probability and its evidence.

Arrives: the copy of a lost original, the model, the calibration, the evidence book. Leaves:
``ProposedReading``s in order. Start reading at ``propose``.

The tool gives the transcriptional ground; sense and grammar are the editor's. The transmitted
reading always stands beside the proposed one, and among its rivals.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.model import Model
from fidelity.letters import decode
from fidelity.readings.beside import Beside, attested_beside
from fidelity.readings.calibrating import SETTLED, Calibration
from fidelity.readings.candidates import candidates_of
from fidelity.readings.evidence import EvidenceBook
from fidelity.readings.flagged import Seen
from fidelity.readings.select import Choice, chosen
from fidelity.settings import Settings
from fidelity.terms import (
    CORRUPT,
    LOST_LETTER,
    OPE_CODICUM,
    OPE_INGENII,
    POSSIBLE,
    PROPOSED,
    SUSPECT,
    ProposedReading,
    State,
    Witness,
)
from fidelity.variants.set_aside import Mask, evidence_of
from fidelity.witnesses.folds import Folds

NOT_TRIED = "another witness has it, and the blind test tries no witnesses"
WORDS_BESIDE = 3  # printed before and after the word that is in question

# Letters of the copy that its transcriber could hardly read, or found lost, are the copyist's all the same.
MAY_BE_HIS = frozenset({State.UNCLEAR, State.LOST, State.LOST_UNKNOWN})


@dataclass(frozen=True)
class Proposer:
    """All that is needed to propose readings.

    Attributes:
        model: of the copyist.
        calibration: learned on survivors held out.
        book: evidence from the survivors.
        folds: letterforms counted as equal.
        settings: thresholds.
        mark_suspects: whether places are marked as corrupt where no reading is settled.
        beside: by id of a lost text what is known beside its copy.
        marks: what the survivors show of his own marks.
    """

    model: Model
    calibration: Calibration
    book: EvidenceBook
    folds: Folds
    settings: Settings
    mark_suspects: bool = True
    beside: Mapping[str, Beside] = field(default_factory=dict)
    marks: Seen = field(default_factory=Seen)


def propose(copy: Witness, text: str, proposer: Proposer, first_number: int = 1) -> list[ProposedReading]:
    """Propose readings for the copy of one lost text.

    Args:
        copy: the transcript.
        text: id of the lost text.
        proposer: model, calibration and evidence.
        first_number: number of the first proposal.

    Returns:
        Proposals at least ``settings.report_from`` probable, in order of the text.
    """
    copied = proposer.folds.fold(copy.letters)
    his = evidence_of(copy, MAY_BE_HIS)
    made = []
    scripts = (copy.script,) * len(copied)
    beside, beam = proposer.beside.get(text), proposer.settings.beam
    for unit in candidates_of(copied, copy.lines, proposer.model, beam, scripts, beside):
        least, mark = proposer.settings.report_from, proposer.mark_suspects
        for choice in chosen(unit, proposer.calibration, least, mark):
            if may_be_proposed(choice, copy, his):
                made.append((choice, (unit.start, unit.end)))
    readings = [reading_of(choice, unit, copy, text, proposer) for choice, unit in made]
    return [replace(reading, number=first_number + at) for at, reading in enumerate(readings)]


def may_be_proposed(choice: Choice, copy: Witness, his: Mask) -> bool:
    """Tell whether a proposal touches only letters that are there, and that the copyist wrote.

    Gaps bind the restoration; what an editor restored in the copy, or another hand put in, is not his.
    """
    start, end = choice.candidate.start, choice.candidate.end
    if not his[start : max(end, start + 1)].all():
        return False
    return LOST_LETTER not in copy.letters[start:end] and "\t" not in copy.letters[start:end]


def grafted(graphic: str, folded: str, proposed: str) -> str:
    """Put a proposed reading into the copy's own letterforms where it keeps the copy's letters.

    >>> grafted("ſtreamer", "streamer", "streames")
    'ſtreames'
    """
    pieces = []
    for code in Levenshtein.opcodes(folded, proposed):
        if code.tag == "equal":
            pieces.append(graphic[code.src_start : code.src_end])
        else:
            pieces.append(proposed[code.dest_start : code.dest_end])
    return "".join(pieces)


def reading_of(
    choice: Choice, unit: tuple[int, int], copy: Witness, text: str, proposer: Proposer
) -> ProposedReading:
    """Make the record of one proposal, evidence and all."""
    one, settings = choice.candidate, proposer.settings
    if choice.suspect:
        return _suspect(choice, copy, text, settings.rival_from)
    graphic = copy.letters[one.start : one.end]
    context = copy.letters[unit[0] : unit[1]]
    before = one.start - unit[0]
    whole = proposer.folds.fold(context[:before] + one.proposed + context[one.end - unit[0] :])
    steps = proposer.book.steps_between(one.proposed, one.transmitted)
    found = tuple(proposer.book.of(step, whole, before + at, settings.parallels) for step, at, _ in steps)
    rarest = min(found, key=lambda each: (each.count, -each.chances), default=None)
    at = min(one.start, max(len(copy) - 1, 0))
    attested = attested_beside(proposer.beside.get(text), one.start, one.end, one.proposed)
    return ProposedReading(
        number=0,
        text=text,
        locus=replace(copy.locus(at), text=text),
        copy_span=(one.start, one.end),
        transmitted=decode(graphic),
        proposed=decode(grafted(graphic, one.transmitted, one.proposed)),
        probability=choice.probability,
        ground=OPE_CODICUM if attested or choice.attested else OPE_INGENII,
        note=NOT_TRIED if attested else "",
        by_witness=attested,
        verdict=PROPOSED if choice.probability >= SETTLED else POSSIBLE,
        kind=proposer.book.kind_of(one.proposed, one.transmitted, one.single),
        steps=tuple(each.step for each in found),
        parallels=_all(each.parallels for each in found),
        counterexamples=_all(each.counterexamples for each in found),
        alternatives=_rivals(choice, settings.rival_from),
        count=rarest.count if rarest else 0,
        chances=rarest.chances if rarest else 0,
        low=rarest.low if rarest else 0.0,
        high=rarest.high if rarest else 1.0,
        evidence=found,
        context=decode(context),
        passage=passage_of(copy.letters, unit),
        single=one.single,
        beside=choice.told,
        attested=all(word in proposer.model.words for word in whole.split()),
    )


def _rivals(choice: Choice, least: float) -> tuple[tuple[str, float], ...]:
    """Give the rivals worth telling, the transmitted reading in any case."""
    transmitted = choice.candidate.transmitted
    return tuple((decode(text), p) for text, p in choice.rivals if p >= least or text == transmitted)


def _suspect(choice: Choice, copy: Witness, text: str, least: float) -> ProposedReading:
    """Make the record of a place that is corrupt, as it seems, and for which nothing is proposed."""
    start, end = choice.candidate.start, choice.candidate.end
    transmitted = decode(copy.letters[start:end])
    return ProposedReading(
        number=0,
        text=text,
        locus=replace(copy.locus(start), text=text),
        copy_span=(start, end),
        transmitted=transmitted,
        proposed="",
        probability=choice.probability,
        verdict=SUSPECT,
        kind=CORRUPT,
        alternatives=_rivals(choice, least),
        context=transmitted,
        passage=passage_of(copy.letters, (start, end)),
        note="no reading of it is more probable than not",
        beside=choice.told,
    )


def passage_of(letters: str, unit: tuple[int, int]) -> str:
    """Print a unit with a few words before and after it; lines of the copy run on."""
    start, end = unit
    reach = WORDS_BESIDE * 30  # letters looked at on either side: words are shorter
    before = letters[max(start - reach, 0) : start].split()[-WORDS_BESIDE:]
    after = letters[end : end + reach].split()[:WORDS_BESIDE]
    return decode(" ".join([*before, letters[start:end], *after]))


def _all(several: Iterator[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(locus for loci in several for locus in loci))
