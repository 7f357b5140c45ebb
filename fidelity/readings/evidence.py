"""What speaks for a proposed reading, and what against: places in the survivors, by locus.

Arrives: the survivors' alignments, variants and counts. Leaves: an ``EvidenceBook`` that can be
asked about any assumed operation. Start reading at ``EvidenceBook.of``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fidelity.confusions.count import AnswerCounts
from fidelity.letters import is_punctuation
from fidelity.readings.steps import Step, known_steps
from fidelity.terms import Alignment, Cause, Locus, StepKind, Variant
from fidelity.witnesses.folds import Folds

HABITS = frozenset({Cause.SPELLING_HABIT, Cause.MODERNISED, Cause.EXPANSION, Cause.LETTERFORM})


@dataclass(frozen=True)
class StepEvidence:
    """What the survivors show of one operation.

    Attributes:
        count, chances: how often he did it, out of how many chances.
        parallels: where, in order.
        counterexamples: where he copied the same letters right, the most alike first.
    """

    count: int
    chances: int
    parallels: tuple[Locus, ...]
    counterexamples: tuple[Locus, ...]


class EvidenceBook:
    """Looks operations up in the survivors.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided.
        counts: of their letters.
        folds: letterforms counted as equal.
    """

    def __init__(
        self,
        alignments: Mapping[str, Alignment],
        variants: Sequence[Variant],
        counts: AnswerCounts,
        folds: Folds,
    ) -> None:
        self.alignments, self.folds = alignments, folds
        self.places: defaultdict[Step, list[Locus]] = defaultdict(list)
        self.causes: defaultdict[Step, Counter[Cause]] = defaultdict(Counter)
        for variant in variants:
            for step in self._steps_of(variant):
                self.places[step].append(variant.locus)
                self.causes[step][variant.cause] += 1
        self.exchanges = [v.locus for v in variants if v.cause is Cause.METATHESIS and len(v.original) == 2]
        self.chances: Counter[str] = Counter()
        for letters, pages in counts.chances.items():
            self.chances[folds.fold(letters)] += sum(pages.values())
        self._folded = {text: folds.fold(a.original.letters) for text, a in alignments.items()}
        self._kept = {text: _kept(a) for text, a in alignments.items()}
        self._memo: dict[tuple[str, str, int], tuple[Locus, ...]] = {}

    def _steps_of(self, variant: Variant) -> set[Step]:
        """Give the operations a variant counts for: its answers, and all of them as one."""
        folded = [(self.folds.fold(o), self.folds.fold(c)) for o, c in variant.pairs]
        whole = "".join(o for o, _ in folded), "".join(c for _, c in folded)
        return {*folded, whole}

    def steps_between(self, proposed: str, transmitted: str) -> list[Step]:
        """Give the assumed operations, parted into such as the survivors show where that can be."""
        return [one.step for one in known_steps(proposed, transmitted, self.places)]

    def of(self, step: Step, context: str, most: int) -> StepEvidence:
        """Give the evidence for one operation.

        Args:
            step: the operation.
            context: the proposed reading, to find counterexamples in like surroundings.
            most: at most so many loci of either sort.
        """
        original, _ = step
        places = self.places.get(step, [])
        chances = self.chances.get(original, 0) or self._occurrences(original)
        if len(original) == 2 and step[1] == original[::-1]:  # an exchange is one kind, whatever the letters
            places, chances = self.exchanges, sum(self.chances[x] for x in self.chances if len(x) == 1)
        return StepEvidence(
            len(places),
            max(chances, len(places)),
            tuple(places[:most]),
            self._copied_right(original, context, most),
        )

    def _occurrences(self, letters: str) -> int:
        """Count a string in the originals; for nothing written in, every letter is a place."""
        if not letters:
            return sum(map(len, self._folded.values()))
        return sum(text.count(letters) for text in self._folded.values())

    def _copied_right(self, letters: str, context: str, most: int) -> tuple[Locus, ...]:
        """Give places where he copied these letters right, in like surroundings first."""
        at = context.find(letters) if letters else -1
        before, after = (
            (context[max(at - 1, 0) : at], context[at + len(letters) :][:1]) if at >= 0 else ("", "")
        )
        found: list[Locus] = []
        for near in dict.fromkeys([before + letters + after, before + letters, letters + after, letters]):
            if not letters or len(found) >= most:
                break
            found += [locus for locus in self._kept_at(near, letters, most) if locus not in found]
        return tuple(found[:most])

    def _kept_at(self, near: str, letters: str, most: int) -> tuple[Locus, ...]:
        """Give the first places at which a string stands in the originals and was kept whole."""
        key = (near, letters, most)
        if key not in self._memo:
            found: list[Locus] = []
            for text, folded in self._folded.items():
                at = folded.find(near)
                while at >= 0 and len(found) < most:
                    if self._kept[text][at : at + len(near)].all():
                        inside = at + max(near.find(letters), 0)
                        locus = self.alignments[text].original.locus(inside)
                        found.append(Locus(text, locus.line, locus.word))
                    at = folded.find(near, at + 1)
            self._memo[key] = tuple(found)
        return self._memo[key]

    def kind_of(self, proposed: str, transmitted: str, single: bool) -> str:
        """Name the kind of a proposal: division, capital, punctuation, habit, letter, misreading."""
        if "".join(proposed.split()) == "".join(transmitted.split()):
            return "division"
        if proposed.lower() == transmitted.lower():
            return "capital"
        bare = ["".join(x for x in text if not is_punctuation(x)).split() for text in (proposed, transmitted)]
        if bare[0] == bare[1]:
            return "punctuation"
        steps = self.steps_between(proposed, transmitted)
        causes: Counter[Cause] = Counter()
        for step in steps:
            causes += self.causes.get(step, Counter())
        if causes and sum(causes[cause] for cause in HABITS) * 2 > causes.total():
            return "habit"
        return "letter" if single else "misreading"


def _kept(alignment: Alignment) -> np.ndarray:
    """Give for each letter of the original whether the copy kept it."""
    kept = np.zeros(len(alignment.original), dtype=bool)
    for o0, o1, _, _, kind in alignment.steps.tolist():
        if kind == StepKind.KEPT:
            kept[o0:o1] = True
    return kept
