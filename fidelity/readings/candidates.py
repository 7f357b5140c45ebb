"""Every reading that might be proposed, with the features by which its chance is judged.

Arrives: a stretch of copied letters and the model. Leaves: ``Candidate``s, for whole units
between surely kept word divisions and for single letters within them, not yet calibrated. Start
reading at ``candidates_of``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from fidelity.copyist.model import Model
from fidelity.readings.features import best_other, letter_features, word_features
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
    restorer, near = Restorer(model, beam), NearWords(model)
    number = 0
    for start, end in pieces(copied, line_starts):
        lattice = restorer.restore(copied[start:end])
        for first, last in unit_spans(lattice, model):
            yield _unit(lattice, (first, last), start, number, near, _word_before(copied, start + first))
            number += 1


def _word_before(copied: str, at: int) -> str:
    """Give the copied word before a place."""
    end = at - 1
    while end > 0 and copied[end - 1].isspace():
        end -= 1
    start = max(copied.rfind(" ", 0, max(end, 0)), copied.rfind("\t", 0, max(end, 0))) + 1
    return copied[start:end] if end > 0 else ""


def unit_spans(lattice: Lattice, model: Model) -> list[tuple[int, int]]:
    """Give the spans between word divisions that are surely kept.

    A division is not so sure, whatever the restorations say, where what it parts is one known word, and
    one half of it is none.
    """
    copied = lattice.copied
    spans, start = [], 0
    words = copied.split()
    number = -1
    for at, letter in enumerate(copied):
        if not letter.isspace():
            if at == 0 or copied[at - 1].isspace():
                number += 1
            continue
        if lattice.letter(at).get(letter, 0.0) >= SURE_DIVISION and not _one_word(
            words[max(number, 0) : number + 2], model
        ):
            if at > start:
                spans.append((start, at))
            start = at + 1
    if len(copied) > start:
        spans.append((start, len(copied)))
    return spans


def _one_word(words: list[str], model: Model) -> bool:
    """Tell whether two words may be one that was parted by mistake."""
    if len(words) < 2 or all(word in model.words for word in words):
        return False
    return "".join(words) in model.words


def _unit(
    lattice: Lattice, span: tuple[int, int], offset: int, number: int, near: NearWords, before: str
) -> Unit:
    """Judge the readings of one unit."""
    first, last = span
    readings = lattice.readings(first, last)
    transmitted, model = lattice.copied[first:last], near.model
    ranked = sorted(
        ((text, p) for text, p in readings.items() if text != transmitted and p >= LEAST_POSTERIOR),
        key=lambda item: (-item[1], item[0]),
    )[:MOST_READINGS]
    proposed = list(dict.fromkeys([text for text, _ in ranked] + near.of(transmitted, before)))
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
            word_features(transmitted, text, readings, before, model),
            single=False,
        )
        for text in proposed
    )
    letters = tuple(_letter_candidates(lattice, span, offset, number, readings, model))
    return Unit(first + offset, last + offset, transmitted, readings, words, letters)


def _letter_candidates(
    lattice: Lattice,
    span: tuple[int, int],
    offset: int,
    number: int,
    readings: dict[str, float],
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
        features = letter_features(unit, letter, answers, readings, model)
        yield Candidate(offset + at, offset + at + 1, number, letter, tag, p, features, single=True)
