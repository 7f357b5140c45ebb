"""Under which circumstances each confusion happened, and under which it might have.

Arrives: alignments of survivors, their variants, and the confusions to be looked at. Leaves:
``Seats`` for each circumstance: how often, out of how many chances, for every value of it. Start
reading at ``seats_of``.

Circumstances are the place in the word, the letters before and after within the word (as they stand
in the manuscript, ꞅ not s), the word, the script, the hand, the language, the text. Chances are those
of ``count.py``; only for the hand are letters in other hands than the main one looked at as well.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from fidelity.confusions.surroundings import PLACES, Offsets, Pair, Surroundings, Unit
from fidelity.terms import Alignment, Circumstance, Variant
from fidelity.variants.places import Places

# Where a letter stands in its word explains much of what its neighbours and the word seem to explain.
WITHIN_PLACES = (Circumstance.BEFORE, Circumstance.AFTER, Circumstance.WORD)
BY_UNIT = (Circumstance.SCRIPT, Circumstance.LANGUAGE, Circumstance.TEXT)  # the same for whole pages


@dataclass
class Seats:
    """How often a confusion happened, and might have, under every value of one circumstance.

    Attributes:
        count: value -> how often.
        chances: value -> out of how many.
        words: value -> the words it happened in.
        at_place: place in the word -> the same counts and chances for letters that stand there; only
            for circumstances looked at within places.
    """

    count: Counter[str] = field(default_factory=Counter)
    chances: Counter[str] = field(default_factory=Counter)
    at_place: defaultdict[str, tuple[Counter[str], Counter[str]]] = field(
        default_factory=lambda: defaultdict(lambda: (Counter(), Counter()))
    )
    words: defaultdict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))


@dataclass
class UnitSeats:
    """How often a confusion happened on one page, and its chances there by place in the word."""

    count: int = 0
    chances: Counter[str] = field(default_factory=Counter)


@dataclass
class PairSeats:
    """Everything counted of one confusion.

    Attributes:
        by: circumstance -> its seats.
        units: (text, page, script, language) -> what was counted there: for circumstances that hold
            for whole pages, which differ among themselves.
    """

    by: dict[Circumstance, Seats] = field(default_factory=lambda: {kind: Seats() for kind in Circumstance})
    units: defaultdict[tuple[str, Unit], UnitSeats] = field(default_factory=lambda: defaultdict(UnitSeats))


def seats_of(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    pairs: Collection[Pair],
    folded: Callable[[str], str],
) -> dict[Pair, PairSeats]:
    """Count under which circumstances confusions happened and might have.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided.
        places: pages, scripts and languages of each original, by id of the survivor.
        pairs: the confusions, (original, written) in letters.
        folded: puts letters into the form the declared folds count as equal; for the words.
    """
    found = {pair: PairSeats() for pair in sorted(pairs)}
    originals = sorted({original for original, _ in found})
    for text, alignment in alignments.items():
        ours = [variant for variant in variants if variant.text == text]
        if found:
            _add_text(found, originals, text, Surroundings(alignment, ours, places[text], folded))
    return found


def _add_text(
    found: Mapping[Pair, PairSeats],
    originals: Sequence[str],
    text: str,
    one: Surroundings,
) -> None:
    """Add what one survivor shows of every confusion."""
    main, others = one.events()
    chances = {string: one.chances(string, one.good) for string in originals}
    clear = chances if one.clear is one.good else {x: one.chances(x, one.clear) for x in originals}
    inside = [kind for kind in Circumstance if kind not in BY_UNIT]
    counted = {
        (string, kind): _count(one, kind, (clear if kind is Circumstance.HAND else chances)[string], string)
        for string in originals
        for kind in inside
    }
    units = {string: one.units(chances[string], len(string)) for string in originals}
    for pair, seats in found.items():
        original = pair[0]
        at = np.array(main.get(pair, []), dtype=np.intp)
        everywhere = np.array(main.get(pair, []) + others.get(pair, []), dtype=np.intp)
        for kind in inside:
            here = everywhere if kind is Circumstance.HAND else at
            for place, values in counted[original, kind].items():
                seats.by[kind].chances.update(values)
                if kind in WITHIN_PLACES:
                    seats.by[kind].at_place[place][1].update(values)
            _add_events(seats.by[kind], one, kind, here, original)
        happened = one.units(at, len(original))
        for unit, by_place in units[original].items():
            seats.units[text, unit].count += happened[unit].total()
            seats.units[text, unit].chances.update(by_place)
        _add_units(seats, text, one, at, units[original])


def _count(one: Surroundings, kind: Circumstance, at: Offsets, string: str) -> dict[str, Counter[str]]:
    """Count offsets by place in the word and by the value of a circumstance."""
    numbers, names = one.values(kind, at, len(string))
    places, _ = one.values(Circumstance.PLACE, at, len(string))
    found: dict[str, Counter[str]] = {}
    for place, name in enumerate(PLACES):
        here = numbers[(places == place) & (numbers >= 0)]
        values: Counter[str] = Counter()
        for value, count in zip(names, np.bincount(here).tolist(), strict=False):
            if count:
                values[value] += count
        if values:
            found[name] = values
    return found


def _add_events(seats: Seats, one: Surroundings, kind: Circumstance, at: Offsets, string: str) -> None:
    """Add the places where a confusion happened to the seats of one circumstance."""
    numbers, names = one.values(kind, at, len(string))
    places, _ = one.values(Circumstance.PLACE, at, len(string))
    for number, place, word in zip(numbers.tolist(), places.tolist(), one.words_at(at), strict=True):
        if number >= 0:
            seats.count[names[number]] += 1
            seats.words[names[number]][word] += 1
            if kind in WITHIN_PLACES:
                seats.at_place[PLACES[place]][0][names[number]] += 1


def _add_units(
    seats: PairSeats, text: str, one: Surroundings, at: Offsets, chances: Mapping[Unit, Counter[str]]
) -> None:
    """Add to script, language and text what holds for whole pages."""
    for unit, by_place in chances.items():
        for kind, value in values_of(text, unit).items():
            seats.by[kind].chances[value] += by_place.total()
    stretches = one.places.stretches(at)
    for stretch, word in zip(stretches.tolist(), one.words_at(at), strict=True):
        for kind, value in values_of(text, one.unit(stretch)).items():
            seats.by[kind].count[value] += 1
            seats.by[kind].words[value][word] += 1


def values_of(text: str, unit: Unit) -> dict[Circumstance, str]:
    """Give the values of the circumstances that hold for whole pages."""
    return {Circumstance.SCRIPT: unit[1], Circumstance.LANGUAGE: unit[2], Circumstance.TEXT: text}
