"""How like two stretches are, slips allowed for, and how much that proves.

Arrives: two texts and a place in each where they surely agree. Leaves: how far the likeness
reaches, letter by letter, and its weight in bits. Start reading at ``likeness_around`` and
``weight_of``.
"""

from __future__ import annotations

from collections.abc import Iterator
from math import log2

from fidelity.terms import StepKind

Row = tuple[int, int, int, int, int]  # original start and end, copy start and end, StepKind
Span = tuple[int, int]

PIECE = 256  # letters aligned at a time, so that the work grows with the length of the likeness
SURELY_ALIKE = 8  # letters kept in a row: a piece may be cut there (chosen)
SLACK = 8  # letters by which one side may be longer than the other in a piece (chosen)
SLIP_PENALTY = 2  # letters kept that make good one slip: a stretch with more than a third wrong ends
DROP = 20  # letters' worth of slips in a row after which a likeness has ended (chosen)
SLIP_BITS = 5.0  # a slip in about 30 letters, as in the careless copies of the benchmarks
ENOUGH_BITS = 60.0  # no text is so long that more would be needed
FORMULA_SEED = 10  # letters, about two words
FORMULA_TRIES = 12  # places of a block from which it is looked for elsewhere (chosen)
FORMULA_SHARE = 0.6  # of a block's letters that one other place has in the same order (chosen)
TO_THE_END = 4  # letters' worth of slips that are borne if a likeness then reaches the end of both stretches
REACH = 50_000  # letters on either side in which it is looked for what recurs: some thirty pages


def likeness_around(
    first: str, second: str, seed: tuple[int, int, int], within: tuple[Span, Span]
) -> list[Row]:
    """Follow a likeness from a run of equal letters in both directions, as far as it is good.

    Args:
        first, second: the two texts, folded.
        seed: where the run begins in either, and its length.
        within: the stretches of either text that it must not leave.

    Returns:
        Steps in order, from the first letter kept to the last.
    """
    at, at_copy, length = seed
    (o0, o1), (c0, c1) = within
    backward = _followed(first[o0:at][::-1], second[c0:at_copy][::-1])
    forward = _followed(first[at + length : o1], second[at_copy + length : c1])
    before = [(at - b, at - a, at_copy - d, at_copy - c, kind) for a, b, c, d, kind in backward[::-1]]
    end, end_copy = at + length, at_copy + length
    after = [(end + a, end + b, end_copy + c, end_copy + d, kind) for a, b, c, d, kind in forward]
    return joined([*before, (at, end, at_copy, end_copy, int(StepKind.KEPT)), *after])


def joined(rows: list[Row]) -> list[Row]:
    """Make one step of neighbouring kept ones."""
    steps: list[Row] = []
    for row in rows:
        if steps and steps[-1][4] == row[4] == StepKind.KEPT:
            before = steps[-1]
            steps[-1] = (before[0], row[1], before[2], row[3], row[4])
        else:
            steps.append(row)
    return steps


def _followed(first: str, second: str) -> list[Row]:
    """Align two texts from their beginnings, as far as the likeness is good."""
    rows: list[Row] = []
    score = best = kept = 0
    for row in _from_beginning(first, second):
        size = max(row[1] - row[0], row[3] - row[2])
        score += size if row[4] == StepKind.KEPT else -SLIP_PENALTY * size
        rows.append(row)
        if score > best:
            best, kept = score, len(rows)
        if score < best - DROP:
            return rows[:kept]
    return rows if score >= best - TO_THE_END else rows[:kept]


def _from_beginning(first: str, second: str) -> Iterator[Row]:
    """Align two texts piece by piece, with as few slips as there can be in each piece."""
    at = at_copy = 0
    while at < len(first) and at_copy < len(second):
        size = min(len(first) - at, len(second) - at_copy, PIECE) + SLACK
        rows = list(_edited(first[at : at + size], second[at_copy : at_copy + size]))
        last = size > PIECE and _place_to_cut(rows)
        for a, b, c, d, kind in rows[:last] if last else rows:
            yield at + a, at + b, at_copy + c, at_copy + d, kind
        if not last:
            return
        at, at_copy = at + rows[last - 1][1], at_copy + rows[last - 1][3]


def _place_to_cut(rows: list[Row]) -> int:
    """Give how many steps of a piece are settled: up to the last but one long run kept, or half."""
    sure = [at for at, row in enumerate(rows) if row[4] == StepKind.KEPT and row[1] - row[0] >= SURELY_ALIKE]
    if len(sure) > 1:
        return sure[-2] + 1
    return sure[0] + 1 if sure else max(len(rows) // 2, 1)


def _edited(first: str, second: str) -> Iterator[Row]:
    """Give the steps that lead from one text to the other with fewest letters wrong."""
    from rapidfuzz.distance import Levenshtein  # slow to import, and seldom needed

    for found in Levenshtein.opcodes(first, second):
        a, b, c, d = found.src_start, found.src_end, found.dest_start, found.dest_end
        if found.tag == "equal":
            yield a, b, c, d, int(StepKind.KEPT)
        elif found.tag == "replace":
            yield from ((a + n, a + n + 1, c + n, c + n + 1, int(StepKind.CHANGED)) for n in range(b - a))
        else:
            kind = StepKind.SKIPPED if max(b - a, d - c) > 3 else StepKind.CHANGED  # as in the alignment
            yield a, b, c, d, int(kind)


def weight_of(steps: list[Row], text: str) -> float:
    """Give how much a likeness proves: the bits that its kept letters carry, less those of its slips.

    What recurs proves little. Letters are taken together in the longest strings that stand
    elsewhere in the text too, and such a string carries log2(places / occurrences) bits
    (cross-parsing, Ziv & Merhav 1993, IEEE Trans. Inf. Theory 39, 1270-1279); what is like one
    other place throughout, a formula, is one such string, and only what is peculiar in it carries
    bits of its own. A slip takes away ``SLIP_BITS``. For such scores the chance of finding a
    likeness of S bits somewhere among n places is about n * 2^-S (Karlin & Altschul 1990, PNAS 87,
    2264-2268).

    Args:
        steps: of the likeness.
        text: the original, folded; what lies inside the likeness is not counted as recurring.
    """
    start, end = steps[0][0], steps[-1][1]
    elsewhere = text[max(start - REACH, 0) : start] + "\0" + text[end : end + REACH]
    block = text[start:end]
    formula, places = _formula(block, elsewhere)
    bits = log2((len(elsewhere) + 1) / (places + 0.5)) if formula else 0.0
    for o0, o1, _, _, kind in steps:
        if kind == StepKind.KEPT:
            bits += sum(_bits(block[a:b], elsewhere) for a, b in _outside((o0 - start, o1 - start), formula))
        elif not formula or not formula[0][0] <= o0 - start <= formula[-1][1]:
            bits -= SLIP_BITS
        if bits >= ENOUGH_BITS:
            break
    return bits


def _formula(block: str, elsewhere: str) -> tuple[list[Span], int]:
    """Give the parts of a block that one other place has too, if it is like the block throughout.

    Returns:
        The parts, none where there is no such place; and how many such places there are.
    """
    best: list[Span] = []
    covered, places = len(block) * FORMULA_SHARE, 0
    for at in range(0, min(len(block) - FORMULA_SEED, FORMULA_TRIES * FORMULA_SEED) + 1, FORMULA_SEED):
        seed = block[at : at + FORMULA_SEED]
        place = elsewhere.find(seed)
        if place < 0:
            continue
        whole = (0, len(block)), (0, len(elsewhere))
        rows = likeness_around(block, elsewhere, (at, place, FORMULA_SEED), whole)
        kept = [(row[0], row[1]) for row in rows if row[4] == StepKind.KEPT]
        size = sum(end - start for start, end in kept)
        if size >= covered:
            best, covered, places = kept, size + 1, max(places, elsewhere.count(seed))
    return best, places


def _outside(span: Span, taken: list[Span]) -> Iterator[Span]:
    """Give the parts of a span that lie outside of others, which stand in order."""
    start, end = span
    for first, last in taken:
        if last <= start or first >= end:
            continue
        if first > start:
            yield start, first
        start = last
    if start < end:
        yield start, end


def _bits(letters: str, elsewhere: str) -> float:
    """Give the bits that a run of letters carries, given the rest of the text."""
    bits, at = 0.0, 0
    while at < len(letters) and bits < ENOUGH_BITS:
        length = _longest_recurring(letters, at, elsewhere)
        occurrences = elsewhere.count(letters[at : at + length]) if length else 0
        bits += log2((len(elsewhere) + 1) / (occurrences + 0.5))  # half an occurrence held back
        at += max(length, 1)
    return bits


def _longest_recurring(letters: str, at: int, elsewhere: str) -> int:
    """Give the length of the longest string from here that stands elsewhere too; 0 where none does."""
    low, high = 0, 1
    while at + high <= len(letters) and letters[at : at + high] in elsewhere:
        low, high = high, high * 2
    high = min(high, len(letters) - at + 1)
    while high - low > 1:
        middle = (low + high) // 2
        if letters[at : at + middle] in elsewhere:
            low = middle
        else:
            high = middle
    return low
