"""Find where two texts surely answer each other, so that only what lies between is weighed.

Arrives: two stretches of text as numbers of folded letters. Leaves: anchors, stretches of equal
letters in the same order in both. Start reading at ``anchors_between``.

Runs of letters that stand once in either text (``seeds.py``) are chained: of all chains in the same
order in both, the one that saves most under the model's own costs is kept (each kept letter spares
two letters of long gaps, each jump costs the opening of gaps). A short run that is reached by a jump
and left by one may be a formula from elsewhere: it is dropped, and the weighted programme decides.
What is left between the anchors is looked at again for shorter runs that stand once just there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from fidelity.alignment import scan
from fidelity.alignment.channel import GAP_EXTEND, GAP_OPEN
from fidelity.alignment.seeds import COMPILED, Letters, in_bytes, runs_between

Runs = npt.NDArray[np.int64]  # rows: original start, copy start, length

SEED = 12  # letters; measured on prototypes: 12 anchors most texts at 2-6 % noise
ONE_IN = 16  # seeds looked at; they only have to show the direction
SHORTEST = 16  # letters of a run before it is trimmed; shorter ones may agree by chance
SHORTEST_ALONG = 12  # the same where a run goes on in the direction of its neighbours
TRIM_START, TRIM_END = 2, 4  # letters of a run left to the weighted programme: the longest operation, and a
# gap that may as well be set a little earlier; measured: with less at either end still nothing is lost
NEAR = 3  # letters; runs shifted by no more than one operation can shift them are one stretch
LOOK_BACK = 48  # stretches that may lie between two neighbours of the chain
CLEAR = 4  # a stretch so many times as long as the jumps to it and back is no formula from elsewhere
DOUBTFUL_CELLS = 250_000  # size of window up to which a doubtful stretch is left to the programme


@dataclass(frozen=True)
class Look:
    """A second look into the windows that are large.

    Attributes:
        cells: size of window from which it is taken.
        seed: letters in a seed; it must stand once in the window.
        shortest: letters in the shortest run.
        doubtful: letters up to which a stretch between two jumps is doubted.
        reach: letters a side up to which so short a run is telling.
    """

    cells: int
    seed: int
    shortest: int
    doubtful: int
    reach: int


FIRST_DOUBT = 80  # letters; a longer stretch is no formula come from elsewhere
LOOKS = (Look(900, 8, 12, 60, 40_000), Look(1_000_000, 6, 9, 40, 4_000))  # chosen on made copies, 2-20 %


def anchors_between(original: Letters, copy: Letters) -> Runs:
    """Find the anchors of two stretches of text, looking again where much is left between them.

    Args:
        original, copy: the letters as numbers of one type, letters that count as equal by the same one.

    Returns:
        Anchors in order: original start, copy start, length; letters there are equal.
    """
    ends = len(original), len(copy)
    chain = _chained(runs_between(original, copy, SEED, ONE_IN, SHORTEST), ends, FIRST_DOUBT)
    along = _runs_along(original, copy, windows_between(_trimmed(chain), *ends))
    if len(along):
        chain = _chained(_sorted(np.concatenate((chain, along))), ends, FIRST_DOUBT)
    for look in LOOKS:
        windows = windows_between(_trimmed(chain), *ends)
        n, m = windows[:, 1] - windows[:, 0], windows[:, 3] - windows[:, 2]
        large = ((n + 1) * (m + 1) > look.cells) & (np.minimum(n, m) >= look.shortest)
        windows = windows[large & (np.maximum(n, m) <= look.reach)]
        if len(windows):
            runs = np.concatenate((chain, _runs_inside(original, copy, windows, look)))
            chain = _chained(_sorted(runs), ends, look.doubtful)
    return _trimmed(chain)


def _sorted(runs: Runs) -> Runs:
    """Put runs in the order of the original."""
    return runs[np.lexsort((runs[:, 1], runs[:, 0]))]


def _runs_along(original: Letters, copy: Letters, windows: Runs) -> Runs:
    """Find runs in the direction of the neighbours, where these are shifted little against each other."""
    found = [np.zeros((0, 3), dtype=np.int64)]
    n, m = windows[:, 1] - windows[:, 0], windows[:, 3] - windows[:, 2]
    windows = windows[(np.abs(m - n) <= NEAR) & (np.minimum(n, m) >= SHORTEST_ALONG)]
    shifted = windows[:, 3] - windows[:, 2] - windows[:, 1] + windows[:, 0]
    if COMPILED:
        most = int(((windows[:, 1] - windows[:, 0]) * (np.abs(shifted) + 1)).sum()) // SHORTEST_ALONG
        runs = np.empty((most, 3), dtype=np.int64)
        texts = in_bytes(original), in_bytes(copy), original.itemsize
        return runs[: scan.find_along(*texts, windows.ravel(), NEAR, SHORTEST_ALONG, runs.ravel())]
    for shift in range(-NEAR, NEAR + 1):
        here = windows[(np.minimum(shifted, 0) <= shift) & (shift <= np.maximum(shifted, 0))]
        if not len(here):
            continue
        starts = here[:, 0] + max(-shift, 0)
        ends = here[:, 0] + np.minimum(here[:, 1] - here[:, 0], here[:, 3] - here[:, 2] - shift)
        places, window, _ = put_together(starts, ends)
        across = places + (here[:, 2] - here[:, 0] + shift)[window]
        agree = original[places] == copy[across]
        agree[places < 0] = False
        borders = np.append(np.flatnonzero(~agree), len(agree))
        length = np.diff(borders) - 1
        first = borders[:-1][length >= SHORTEST_ALONG] + 1
        found.append(np.stack((places[first], across[first], length[length >= SHORTEST_ALONG]), axis=1))
    return np.concatenate(found)


def _runs_inside(original: Letters, copy: Letters, windows: Runs, look: Look) -> Runs:
    """Find the runs that stand once in their window, all windows put one after another."""
    texts, numbers, starts = [], [], []
    most = max(int(original.max()), int(copy.max())) + 3
    for side, text in enumerate((original, copy)):
        places, window, first = put_together(windows[:, 2 * side], windows[:, 2 * side + 1])
        letters = np.full(len(places), side, dtype=np.min_scalar_type(most))  # a border equals nothing
        letters[places >= 0] = text[places[places >= 0]].astype(letters.dtype) + 2
        texts.append(letters)
        numbers.append(window)
        starts.append(first)
    marks = numbers[0].astype(np.uint64), numbers[1].astype(np.uint64)
    runs = runs_between(texts[0], texts[1], look.seed, 1, look.shortest, marks)
    window = numbers[0][runs[:, 0]]
    runs[:, 0] += windows[window, 0] - starts[0][window]
    runs[:, 1] += windows[window, 2] - starts[1][window]
    return runs


def put_together(
    starts: npt.NDArray[np.int64], ends: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.int64], npt.NDArray[np.int64]]:
    """Put stretches of a text one after another, each with a free place before it.

    Returns:
        For each place the place in the text (-1 for a free one) and the number of the stretch; for
        each stretch the place of its first letter.
    """
    sizes = ends - starts + 1
    first = np.cumsum(sizes) - sizes
    window = np.repeat(np.arange(len(starts)), sizes)
    places = np.arange(len(window)) + (starts - first - 1)[window]
    places[first] = -1
    return places, window, first + 1


def windows_between(anchors: Runs, length: int, length_copy: int) -> Runs:
    """Give what lies before, between and after anchors; some may be empty.

    Returns:
        Rows of original start and end, copy start and end; one more than there are anchors.
    """
    windows = np.zeros((len(anchors) + 1, 4), dtype=np.int64)
    windows[1:, 0] = anchors[:, 0] + anchors[:, 2]
    windows[1:, 2] = anchors[:, 1] + anchors[:, 2]
    windows[:-1, 1], windows[-1, 1] = anchors[:, 0], length
    windows[:-1, 3], windows[-1, 3] = anchors[:, 1], length_copy
    return windows


def _chained(runs: Runs, ends: tuple[int, int], doubtful: int) -> Runs:
    """Keep the best chain of runs, less what is doubtful in it."""
    if not len(runs):
        return runs
    first = _stretches(runs)
    last = np.append(first[1:], len(runs))
    kept = _best_chain(runs, first, last)
    first, last = first[kept], last[kept]
    sure = _undoubted(runs, first, last, ends, doubtful)
    chosen = np.zeros(len(runs) + 1, dtype=np.int64)
    chosen[first[sure]] += 1
    chosen[last[sure]] -= 1
    return runs[np.cumsum(chosen[:-1]) > 0]


def _stretches(runs: Runs) -> npt.NDArray[np.int64]:
    """Give the first run of each stretch: neighbours shifted little against each other are one."""
    shift = runs[:, 1] - runs[:, 0]
    apart = np.abs(np.diff(shift)) > NEAR
    ends = runs[:, :2] + runs[:, 2:]
    backward = (runs[1:, :2] < runs[:-1, :2]) | (ends[1:] <= ends[:-1])
    return np.flatnonzero(np.concatenate(([True], apart | backward[:, 0] | backward[:, 1])))


def _best_chain(runs: Runs, first: npt.NDArray[np.int64], last: npt.NDArray[np.int64]) -> list[int]:
    """Choose the stretches whose chain saves most, by the model's own costs of gaps.

    A chain is worth two letters of gap for each letter kept, less the opening of the gaps. A stretch
    is joined to the best of those just before it; where all of them are in the way, to none.
    """
    covered = np.concatenate(([0], np.cumsum(runs[:, 2])))
    worth = (2 * GAP_EXTEND * (covered[last] - covered[first])).tolist()
    starts, starts_copy = runs[first, 0].tolist(), runs[first, 1].tolist()
    ends, ends_copy = runs[last - 1, :2].T + runs[last - 1, 2]
    ends, ends_copy = ends.tolist(), ends_copy.tolist()
    best: list[float] = []
    before: list[int] = []
    for at, (start, start_copy) in enumerate(zip(starts, starts_copy, strict=True)):
        top, top_at = 0.0, -1
        for prior in range(at - 1, max(at - 1 - LOOK_BACK, -1), -1):
            if best[prior] <= top:
                continue
            overlap = max(0, ends[prior] - start, ends_copy[prior] - start_copy)
            if overlap and (ends[prior] >= ends[at] or ends_copy[prior] >= ends_copy[at]):
                continue
            shift = (start_copy - start) - (ends_copy[prior] - ends[prior])
            jump = GAP_OPEN * (2 if abs(shift) > NEAR else abs(shift) / 2)
            total = best[prior] - jump - 2 * GAP_EXTEND * overlap
            if total > top:
                top, top_at = total, prior
        best.append(top + worth[at])
        before.append(top_at)
    chain = []
    at = max(range(len(best)), key=best.__getitem__)
    while at >= 0:
        chain.append(at)
        at = before[at]
    return chain[::-1]


def _undoubted(
    runs: Runs,
    first: npt.NDArray[np.int64],
    last: npt.NDArray[np.int64],
    whole: tuple[int, int],
    doubtful: int,
) -> list[int]:
    """Leave out short stretches between two jumps, where the programme can decide by itself."""
    starts = runs[first, :2].tolist()
    ends = (runs[last - 1, :2] + runs[last - 1, 2:]).tolist()
    kept: list[int] = []
    for at, (start, end) in enumerate(zip(starts, ends, strict=True)):
        before = ends[kept[-1]] if kept else [0, 0]
        after = starts[at + 1] if at + 1 < len(starts) else list(whole)
        jumps = [
            (there[1] - here[1]) - (there[0] - here[0]) for here, there in ((before, start), (end, after))
        ]
        least = min(abs(jump) for jump in jumps)
        there_and_back = (jumps[0] > 0) != (jumps[1] > 0)
        short = min(doubtful, CLEAR * least) if there_and_back else doubtful // 2
        cells = max(after[0] - before[0], 0) * max(after[1] - before[1], 0)
        if least <= NEAR or end[0] - start[0] > short or cells > DOUBTFUL_CELLS:
            kept.append(at)
    return kept


def _trimmed(runs: Runs) -> Runs:
    """Cut where neighbours claim the same letters, and trim what is left at either end.

    Letters that two runs claim are left to the first: wherever the gap between them is set, the
    same letters are kept.
    """
    while True:
        ends = runs[:, :2] + runs[:, 2:]
        past = ends[:-1] - runs[1:, :2]
        overlap = np.maximum(np.maximum(past[:, 0], past[:, 1]), 0)
        cut = np.concatenate(([0], overlap))
        length = runs[:, 2] - cut - TRIM_START - TRIM_END
        if (length > 0).all():
            break
        runs = runs[length > 0]
    cut += TRIM_START
    return np.stack((runs[:, 0] + cut, runs[:, 1] + cut, length), axis=1)
