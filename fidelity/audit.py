"""The whole chain, once: from a dossier to everything the tool has to say.

Arrives: a dossier. Leaves: an ``Audit``, the records from which every table and page is made. Start
reading at ``audit``; its first half stands in ``judge.py``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cache, partial
from pathlib import Path

from fidelity.copyist.tagging import normalise
from fidelity.dossier import Dossier, Survivor
from fidelity.dossier.in_print import published_for
from fidelity.hands.find import hands_found
from fidelity.judge import Audit, Progress, judge, told_in_full
from fidelity.pairs import Pairs
from fidelity.readings.beside import beside_lost
from fidelity.readings.calibrating import Calibrating
from fidelity.readings.consistency import Consistency, consistency
from fidelity.readings.copies_seen import copies_seen
from fidelity.readings.decided import as_decided, decided_words, standing
from fidelity.readings.evidence import EvidenceBook
from fidelity.readings.flag_rates import flag_rates
from fidelity.readings.held_out import HeldOut, Learner, Note, hold_out, page_starts, parts_of
from fidelity.readings.learned_from import not_learned_from, tagged_copy
from fidelity.readings.restore import Proposer, propose
from fidelity.readings.undecided import with_partners
from fidelity.rules_run import grounds_of, rules_run
from fidelity.taken import dependent_stretches, noted, with_imported
from fidelity.terms import ProposedReading, Shift, Trial
from fidelity.trial.blind import blind_test
from fidelity.trial.every_reading import WideSupport, every_reading
from fidelity.trial.gap_test import with_gaps
from fidelity.trial.marked_copies import beside_marks, by_rules, gap_test, marks_seen, with_gap_readings
from fidelity.trial.rivals import Grounds as RivalGrounds
from fidelity.trial.rivals import RivalsOf, judged_conjectures
from fidelity.trial.rounds import Rounds
from fidelity.trial.support import with_support
from fidelity.trial.transfer import told, transfer
from fidelity.trial.withheld import withheld
from fidelity.trial.witnessed import attestation_of, beside_witnesses, what_a_witness_has

__all__ = ["Audit", "audit", "judge"]

Rivals = Callable[[str], RivalsOf]  # id of a lost text -> what judges all readings of its places


def audit(dossier: Path | Dossier, progress: Progress = lambda _: None) -> Audit:
    """Judge a copyist by his survivors and propose readings for his lost texts.

    Args:
        dossier: the folder (or its ``dossier.toml``), or a dossier already read.
        progress: told in a few words what is being done.

    Raises:
        DataError: something in the dossier cannot be used.
        UnrelatedTextsError: an original and its copy have nothing in common.
    """
    return audit_to_ask(dossier, progress)[0]


def audit_to_ask(dossier: Path | Dossier, progress: Progress = lambda _: None) -> tuple[Audit, Rivals]:
    """Do the same, and give also what can be asked of any place of a lost text.

    Returns:
        The audit; and for the id of a lost text what judges all readings of its places.
    """
    found = with_imported(told_in_full(judge(dossier, progress)), progress)
    learner = learner_of(found)
    rounds = rounds_of(found, learner)
    held = hold_out_survivors(found, learner, progress, rounds.note)
    trial = trial_of(found, learner, held, rounds)
    notes = [*_notes_on(found, trial), *learner.copies.found.notes]
    marks_hold = bool(trial and trial.suspects and trial.suspects.hold)
    proposer, readings = readings_of(found, learner, held, progress, marks_hold)
    pairs = Pairs(found, learner.decisions)
    readings = pairs.with_undecided(readings)
    shifts, rules = list[Shift](), Consistency()
    if proposer:
        readings, shifts, rules = _drawn_down(found, learner, proposer, readings, trial)
        notes += told(shifts)
    decided = as_decided(found.dossier, found.decisions, learner.decisions, readings)
    parallels = pairs.parallels(decided.readings)
    told_of_partners = with_partners(decided.readings, parallels.pairs)
    reads = partial(what_a_witness_has, learner.beside)
    found = replace(
        with_flags(found, learner),
        trial=trial,
        readings=noted(told_of_partners, found.imported, reads, found.dossier.witnesses),
        decisions=decided.uses,
        decided=decided.own,
        rules=rules.uses,
        rule_places=rules.places,
        shifts=tuple(shifts),
        hands=hands_found(found.dossier, found.alignments, found.mended),
        parallels=parallels,
        notes=(*notes, *decided.notes),
    )
    rivals = _rivals(found, learner, held, rounds, proposer)
    judged = tuple(judged_conjectures(found.dossier.conjectures, rivals, progress))
    return replace(_attested(found, learner, proposer), conjectures=judged), rivals


def _drawn_down(
    found: Audit,
    learner: Learner,
    proposer: Proposer,
    readings: Sequence[ProposedReading],
    trial: Trial | None,
) -> tuple[list[ProposedReading], list[Shift], Consistency]:
    """Draw proposals down where spellings have shifted, and run their rules over everything."""
    apart = with_support([one for one in readings if not by_rules(one)], trial)
    drawn, shifts = withheld(
        [one for one in readings if by_rules(one)], transfer(found.dossier, sorted(proposer.book.places))
    )
    rules = rules_run(found, learner, proposer, with_support(drawn, trial))
    return sorted([*rules.readings, *apart], key=lambda one: one.number), shifts, rules


def with_flags(found: Audit, learner: Learner) -> Audit:
    """Add his own marks, and how honest they are; and what is told of several copies."""
    rates = flag_rates(learner.marks, found.dossier.settings.confidence)
    return replace(
        found,
        flagged=learner.marks.flagged,
        flag_rates=tuple(rates),
        copies=learner.copies.found,
    )


def _notes_on(found: Audit, trial: Trial | None) -> list[str]:
    """Give the notes so far, with those on the blind test and on what teaches nothing."""
    notes = list(found.notes)
    if trial is None:
        notes.append("the survivors are too few for a blind test: no probability is borne out by one")
    elif trial.left_out != "survivor":
        notes.append(f"a single survivor: the blind test leaves out {trial.left_out} of it in turn")
    return notes + not_learned_from(found.dossier)


def _attested(found: Audit, learner: Learner, proposer: Proposer | None) -> Audit:
    """Add what other witnesses of the lost texts attest."""
    attestation = attestation_of(learner.beside, proposer)
    return replace(found, attestation=attestation.readings, notes=(*found.notes, *attestation.notes))


def _rivals(
    found: Audit, learner: Learner, held: Sequence[HeldOut], rounds: Rounds, proposer: Proposer | None
) -> Rivals:
    """Give what judges all readings of the places of a lost text; made when it is first asked for."""
    survivors, lost = found.dossier.survivors, {text.id: text.copy for text in found.dossier.lost}
    copies = [(survivor.id, survivor.copy) for survivor in survivors]
    proposals = [one for one in found.readings if by_rules(one)]

    @cache
    def support() -> WideSupport:
        judged = every_reading(held, learner.tagged, copies, rounds) if held else ()
        return WideSupport(found.trial, judged)

    def of_text(text: str) -> RivalsOf:
        if proposer is None:
            raise ValueError("there is no lost text to ask of")

        def same_rule(new: Sequence[ProposedReading]) -> Sequence[ProposedReading]:
            return consistency([*proposals, *new], grounds_of(found, learner.tagged, proposer)).readings

        return RivalsOf(
            RivalGrounds(text, lost[text], proposer, found.readings, found.shifts, support(), same_rule)
        )

    return of_text


def learner_of(found: Audit) -> Learner:
    """Give all that is needed to learn the model of the copyist from some of the survivors."""
    dossier, folds = found.dossier, found.dossier.folds
    copies = [survivor.copy for survivor in dossier.survivors] + [text.copy for text in dossier.lost]
    decisions = standing(dossier)
    decided = decided_words(dossier, decisions)
    pairs = zip(dossier.survivors, found.alignments, strict=True)
    tagged = tuple(tagged_copy(*pair, dossier, found.variants) for pair in pairs)
    marks = marks_seen(dossier, found.alignments, tagged)
    others = copies_seen(dossier, found.alignments, found.variants)
    return Learner(
        tagged=tagged,
        lines=tuple(survivor.copy.lines for survivor in dossier.survivors),
        references=tuple(normalise(witness.letters, folds) for witness in dossier.references),
        published=published_for(dossier),
        beam=dossier.settings.beam,
        written=Counter(word for copy in copies for word in folds.fold(copy.letters).split()),
        decided=decided.tagged,
        decided_words=decided.words,
        decisions=tuple(decisions),
        marks=marks,
        beside=(
            *beside_marks(marks, dossier, found.alignments),
            *others.beside,
            *beside_witnesses(dossier, found.alignments, dependent_stretches(found)),
        ),
        copies=others,
    )


def rounds_of(found: Audit, learner: Learner, with_channel: bool = False) -> Rounds:
    """Give what will note what each round of the blind test knows.

    Args:
        found: the first half of the chain.
        learner: the survivors.
        with_channel: whether the letter channel is tried among the simple methods. It takes longer
            than the rest of the blind test, so an audit leaves it out.
    """
    gaps = gap_test(learner.marks, found.dossier, found.alignments)
    return Rounds(found.by_survivor, found.variants, learner.tagged, found.dossier.folds, with_channel, gaps)


def hold_out_survivors(
    found: Audit, learner: Learner, progress: Progress, note: Note | None = None
) -> list[HeldOut]:
    """Restore every survivor with a model that has not seen it; ``note`` is told of each model."""
    pages = [survivor.copy.pages for survivor in found.dossier.survivors]
    parts = parts_of(learner, pages, found.dossier.settings.folds)
    rounds = len({part.fold for part in parts})
    if rounds < 2:
        return []
    held: list[HeldOut] = []
    seen: set[int] = set()
    progress(f"blind test, round 1 of {rounds}")
    for one in hold_out(learner, parts, note):
        held.append(one)
        if one.part.fold not in seen and len(seen) + 1 < rounds:
            seen.add(one.part.fold)
            progress(f"blind test, round {len(seen) + 1} of {rounds}")
    return held


def trial_of(found: Audit, learner: Learner, held: Sequence[HeldOut], rounds: Rounds) -> Trial | None:
    """Make the blind test of what was restored blind; None where nothing could be held out."""
    if not held:
        return None
    survivors, settings = found.dossier.survivors, found.dossier.settings
    copies = [(survivor.id, survivor.copy) for survivor in survivors]
    trial = blind_test(held, learner.tagged, copies, _left_out(survivors, settings.folds), settings, rounds)
    return with_gaps(trial, rounds.gaps)


def _left_out(survivors: Sequence[Survivor], folds: int) -> str:
    """Name what is left out together."""
    if len(survivors) > 1:
        return "survivor"
    copy = survivors[0].copy
    return "pages" if len(page_starts(copy.lines, copy.pages)) + 1 >= folds else "lines"


def readings_of(
    found: Audit, learner: Learner, held: Sequence[HeldOut], progress: Progress, mark_suspects: bool = True
) -> tuple[Proposer | None, list[ProposedReading]]:
    """Propose readings for every lost text; by what they were proposed, if there is any."""
    dossier = found.dossier
    if not dossier.lost:
        return None, []
    progress("learning the copyist from all survivors")
    confidence = dossier.settings.confidence
    proposer = Proposer(
        learner.model_of(learner.tagged),
        Calibrating(held).without(),
        EvidenceBook(found.by_survivor, found.variants, found.counts, dossier.folds, confidence),
        dossier.folds,
        dossier.settings,
        mark_suspects,
        beside_lost(learner.beside, [text.id for text in dossier.lost]),
        learner.marks,
    )
    readings: list[ProposedReading] = []
    for text in dossier.lost:
        progress(f"proposing readings for {text.id}")
        found_here = propose(text.copy, text.id, proposer, len(readings) + 1)
        readings += with_gap_readings(found_here, text.copy, text.id, proposer)
    return proposer, [replace(one, number=at) for at, one in enumerate(readings, start=1)]
