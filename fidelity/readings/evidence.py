"""What speaks for a proposed reading, and what against: places in the survivors, by locus.

Arrives: the survivors' alignments, variants and counts. Leaves: an ``EvidenceBook`` that can be
asked about any assumed operation. Start reading at ``EvidenceBook.of``; what kind a proposal is, is
told by ``kind_of``.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from fidelity.confusions.count import (
    NO_CONFUSION,
    AnswerCounts,
    answers_of,
    is_letter_event,
    is_other_form_only,
)
from fidelity.confusions.intervals import clustered, dispersion
from fidelity.letters import whole_words, without_stops
from fidelity.readings.steps import PlacedStep, Step, known_steps, printed
from fidelity.terms import Alignment, Cause, Locus, StepEvidence, StepKind, Variant
from fidelity.variants.citations import Citations
from fidelity.variants.set_aside import cause_by_editor, counts_as_his
from fidelity.witnesses.folds import Folds

OTHER_FORMS = frozenset({Cause.LETTERFORM, Cause.CAPITAL, Cause.PUNCTUATION, Cause.EXPANSION})
HABITS = frozenset({Cause.SPELLING_HABIT, Cause.MODERNISED, Cause.EXPANSION, Cause.LETTERFORM})
EXCHANGE: Step = ("ab", "ba")  # stands for any two letters that changed places: that is one kind


@dataclass
class _Places:
    """Where one operation was made, in order, and which places have which surroundings."""

    loci: list[Locus] = field(default_factory=list)
    pages: Counter[str] = field(default_factory=Counter)
    alike: defaultdict[tuple[str, ...], list[int]] = field(default_factory=lambda: defaultdict(list))

    def add(self, locus: Locus, page: str, surroundings: Iterable[tuple[str, ...]]) -> None:
        """Add a place."""
        for one in surroundings:
            self.alike[one].append(len(self.loci))
        self.loci.append(locus)
        self.pages[page] += 1

    def like(self, surroundings: Iterable[tuple[str, ...]], most: int) -> tuple[str, ...]:
        """Cite the places in like surroundings first."""
        found: dict[str, None] = {}
        for numbers in [*(self.alike.get(one, []) for one in surroundings), range(len(self.loci))]:
            for number in numbers:
                if len(found) >= most:
                    return tuple(found)
                found[str(self.loci[number])] = None
        return tuple(found)


class EvidenceBook:
    """Looks operations up in the survivors.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided; what is set aside speaks for nothing.
        counts: of their letters.
        folds: letterforms counted as equal.
        confidence: of the intervals, 0-1.
    """

    def __init__(
        self,
        alignments: Mapping[str, Alignment],
        variants: Sequence[Variant],
        counts: AnswerCounts,
        folds: Folds,
        confidence: float = 0.95,
    ) -> None:
        self.alignments, self.folds, self.confidence = alignments, folds, confidence
        self._folded = {text: folds.fold(a.original.letters) for text, a in alignments.items()}
        self._kept = {text: _kept(a) for text, a in alignments.items()}
        self._citations = {text: Citations(a.original, text) for text, a in alignments.items()}
        self.places: defaultdict[Step, _Places] = defaultdict(_Places)
        self.causes: defaultdict[Step, Counter[Cause]] = defaultdict(Counter)
        self._exchanges = _Places()
        self._confused = {(folds.fold(original), folds.fold(written)) for original, written in counts.loci}
        for variant in variants:
            if counts_as_his(variant):
                self._enter(variant)
        self.chances: defaultdict[str, Counter[str]] = defaultdict(Counter)
        for letters, pages in counts.chances.items():
            for page, number in pages.items():
                self.chances[folds.fold(letters)][_without_script(page)] += number
        self.pooled = dispersion(counts)
        self._memo: dict[tuple[str, str, int], tuple[str, ...]] = {}
        self._found: dict[Step, tuple[int, int, float, float]] = {}

    def _enter(self, variant: Variant) -> None:
        """Enter a variant under its answers, and under all of them as one."""
        letters, start = self._folded[variant.text], variant.original_span[0]
        page = self.alignments[variant.text].original.page_of(start)
        steps: dict[Step, int] = {}
        whole, at = ("", ""), start
        for original, written in variant.pairs:
            step = self.folds.fold(original), self.folds.fold(written)
            steps.setdefault(step, at)
            whole, at = (whole[0] + step[0], whole[1] + step[1]), at + len(original)
        steps.setdefault(whole, start)
        for step, where in steps.items():
            if self._is_otherwise(variant, step):
                continue
            surroundings = _surroundings(letters, where, where + len(step[0]))
            self.places[step].add(variant.locus, page, surroundings)
            self.causes[step][variant.cause] += 1
        if variant.cause is Cause.METATHESIS and len(variant.original) == 2:
            self._exchanges.add(variant.locus, page, _surroundings(letters, start, start + 2))

    def _is_otherwise(self, variant: Variant, step: Step) -> bool:
        """Tell whether ``confusions.csv`` counts a variant otherwise than as this confusion, or nowhere.

        A letter of a word that was changed to suit another is no confusion, a run of minims is one and not
        several, and the editor's cause may take a place out.
        """
        fold, is_one = self.folds.fold, is_letter_event(variant) or is_other_form_only(variant)
        counted = {(fold(one), fold(written)) for _, one, written in answers_of(variant)} if is_one else ()
        if step in self._confused:
            return step not in counted
        return variant.cause in NO_CONFUSION - OTHER_FORMS and cause_by_editor(variant)

    def steps_between(self, proposed: str, transmitted: str) -> list[PlacedStep]:
        """Give the assumed operations, parted into such as the survivors show where that can be."""
        return known_steps(proposed, transmitted, self.places)

    def of(self, step: Step, context: str, at: int, most: int) -> StepEvidence:
        """Give the evidence for one operation.

        Args:
            step: the operation.
            context: the proposed reading with the word or words it stands in, folded.
            at: offset in it of the original letters.
            most: at most so many loci of either sort, those in like surroundings first.
        """
        original, written = step
        exchanged = len(original) == 2 and written == original[::-1]
        places = self._exchanges if exchanged else self.places.get(step, _Places())
        surroundings = _surroundings(context, at, at + len(original))
        count, chances, low, high = self._interval(EXCHANGE if exchanged else step, places)
        return StepEvidence(
            step=printed(step),
            count=count,
            chances=chances,
            low=low,
            high=high,
            parallels=places.like(surroundings, most),
            counterexamples=self._copied_right(original, context, at, most),
        )

    def _interval(self, step: Step, places: _Places) -> tuple[int, int, float, float]:
        """Give count, chances and the limits of their share, clustered by page."""
        if step not in self._found:
            if step == EXCHANGE:
                chances = self._all_letters
            else:
                chances = self.chances.get(step[0]) or self._occurrences(*step)
            pages = {page: max(chances[page], places.pages[page]) for page in {*chances, *places.pages}}
            low, high = 0.0, 1.0
            if sum(pages.values()):
                low, high, _ = clustered(places.pages, pages, self.confidence, self.pooled)
            self._found[step] = places.pages.total(), sum(pages.values()), low, high
        return self._found[step]

    @cached_property
    def _all_letters(self) -> Counter[str]:
        """Give the chances of all single letters together, page by page."""
        single = (pages for letters, pages in self.chances.items() if len(letters) == 1)
        return sum(single, Counter[str]())

    def _occurrences(self, letters: str, written: str) -> Counter[str]:
        """Count a string in the originals, page by page; of nothing, the places it could be put in.

        A division can be put in between two letters of a word, anything else after every letter.
        """
        found: Counter[str] = Counter()
        for text, folded in self._folded.items():
            original = self.alignments[text].original
            borders = [*original.lines, len(folded)]
            for line, start in enumerate(original.lines):
                here = folded[start : borders[line + 1]]
                if letters:
                    number = here.count(letters)
                else:
                    words = here.split()
                    number = sum(map(len, words)) - (len(words) if written.isspace() else 0)
                found[f"{original.siglum} {original.pages[line]}".rstrip()] += number
        return found

    def _copied_right(self, letters: str, context: str, at: int, most: int) -> tuple[str, ...]:
        """Give places where he copied these letters right, in like surroundings first."""
        if not letters:
            return ()
        before, after = context[at - 1 : at] if at else " ", context[at + len(letters) :][:1] or " "
        word, shift = _word_of(context, at, at + len(letters))
        found: dict[str, None] = {}
        nears = [(f" {word} ", shift + 1), (before + letters + after, 1), (before + letters, 1)]
        for near, inside in dict.fromkeys([*nears, (letters + after, 0), (letters, 0)]):
            if len(found) >= most:
                break
            found |= dict.fromkeys(self._kept_at(near, inside, most))
        return tuple(found)[:most]

    def _kept_at(self, near: str, inside: int, most: int) -> tuple[str, ...]:
        """Give the first places at which a string stands in the originals and was kept whole."""
        key = (near, str(inside), most)
        if key not in self._memo:
            found: list[str] = []
            for text, folded in self._folded.items():
                at = folded.find(near)
                while at >= 0 and len(found) < most:
                    if self._kept[text][at : at + len(near)].all():
                        found.append(str(self._citations[text].locus(at + inside)))
                    at = folded.find(near, at + 1)
            self._memo[key] = tuple(found)
        return self._memo[key]

    def kind_of(self, proposed: str, transmitted: str, single: bool) -> str:
        """Name the kind of a proposal: division, capital, punctuation, habit, letter, misreading.

        Where letters differ, it is a habit only if every operation on letters is one, by the causes
        found for it in the survivors: with one misreading in it a reading is a misreading.
        """
        differs = _difference(proposed, transmitted)
        if differs != "letters":
            return differs
        of_letters = [
            step
            for step, _, _ in self.steps_between(proposed, transmitted)
            if _difference(*step) == "letters"
        ]
        if of_letters and all(map(self._is_habit, of_letters)):
            return "habit"
        return "letter" if single else "misreading"

    def _is_habit(self, step: Step) -> bool:
        """Tell whether an operation was a habit of spelling in most of the places it was seen at."""
        causes = self.causes.get(step, Counter())
        return sum(causes[cause] for cause in HABITS) * 2 > causes.total()


def _without_script(page: str) -> str:
    """Give a page without the script by which counts tell its parts from each other.

    >>> _without_script("L 1r (insular)"), _without_script("L 1r")
    ('L 1r', 'L 1r')
    """
    return page.rpartition(" (")[0] if page.endswith(")") else page


def _difference(one: str, other: str) -> str:
    """Name in what two readings differ: division, punctuation, capital, or letters.

    >>> _difference("on ecede", "onecede"), _difference("hit.", "Hit"), _difference("Hit", "hit")
    ('division', 'punctuation', 'capital')
    """
    words = [[word.lower() for word in without_stops(text).split()] for text in (one, other)]
    if "".join(words[0]) != "".join(words[1]):
        return "letters"
    if words[0] != words[1] or not (one.strip() or other.strip()):  # the latter: a space alone
        return "division"
    return "punctuation" if one.lower() != other.lower() else "capital"


def _surroundings(letters: str, start: int, end: int) -> tuple[tuple[str, ...], ...]:
    """Give what a place may have in common with another, what makes them most alike first."""
    before, after = letters[start - 1 : start] if start else " ", letters[end : end + 1] or " "
    word, shift = _word_of(letters, start, end)
    return ("word", word, str(shift)), ("both", before, after), ("before", before), ("after", after)


def _word_of(letters: str, start: int, end: int) -> tuple[str, int]:
    """Give the word some letters stand in, and their offset in it."""
    first, last = whole_words(letters, start, end)
    return letters[first:last], start - first


def _kept(alignment: Alignment) -> np.ndarray:
    """Give for each letter of the original whether the copy kept it."""
    kept = np.zeros(len(alignment.original), dtype=bool)
    for o0, o1, _, _, kind in alignment.steps.tolist():
        if kind == StepKind.KEPT:
            kept[o0:o1] = True
    return kept
