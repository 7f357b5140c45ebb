"""Find the words, lines and passages that stand elsewhere in the copy.

Arrives: the steps of an alignment, which keeps the order of both texts. Leaves: ``Moved`` blocks.
Start reading at ``find_moved``.

Only what is unpaired is looked at: stretches left out, put in, or answered by quite other letters.
Where a stretch of one text is like one of the other, slips apart, it has moved, if chance would
hardly give such a likeness and neither is a mere repetition of what stands beside it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import replace

import numpy as np

from fidelity.alignment.likeness import Row, Span, joined, likeness_around, weight_of
from fidelity.alignment.unpaired import Stretches, seeds_between, unpaired_stretches, without
from fidelity.letters import is_punctuation
from fidelity.terms import Alignment, Moved, StepKind
from fidelity.witnesses.folds import Folds

BY_CHANCE = 0.01  # likenesses that chance may give for each stretch left out (chosen)
USUAL_SHARE, USUAL_LETTERS = 0.005, 1000  # share of a copy that is put in, and its weight (chosen)
LINE = 40  # letters that a stretch put in counts for at most among the chances of others: a line
SLACK = 2  # letters beside a likeness that are no second place for it: the divisions
SHORTEST = 3  # letters; less is taken for slips
LONGEST_SKIP = 400  # letters, about ten lines, that may be lost or put in within a moved block (chosen)
SHORT_GAP = 3  # letters; a longer gap is a step of its own kind, as in the alignment
MOST_ROUNDS = 5  # a stretch may hold several moved blocks, found one after the other; a bound only


def find_moved(steps: np.ndarray, original: str, copy: str) -> tuple[Moved, ...]:
    """Find what was left out in one place and put in at another.

    A likeness of S bits (``likeness.weight_of``) between a stretch left out and one put in, d
    letters from where it was looked for, would be found by chance (2 * d * share + rest) * 2^-S
    times, where the share is that of letters put in among those of the copy, and the rest what the
    stretch put in has beside. It counts below ``BY_CHANCE``. So a word moved over the next needs
    little evidence, one moved over ten pages much, and a word or formula that recurs often is weak
    evidence.

    Args:
        steps: of the alignment, as ``Alignment`` has them.
        original, copy: the two texts in letters, with the declared folds applied.

    Returns:
        The blocks in the order of the original; none overlap in either text. The work grows with
        what is unpaired, not with the texts.

    >>> original, copy = "genim betonican. cnuca on ecede", "cnuca on genim betonican. ecede"
    >>> steps = np.array([(0, 0, 0, 9, 2), (0, 17, 9, 26, 0), (17, 26, 26, 26, 2), (26, 31, 26, 31, 0)])
    >>> [block] = find_moved(steps, original, copy)
    >>> original[slice(*block.original_span)], block.copy_span
    ('cnuca on', (0, 8))
    """
    unpaired = left_out, put_in = unpaired_stretches(steps)
    share = _put_in_nearby(put_in, len(copy))
    blocks: list[list[Row]] = []
    for _ in range(MOST_ROUNDS):
        found = list(_best(_likenesses(left_out, put_in, original, copy, share)))
        if not found:
            break
        blocks += found
        left_out = without(left_out, [(rows[0][0], rows[-1][1]) for rows in found])
        put_in = without(put_in, [(rows[0][2], rows[-1][3]) for rows in found])
    parts = _whole(sorted(blocks), original, copy, *unpaired)
    return tuple(_moved(rows) for rows in parts)


def _whole(
    blocks: list[list[Row]], original: str, copy: str, left_out: Stretches, put_in: Stretches
) -> Iterator[list[Row]]:
    """Put the parts of a block together that a skip or a long slip on the way has parted."""
    before: list[Row] = []
    places = sorted(rows[0][2] for rows in blocks)
    for rows in blocks:
        if before and _go_on(before, rows, places, left_out, put_in):
            o0, o1, c0, c1 = before[-1][1], rows[0][0], before[-1][3], rows[0][2]
            pairs = enumerate(zip(original[o0:o1], copy[c0:c1], strict=False))
            kept = next((at for at, (o, c) in pairs if o != c), min(o1 - o0, c1 - c0))
            o, c = o0 + kept, c0 + kept
            between = [_step(o0, o, c0, c, kept=True), _step(o, o1, c, c), _step(o1, o1, c, c1)]
            before = joined([*before, *(row for row in between if row[1] > row[0] or row[3] > row[2]), *rows])
        else:
            if before:
                yield before
            before = rows
    if before:
        yield before


def _step(o0: int, o1: int, c0: int, c1: int, *, kept: bool = False) -> Row:
    """Make a step of letters kept, or left out, or put in."""
    if kept:
        return o0, o1, c0, c1, int(StepKind.KEPT)
    return o0, o1, c0, c1, int(StepKind.SKIPPED if o1 - o0 + c1 - c0 > SHORT_GAP else StepKind.CHANGED)


def _go_on(
    block: list[Row], rest: list[Row], places: list[int], left_out: Stretches, put_in: Stretches
) -> bool:
    """Tell whether a block goes on in the next: near in both texts, with nothing paired between."""
    last, first = block[-1], rest[0]
    after = bisect_left(places, last[3])
    if places[after : after + 1] != [first[2]]:
        return False  # another block stands between
    between = first[0] - last[1], first[2] - last[3]
    shorter = min(last[1] - block[0][0], rest[-1][1] - first[0])
    if min(between) < 0 or max(between) > min(shorter, LONGEST_SKIP):
        return False
    return all(
        np.searchsorted(side.starts, one, side="right") == np.searchsorted(side.starts, other, side="right")
        for side, one, other in ((left_out, last[1] - 1, first[0]), (put_in, last[3] - 1, first[2]))
    )


def with_moved(alignment: Alignment, folds: Folds) -> Alignment:
    """Give an alignment with the moved blocks that its steps leave unpaired."""
    original, copy = (_folded(one.letters, folds) for one in (alignment.original, alignment.copy))
    return replace(alignment, moved=find_moved(alignment.steps, original, copy))


def _folded(letters: str, folds: Folds) -> str:
    """Fold a whole text: what ``Folds.fold`` gives, letter after letter instead of place after place.

    A long text has few letters that stand for others; for each it is searched in one go, which takes
    a tenth of the time.
    """
    for written, stands_for in folds.letters.items():
        letters = letters.replace(written, stands_for)
    return letters


def _moved(rows: list[Row]) -> Moved:
    """Make the record of a block."""
    steps = np.array(rows, dtype=np.int32).reshape(-1, 5)
    steps.flags.writeable = False
    return Moved((rows[0][0], rows[-1][1]), (rows[0][2], rows[-1][3]), steps)


def _put_in_nearby(put_in: Stretches, letters: int) -> float:
    """Give how many letters are put in for each letter of a copy; in a short one, mostly what is usual."""
    found = int(np.minimum(put_in.ends - put_in.starts, LINE).sum())
    return (found + USUAL_SHARE * USUAL_LETTERS) / (letters + USUAL_LETTERS)


def _likenesses(
    left_out: Stretches, put_in: Stretches, original: str, copy: str, share: float
) -> Iterator[tuple[float, list[Row]]]:
    """Give what is alike among the unpaired stretches beyond chance, with its weight."""
    for first, second, seed in seeds_between(left_out, put_in, original, copy):
        within = left_out.span(first), put_in.span(second)
        rows = _whole_words(likeness_around(original, copy, seed, within), original, copy, within)
        if not rows or _is_repeated(rows, original, copy):
            continue
        distance = abs(rows[0][2] - int(left_out.opposite[first])) + 1
        size = rows[-1][3] - rows[0][2]
        others = max(share - min(size, LINE) / (len(copy) + USUAL_LETTERS), 0.0)  # it is not its own rival
        places = 2 * distance * others + max(within[1][1] - within[1][0] - size - SLACK, 0)
        weight = weight_of(rows, original)
        if places * 2.0**-weight <= BY_CHANCE:
            yield weight, rows


def _best(found: Iterable[tuple[float, list[Row]]]) -> Iterator[list[Row]]:
    """Choose the weightiest likenesses of those that overlap in either text."""
    taken: list[list[Row]] = []
    for _, rows in sorted(found, key=lambda one: (-one[0], one[1])):
        if not any(_overlap(rows, other, 0) or _overlap(rows, other, 2) for other in taken):
            taken.append(rows)
            yield rows


def _overlap(first: list[Row], second: list[Row], side: int) -> bool:
    return first[0][side] < second[-1][side + 1] and second[0][side] < first[-1][side + 1]


def _whole_words(rows: list[Row], original: str, copy: str, within: tuple[Span, Span]) -> list[Row]:
    """Cut a likeness to whole words of both texts; where an unpaired stretch begins will do as well."""
    (o0, o1), (c0, c1) = within
    start = next(
        (at for at in _kept(rows) if _begins(original, at[0], o0) and _begins(copy, at[1], c0)), None
    )
    end = next(
        (at for at in _kept(rows, backward=True) if _ends(original, at[0], o1) and _ends(copy, at[1], c1)),
        None,
    )
    if start is None or end is None or end[0] - start[0] < SHORTEST:
        return []
    return [
        (max(a, start[0]), min(b, end[0]), max(c, start[1]), min(d, end[1]), kind)
        for a, b, c, d, kind in rows
        if (b > start[0] and a < end[0]) or (a == b and start[0] < a < end[0])
    ]


def _kept(rows: list[Row], backward: bool = False) -> Iterator[tuple[int, int]]:
    """Give the letters kept, in both texts: before each from the beginning, after each from the end."""
    for a, b, c, _, kind in reversed(rows) if backward else rows:
        if kind == StepKind.KEPT:
            shifts = range(b - a, 0, -1) if backward else range(b - a)
            yield from ((a + shift, c + shift) for shift in shifts)


def _begins(text: str, at: int, edge: int) -> bool:
    return not text[at].isspace() and (at == edge or _is_border(text[at - 1]))


def _ends(text: str, at: int, edge: int) -> bool:
    return not text[at - 1].isspace() and (at == edge or _is_border(text[at]))


def _is_border(letter: str) -> bool:
    return letter.isspace() or is_punctuation(letter)


def _is_repeated(rows: list[Row], original: str, copy: str) -> bool:
    """Tell whether a block stands beside itself already: what was lost or written twice, not moved."""
    for text, start, end in ((original, rows[0][0], rows[-1][1]), (copy, rows[0][2], rows[-1][3])):
        block, reach = text[start:end], end - start + 2
        if block in text[max(start - reach, 0) : start] or block in text[end : end + reach]:
            return True
    return False
