"""Tell each confusion worth telling in full: circumstances, words, and parallels in print.

Arrives: alignments, variants, counts and confusions of all survivors. Leaves: ``Habit``s, the most
frequent first. Start reading at ``habits``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence

from fidelity.confusions.circumstances import PairSeats, seats_of
from fidelity.confusions.count import AnswerCounts
from fidelity.confusions.intervals import dispersion
from fidelity.confusions.pooling import rates_under
from fidelity.letters import decode, encode
from fidelity.settings import Settings
from fidelity.terms import Alignment, Circumstance, Confusion, Habit, InPrint, Variant
from fidelity.variants.places import Places
from fidelity.witnesses.folds import Folds, PublishedConfusion, letterform_value, published_confusions

FEWEST = 5  # events of one that may be chance; all of fewer on one of two equal sides: p over 0.06


def habits(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    places: Mapping[str, Places],
    counts: AnswerCounts,
    confusions: Sequence[Confusion],
    folds: Folds,
    settings: Settings,
) -> list[Habit]:
    """Tell in full every systematic confusion, and others that chance alone hardly explains.

    These happened five times or more, with a p-value that would do if theirs were the only test made.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided.
        places: pages, scripts and languages of each original, by id of the survivor.
        counts: what each letter was answered by.
        confusions: of all survivors.
        folds: letterforms counted as equal.
        settings: thresholds and seed.
    """
    told = {
        (encode(one.original), encode(one.copy)): one
        for one in confusions
        if one.systematic or (one.count >= FEWEST and one.p_value <= settings.false_discovery)
    }
    seats = seats_of(alignments, variants, places, told, folds.fold)
    rates = rates_under(seats, dispersion(counts), settings)
    return [
        Habit(
            confusion=one,
            words=_words(seats[pair]),
            rates=tuple(rates[pair]),
            in_print=parallels_in_print(*pair, _scripts(seats[pair]), folds),
        )
        for pair, one in told.items()
    ]


def _words(seats: PairSeats) -> tuple[str, ...]:
    """Give the words a confusion happened in, the most frequent first."""
    count = seats.by[Circumstance.WORD].count
    return tuple(decode(word) for word in sorted(count, key=lambda word: (-count[word], word)))


def _scripts(seats: PairSeats) -> set[str]:
    """Give the scripts in which a confusion happened."""
    count: Counter[str] = seats.by[Circumstance.SCRIPT].count
    return {script for script, number in count.items() if number} - {""}


def parallels_in_print(
    original: str, written: str, scripts: Collection[str], folds: Folds
) -> tuple[InPrint, ...]:
    """Give the published confusions that are the same as one of his.

    What he wrote may be another form of the letter in print (r for ꞃ), since he wrote a hand of his
    own. The original's letter must be the one in print, or, where it is another form of it, the
    script must be that in which it was seen.

    Args:
        original, written: the confusion, in letters.
        scripts: of the originals in which he made it.
        folds: letterforms counted as equal.

    Returns:
        Those of his scripts first, then those printed in the same direction, in the table's order.
    """
    found: dict[tuple[str, ...], InPrint] = {}
    for one in published_confusions():
        direction = _direction(one, original, written, one.script in scripts, folds)
        if direction:
            letters = decode(one.original), decode(one.misread)
            told = one.source, one.locator, one.basis
            made = InPrint(one.id, one.script, *letters, direction, *told, one.script in scripts)
            said_once = one.script, one.source, one.locator, direction  # a pair may stand there twice
            found.setdefault(said_once, made)
    order = ("one-way", "pair", "reversed")
    ranked = sorted(found.values(), key=lambda one: (not one.his_script, order.index(one.direction), one.id))
    return tuple(ranked)


def _direction(one: PublishedConfusion, original: str, written: str, his_script: bool, folds: Folds) -> str:
    """Tell in which direction a published confusion is one of his; "" where it is another."""

    def same(his: str, printed: str, exact: bool) -> bool:
        if his == printed:
            return True
        return not exact and bool(his) and _value(his, folds) == _value(printed, folds)

    if same(original, one.original, not his_script) and same(written, one.misread, False):
        return one.direction
    if same(original, one.misread, not his_script) and same(written, one.original, False):
        return "reversed" if one.direction == "one-way" else one.direction
    return ""


def _value(letters: str, folds: Folds) -> str:
    """Give letters without regard to their form."""
    return folds.fold("".join(map(letterform_value, letters)))
