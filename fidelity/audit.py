"""The whole chain, once: from a dossier to everything the tool has to say.

Arrives: a dossier. Leaves: an ``Audit``, the records from which every table and page is made.
Start reading at ``audit``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import repeat
from pathlib import Path

from fidelity.alignment.align import align_witnesses
from fidelity.causes.decide import NOT_MADE, Facts, decide
from fidelity.causes.patterns import patterns
from fidelity.confusions.count import AnswerCounts, count_answers
from fidelity.confusions.measure import measure
from fidelity.confusions.scores import score
from fidelity.copyist.tagging import Tagged, normalise, tag_alignment, without_passages
from fidelity.dossier import Dossier, Survivor, read_dossier
from fidelity.letters import encode, is_punctuation
from fidelity.readings.evidence import EvidenceBook
from fidelity.readings.held_out import HeldOut, Learner, hold_out, page_starts, parts_of
from fidelity.readings.restore import Proposer, propose
from fidelity.readings.select import calibration_from
from fidelity.terms import Alignment, Confusion, Pattern, ProposedReading, Score, Trial, Variant
from fidelity.trial.blind import blind_test
from fidelity.variants.collect import collect
from fidelity.variants.places import Places, places_of
from fidelity.witnesses.folds import letterform_value, published_pairs

Progress = Callable[[str], None]  # told what is being done now, in a few words


@dataclass(frozen=True)
class Audit:
    """Everything found in one run over a dossier.

    Attributes:
        dossier: what went in.
        alignments: one for each survivor, in the dossier's order.
        variants: every difference, in order of the survivors' texts.
        counts: what each letter was answered by.
        confusions: every letter confusion, most frequent first.
        scores: by survivor and measure, then all together.
        patterns: to review, worst first.
        readings: proposals for the lost texts, in order of the texts.
        trial: the blind test; None where the survivors do not allow one.
        skipped: tests that were not made, with the reason.
        notes: what the user should know about this run.
    """

    dossier: Dossier
    alignments: tuple[Alignment, ...]
    variants: tuple[Variant, ...]
    counts: AnswerCounts
    confusions: tuple[Confusion, ...]
    scores: tuple[Score, ...]
    patterns: tuple[Pattern, ...]
    readings: tuple[ProposedReading, ...]
    trial: Trial | None
    skipped: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def audit(dossier: Path | Dossier, progress: Progress = lambda _: None) -> Audit:
    """Judge a copyist by his survivors and propose readings for his lost texts.

    Args:
        dossier: the folder (or its ``dossier.toml``), or a dossier already read.
        progress: told in a few words what is being done.

    Raises:
        DataError: something in the dossier cannot be used.
        UnrelatedTextsError: an original and its copy have nothing in common.
    """
    found = judge(dossier, progress)
    learner = learner_of(found)
    held = hold_out_survivors(found, learner, progress)
    trial = trial_of(found, learner, held)
    notes = list(found.notes)
    if trial is None:
        notes.append("the survivors are too few for a blind test: no probability is borne out by one")
    elif trial.left_out != "survivor":
        notes.append(f"a single survivor: the blind test leaves out {trial.left_out} of it in turn")
    notes += _not_learned_from(found.dossier)
    readings = _readings(found, learner, held, progress)
    return replace(found, trial=trial, readings=tuple(readings), notes=tuple(notes))


def judge(dossier: Path | Dossier, progress: Progress = lambda _: None) -> Audit:
    """Do the first half of the chain: align, collect, decide, count, measure, score.

    Args:
        dossier: the folder (or its ``dossier.toml``), or a dossier already read.
        progress: told in a few words what is being done.

    Returns:
        An ``Audit`` without readings and trial.
    """
    if isinstance(dossier, Path):
        progress("reading the dossier")
        dossier = read_dossier(dossier)
    folds, settings = dossier.folds, dossier.settings
    alignments: dict[str, Alignment] = {}
    places: dict[str, Places] = {}
    variants: list[Variant] = []
    for survivor in dossier.survivors:
        progress(f"aligning {survivor.id}")
        alignments[survivor.id] = align_witnesses(survivor.original, survivor.copy, folds)
        places[survivor.id] = places_of(survivor.original, survivor.passages)
        variants += collect(alignments[survivor.id], survivor.id, folds, len(variants) + 1)
    progress("judging the differences")
    words = known_words(dossier)
    facts = {text: Facts(alignments[text], folds, places[text], words=words) for text in alignments}
    variants = decide(variants, facts)
    counts = count_answers(alignments, variants, places)
    confusions = measure(counts, settings, folds.fold)
    facts = {text: _with_habits(known, counts, confusions) for text, known in facts.items()}
    variants = decide(variants, facts)
    counts = count_answers(alignments, variants, places)
    confusions = measure(counts, settings, folds.fold)
    scores = score(alignments, variants, places, folds, settings.confidence)
    lost = [text.copy.letters for text in dossier.lost]
    return Audit(
        dossier=dossier,
        alignments=tuple(alignments.values()),
        variants=tuple(variants),
        counts=counts,
        confusions=tuple(confusions),
        scores=tuple(scores),
        patterns=tuple(patterns(variants, confusions, scores, lost, folds)),
        readings=(),
        trial=None,
        skipped=tuple(f"{cause}: {reason}" for cause, reason in NOT_MADE),
        notes=(*dossier.notes, *_perhaps_swapped(dossier)),
    )


def _perhaps_swapped(dossier: Dossier) -> list[str]:
    """Point out a survivor whose copy, not its original, is written in old letterforms."""
    found = []
    for survivor in dossier.survivors:
        old = [
            {letter for letter in set(text.letters) if letterform_value(letter) != letter}
            for text in (survivor.original, survivor.copy)
        ]
        if old[1] and not old[0]:
            letters = " ".join(sorted(old[1]))
            found.append(f"{survivor.id}: {letters} stand in the copy alone; is the original named first?")
    return found


def known_words(dossier: Dossier) -> frozenset[str]:
    """Give the words of the originals' language as far as the dossier knows them, normalised."""
    texts = [survivor.original for survivor in dossier.survivors] + list(dossier.references)
    found = set()
    for witness in texts:
        for word in normalise(witness.letters, dossier.folds).split():
            found.add("".join(letter for letter in word if not is_punctuation(letter)))
    return frozenset(found - {""})


def _with_habits(facts: Facts, counts: AnswerCounts, confusions: Sequence[Confusion]) -> Facts:
    """Add what the second round of deciding causes may use: shares of chances, what is systematic."""
    folds = facts.folds
    shares: dict[tuple[str, str], tuple[int, int]] = {}
    chances: dict[str, int] = {}
    for original, pages in counts.chances.items():
        folded = folds.fold(original)
        chances[folded] = chances.get(folded, 0) + sum(pages.values())
    for (original, written), pages in counts.answers.items():
        if (original, written) not in counts.right:
            pair = folds.fold(original), folds.fold(written)
            shares[pair] = (shares.get(pair, (0, 0))[0] + sum(pages.values()), chances[pair[0]])
    systematic = frozenset(
        (folds.fold(encode(one.original)), folds.fold(encode(one.copy)))
        for one in confusions
        if one.systematic
    )
    return replace(facts, shares=shares, systematic=systematic)


def learner_of(found: Audit) -> Learner:
    """Give all that is needed to learn the model of the copyist from some of the survivors."""
    dossier, folds = found.dossier, found.dossier.folds
    copies = [survivor.copy for survivor in dossier.survivors] + [text.copy for text in dossier.lost]
    return Learner(
        tagged=tuple(map(_tagged, dossier.survivors, found.alignments, repeat(dossier))),
        lines=tuple(survivor.copy.lines for survivor in dossier.survivors),
        references=tuple(normalise(witness.letters, folds) for witness in dossier.references),
        published=published_for(dossier),
        beam=dossier.settings.beam,
        written=Counter(word for copy in copies for word in folds.fold(copy.letters).split()),
    )


def _languages_of_lost(dossier: Dossier) -> set[str]:
    """Give the languages of the lost texts; nothing unless each of them says its own."""
    languages = {text.copy.language for text in dossier.lost}
    return set() if "" in languages else languages


def _not_learned_from(dossier: Dossier) -> list[str]:
    """Say which languages of the survivors teach the model nothing."""
    wanted = _languages_of_lost(dossier)
    if not wanted:
        return []
    there = {passage.language for survivor in dossier.survivors for passage in survivor.passages}
    there |= {survivor.original.language for survivor in dossier.survivors}
    return [
        f"passages in {language} are scored but not learned from: no lost text is in that language"
        for language in sorted(there - wanted - {""})
    ]


def _tagged(survivor: Survivor, alignment: Alignment, dossier: Dossier) -> Tagged:
    """Tag a survivor's copy; passages in a language that no lost text has teach nothing."""
    tagged = tag_alignment(alignment, dossier.folds)
    wanted = _languages_of_lost(dossier)
    if not wanted:
        return tagged
    others = places_of(survivor.original, survivor.passages).in_other_languages(wanted)
    return without_passages(tagged, alignment, others)


def published_for(dossier: Dossier) -> frozenset[tuple[str, str]]:
    """Give the confusions in print for the scripts of the dossier, folded, single letters misread."""
    scripts = {text.copy.script for text in dossier.lost}
    for survivor in dossier.survivors:
        scripts |= {survivor.original.script, *(passage.script for passage in survivor.passages)}
    folds = dossier.folds
    return frozenset(
        (folds.fold(original), folds.fold(misread))
        for script in sorted(scripts - {""})
        for original, misread in published_pairs(script)
        if original and len(misread) == 1
    )


def hold_out_survivors(found: Audit, learner: Learner, progress: Progress) -> list[HeldOut]:
    """Restore every survivor with a model that has not seen it."""
    pages = [survivor.copy.pages for survivor in found.dossier.survivors]
    parts = parts_of(learner, pages, found.dossier.settings.folds)
    rounds = len({part.fold for part in parts})
    if rounds < 2:
        return []
    held: list[HeldOut] = []
    seen: set[int] = set()
    progress(f"blind test, round 1 of {rounds}")
    for one in hold_out(learner, parts):
        held.append(one)
        if one.part.fold not in seen and len(seen) + 1 < rounds:
            seen.add(one.part.fold)
            progress(f"blind test, round {len(seen) + 1} of {rounds}")
    return held


def trial_of(found: Audit, learner: Learner, held: Sequence[HeldOut]) -> Trial | None:
    """Make the blind test of what was restored blind; None where nothing could be held out."""
    if not held:
        return None
    survivors = found.dossier.survivors
    copies = [(survivor.id, survivor.copy) for survivor in survivors]
    settings = found.dossier.settings
    return blind_test(held, learner.tagged, copies, _left_out(survivors, settings.folds), settings)


def _left_out(survivors: Sequence[Survivor], folds: int) -> str:
    """Name what is left out together."""
    if len(survivors) > 1:
        return "survivor"
    copy = survivors[0].copy
    return "pages" if len(page_starts(copy.lines, copy.pages)) + 1 >= folds else "lines"


def _readings(
    found: Audit, learner: Learner, held: Sequence[HeldOut], progress: Progress
) -> list[ProposedReading]:
    """Propose readings for every lost text."""
    dossier = found.dossier
    if not dossier.lost:
        return []
    progress("learning the copyist from all survivors")
    alignments = dict(zip((survivor.id for survivor in dossier.survivors), found.alignments, strict=True))
    proposer = Proposer(
        learner.model_of(learner.tagged),
        calibration_from([one for part in held for one in part.judged]),
        EvidenceBook(alignments, found.variants, found.counts, dossier.folds),
        dossier.folds,
        dossier.settings,
    )
    readings: list[ProposedReading] = []
    for text in dossier.lost:
        progress(f"proposing readings for {text.id}")
        readings += propose(text.copy, text.id, proposer, len(readings) + 1)
    return readings
