"""The first half of the chain: from survivors to what this copyist does.

Arrives: a dossier. Leaves: an ``Audit``, the records from which every table and page is made, as yet
without readings and blind test. Start reading at ``judge``.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace
from pathlib import Path

from fidelity.alignment.align import align_witnesses
from fidelity.causes.decide import NOT_MADE, Facts, decide
from fidelity.causes.patterns import patterns
from fidelity.confusions.count import AnswerCounts, count_answers
from fidelity.confusions.measure import measure, systematic_pairs
from fidelity.confusions.scores import score
from fidelity.copyist.tagging import normalise
from fidelity.dossier import Dossier, read_dossier
from fidelity.letters import is_punctuation
from fidelity.terms import Alignment, Confusion, Pattern, ProposedReading, Score, Trial, Variant
from fidelity.variants.collect import collect
from fidelity.variants.places import Places, places_of
from fidelity.variants.set_aside import with_reasons
from fidelity.witnesses.folds import letterform_value

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
        found = collect(alignments[survivor.id], survivor.id, folds, len(variants) + 1)
        variants += with_reasons(found, alignments[survivor.id])
    progress("judging the differences")
    words = known_words(dossier)
    facts = {text: Facts(alignments[text], folds, places[text], words=words) for text in alignments}
    variants = decide(variants, facts)
    counts = count_answers(alignments, variants, places)
    systematic = systematic_pairs(counts, settings)
    facts = {text: _with_habits(known, counts, systematic) for text, known in facts.items()}
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


def _with_habits(facts: Facts, counts: AnswerCounts, systematic: Collection[tuple[str, str]]) -> Facts:
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
    habits = frozenset((folds.fold(original), folds.fold(written)) for original, written in systematic)
    return replace(facts, shares=shares, systematic=habits)
