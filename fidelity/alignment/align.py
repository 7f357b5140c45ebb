"""Align a copy with its original, letter by letter, with costs learned from the pair itself.

Arrives: two witnesses and the declared folds. Leaves: an ``Alignment`` that gives back both texts
exactly. Start reading at ``align_witnesses``.

Anchors first (``anchors.py``), then the weighted programme in the windows between them
(``windows.py``), with the flat costs of ``channel.py``; then the costs are learned from what came
out and the windows are done again, until nothing changes.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np

from fidelity.alignment.anchors import Anchor, anchors_between
from fidelity.alignment.channel import GAP_OPEN, SWAP_COST, AnswerTotals, LetterChannel, gap_costs
from fidelity.alignment.settle import settle_gaps
from fidelity.alignment.windows import Path, WindowSolver
from fidelity.errors import UnrelatedTextsError
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.witnesses.folds import NO_FOLDS, Folds

MOST_ROUNDS = 8  # no pair of the benchmarks needed more; a bound, not a tuning
RECURRING = 2  # an operation of several letters is learned when it is seen twice
CLEARLY_RELATED = 0.6  # share of letters kept above which no further question is asked
UNRELATED = 0.85  # cost against a reversed copy: same letters, no relation (chosen on invented pairs)
TOO_SHORT_TO_JUDGE = 40  # letters; below, a chance likeness cannot be told from a real one


def align_witnesses(original: Witness, copy: Witness, folds: Folds = NO_FOLDS) -> Alignment:
    """Find which letters of the copy answer which letters of the original, at least cost.

    Args:
        original: the manuscript the copy is presumed to be made from.
        copy: the transcript.
        folds: letterforms counted as equal; equality is free, the graphic letters are kept.

    Returns:
        The alignment; its steps cover both texts without holes.

    Raises:
        UnrelatedTextsError: the two have no more in common than chance gives.
    """
    alignment = _align(original, copy, folds)
    _refuse_unrelated(alignment, folds)
    return alignment


def _align(original: Witness, copy: Witness, folds: Folds) -> Alignment:
    """Align without asking whether the texts are related."""
    folded_original, folded_copy = folds.fold(original.letters), folds.fold(copy.letters)
    whole = (0, len(original.letters), 0, len(copy.letters))
    anchors = anchors_between(folded_original, folded_copy, whole)
    windows = _windows(anchors, whole)
    solver = WindowSolver(original.letters, copy.letters, folded_original, folded_copy)
    free = _free_pairs(folds, copy.letters, folded_copy)
    totals: AnswerTotals | None = None
    before: list[Path] = []
    rounds = 0
    while rounds < MOST_ROUNDS:
        rounds += 1
        channel = LetterChannel(original.letters, copy.letters, folds.same, totals, free)
        solver.learn(channel)
        paths = [solver.solve(window) for window in windows]
        if paths == before:
            break
        before = paths
        steps = _steps(
            paths, anchors, folded_original, folded_copy, original.letters, copy.letters, set(free)
        )
        totals = count_answers_of(steps, original.letters, copy.letters)
    steps.flags.writeable = False
    return Alignment(original, copy, steps, _cost(steps, channel, original.letters, copy.letters), rounds)


def _free_pairs(folds: Folds, copy: str, folded_copy: str) -> list[tuple[str, str]]:
    """Give the declared expansions that one operation can hold, in every form the copy has them.

    Up to three letters a side; longer ones are seen to be equal when the differences are collected.
    """
    pairs: list[tuple[str, str]] = []
    for sign, text in folds.expansions:
        if max(len(sign), len(text)) > 3:
            continue
        pairs.append((sign, text))
        folded = folds.fold(text)
        at = folded_copy.find(folded)
        while at >= 0:
            pairs.append((sign, copy[at : at + len(folded)]))
            at = folded_copy.find(folded, at + 1)
    return list(dict.fromkeys(pairs))


def _windows(anchors: list[Anchor], whole: tuple[int, int, int, int]) -> list[tuple[int, int, int, int]]:
    """Give the stretches between anchors, one more than there are anchors; some may be empty."""
    o0, o1, c0, c1 = whole
    windows = []
    for start, start_copy, length in anchors:
        windows.append((o0, start, c0, start_copy))
        o0, c0 = start + length, start_copy + length
    windows.append((o0, o1, c0, c1))
    return windows


def _steps(
    paths: Sequence[Path],
    anchors: list[Anchor],
    folded_original: str,
    folded_copy: str,
    original: str,
    copy: str,
    free: set[tuple[str, str]],
) -> np.ndarray:
    """Join the windows' paths and the anchors to the steps of one alignment."""
    rows: list[tuple[int, int, int, int, int]] = []
    run = -1  # number of rows while the last of them keeps letters one for one

    def keep(o0: int, o1: int, c0: int, c1: int) -> None:
        nonlocal run
        if run == len(rows):
            rows[-1] = (rows[-1][0], o1, rows[-1][2], c1, int(StepKind.KEPT))
            return
        rows.append((o0, o1, c0, c1, int(StepKind.KEPT)))
        run = len(rows)

    for at, path in enumerate(paths):
        for o0, o1, c0, c1 in path:
            if o1 - o0 == 1 and c1 - c0 == 1 and folded_original[o0] == folded_copy[c0]:
                keep(o0, o1, c0, c1)
            elif (original[o0:o1], copy[c0:c1]) in free:
                rows.append((o0, o1, c0, c1, int(StepKind.KEPT)))
            elif max(o1 - o0, c1 - c0) > 3:
                rows.append((o0, o1, c0, c1, int(StepKind.SKIPPED)))
            else:
                rows.append((o0, o1, c0, c1, int(StepKind.CHANGED)))
        if at < len(anchors):
            start, start_copy, length = anchors[at]
            keep(start, start + length, start_copy, start_copy + length)
    return np.array(settle_gaps(rows, original, copy), dtype=np.int32).reshape(-1, 5)


def count_answers_of(steps: np.ndarray, original: str, copy: str) -> AnswerTotals:
    """Count what answered what along an alignment, with operations of several letters apart."""
    singles: Counter[tuple[str, str]] = Counter()
    added: Counter[str] = Counter()
    clusters: Counter[tuple[str, str]] = Counter()
    members: dict[tuple[str, str], list[tuple[str, str]]] = {}
    cluster: list[tuple[str, str]] = []

    def close() -> None:
        if cluster:
            pair = ("".join(o for o, _ in cluster), "".join(c for _, c in cluster))
            clusters[pair] += 1
            members.setdefault(pair, list(cluster))
            cluster.clear()

    for o0, o1, c0, c1, kind in steps.tolist():
        if kind == StepKind.CHANGED:
            cluster.append((original[o0:o1], copy[c0:c1]))
            continue
        close()
        if kind == StepKind.KEPT and o1 - o0 == c1 - c0:
            singles.update(zip(original[o0:o1], copy[c0:c1], strict=True))
    close()
    several: dict[tuple[str, str], float] = {}
    for pair, count in clusters.items():
        if _is_operation(pair) and count >= RECURRING:
            several[pair] = count
            continue
        for o, c in members[pair]:
            if len(o) == 1 and len(c) <= 1:
                singles[o, c] += count
            elif not o and len(c) == 1:
                added[c] += count
    chances = {o: original.count(o) for o, _ in several if o}
    return AnswerTotals(singles, added, several, chances)


def _is_operation(pair: tuple[str, str]) -> bool:
    """Tell whether a changed stretch can be one operation of several letters, spaces apart."""
    original, written = pair
    if max(len(original), len(written)) > 3 or len(original) + len(written) < 2:
        return False
    if len(original) <= 1 and len(written) <= 1:
        return False
    return not any(letter.isspace() for letter in original + written)


def _cost(steps: np.ndarray, channel: LetterChannel, original: str, copy: str) -> float:
    """Add up what the whole alignment costs under the channel, anchors included, in nats."""
    several = channel.several()
    pairs: Counter[tuple[str, str]] = Counter()
    cost = 0.0
    for o0, o1, c0, c1, kind in steps.tolist():
        o, c = original[o0:o1], copy[c0:c1]
        if kind == StepKind.KEPT and len(o) == len(c):
            pairs.update(zip(o, c, strict=True))
        elif (o, c) in several:
            cost += several[o, c]
        elif not o or not c:
            single = channel.cost(o, c) if len(o) + len(c) == 1 else np.inf
            cost += min(single, GAP_OPEN + sum(gap_costs(o + c)))
        elif len(o) == 2 and len(c) == 2:
            cost += SWAP_COST
        else:
            cost += channel.cost(o, c)
    return cost + sum(count * channel.cost(*pair) for pair, count in pairs.items())


def kept_share(alignment: Alignment) -> float:
    """Give the share of the longer text's letters that the alignment keeps, spaces apart, 0-1."""
    kept = 0
    for o0, o1, _, _, kind in alignment.steps.tolist():
        if kind == StepKind.KEPT:
            kept += sum(not letter.isspace() for letter in alignment.original.letters[o0:o1])
    letters = max(
        sum(not letter.isspace() for letter in witness.letters)
        for witness in (alignment.original, alignment.copy)
    )
    return kept / letters if letters else 1.0


def _refuse_unrelated(alignment: Alignment, folds: Folds) -> None:
    """Raise when the two texts have no more in common than the same letters in reverse order."""
    original, copy = alignment.original, alignment.copy
    if min(len(original), len(copy)) < TOO_SHORT_TO_JUDGE or kept_share(alignment) >= CLEARLY_RELATED:
        return
    reversed_copy = Witness(copy.siglum, copy.letters[::-1])
    if alignment.cost < UNRELATED * _align(original, reversed_copy, folds).cost:
        return
    raise UnrelatedTextsError(
        f"{original.siglum or 'the original'} ({original.file or 'text'}) and its copy "
        f"({copy.file or 'text'}) have nothing in common: only {kept_share(alignment):.0%} of the letters "
        "answer each other, no more than in a text read backwards",
        remedy="check that the two files are the same text, and that the original is named first",
    )
