"""The first half of the chain: from survivors to what this copyist does.

Arrives: a dossier. Leaves: an ``Audit``, the records from which every table and page is made, as yet
without readings and blind test. Start reading at ``judge``.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from fidelity.causes.by_editor import with_causes
from fidelity.causes.decide import decide, skipped_tests
from fidelity.causes.facts import Facts
from fidelity.causes.known import facts_of, known_words, mended_slips, modern_forms, with_habits
from fidelity.causes.patterns import patterns
from fidelity.confusions.count import AnswerCounts, count_answers
from fidelity.confusions.drift import drift
from fidelity.confusions.kept import kept_letters
from fidelity.confusions.measure import measure, systematic_pairs
from fidelity.confusions.scores import Tally, score, tallies
from fidelity.dossier import Dossier
from fidelity.dossier.swapped import perhaps_swapped
from fidelity.found import Audit, Progress
from fidelity.settings import Settings
from fidelity.terms import (
    Alignment,
    Confusion,
    Outlook,
    Pattern,
    Score,
    Variant,
)
from fidelity.terms.decisions import DecisionUse
from fidelity.variants.corrections import Correction, final_text
from fidelity.variants.differences import compared
from fidelity.variants.number_notes import notes_on_numbers
from fidelity.variants.places import Places, places_of

if TYPE_CHECKING:
    from fidelity.trial.proofreading import Proofreading
__all__ = ["Audit", "Progress", "judge", "told_in_full"]


@contextmanager
def _no_garbage_sought() -> Iterator[None]:
    """Let Python look for no garbage meanwhile; afterwards, and after a fault, it does as it did before.

    What it looks for are records that hold each other in a ring. Here hundreds of thousands are made and
    kept, none of them in a ring; to go through them all again and again took a fifth of the time.
    """
    sought = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if sought:
            gc.enable()


@_no_garbage_sought()
def judge(dossier: Path | Dossier, progress: Progress = lambda _: None) -> Audit:
    """Do the first half of the chain: align, collect, decide, count, measure, score.

    Args:
        dossier: the folder (or its ``dossier.toml``), or a dossier already read.
        progress: told in a few words what is being done.
    """
    if isinstance(dossier, Path):
        progress("reading the dossier")
        from fidelity.dossier.read import read_dossier  # not needed to compare two texts

        dossier = read_dossier(dossier)
    dossier, corrections = _as_he_let_it_stand(dossier)
    folds, settings = dossier.folds, dossier.settings
    alignments, places, variants, uses = _compared(dossier, progress)
    progress("judging the differences")
    variants, counts, facts = _decided(variants, facts_of(dossier, alignments, places), settings, uses)
    confusions = measure(counts, settings, folds.fold)
    mended = mended_slips(corrections, facts, len(variants) + 1)
    counted = tallies(alignments, variants, places, folds, mended, dossier.parallels.numbers)
    scores = score(counted, settings.confidence)
    course = drift(alignments, variants, folds, settings, {one.id: one.quires for one in dossier.survivors})
    outlook = _outlook(dossier, counted, variants)
    return Audit(
        dossier=dossier,
        alignments=tuple(alignments.values()),
        variants=tuple(variants),
        mended=tuple(mended),
        counts=counts,
        confusions=tuple(confusions),
        scores=tuple(scores),
        patterns=tuple(_patterns(dossier, variants, confusions, scores)),
        readings=(),
        trial=None,
        course=course,
        outlook=outlook,
        proofread=_proofread(dossier),
        decisions=tuple(uses),
        skipped=(*(f"{cause}: {reason}" for cause, reason in skipped_tests(facts)), *course.skipped),
        notes=(*dossier.notes, *perhaps_swapped(dossier), *notes_on_numbers(dossier), *outlook.notes),
    )


def _compared(
    dossier: Dossier, progress: Progress
) -> tuple[dict[str, Alignment], dict[str, Places], list[Variant], list[DecisionUse]]:
    """Compare every survivor with its copy: alignments and places by id, differences, decisions."""
    alignments: dict[str, Alignment] = {}
    places: dict[str, Places] = {}
    variants, uses = list[Variant](), list[DecisionUse]()
    for survivor in dossier.survivors:
        progress(f"aligning {survivor.id}")
        found = compared(survivor, dossier.decisions, dossier.folds, len(variants) + 1)
        alignments[survivor.id] = found.alignment
        places[survivor.id] = places_of(survivor.original, survivor.passages)
        variants += found.variants
        uses += found.uses
    return alignments, places, variants, uses


def _as_he_let_it_stand(dossier: Dossier) -> tuple[Dossier, dict[str, tuple[Correction, ...]]]:
    """Take out of the survivors' copies what he cancelled; what it was, by id of the survivor."""
    survivors, corrections = [], {}
    for survivor in dossier.survivors:
        copy, corrections[survivor.id] = final_text(survivor.copy)
        survivors.append(replace(survivor, copy=copy))
    return replace(dossier, survivors=tuple(survivors)), corrections


def _decided(
    variants: Sequence[Variant], facts: Mapping[str, Facts], settings: Settings, uses: Sequence[DecisionUse]
) -> tuple[list[Variant], AnswerCounts, Mapping[str, Facts]]:
    """Decide causes and count answers, in two rounds: the second knows his habits from the first."""
    alignments = {text: known.alignment for text, known in facts.items()}
    places = {text: known.places for text, known in facts.items()}
    kept = {
        text: kept_letters(alignment, [one for one in variants if one.text == text], places[text])
        for text, alignment in alignments.items()
    }
    first = with_causes(decide(variants, facts, thorough=False), uses)
    counts = count_answers(alignments, first, places, kept)
    systematic = systematic_pairs(counts, settings)
    facts = {text: with_habits(known, counts, systematic) for text, known in facts.items()}
    decided = with_causes(decide(first, facts), uses)
    return decided, count_answers(alignments, decided, places, kept), facts


def _outlook(dossier: Dossier, counted: Sequence[Tally], variants: Sequence[Variant]) -> Outlook:
    """Forecast what the lost texts hold, and each survivor from the others, where there is any."""
    if not dossier.lost and len(dossier.survivors) < 2:
        return Outlook()
    from fidelity.trial.forecast import forecast  # not needed to compare two texts

    lost = {text.id: text.copy for text in dossier.lost}
    return forecast(counted, variants, lost, dossier.folds, dossier.settings, dossier.parallels.numbers)


def _proofread(dossier: Dossier) -> tuple[Proofreading, ...]:
    """Say what the checking of the originals' transcripts tells, where there was any."""
    if all(one.unchecked is None for one in dossier.survivors):
        return ()
    from fidelity.trial.proofreading import proofreadings  # as above

    return tuple(proofreadings(dossier.survivors, dossier.folds))


def _patterns(
    dossier: Dossier, variants: Sequence[Variant], confusions: Sequence[Confusion], scores: Sequence[Score]
) -> list[Pattern]:
    """Give the kinds of error to review, worst first."""
    lost = {text.id: text.copy for text in dossier.lost}
    originals = {survivor.id: survivor.original for survivor in dossier.survivors}
    confidence, numbers = dossier.settings.confidence, dossier.parallels.numbers
    return patterns(variants, confusions, scores, lost, dossier.folds, originals, confidence, numbers)


@_no_garbage_sought()
def told_in_full(found: Audit) -> Audit:
    """Add every habit in full, where in the lost texts to look, and which places to look at again."""
    from fidelity.causes.looks import with_looks  # not needed to compare two texts
    from fidelity.causes.undone import LostWords  # as above
    from fidelity.confusions.habits import habits  # as above
    from fidelity.confusions.influence import rechecks  # as above
    from fidelity.variants.rescued import rescued  # as above

    dossier, alignments, places = found.dossier, found.by_survivor, found.places
    told = habits(
        alignments,
        found.variants,
        places,
        found.counts,
        found.confusions,
        dossier.folds,
        dossier.settings,
    )
    lost = {text.id: text.copy for text in dossier.lost}
    words = LostWords(lost, known_words(dossier) if lost else (), dossier.folds)
    patterns = with_looks(found.patterns, told, words, modern_forms(dossier), dossier.folds)
    originals = {one.id: (one.original, places[one.id]) for one in dossier.survivors}
    copies = [text.copy.letters for text in dossier.lost or dossier.survivors]
    again = rechecks(found.counts, found.variants, originals, copies, dossier.settings)
    kept = [
        one
        for survivor, alignment in alignments.items()
        for one in rescued(alignment, survivor, dossier.folds)
    ]
    return replace(
        found,
        habits=tuple(told),
        patterns=tuple(patterns),
        rechecks=tuple(again),
        rescued=tuple(kept),
    )
