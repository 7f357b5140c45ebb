"""Propose on survivors that were not learned from, where the truth can be looked up.

Arrives: the survivors as tagged letters. Leaves: for each held-out part its units, every
candidate marked right or wrong. Start reading at ``hold_out``.

One survivor is left out in turn (in ten groups where there are more); a single survivor is left
out page by page, or in ten runs of lines where it has no pages.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.model import Model, learn
from fidelity.copyist.tagging import Tagged, with_words_beside
from fidelity.readings.beside import BesideRounds, from_offset, joined
from fidelity.readings.candidates import Candidate, Unit, candidates_of
from fidelity.readings.copies_seen import CopiesSeen
from fidelity.readings.flagged import Seen
from fidelity.terms.decisions import DecisionUse


@dataclass(frozen=True)
class Part:
    """A stretch of one survivor that is held out as a whole.

    Attributes:
        survivor: index of the survivor.
        start, end: span of its copied letters.
        fold: which round it is left out in.
    """

    survivor: int
    start: int
    end: int
    fold: int


Note = Callable[[Model, Sequence[Part]], None]


@dataclass(frozen=True)
class Learner:
    """All that is needed to learn the model from some of the survivors.

    Attributes:
        tagged: the survivors' copies with their tags.
        lines: for each the offsets of the copy's lines.
        references: further texts in the originals' language, normalised.
        published: confusions in print, folded.
        written: how often each word form stands in all his copies, the lost texts' among them.
        beam: states kept while restoring.
        decided: the lost texts with words that the editor decided, which alone are trusted.
        decided_words: what the originals had for them, normalised.
        decisions: what became of the editor's decisions on the lost texts.
        marks: what the survivors show of his own marks.
        copies: his other copies of the texts, and other men's, beside the first.
        beside: those that know something beside his copies.
    """

    tagged: tuple[Tagged, ...]
    lines: tuple[tuple[int, ...], ...]
    references: tuple[str, ...]
    published: frozenset[tuple[str, str]]
    beam: int
    written: Mapping[str, int] = field(default_factory=dict)
    decided: tuple[Tagged, ...] = ()
    decided_words: tuple[str, ...] = ()
    decisions: tuple[DecisionUse, ...] = ()
    marks: Seen = field(default_factory=Seen)
    copies: CopiesSeen = field(default_factory=CopiesSeen)
    beside: tuple[BesideRounds, ...] = ()

    def model_of(self, stretches: Sequence[Tagged]) -> Model:
        """Learn from these stretches, the reference texts, and what the editor decided."""
        texts = [stretch.original(0, len(stretch.copied)) for stretch in stretches]
        texts += [*self.references, *self.decided_words]
        return learn([*stretches, *self.decided], texts, self.published, self.written)


@dataclass(frozen=True)
class Judged:
    """A held-out candidate and whether it was right."""

    part: Part
    candidate: Candidate
    truth: str
    right: bool


@dataclass(frozen=True)
class HeldOut:
    """One held-out part, restored and judged.

    Attributes:
        part: what was held out.
        units: its units, offsets within the survivor's copy.
        judged: every candidate with its truth, in order.
        doubted: units against which something speaks, and whether they were wrong.
        unsuspected: of the other units how many there are, and how many were wrong all the same.
        named: units for which what is known beside the copy names readings, and whether one is right.
    """

    part: Part
    units: tuple[Unit, ...]
    judged: tuple[Judged, ...]
    doubted: tuple[tuple[Unit, bool], ...] = ()
    unsuspected: tuple[int, int] = (0, 0)
    named: tuple[tuple[Unit, bool], ...] = ()


def cut(tagged: Tagged, start: int, end: int) -> Tagged:
    """Cut a stretch out of a tagged copy."""
    here = slice(start, end)
    return Tagged(tagged.copied[here], tagged.tags[here], tagged.trusted[here], tagged.scripts[here])


def parts_of(learner: Learner, pages: Sequence[Sequence[str]], folds: int) -> list[Part]:
    """Share the survivors out into what is left out together.

    Args:
        learner: the survivors.
        pages: for each survivor the page each line of its copy stands on ("" for none).
        folds: most rounds.
    """
    sizes = [len(tagged.copied) for tagged in learner.tagged]
    if len(sizes) > 1:
        loads = [0] * min(folds, len(sizes))
        parts = []
        for survivor in sorted(range(len(sizes)), key=lambda i: (-sizes[i], i)):
            fold = loads.index(min(loads))
            loads[fold] += sizes[survivor]
            parts.append(Part(survivor, 0, sizes[survivor], fold))
        return sorted(parts, key=lambda part: part.survivor)
    return _parts_of_one(learner.tagged[0].copied, learner.lines[0], pages[0], folds)


def page_starts(lines: tuple[int, ...], pages: Sequence[str]) -> list[int]:
    """Give the offsets at which a new page begins, the first apart."""
    return [lines[i] for i in range(1, len(lines)) if pages[i] != pages[i - 1]]


def _parts_of_one(copied: str, lines: tuple[int, ...], pages: Sequence[str], folds: int) -> list[Part]:
    """Cut one survivor at page borders (or lines) into runs of about equal size."""
    starts = page_starts(lines, pages)
    if len(starts) + 1 < folds:
        starts = list(lines[1:])
    starts = [start for start in starts if copied[start - 1].isspace()]
    wanted = min(folds, len(starts) + 1)
    borders = [0]
    for number in range(1, wanted):
        goal = len(copied) * number // wanted
        best = min(starts, key=lambda start: abs(start - goal), default=0)
        if best > borders[-1]:
            borders.append(best)
    ends = [border - 1 for border in borders[1:]] + [len(copied)]
    return [Part(0, a, b, fold) for fold, (a, b) in enumerate(zip(borders, ends, strict=True))]


def hold_out(learner: Learner, parts: Sequence[Part], note: Note | None = None) -> Iterator[HeldOut]:
    """Leave out each fold in turn, learn from the rest, restore it and look the truth up.

    Args:
        learner: the survivors.
        parts: what is left out together.
        note: is told the model of each round, and what was left out in it.
    """
    for fold in sorted({part.fold for part in parts}):
        left_out = [part for part in parts if part.fold == fold]
        model = learner.model_of(_the_rest(learner, left_out))
        if note:
            note(model, left_out)
        spans = [(part.survivor, part.start, part.end) for part in left_out]
        for part in left_out:
            known = joined(one.survivor(part.survivor, spans) for one in learner.beside)
            beside = from_offset(known, part.start)
            tagged = cut(learner.tagged[part.survivor], part.start, part.end)
            lines = tuple(
                start - part.start for start in learner.lines[part.survivor] if part.start <= start < part.end
            )
            units = tuple(candidates_of(tagged.copied, lines, model, learner.beam, tagged.scripts, beside))
            judged = tuple(one for unit in units for one in _judged(part, unit, tagged))
            asked = [unit for unit in units if all(tagged.trusted[unit.start : unit.end])]
            named = tuple((one, names_the_truth(one, tagged)) for one in asked if one.plainly)
            unsuspected = _unsuspected(asked, tagged)
            yield HeldOut(part, units, judged, tuple(_doubted(units, tagged)), unsuspected, named)


def _the_rest(learner: Learner, left_out: Sequence[Part]) -> list[Tagged]:
    """Give the survivors without the parts that are left out."""
    rest = []
    for survivor, tagged in enumerate(learner.tagged):
        start = 0
        for part in sorted((p for p in left_out if p.survivor == survivor), key=lambda p: p.start):
            if part.start > start:
                rest.append(cut(tagged, start, part.start))
            start = part.end
        if start < len(tagged.copied):
            rest.append(cut(tagged, start, len(tagged.copied)))
    return rest


def _judged(part: Part, unit: Unit, tagged: Tagged) -> list[Judged]:
    """Mark each candidate of a unit right or wrong; units with untrusted letters are left out.

    A reading of the unit is right when it is the original's to the letter. A single letter is
    right when it brings the unit nearer to the original by its full size.
    """
    if not all(tagged.trusted[unit.start : unit.end]):
        return []
    truth = tagged.original(unit.start, unit.end)
    transmitted = tagged.copied[unit.start : unit.end]
    judged = [Judged(part, one, truth, one.proposed == truth) for one in unit.words]
    distance = Levenshtein.distance(transmitted, truth)
    for one in unit.letters:
        edited = transmitted[: one.start - unit.start] + one.proposed + transmitted[one.end - unit.start :]
        size = Levenshtein.distance(one.transmitted, one.proposed)
        right = Levenshtein.distance(edited, truth) == distance - size
        judged.append(Judged(part, one, truth, right))
    return judged


def _doubted(units: Sequence[Unit], tagged: Tagged) -> Iterator[tuple[Unit, bool]]:
    """Say of each unit against which something speaks whether it is wrong."""
    for unit in units:
        if unit.doubt and all(tagged.trusted[unit.start : unit.end]):
            yield unit, tagged.original(unit.start, unit.end) != unit.transmitted


def _unsuspected(units: Sequence[Unit], tagged: Tagged) -> tuple[int, int]:
    """Count the units against which nothing speaks, and those of them that are wrong all the same."""
    some = [unit for unit in units if not unit.doubt]
    return len(some), sum(tagged.original(unit.start, unit.end) != unit.transmitted for unit in some)


def names_the_truth(unit: Unit, tagged: Tagged) -> bool:
    """Tell whether one of the readings that something beside the copy names is the original's."""
    truths = with_words_beside(tagged, unit.start, unit.end) | {tagged.original(unit.start, unit.end)}
    return any(text in truths for text in unit.plainly)
