"""Bring the witnesses of the lost texts into a run: collated, with what is known of each.

Arrives: a dossier with the alignments of its survivors. Leaves: a ``Tradition`` for each lost text that has
other witnesses, and notes. Start reading at ``traditions_of``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rapidfuzz.distance import Levenshtein

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.tagging import normalise, word_spans
from fidelity.copyist.tagging import tag_alignment as tagged_of
from fidelity.dossier import Dossier
from fidelity.errors import DataError
from fidelity.letters import without_stops
from fidelity.readings.simple import NoisyChannel, learned_channel
from fidelity.sources.accidents import word_shares
from fidelity.sources.collate import Given, collate
from fidelity.sources.rates import EXCHANGED, UNSURE, Channel, WitnessRate
from fidelity.sources.suspected import suspected_copies, told_of
from fidelity.sources.tradition import Tradition, plain_reading
from fidelity.terms import Alignment, StepKind
from fidelity.terms.attestation import DependentStretch, SuspectedCopy

AS_MANY_WORDS = 4.0  # words of prior: how often he does to a word what his letters do not explain (chosen)
AS_MANY_ACCIDENTS = 200.0  # words: what the assumed rate of accidents is worth beside his own (chosen)
UNLIKE = 0.6  # of the longer word's letters: a word changed in more of them was not misread (chosen)
AS_MANY_LETTERS = 1_000.0  # letters: what the assumed rate is worth beside a measured one (chosen)


@dataclass(frozen=True)
class Traditions:
    """The witnesses of all lost texts that have others than the copy.

    Attributes:
        by_text: by id of the text.
        suspects: witnesses that may be copies of others.
        notes: what the user should know.
    """

    by_text: Mapping[str, Tradition]
    suspects: tuple[SuspectedCopy, ...] = ()
    notes: tuple[str, ...] = ()


def traditions_of(
    dossier: Dossier,
    alignments: Sequence[Alignment],
    dependent_stretches: Mapping[str, Sequence[DependentStretch]] | None = None,
) -> Traditions:
    """Collate the witnesses of every lost text.

    Args:
        dossier: with its witnesses, and who was copied from whom.
        alignments: of the survivors, in the dossier's order.
        dependent_stretches: by id of a text where its copy was found to be copied from a witness, though
            nobody has declared it.
    """
    texts = [one for one in dossier.lost if any(other.of == one.id for other in dossier.witnesses)]
    if not texts:
        return Traditions({})
    exchanged, slips = accidents_of(alignments, dossier)
    his = WitnessRate(
        *(slips, "his own slips, as on the survivors", words_of(alignments, dossier)), exchanged=exchanged
    )
    found: dict[str, Tradition] = {}
    notes: list[str] = []
    for text in texts:
        stretches = (dependent_stretches or {}).get(text.id, ())
        try:
            found[text.id] = _tradition(dossier, text.id, his, stretches)
        except DataError as error:
            notes.append(f"{text.id}: not collated: {error.faults[0].what}")
    suspects = tuple(one for tradition in found.values() for one in suspected_copies(tradition))
    return Traditions(found, suspects, (*notes, *told_of(suspects)))


def _tradition(
    dossier: Dossier, text: str, his: WitnessRate, stretches: Sequence[DependentStretch]
) -> Tradition:
    """Collate the witnesses of one lost text."""
    others = [one for one in dossier.witnesses if one.of == text]
    copy = next(one.copy for one in dossier.lost if one.id == text)
    own = dossier.copyist_siglum
    collation = collate(
        Given(own, copy),
        [Given(one.witness.siglum, one.witness, one.numbered) for one in others],
        text,
        dossier.folds,
    )
    share = word_shares(
        plain_reading(one.letters, dossier.folds)
        for siglum, one in zip(collation.sigla, collation.witnesses, strict=True)
        if siglum == own or not dossier.dependence.get((text, siglum))
    )
    rates = {siglum: replace(witness_rate(dossier, siglum), share=share) for siglum in collation.sigla[1:]}
    rates[own] = replace(his, share=share)
    dependence = {siglum: dossier.dependence.get((text, siglum), ()) for siglum in collation.sigla}
    dependence[own] = (*dependence[own], *stretches)
    dates = {one.witness.siglum: one.date for one in others} | {own: dossier.copyist_dates}
    elsewhere = frozenset(one.witness.siglum for one in others if one.from_original)
    return Tradition(collation, rates, dependence, dates, dossier.folds, elsewhere)


def witness_rate(dossier: Dossier, siglum: str) -> WitnessRate:
    """Give how a witness errs: measured where it transmits survivors too, else assumed."""
    assumed = dossier.settings.witness_errors_per_1000
    originals = {one.id: one.original for one in dossier.survivors}
    wrong = total = 0
    texts = []
    for one in dossier.witnesses:
        if one.witness.siglum == siglum and one.of in originals:
            steps = align_witnesses(originals[one.of], one.witness, dossier.folds).steps.tolist()
            near = [step for step in steps if step[4] != StepKind.SKIPPED]
            wrong += sum(max(o1 - o0, c1 - c0) for o0, o1, c0, c1, kind in near if kind != StepKind.KEPT)
            total += sum(o1 - o0 for o0, o1, _, _, _ in near)
            texts.append(one.of)
    if not total:
        return WitnessRate(assumed, doubt=UNSURE)
    rate = 1000 * (wrong + assumed * AS_MANY_LETTERS / 1000) / (total + AS_MANY_LETTERS)
    return WitnessRate(rate, f"{wrong:,} of {total:,} in {', '.join(texts)}")


def words_of(alignments: Sequence[Alignment], dossier: Dossier) -> Channel:
    """Give how the copyist renders words: as on the survivors where they have the word, else by his letters.

    P(written | original) = (n(original, written) + K P(written | original, letter by letter)) / (n(original)
    + K).
    """
    channel = NoisyChannel(learned_channel(alignments, dossier.folds), {})
    seen: Counter[tuple[str, str]] = Counter()
    for alignment in alignments:
        tagged = tagged_of(alignment, dossier.folds)
        for start, end in word_spans(tagged.copied):
            if all(tagged.trusted[start:end]):
                original = without_stops(tagged.original(start, end).strip())
                seen[original, without_stops(tagged.copied[start:end])] += 1
    chances: Counter[str] = Counter()
    for (original, _), count in seen.items():
        chances[original] += count

    def written_given(original: str, written: str) -> float:
        plain = normalise(original, dossier.folds)
        spelled = channel.written_given(plain, written)
        return (seen[plain, written] + AS_MANY_WORDS * spelled) / (chances[plain] + AS_MANY_WORDS)

    return written_given


def accidents_of(alignments: Sequence[Alignment], dossier: Dossier) -> tuple[float, float]:
    """Give how often the copyist wrote a word of the survivors that the original's letters do not explain.

    (n + K e) / (N + K), of N words; e is what is assumed of a witness of whom nothing is known.

    Returns:
        the share of words, 0-1; and wrong letters per 1,000 in the others.
    """
    unlike = total = wrong = letters = 0
    for alignment in alignments:
        tagged = tagged_of(alignment, dossier.folds)
        for start, end in word_spans(tagged.copied):
            if all(tagged.trusted[start:end]):
                original = without_stops(tagged.original(start, end).strip())
                written = without_stops(tagged.copied[start:end])
                total += 1
                if Levenshtein.normalized_distance(original, written) > UNLIKE:
                    unlike += 1
                else:
                    wrong += Levenshtein.distance(original, written)
                    letters += len(original)
    share = (unlike + AS_MANY_ACCIDENTS * EXCHANGED) / (total + AS_MANY_ACCIDENTS)
    assumed = dossier.settings.witness_errors_per_1000
    return share, 1000 * (wrong + assumed * AS_MANY_LETTERS / 1000) / (letters + AS_MANY_LETTERS)
