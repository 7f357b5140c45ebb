"""The blind test: how far the tool is to be believed, shown on originals it has not seen.

Arrives: held-out parts of the survivors, restored and judged, and what each round knew. Leaves: a
``Trial`` with precision, recall, reliability, the Brier score and its parts, the worst mistakes,
what went unseen, and the simple methods beside. Start reading at ``blind_test``.

The model that proposes on a part never saw it, and the calibration that gives its probabilities
never saw it either: it is learned on the other parts. So it is with the names of the kinds and
with the reasons: they come from the evidence without the part.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from rapidfuzz.distance import Levenshtein

from fidelity.copyist.tagging import Tagged
from fidelity.letters import decode
from fidelity.readings.calibrating import SETTLED, Calibrating, Calibration
from fidelity.readings.held_out import HeldOut
from fidelity.readings.select import Choice, chosen
from fidelity.settings import Settings
from fidelity.terms import (
    ALL_KINDS,
    MethodScore,
    Suspects,
    Trial,
    TrialReading,
    Unseen,
    UnseenShare,
    Witness,
    kinds_of,
)
from fidelity.trial.beside import METHOD_LEVELS, WHOLE, method_scores
from fidelity.trial.interval import share_interval
from fidelity.trial.measures import bands, brier, brier_parts, precisions, right_interval
from fidelity.trial.mistakes import Made, worst_mistakes
from fidelity.trial.rounds import Round, Rounds
from fidelity.trial.truth import Edit, Place, distance_after, locus_of, places_in


@dataclass
class _Found:
    """What was found so far.

    Attributes:
        made: every proposal, how it was made and in which round.
        unseen: wrong places at which nothing was proposed, each with its page.
        wrong: wrong places, by kind and page.
        letters: wrong letters, as transmitted and with all proposals of ``METHOD_LEVELS``.
        survivors: page -> the survivor it is a page of.
        suspects: places marked as corrupt: what was said, whether it was so, page.
    """

    made: list[Made] = field(default_factory=list)
    unseen: list[tuple[Unseen, str]] = field(default_factory=list)
    wrong: Counter[tuple[str, str]] = field(default_factory=Counter)
    letters: Counter[float | None] = field(default_factory=Counter)
    survivors: dict[str, str] = field(default_factory=dict)
    suspects: list[tuple[float, bool, str]] = field(default_factory=list)


def blind_test(
    held: Sequence[HeldOut],
    tagged: Sequence[Tagged],
    copies: Sequence[tuple[str, Witness]],
    left_out: str,
    settings: Settings,
    rounds: Rounds,
) -> Trial:
    """Judge the proposals made on held-out survivors.

    Args:
        held: the held-out parts.
        tagged: the survivors' copies with the truth.
        copies: for each survivor its id and its copy, to cite places.
        left_out: what was held out together, as printed.
        settings: from which probability proposals are listed, and the confidence.
        rounds: what each round knew.
    """
    calibrating = Calibrating(held)
    folds = sorted({part.part.fold for part in held})
    calibrations = {fold: calibrating.without(fold) for fold in folds}
    known = {fold: rounds.of(fold) for fold in folds}

    def tried(mark_suspects: bool) -> _Found:
        found = _Found()
        for part in held:
            fold = part.part.fold
            asked = settings.report_from, mark_suspects
            _try(part, tagged, copies, calibrations[fold], known[fold], asked, found)
        return found

    found = tried(mark_suspects=True)
    if not _suspects(found, settings.confidence).hold:  # then none is made for a lost text: nor in the test
        found = replace(tried(mark_suspects=False), suspects=found.suspects)
    simple = method_scores(held, tagged, copies, rounds, settings.confidence)
    return _trial(found, known, left_out, settings, simple)


def _try(
    part: HeldOut,
    tagged: Sequence[Tagged],
    copies: Sequence[tuple[str, Witness]],
    calibration: Calibration,
    known: Round,
    asked: tuple[float, bool],
    found: _Found,
) -> None:
    """Propose on one part and look the truth up; from which probability, and whether suspects are marked."""
    stretch, offset, copy = tagged[part.part.survivor], part.part.start, copies[part.part.survivor]
    edits: dict[float | None, list[Edit]] = {None: [], **{level: [] for level in METHOD_LEVELS}}
    for place in places_in(part, tagged, copies):
        choices = chosen(place.unit, calibration, *asked)
        for choice in choices:
            found.survivors[place.page] = place.survivor
            if choice.suspect:
                found.suspects.append((choice.probability, place.wrong, place.page))
                continue
            found.made.append((judged_reading(choice, place, offset, copy, known), choice, part.part.fold))
            one = choice.candidate
            for level in METHOD_LEVELS:
                if choice.probability >= level:
                    edits[level].append((one.start + offset, one.end + offset, one.proposed))
        if place.wrong:
            kind = known.book.kind_of(place.truth, place.unit.transmitted, single=False)
            found.wrong[kind, place.page] += 1
            found.survivors[place.page] = place.survivor
            if not choices:
                found.unseen.append((_unseen(place, kind, copy, known), place.page))
    for at_least, some in edits.items():
        found.letters[at_least] += distance_after(stretch, part.part.start, part.part.end, some)


def judged_reading(
    choice: Choice, place: Place, offset: int, copy: tuple[str, Witness], known: Round
) -> TrialReading:
    """Mark one proposal right or wrong.

    A whole reading is right when it is the original's to the letter; a single letter when it
    brings its unit nearer to the original by its full size.
    """
    one, whole, truth = choice.candidate, place.unit.transmitted, place.truth
    if one.single:
        edited = whole[: one.start - place.unit.start] + one.proposed + whole[one.end - place.unit.start :]
        size = Levenshtein.distance(one.transmitted, one.proposed)
        right = Levenshtein.distance(edited, truth) == Levenshtein.distance(whole, truth) - size
    else:
        right = one.proposed == truth or one.proposed in place.wider & place.unit.plainly.keys()
    return TrialReading(
        survivor=place.survivor,
        locus=locus_of(copy, one.start + offset),
        transmitted=decode(one.transmitted),
        proposed=decode(one.proposed),
        original=decode(truth),
        probability=choice.probability,
        right=right,
        single=one.single,
        kind=known.book.kind_of(one.proposed, one.transmitted, one.single),
        context=decode(whole),
        page=place.page,
    )


def _unseen(place: Place, kind: str, copy: tuple[str, Witness], known: Round) -> Unseen:
    """Note a wrong place at which nothing was proposed."""
    return Unseen(
        survivor=place.survivor,
        locus=locus_of(copy, place.start),
        transmitted=decode(place.unit.transmitted),
        original=decode(place.truth),
        kind=kind,
        good_words=known.knows(place.unit.transmitted),
    )


def _trial(
    found: _Found,
    known: dict[int, Round],
    left_out: str,
    settings: Settings,
    simple: Sequence[MethodScore],
) -> Trial:
    """Draw the figures from what was found."""
    readings, level = [reading for reading, _, _ in found.made], settings.confidence
    wrong = Counter({ALL_KINDS: found.wrong.total()})
    for (kind, _), count in found.wrong.items():
        wrong[kind] += count
    kinds = kinds_of([*wrong, *(one.kind for one in readings)])
    proposed = kinds_of(one.kind for one in readings)
    parts = [brier_parts(readings, kind) for kind in (ALL_KINDS, *proposed)]
    return Trial(
        left_out=left_out,
        rounds=len(known),
        readings=tuple(readings),
        precisions=tuple(precisions(readings, wrong, level)),
        bands=tuple(bands(readings, wrong, level)),
        brier=brier(readings),
        wrong_letters=found.letters[None],
        wrong_letters_left=found.letters[SETTLED],
        kind_precisions=tuple(one for kind in kinds for one in precisions(readings, wrong, level, kind)),
        kind_bands=tuple(one for kind in proposed for one in bands(readings, wrong, level, kind)),
        brier_parts=tuple(one for one in parts if one),
        mistakes=tuple(worst_mistakes(found.made, known)),
        unseen=tuple(one for one, _ in found.unseen),
        unseen_shares=tuple(_unseen_share(kind, found, level) for kind in (ALL_KINDS, *kinds_of(wrong))),
        methods=(*simple, *(_whole(readings, at_least, found, level) for at_least in METHOD_LEVELS)),
        suspects=_suspects(found, level),
        confidence=level,
        report_from=settings.report_from,
    )


def _suspects(found: _Found, confidence: float) -> Suspects:
    """Say how many of the places marked as corrupt were so."""
    said = [p for p, _, _ in found.suspects]
    corrupt = Counter(page for _, is_so, page in found.suspects if is_so)
    limits = share_interval(
        corrupt, Counter(page for _, _, page in found.suspects), confidence, found.survivors
    )
    return Suspects(len(said), corrupt.total(), sum(said) / len(said) if said else None, *limits)


def _unseen_share(kind: str, found: _Found, confidence: float) -> UnseenShare:
    """Say how many of the wrong places of a kind went unseen."""
    ours = [(one, page) for one, page in found.unseen if kind in (ALL_KINDS, one.kind)]
    places = Counter[str]()
    for (of_kind, page), count in found.wrong.items():
        places[page] += count * (kind in (ALL_KINDS, of_kind))
    limits = share_interval(Counter(page for _, page in ours), places, confidence, found.survivors)
    return UnseenShare(kind, places.total(), len(ours), *limits, sum(one.good_words for one, _ in ours))


def _whole(
    readings: Sequence[TrialReading], at_least: float, found: _Found, confidence: float
) -> MethodScore:
    """Score the whole program as the simple methods are scored."""
    some = [one for one in readings if one.probability >= at_least]
    right = [one for one in some if one.right]
    return MethodScore(
        WHOLE,
        at_least,
        len(some),
        len(right),
        *right_interval(some, confidence),
        found.wrong.total(),
        sum(not one.single for one in right),
        found.letters[at_least],
    )
