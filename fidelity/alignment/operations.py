"""Tell which operations of several letters an alignment shows the copyist to make: rn → m, rt → st.

Arrives: an alignment. Leaves: the operations that the evidence supports, each with its count and its
chances. Start reading at ``learned_operations``.

An operation is told of when the copy is described in fewer words with it than without (Rissanen 1978,
see ``counts.py``). Beside what the alignment's own costs use, two more kinds are looked for: changes
on either side of one kept letter (iu → ni), and a change that is commoner beside one certain letter
than elsewhere (rt → st, where r is hardly ever taken for s otherwise).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from fidelity.alignment.channel import PRIOR_STRENGTH
from fidelity.alignment.counts import HELD_BACK, RECURRING, Pair, Tally
from fidelity.alignment.packing import LONGEST
from fidelity.alignment.texts import numbered
from fidelity.terms import Alignment, StepKind
from fidelity.witnesses.folds import NO_FOLDS

DEARER = 2  # times: of all the neighbours looked at, one is unevenly met by chance; chosen on made copies

Span = tuple[int, int, int, int]  # original start and end, copy start and end


def learned_operations(alignment: Alignment) -> tuple[tuple[str, str, int, int], ...]:
    """Give the operations of several letters that are more than chance slips.

    Returns:
        (original letters, written letters, how often, how often the original's letters stand in the
        original), in letters, the commonest first; "" for nothing has as many chances as there are
        places.
    """
    original, copy = alignment.original.letters, alignment.copy.letters
    tally = Tally(numbered(original, copy, NO_FOLDS))
    tally.add(alignment.steps.astype(np.int64), alike=False)
    totals = tally.totals()
    found = {pair: int(count) for pair, count in totals.several.items()}
    changes = list(_changes(alignment))
    letter_by_letter, spelled = tally.prices(), math.log(max(len(tally.texts.letters) + 1, 2))
    for pair, count in _around_a_letter(changes, original, copy).items():
        if pair in found or count < RECURRING:
            continue
        told = _told(count, tally.chances_of(pair[0]))
        if count * (letter_by_letter(*pair) - told) > spelled * (len(pair[0]) + len(pair[1])):
            found[pair] = count
    found |= _beside_a_letter(changes, alignment, tally, spelled)
    rows = [(o, c, count, tally.chances_of(o)) for (o, c), count in found.items()]
    return tuple(sorted(rows, key=lambda row: (-row[2], row)))


def _changes(alignment: Alignment) -> Iterator[Span]:
    """Give the changes that one operation can hold: steps that keep nothing and stand together."""
    steps = alignment.steps
    open_at: Span | None = None
    for o0, o1, c0, c1, kind in [*steps[steps[:, 4] == StepKind.CHANGED].tolist(), [-1] * 5]:
        if open_at is not None and (open_at[1], open_at[3]) == (o0, c0):
            open_at = (open_at[0], o1, open_at[2], c1)
            continue
        if open_at is not None and max(open_at[1] - open_at[0], open_at[3] - open_at[2]) <= LONGEST:
            yield open_at
        open_at = (o0, o1, c0, c1) if kind >= 0 else None


def _pair(span: Span, original: str, copy: str) -> Pair:
    """Give the letters of a span of either text."""
    return original[span[0] : span[1]], copy[span[2] : span[3]]


def _has_space(pair: Pair) -> bool:
    """Tell whether there is white space among the letters of an operation."""
    return any(letter.isspace() for letter in pair[0] + pair[1])


def _told(count: float, chances: float) -> float:
    """Give what it takes to tell an operation each time it is met, in nats."""
    return -math.log((count - HELD_BACK) / (max(chances, count) + PRIOR_STRENGTH + 1))


def _around_a_letter(changes: list[Span], original: str, copy: str) -> Counter[Pair]:
    """Count changes of which one letter between was kept, with changes of the same letters at once."""
    around, at_once = Counter[Pair](), Counter[Pair]()
    for one, other in pairwise(changes):
        at_once[_pair(one, original, copy)] += 1
        whole = (one[0], other[1], one[2], other[3])
        if (other[0] - one[1], other[2] - one[3]) != (1, 1):
            continue
        if max(whole[1] - whole[0], whole[3] - whole[2]) <= LONGEST:
            around[_pair(whole, original, copy)] += 1
    return Counter({pair: n + at_once[pair] for pair, n in around.items() if not _has_space(pair)})


def _beside_a_letter(
    changes: list[Span], alignment: Alignment, tally: Tally, spelled: float
) -> dict[Pair, int]:
    """Find letters written for others much more often beside one letter that is kept than elsewhere.

    The most telling neighbour is taken first; what it explains does not speak for another one.
    """
    original, copy = alignment.original.letters, alignment.copy.letters
    places: dict[Pair, set[int]] = {}
    beside: dict[tuple[Pair, Pair], set[int]] = {}
    for number, (o0, o1, c0, c1) in enumerate(changes):
        if (o1 - o0, c1 - c0) != (1, 1):
            continue
        pair = original[o0], copy[c0]
        places.setdefault(pair, set()).add(number)
        for start, end in ((-1, 0), (0, 1)):
            at, at_copy = slice(max(o0 + start, 0), o1 + end), slice(max(c0 + start, 0), c1 + end)
            wider = original[at], copy[at_copy]
            kept = 0 if start else -1
            if len(wider[0]) == len(wider[1]) == 2 and wider[0][kept] == wider[1][kept]:
                beside.setdefault((pair, wider), set()).add(number)
    found: dict[Pair, int] = {}
    while True:
        telling = [(_saved(key, numbers, places, tally), key) for key, numbers in beside.items()]
        saved, chosen = max(telling, default=(0.0, None))
        if chosen is None or saved <= DEARER * 4 * spelled:
            return found
        explained = beside.pop(chosen)
        found[chosen[1]] = len(explained)
        for numbers in (*places.values(), *beside.values()):
            numbers -= explained


def _saved(key: tuple[Pair, Pair], numbers: set[int], places: dict[Pair, set[int]], tally: Tally) -> float:
    """Give what it saves to tell a change with its neighbour apart from the same change elsewhere."""
    pair, wider = key
    if len(numbers) < RECURRING or _has_space(wider):
        return 0.0
    chances = tally.chances_of(wider[0])
    elsewhere = max(tally.chances_of(pair[0]) - chances, 0)
    rare = (len(places[pair]) - len(numbers) + HELD_BACK) / (elsewhere + PRIOR_STRENGTH + 1)
    return len(numbers) * (-math.log(rare) - _told(len(numbers), chances))
