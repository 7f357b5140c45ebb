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

from fidelity.confusions.kept import Offsets
from fidelity.confusions.surroundings import PLACES, Pair, Surroundings, Unit
from fidelity.terms import Alignment, Circumstance, Variant
from fidelity.variants.places import Places

# Where a letter stands in its word explains much of what its neighbours and the word seem to explain.
WITHIN_PLACES = (Circumstance.BEFORE, Circumstance.AFTER, Circumstance.WORD)
BY_UNIT = (Circumstance.SCRIPT, Circumstance.LANGUAGE, Circumstance.TEXT)  # the same for whole pages
IN_MAIN_HAND = tuple(kind for kind in Circumstance if kind not in (*BY_UNIT, Circumstance.HAND))


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
    shared = {original: _Chances() for original, _ in pairs}
    found = {pair: shared[pair[0]].seats() for pair in sorted(pairs)}
    for text, alignment in alignments.items():
        ours = [variant for variant in variants if variant.text == text]
        if found:
            _add_text(found, shared, text, Surroundings(alignment, ours, places[text], folded))
    return found


class _Chances:
    """The chances of some letters of the original: the same for all that was written for them."""

    def __init__(self) -> None:
        self.by: dict[Circumstance, Counter[str]] = {kind: Counter() for kind in Circumstance}
        self.at_place: dict[tuple[Circumstance, str], Counter[str]] = {
            (kind, place): Counter() for kind in WITHIN_PLACES for place in PLACES
        }

    def seats(self) -> PairSeats:
        """Give the seats of a confusion of these letters, which has not happened yet."""
        seats = PairSeats()
        for kind, chances in self.by.items():
            seats.by[kind].chances = chances
        for (kind, place), chances in self.at_place.items():
            seats.by[kind].at_place[place] = Counter(), chances
        return seats

    def add(self, kind: Circumstance, counted: Mapping[str, Counter[str]]) -> None:
        """Add chances by place in the word and value."""
        for place, values in counted.items():
            self.by[kind].update(values)
            if kind in WITHIN_PLACES:
                self.at_place[kind, place].update(values)


def _add_text(
    found: Mapping[Pair, PairSeats], shared: Mapping[str, _Chances], text: str, one: Surroundings
) -> None:
    """Add what one survivor shows of every confusion."""
    main, others = one.events()
    units: dict[str, Mapping[Unit, Counter[str]]] = {}
    for original, chances in shared.items():
        stands = one.chances(original, one.good)
        clear = stands if one.clear is one.good else one.chances(original, one.clear)
        for here, kinds in ((stands, IN_MAIN_HAND), (clear, (Circumstance.HAND,))):
            places, _ = one.values(Circumstance.PLACE, here, len(original))
            for kind in kinds:
                chances.add(kind, _count(places, *one.values(kind, here, len(original))))
        units[original] = one.units(stands, len(original))
        for unit, by_place in units[original].items():
            for kind, value in values_of(text, unit).items():
                chances.by[kind][value] += by_place.total()
    for pair, seats in found.items():
        at = np.array(main.get(pair, []), dtype=np.intp)
        everywhere = np.array(main.get(pair, []) + others.get(pair, []), dtype=np.intp)
        for here, kinds in ((at, IN_MAIN_HAND), (everywhere, (Circumstance.HAND,))):
            _add_events(seats, one, kinds, here, pair[0])
        _add_units(seats, text, one, at, units[pair[0]])


def _count(places: Offsets, numbers: Offsets, names: Sequence[str]) -> dict[str, Counter[str]]:
    """Count letters by place in the word and by the value of a circumstance.

    Args:
        places: of each letter the number of its place.
        numbers: of each letter the number of the value, -1 where it has none.
        names: of the values.
    """
    found: dict[str, Counter[str]] = {}
    for place, name in enumerate(PLACES):
        counts = np.bincount(numbers[(places == place) & (numbers >= 0)])
        met = np.flatnonzero(counts)
        if len(met):
            values = found[name] = Counter()
            for value, count in zip(met.tolist(), counts[met].tolist(), strict=True):
                values[names[value]] += count
    return found


def _add_events(
    seats: PairSeats, one: Surroundings, kinds: Sequence[Circumstance], at: Offsets, string: str
) -> None:
    """Add the places where a confusion happened to the seats of some circumstances."""
    places = [PLACES[place] for place in one.values(Circumstance.PLACE, at, len(string))[0].tolist()]
    words = one.words_at(at)
    for kind in kinds:
        here = seats.by[kind]
        numbers, names = one.values(kind, at, len(string))
        for number, place, word in zip(numbers.tolist(), places, words, strict=True):
            if number >= 0:
                here.count[names[number]] += 1
                here.words[names[number]][word] += 1
                if kind in WITHIN_PLACES:
                    here.at_place[place][0][names[number]] += 1


def _add_units(
    seats: PairSeats, text: str, one: Surroundings, at: Offsets, chances: Mapping[Unit, Counter[str]]
) -> None:
    """Add to script, language and text what holds for whole pages."""
    for unit, by_place in chances.items():
        seats.units[text, unit] = UnitSeats(0, by_place)
    stretches = one.places.stretches(at)
    for stretch, word in zip(stretches.tolist(), one.words_at(at), strict=True):
        unit = one.unit(stretch)
        seats.units[text, unit].count += 1
        for kind, value in values_of(text, unit).items():
            seats.by[kind].count[value] += 1
            seats.by[kind].words[value][word] += 1


def value_of(kind: Circumstance, text: str, unit: Unit) -> str:
    """Give the value of a circumstance that holds for whole pages."""
    return text if kind is Circumstance.TEXT else unit[1] if kind is Circumstance.SCRIPT else unit[2]


def values_of(text: str, unit: Unit) -> dict[Circumstance, str]:
    """Give the values of all circumstances that hold for whole pages."""
    return {kind: value_of(kind, text, unit) for kind in BY_UNIT}
