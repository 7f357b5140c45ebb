"""Every reading that might be proposed, with the features by which its chance is judged.

Arrives: a stretch of copied letters and the model. Leaves: ``Candidate``s, for whole units
between surely kept word divisions and for single letters within them, not yet calibrated. Start
reading at ``candidates_of``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest

import numpy as np

from fidelity.copyist.model import Model
from fidelity.copyist.tagging import word_spans
from fidelity.readings.beside import Beside, Telling, accident_beside
from fidelity.readings.features import (
    CHANNEL,
    best_other,
    doubt_features,
    letter_features,
    word_features,
    worth,
    worth_odds,
)
from fidelity.readings.lattice import Lattice, Restorer
from fidelity.readings.near_words import NearWords

PIECE = 400  # letters restored at one go; only the surroundings of its two ends know less
SURE_DIVISION = 0.9  # a word division this probable parts units; others stay inside a unit
MOST_READINGS = 3  # readings of one unit that are judged
LEAST_POSTERIOR = 0.02  # below, a reading is not judged
LEAST_LETTER_POSTERIOR = 0.05  # the same for a single letter


@dataclass(frozen=True)
class Candidate:
    """A reading that might be proposed for a span of the copy.

    Attributes:
        start, end: span of copied letters.
        unit: number of the unit within the text; readings of one unit are rivals.
        transmitted, proposed: copied and restored letters, normalised level.
        posterior: the model's own probability, not calibrated, 0-1.
        features: what the calibration looks at.
        single: whether this is one letter of a unit.
    """

    start: int
    end: int
    unit: int
    transmitted: str
    proposed: str
    posterior: float
    features: tuple[float, ...]
    single: bool


@dataclass(frozen=True)
class Unit:
    """A span between surely kept word divisions and all that may be proposed in it.

    Attributes:
        start, end: span of copied letters.
        transmitted: the copied letters.
        readings: every reading with its posterior, the transmitted one among them.
        words: candidates for the whole unit, most probable first.
        letters: candidates for single letters of it.
        doubt: what the calibration looks at when it asks whether the unit is corrupt at all; empty
            where nothing speaks against it.
        beside: what is known of the unit beside the copy; None where nothing is.
        further: candidates that only this brought in. The calibration is not learned from them.
        plainly: of the readings it names, the odds by plain Bayes before it is heard; nats.
    """

    start: int
    end: int
    transmitted: str
    readings: dict[str, float]
    words: tuple[Candidate, ...]
    letters: tuple[Candidate, ...]
    doubt: tuple[float, ...] = ()
    beside: Telling | None = None
    further: tuple[Candidate, ...] = ()
    plainly: Mapping[str, float] = field(default_factory=dict)


def pieces(copied: str, line_starts: tuple[int, ...]) -> list[tuple[int, int]]:
    """Cut a copy into pieces of whole lines, or at word divisions where lines are long."""
    breaks = sorted({start for start in line_starts if start and copied[start - 1].isspace()})
    spans, start = [], 0
    for stop in [*breaks, len(copied) + 1]:
        while stop - 1 - start > 2 * PIECE:
            cut = copied.rfind(" ", start + 1, start + PIECE)
            if cut < 0:
                break
            spans.append((start, cut))
            start = cut + 1
        if stop - 1 - start >= PIECE or stop > len(copied):
            if stop - 1 > start:
                spans.append((start, stop - 1))
            start = stop
    return spans


def candidates_of(
    copied: str,
    line_starts: tuple[int, ...],
    model: Model,
    beam: int,
    scripts: Sequence[str] = (),
    beside: Beside | None = None,
) -> Iterator[Unit]:
    """Restore a whole copy piece by piece and give every unit with its candidates.

    Args:
        copied: the copy's letters, folded.
        line_starts: offsets at which its lines begin.
        model: what is known of the copyist.
        beam: states kept at each letter.
        scripts: for each letter the script of the original there; empty where it is not known.
        beside: what is known beside the copy.
    """
    restorer, near = Restorer(model, beam), NearWords(model)
    number, before = 0, ""
    for start, end in pieces(copied, line_starts):
        stretch = copied[start:end]
        lattice = restorer.restore(stretch, model.beside_habits(stretch, scripts[start:end]))
        spans = unit_spans(lattice, model)
        for span, following in zip_longest(spans, spans[1:]):
            after = lattice.copied[slice(*following)].split()[0] if following else ""
            unit = unit_at(lattice, span, start, number, near, (before, after))
            telling = beside.at(unit.start, unit.end) if beside else None
            yield told_of(unit, telling, (before, after), model, number) if telling else unit
            number, before = number + 1, unit.transmitted.split()[-1]


def unit_spans(lattice: Lattice, model: Model) -> list[tuple[int, int]]:
    """Give the spans between word divisions that are surely kept.

    A division is not so sure, whatever the restorations say, where what it parts is one known word, and
    one half of it is none.
    """
    spans: list[tuple[int, int]] = []
    word = ""
    for start, end in word_spans(lattice.copied):
        before, word = word, lattice.copied[start:end]
        if spans and not _surely_parted(lattice, spans[-1][1], start, (before, word), model):
            spans[-1] = spans[-1][0], end
        else:
            spans.append((start, end))
    return spans


def _surely_parted(lattice: Lattice, end: int, start: int, words: tuple[str, str], model: Model) -> bool:
    """Tell whether two words, the first ending and the second starting here, surely are two."""
    if "".join(words) in model.words and not all(word in model.words for word in words):
        return False
    letters = [(lattice.letter(at), lattice.copied[at]) for at in range(end, start)]
    return any(answers.get(division, 0.0) >= SURE_DIVISION for answers, division in letters)


def unit_at(
    lattice: Lattice,
    span: tuple[int, int],
    offset: int,
    number: int,
    near: NearWords,
    beside: tuple[str, str],
) -> Unit:
    """Judge the readings of one unit."""
    first, last = span
    readings = lattice.readings(first, last)
    transmitted, model = lattice.copied[first:last], near.model
    ranked = sorted(
        ((text, p) for text, p in readings.items() if text != transmitted and p >= LEAST_POSTERIOR),
        key=lambda item: (-item[1], item[0]),
    )[:MOST_READINGS]
    proposed = list(dict.fromkeys([text for text, _ in ranked] + near.of(transmitted, beside[0])))
    if not proposed and readings.get(transmitted, 0.0) > 1 - LEAST_LETTER_POSTERIOR:
        return Unit(first + offset, last + offset, transmitted, readings, (), ())
    words = tuple(
        Candidate(
            first + offset,
            last + offset,
            number,
            transmitted,
            text,
            readings.get(text, 0.0),
            word_features(transmitted, text, readings, beside, model),
            single=False,
        )
        for text in proposed
    )
    letters = tuple(_letter_candidates(lattice, span, offset, number, readings, beside[0], model))
    channel = max((one.features[CHANNEL] for one in words), default=0.0)
    doubt = doubt_features(transmitted, readings, channel, model)
    return Unit(first + offset, last + offset, transmitted, readings, words, letters, doubt)


def told_of(unit: Unit, telling: Telling, beside: tuple[str, str], model: Model, number: int) -> Unit:
    """Let a unit know what is known beside the copy; further readings are judged by the same features.

    Args:
        unit: as the copy alone has it.
        telling: what is known of it.
        beside: the copied words before and after.
        model: what is known of the copyist and the language.
        number: of the unit within the text.
    """
    there = {one.proposed for one in unit.words} | {unit.transmitted, ""}
    further = tuple(
        Candidate(
            unit.start,
            unit.end,
            number,
            unit.transmitted,
            text,
            unit.readings.get(text, 0.0),
            word_features(unit.transmitted, text, unit.readings, beside, model),
            single=False,
        )
        for text in dict.fromkeys(telling.further)
        if text not in there
    )
    plainly = {
        text: float(
            np.logaddexp(
                worth_odds(text, unit.transmitted, beside[0], model) + telling.letter_odds(text),
                worth(text, beside[0], model) + accident_beside(telling, text),
            )
        )
        for text in telling.further
    }
    return replace(unit, beside=telling, further=further, plainly=plainly)


def _letter_candidates(
    lattice: Lattice,
    span: tuple[int, int],
    offset: int,
    number: int,
    readings: dict[str, float],
    before: str,
    model: Model,
) -> Iterator[Candidate]:
    """Give the best other answer for each letter of a unit that may be in doubt."""
    unit = lattice.copied[slice(*span)]
    for at in range(*span):
        answers = lattice.letter(at)
        letter = lattice.copied[at]
        tag, p, _ = best_other(letter, answers)
        if p < LEAST_LETTER_POSTERIOR:
            continue
        features = letter_features(unit, at - span[0], answers, readings, before, model)
        yield Candidate(offset + at, offset + at + 1, number, letter, tag, p, features, single=True)
