"""The blind test: how far the tool is to be believed, shown on originals it has not seen.

Arrives: held-out parts of the survivors, restored and judged. Leaves: a ``Trial`` with precision,
recall, reliability and Brier score. Start reading at ``blind_test``.

The model that proposes on a part never saw it, and the calibration that gives its probabilities
never saw it either: it is learned on the other parts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged
from fidelity.letters import decode
from fidelity.readings.candidates import Unit
from fidelity.readings.held_out import HeldOut, Judged
from fidelity.readings.select import SETTLED, Calibrating, Choice, chosen
from fidelity.settings import Settings
from fidelity.terms import Band, Precision, Trial, TrialReading, Witness
from fidelity.trial.interval import share_interval

LEVELS = (0.5, 0.8, 0.9)
BANDS = (0.2, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


def blind_test(
    held: Sequence[HeldOut],
    tagged: Sequence[Tagged],
    copies: Sequence[tuple[str, Witness]],
    left_out: str,
    settings: Settings,
) -> Trial:
    """Judge the proposals made on held-out survivors.

    Args:
        held: the held-out parts.
        tagged: the survivors' copies with the truth.
        copies: for each survivor its id and its copy, to cite places.
        left_out: what was held out together, as printed.
        settings: from which probability proposals are listed, and the confidence.
    """
    readings: list[TrialReading] = []
    pages: list[str] = []
    wrong = Counter[str]()
    calibrating = Calibrating([one for part in held for one in part.judged])
    calibrations = {fold: calibrating.without(fold) for fold in sorted({part.part.fold for part in held})}
    for part in held:
        survivor = part.part.survivor
        calibration = calibrations[part.part.fold]
        stretch = tagged[survivor]
        edits = []
        for unit in part.units:
            start, end = unit.start + part.part.start, unit.end + part.part.start
            if not all(stretch.trusted[start:end]):
                continue
            truth = stretch.original(start, end)
            wrong["places"] += truth != stretch.copied[start:end]
            for choice in chosen(unit, calibration, settings.report_from):
                readings.append(_judged(choice, unit, truth, part.part.start, copies[survivor]))
                pages.append(_page(copies[survivor], start))
                if choice.probability >= SETTLED:
                    one = choice.candidate
                    edits.append((one.start + part.part.start, one.end + part.part.start, one.proposed))
        before, after = _distances(stretch, part.part.start, part.part.end, edits)
        wrong["before"] += before
        wrong["after"] += after
    return Trial(
        left_out=left_out,
        rounds=len(calibrations),
        readings=tuple(readings),
        precisions=tuple(_precision(level, readings, pages, wrong["places"], settings) for level in LEVELS),
        bands=tuple(_bands(readings, pages, settings)),
        brier=_brier(readings),
        wrong_letters=wrong["before"],
        wrong_letters_left=wrong["after"],
    )


def _judged(choice: Choice, unit: Unit, truth: str, offset: int, copy: tuple[str, Witness]) -> TrialReading:
    """Mark one proposal right or wrong.

    A whole reading is right when it is the original's to the letter; a single letter when it
    brings its unit nearer to the original by its full size.
    """
    one = choice.candidate
    whole = unit.transmitted
    if one.single:
        edited = whole[: one.start - unit.start] + one.proposed + whole[one.end - unit.start :]
        size = Levenshtein.distance(one.transmitted, one.proposed)
        right = Levenshtein.distance(edited, truth) == Levenshtein.distance(whole, truth) - size
    else:
        right = one.proposed == truth
    text, witness = copy
    locus = witness.locus(one.start + offset)
    return TrialReading(
        survivor=text,
        locus=type(locus)(text, locus.line, locus.word),
        transmitted=decode(one.transmitted),
        proposed=decode(one.proposed),
        original=decode(truth),
        probability=choice.probability,
        right=right,
        single=one.single,
    )


def _page(copy: tuple[str, Witness], offset: int) -> str:
    """Give the page a place of the copy stands on, by which intervals are clustered."""
    text, witness = copy
    return f"{text} {witness.pages[witness.line_of(offset)]}"


def _distances(
    stretch: Tagged, start: int, end: int, edits: Sequence[tuple[int, int, str]]
) -> tuple[int, int]:
    """Give the edit distance from the original, as transmitted and with the proposals put in."""
    truth = stretch.original(start, end)
    pieces, at = [], start
    for first, last, text in sorted(edits):
        if first < at:
            continue
        pieces += [stretch.copied[at:first], text]
        at = last
    pieces.append(stretch.copied[at:end])
    before = Levenshtein.distance(stretch.copied[start:end], truth)
    return before, Levenshtein.distance("".join(pieces), truth)


def _precision(
    level: float, readings: Sequence[TrialReading], pages: Sequence[str], wrong: int, settings: Settings
) -> Precision:
    """Say how the proposals of at least this probability fared."""
    some = [(one, page) for one, page in zip(readings, pages, strict=True) if one.probability >= level]
    right = [one for one, _ in some if one.right]
    low, high = _interval(some, settings.confidence)
    restored = sum(not one.single for one in right)
    return Precision(level, len(some), len(right), low, high, wrong, restored)


def _interval(some: Sequence[tuple[TrialReading, str]], confidence: float) -> tuple[float, float]:
    """Give the interval of the share that was right, clustered by page."""
    right = Counter(page for one, page in some if one.right)
    return share_interval(right, Counter(page for _, page in some), confidence)


def _bands(readings: Sequence[TrialReading], pages: Sequence[str], settings: Settings) -> list[Band]:
    """Set what was said beside what was found, band by band."""
    bands = []
    for low, high in pairwise(BANDS):
        some = [
            (one, page)
            for one, page in zip(readings, pages, strict=True)
            if low <= one.probability < high or (high == 1.0 and one.probability == 1.0)
        ]
        if not some:
            continue
        said = sum(one.probability for one, _ in some) / len(some)
        found = sum(one.right for one, _ in some) / len(some)
        bands.append(Band(low, high, len(some), said, found, *_interval(some, settings.confidence)))
    return bands


def _brier(readings: Sequence[TrialReading]) -> float | None:
    """Give the mean squared difference of probability and outcome (Brier 1950, one-class form)."""
    if not readings:
        return None
    return sum((one.probability - one.right) ** 2 for one in readings) / len(readings)
