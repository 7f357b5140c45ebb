"""Every reading that might be proposed, with the features by which its chance is judged.

Arrives: a stretch of copied letters and the model. Leaves: ``Candidate``s, for whole units
between surely kept word divisions and for single letters within them, not yet calibrated. Start
reading at ``candidates_of``.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.model import Model
from fidelity.readings.lattice import Lattice, Restorer
from fidelity.readings.steps import steps_between

PIECE = 400  # letters restored at one go; only the surroundings of its two ends know less
SURE_DIVISION = 0.9  # a word division this probable parts units; others stay inside a unit
MOST_READINGS = 3  # readings of one unit that are judged
LEAST_POSTERIOR = 0.02  # below, a reading is not judged
LEAST_LETTER_POSTERIOR = 0.05  # the same for a single letter


# What each feature is guessed to do to the odds before anything is held out (all others: nothing).
# The first is the model's own log odds, which count a little less than it thinks; the last is how
# improbable a slip at every recurrence would be, in nats (``_recurring_slip``).
FIRST_GUESS = {0: 0.8, -1: -1.0}


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
    """

    start: int
    end: int
    transmitted: str
    readings: dict[str, float]
    words: tuple[Candidate, ...]
    letters: tuple[Candidate, ...]


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


def candidates_of(copied: str, line_starts: tuple[int, ...], model: Model, beam: int) -> Iterator[Unit]:
    """Restore a whole copy piece by piece and give every unit with its candidates.

    Args:
        copied: the copy's letters, folded.
        line_starts: offsets at which its lines begin.
        model: what is known of the copyist.
        beam: states kept at each letter.
    """
    restorer = Restorer(model, beam)
    number = 0
    for start, end in pieces(copied, line_starts):
        lattice = restorer.restore(copied[start:end])
        for first, last in unit_spans(lattice):
            yield _unit(lattice, first, last, start, number, model)
            number += 1


def unit_spans(lattice: Lattice) -> list[tuple[int, int]]:
    """Give the spans between word divisions that are surely kept."""
    copied = lattice.copied
    spans, start = [], 0
    for at, letter in enumerate(copied):
        if letter.isspace() and lattice.letter(at).get(letter, 0.0) >= SURE_DIVISION:
            if at > start:
                spans.append((start, at))
            start = at + 1
    if len(copied) > start:
        spans.append((start, len(copied)))
    return spans


def _unit(lattice: Lattice, first: int, last: int, offset: int, number: int, model: Model) -> Unit:
    """Judge the readings of one unit."""
    readings = lattice.readings(first, last)
    transmitted = lattice.copied[first:last]
    ranked = sorted(
        ((text, p) for text, p in readings.items() if text != transmitted and p >= LEAST_POSTERIOR),
        key=lambda item: (-item[1], item[0]),
    )[:MOST_READINGS]
    if not ranked and readings.get(transmitted, 0.0) > 1 - LEAST_LETTER_POSTERIOR:
        return Unit(first + offset, last + offset, transmitted, readings, (), ())
    words = tuple(
        Candidate(
            first + offset,
            last + offset,
            number,
            transmitted,
            text,
            p,
            word_features(transmitted, text, readings, model),
            single=False,
        )
        for text, p in ranked
    )
    letters = tuple(_letter_candidates(lattice, first, last, offset, number, readings, model))
    return Unit(first + offset, last + offset, transmitted, readings, words, letters)


def log_odds(p: float) -> float:
    """Give log(p / (1 - p)) with p kept between 1e-4 and 1 - 1e-4."""
    p = min(max(p, 1e-4), 1 - 1e-4)
    return math.log(p / (1 - p))


def _known(text: str, model: Model) -> tuple[float, float]:
    """Give the share of a reading's words that are known, and the log count of the rarest."""
    words = text.split()
    if not words:
        return 0.0, 0.0
    counts = [model.words.counts[word] for word in words]
    return sum(count > 0 for count in counts) / len(words), math.log1p(min(counts))


def _written(text: str, model: Model) -> float:
    """Give the log count, in all his copies, of the rarest word of a reading.

    A form he writes again and again is seldom a slip; one he writes once may be.
    """
    return math.log1p(min((model.written.get(word, 0) for word in text.split()), default=0))


def _recurring_slip(unit: str, proposed: str, transmitted: str, model: Model) -> float:
    """Give how improbable it is that the same slip was made at every recurrence of a form.

    A form that stands often in his copies, where the survivors could not test it, is a word the
    model has not met rather than a rare slip made every time; a habit may well come every time.
    The log of the recurrences, times -log of the rate of the rarest assumed step.
    """
    written = min((model.written.get(word, 0) for word in unit.split()), default=0)
    untested = written / (model.memory.seen(unit).total() + 1)
    if untested <= 1:
        return 0.0
    rarest = min((model.tags.rate(*step) for step in steps_between(proposed, transmitted)), default=1.0)
    return math.log(untested) * -math.log(rarest)


def word_features(
    transmitted: str, proposed: str, readings: dict[str, float], model: Model
) -> tuple[float, ...]:
    """Give what the calibration looks at for a reading of a whole unit."""
    p = readings[proposed]
    others = [q for text, q in readings.items() if text not in (proposed, transmitted)]
    seen = model.memory.seen(transmitted)
    times = seen.total()
    known, rarest = _known(proposed, model)
    known_copy, rarest_copy = _known(transmitted, model)
    return (
        log_odds(p),
        math.log((p + 1e-4) / (readings.get(transmitted, 0.0) + 1e-4)),
        math.log((p + 1e-4) / (max(others, default=0.0) + 1e-4)),
        known,
        known_copy,
        rarest,
        rarest_copy,
        math.log1p(times),
        (seen[proposed] + 0.5) / (times + 1.0),
        (seen[transmitted] + 0.5) / (times + 1.0),
        math.log1p(Levenshtein.distance(transmitted, proposed)),
        float(transmitted.count(" ") != proposed.count(" ")),
        math.log1p(len(transmitted)),
        _written(proposed, model),
        _recurring_slip(transmitted, proposed, transmitted, model),
    )


def _letter_candidates(
    lattice: Lattice,
    first: int,
    last: int,
    offset: int,
    number: int,
    readings: dict[str, float],
    model: Model,
) -> Iterator[Candidate]:
    """Give the best other answer for each letter of a unit that may be in doubt."""
    best_word = max((p for text, p in readings.items() if text != lattice.copied[first:last]), default=0.0)
    for at in range(first, last):
        answers = lattice.letter(at)
        letter = lattice.copied[at]
        others = sorted(
            ((p, tag) for tag, p in answers.items() if tag != letter), key=lambda x: (-x[0], x[1])
        )
        if not others or others[0][0] < LEAST_LETTER_POSTERIOR:
            continue
        p, tag = others[0]
        seen = model.tags.seen(letter)
        features = (
            log_odds(p),
            math.log((p + 1e-4) / (answers.get(letter, 0.0) + 1e-4)),
            math.log((p + 1e-4) / (others[1][0] + 1e-4 if len(others) > 1 else 1e-4)),
            log_odds(best_word),
            log_odds(readings.get(lattice.copied[first:last], 0.0)),
            math.log1p(seen[tag]),
            (seen[tag] + 0.5) / (seen.total() + 1.0),
            (seen[letter] + 0.5) / (seen.total() + 1.0),
            math.log1p(Levenshtein.distance(letter, tag)),
            float(letter.isspace() or any(x.isspace() for x in tag)),
            math.log1p(last - first),
            _recurring_slip(lattice.copied[first:last], tag, letter, model),
        )
        yield Candidate(offset + at, offset + at + 1, number, letter, tag, p, features, single=True)
