"""What each round of the blind test knew: its evidence, its words, and what the simple methods say.

Arrives: the model of each round as it is learned. Leaves: a ``Round`` for each, without anything
of what was left out in it. Start reading at ``Rounds``.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from fidelity.confusions.count import AnswerCounts, count_answers
from fidelity.confusions.kept import bare_word
from fidelity.copyist.model import Model, WordMemory
from fidelity.copyist.tagging import Tagged
from fidelity.readings.evidence import EvidenceBook
from fidelity.readings.held_out import Part
from fidelity.readings.simple import NoisyChannel, learned_channel, nearest_form, remembered
from fidelity.terms import Alignment, Variant
from fidelity.trial.gap_test import GapTest
from fidelity.variants.places import Places, places_of
from fidelity.witnesses.folds import Folds

AS_TRANSMITTED, NEAREST, MEMORY, CHANNEL = "as transmitted", "nearest form", "word memory", "letter channel"
Answer = tuple[str, float | None]  # the word to put, and its probability where the method gives one
LEARNED_FROM = "learned from"  # stands for the round of what is never left out
OUT_IN = "\x00"  # between a round and a page: it stands in no name


@dataclass(frozen=True)
class Round:
    """What one round of the blind test knew.

    Attributes:
        parts: what was left out in it.
        memory: what each written word stood for.
        words: the words of the other originals and the reference texts, with how often they stand.
        bare: the same without stops around them and in small letters.
        book: the evidence.
        answers: simple method -> written word -> what it would put.
    """

    parts: tuple[Part, ...]
    memory: WordMemory
    words: Mapping[str, int]
    bare: frozenset[str]
    book: EvidenceBook
    answers: Mapping[str, Mapping[str, Answer]]

    def knows(self, letters: str) -> bool:
        """Tell whether every word stands in what was learned from."""
        return all(bare_word(word).lower() in self.bare for word in letters.split())


@dataclass(frozen=True)
class _Noted:
    """What is kept of a round's model."""

    parts: tuple[Part, ...]
    memory: WordMemory
    words: Mapping[str, int]
    answers: Mapping[str, Mapping[str, Answer]]


class Rounds:
    """Notes what each round knows while the survivors are held out.

    Args:
        alignments: by id of the survivor, in the dossier's order.
        variants: of all survivors, causes decided.
        tagged: the survivors' copies with the truth.
        folds: letterforms counted as equal.
        with_channel: whether the letter channel is tried too; it takes longer than all the rest.
        gaps: tries readings for what he could not read; None where there are no gaps.
    """

    def __init__(
        self,
        alignments: Mapping[str, Alignment],
        variants: Sequence[Variant],
        tagged: Sequence[Tagged],
        folds: Folds,
        with_channel: bool,
        gaps: GapTest | None = None,
    ) -> None:
        self.alignments, self.variants, self.folds = alignments, variants, folds
        self.tagged, self.with_channel, self.gaps = tagged, with_channel, gaps
        self.noted: dict[int, _Noted] = {}
        self._book_of: dict[int, EvidenceBook] = {}
        self._counts: AnswerCounts | None = None

    def note(self, model: Model, left_out: Sequence[Part]) -> None:
        """Keep what the model of a round knows, and what the simple methods make of it."""
        words = sorted(
            {
                word
                for part in left_out
                for word in self.tagged[part.survivor].copied[part.start : part.end].split()
            }
        )
        answers = {
            name: {word: answer(word) for word in words}
            for name, answer in self._methods(model, left_out).items()
        }
        if self.gaps:
            self.gaps.note(model, left_out)
        noted = _Noted(tuple(left_out), model.memory, dict(model.words.counts), answers)
        self.noted[left_out[0].fold] = noted

    def _methods(self, model: Model, left_out: Sequence[Part]) -> dict[str, Callable[[str], Answer]]:
        """Give the simple methods, learned from what this round learns from."""
        known = dict(model.words.counts)
        methods: dict[str, Callable[[str], Answer]] = {
            AS_TRANSMITTED: lambda word: (word, None),
            NEAREST: lambda word: (nearest_form(word, known), None),
            MEMORY: lambda word: remembered(word, model.memory),
        }
        if self.with_channel:
            spans: defaultdict[int, list[tuple[int, int]]] = defaultdict(list)
            for part in left_out:
                spans[part.survivor].append((part.start, part.end))
            channel = learned_channel(list(self.alignments.values()), self.folds, spans)
            methods[CHANNEL] = NoisyChannel(channel, model.words).best
        return methods

    def of(self, fold: int) -> Round:
        """Give what a round knew."""
        one = self.noted[fold]
        if fold not in self._book_of:
            self._book_of[fold] = self._book(one.parts)
        bare = frozenset(bare_word(word).lower() for word in one.words)
        return Round(one.parts, one.memory, one.words, bare, self._book_of[fold], one.answers)

    def _book(self, parts: Sequence[Part]) -> EvidenceBook:
        """Give the evidence without what was left out."""
        names = list(self.alignments)
        spans = [(names[part.survivor], part.start, part.end) for part in parts]
        whole = {names[part.survivor] for part in parts if part.end == len(self.tagged[part.survivor].copied)}
        whole &= {names[part.survivor] for part in parts if not part.start}
        variants = [
            one
            for one in self.variants
            if not any(one.text == text and start <= one.copy_span[0] <= end for text, start, end in spans)
        ]
        rest = {text: one for text, one in self.alignments.items() if text not in whole}
        return EvidenceBook(rest, variants, self._counts_without(parts[0].fold), self.folds)

    def _counts_without(self, fold: int) -> AnswerCounts:
        """Give the chances outside what was left out in a round."""
        if self._counts is None:
            self._counts = count_answers(self.alignments, self.variants, self._places())
        chances: defaultdict[str, Counter[str]] = defaultdict(Counter)
        for letters, pages in self._counts.chances.items():
            for place, number in pages.items():
                out, _, page = place.partition(OUT_IN)
                if out != str(fold):
                    chances[letters][page] += number
        return AnswerCounts({}, chances, frozenset(), {}, {})

    def _places(self) -> dict[str, Places]:
        """Give for each original its pages, cut further by the round their letters are left out in.

        The round stands before the page, so that what is counted by page can be told apart by it.
        """
        places = {}
        for at, (text, alignment) in enumerate(self.alignments.items()):
            ours = sorted(
                (part.start, part.fold)
                for noted in self.noted.values()
                for part in noted.parts
                if part.survivor == at
            )
            copied = alignment.steps[:, 2]
            starts = [0, *(_answered(alignment, bisect_left(copied, start), start) for start, _ in ours[1:])]
            folds = [str(fold) for _, fold in ours] or [LEARNED_FROM]
            pages = places_of(alignment.original)
            cuts = sorted({*starts, *pages.starts})
            outs = [folds[bisect_right(starts, at) - 1] for at in cuts]
            cut = tuple(f"{out}{OUT_IN}{pages.page(at)}" for out, at in zip(outs, cuts, strict=True))
            places[text] = Places(tuple(cuts), cut, ("",) * len(cut), ("",) * len(cut))
        return places


def _answered(alignment: Alignment, step: int, offset: int) -> int:
    """Give the letter of the original that answers the beginning of a part of the copy.

    Args:
        alignment: of the survivor.
        step: the first step that begins at or after ``offset`` in the copy.
        offset: in the copy.
    """
    steps = alignment.steps
    if step and int(steps[step - 1, 3]) > offset:  # within a long kept step
        return int(steps[step - 1, 0]) + offset - int(steps[step - 1, 2])
    return int(steps[step, 0]) if step < len(steps) else len(alignment.original)
