"""What a copyist's own marks are worth: gaps filled, and what queries and vouchings add to the readings.

Arrives: the number of copyists. Leaves: tables on the terminal. Run it from the project's root as ``python -m
tests.benchmarks.his_marks``; start reading at ``main``.

The copyists are those of ``plain_copies.py``: three texts of 10,000 letters whose originals survive, one
of 30,000 taken for lost, and the rest of the saga for reference. Each queries four in ten of his wrong words,
one in a hundred of the right ones, and could not read all of one word in ninety (``planted_flags.py``). The
dossier is audited with his marks declared, and again without the signs on words. Copyists 1-20 are for
measuring; what is tuned is tuned on others.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path

import numpy as np
from rapidfuzz.distance import Levenshtein
from tabulate import tabulate

from fidelity.audit import audit
from fidelity.confusions.intervals import clustered
from fidelity.copyist.tagging import word_spans
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.letters import encode
from fidelity.settings import Settings
from fidelity.terms import GAP, ProposedReading, Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted_flags import SIGNS, FlaggedCopy, flagged_copy
from tests.planted_plain import COPY_LINE, COPY_PAGE_LINES, LINE, PAGE_LINES, laid_out, plain_copies

SEEDS = (1, 20)  # of the copyists that the figures are of
LEVELS = (0.5, 0.9)
_WAYS = (("with signs", True), ("without", False))
BANDS = (0.2, 0.5, 0.7, 0.9, 1.01)


@dataclass
class Found:
    """What was found of one copyist.

    Attributes:
        seed: of the copyist.
        gaps: words of the lost text with gaps.
        filled: for each reading proposed for one what was said, and whether it was right.
        readings: with and without signs on words: what was said of each other proposal, whether it was right
            and whether it restored a whole word.
        wrong: wrong words of the lost text.
    """

    seed: int
    gaps: int = 0
    filled: list[tuple[float, bool]] = field(default_factory=list)
    readings: dict[bool, list[tuple[float, bool, bool]]] = field(default_factory=dict)
    wrong: int = 0


def measure(seed: int) -> Found:
    """Let one copyist be judged with and without the signs on words."""
    case, rng = plain_copies(seed), np.random.default_rng([seed, 3])
    survivors = [(one.original, flagged_copy(one, rng)) for one in case.survivors]
    lost = flagged_copy(case.lost, rng)
    found = Found(seed, len(lost.gaps))
    for signs in (True, False):
        copies = [_copy(copy, f"S{at}", signs) for at, (_, copy) in enumerate(survivors, start=1)]
        pairs = tuple(
            Survivor(
                copy.siglum, read_witness(laid_out(original, LINE, PAGE_LINES), siglum=copy.siglum), copy
            )
            for (original, _), copy in zip(survivors, copies, strict=True)
        )
        reference = read_witness(laid_out(case.reference, LINE, PAGE_LINES), siglum="R")
        copy = _copy(lost, "L", signs)
        texts = (LostText("L", copy),)
        audited = audit(Dossier(Path(), "he", "", NO_FOLDS, pairs, texts, (), (reference,), Settings()))
        proposed = [one for one in audited.readings if one.is_proposal]
        found.readings[signs] = list(_judged([one for one in proposed if one.kind != GAP], copy, lost))
        if signs:
            filled = [one for one in proposed if one.kind == GAP]
            found.filled = [(p, right) for p, right, _ in _judged(filled, copy, lost)]
        words = copy.letters.split()
        pairs_of_words = enumerate(zip(words, lost.originals, strict=True))
        found.wrong = sum(at not in lost.gaps and word != meant for at, (word, meant) in pairs_of_words)
    return found


def _copy(copy: FlaggedCopy, siglum: str, signs: bool) -> Witness:
    text = laid_out(copy.marked if signs else copy.unmarked, COPY_LINE, COPY_PAGE_LINES)
    return read_witness(text, siglum=siglum, his_marks=SIGNS)


def _judged(
    readings: Sequence[ProposedReading], copy: Witness, truth: FlaggedCopy
) -> Iterator[tuple[float, bool, bool]]:
    """Say of each proposal what was said, whether it is right, and whether it restores a whole word."""
    spans = word_spans(copy.letters)
    for one in readings:
        start, end = one.copy_span
        touched = [at for at, (a, b) in enumerate(spans) if a < max(end, start + 1) and start < b]
        if not touched:
            continue
        first, last = spans[touched[0]][0], spans[touched[-1]][1]
        transmitted = copy.letters[first:last]
        edited = copy.letters[first:start] + encode(one.proposed) + copy.letters[end:last]
        meant = " ".join(word for at in touched for word in truth.originals[at].split())
        if one.single:
            size = Levenshtein.distance(one.transmitted, one.proposed)
            gain = Levenshtein.distance(transmitted, meant) - Levenshtein.distance(edited, meant)
            yield one.probability, gain == size, False
        else:
            yield one.probability, edited == meant, edited == meant


def gap_rows(found: Sequence[Found]) -> Iterator[list[object]]:
    """Give how the gaps were filled at each level."""
    gaps = sum(one.gaps for one in found)
    for level in LEVELS:
        some = {str(one.seed): [right for p, right in one.filled if p >= level] for one in found}
        yield [f"gaps filled at {level}", *_share(some), gaps]


def band_rows(found: Sequence[Found]) -> Iterator[list[object]]:
    """Set what was said of a word in a gap beside what was found."""
    every = [one for each in found for one in each.filled]
    for low, high in pairwise(BANDS):
        some = [(p, right) for p, right in every if low <= p < high]
        if some:
            said, right = (sum(one[at] for one in some) for at in (0, 1))
            yield [f"{low}-{min(high, 1.0)}", len(some), said / len(some), right / len(some)]


def reading_rows(found: Sequence[Found]) -> Iterator[list[object]]:
    """Give how the other proposals fared with the signs on words, and without them."""
    wrong = sum(one.wrong for one in found)
    for level in LEVELS:
        for signs in (True, False):
            some = {
                str(one.seed): [right for p, right, _ in one.readings[signs] if p >= level] for one in found
            }
            whole = sum(is_whole for one in found for p, _, is_whole in one.readings[signs] if p >= level)
            name = f"{'with' if signs else 'without'} queries and vouchings, at {level}"
            yield [name, *_share(some), whole, wrong, whole / max(wrong, 1)]


def _share(right: dict[str, list[bool]]) -> list[object]:
    """Give how many were right, of how many, and the share with limits that allow for copyists who differ."""
    count = Counter({name: sum(some) for name, some in right.items() if some})
    total = {name: len(some) for name, some in right.items() if some}
    if not total:
        return [0, 0, None, None, None]
    low, high, _ = clustered(count, total)
    return [count.total(), sum(total.values()), count.total() / sum(total.values()), low, high]


def in_short(one: Found) -> str:
    """Say how many were right of how many at 0.5 and 0.9: in gaps, with the signs on words, without them."""
    some = [("gaps", one.filled)]
    some += [(name, [(p, right) for p, right, _ in one.readings[signs]]) for name, signs in _WAYS]
    told = []
    for name, made in some:
        counts = [[right for p, right in made if p >= level] for level in LEVELS]
        told.append(f"{name} " + ", ".join(f"{sum(right)}/{len(right)}" for right in counts))
    return "; ".join(told)


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument(
        "--seeds", type=int, nargs=2, default=SEEDS, metavar=("FROM", "TO"), help="of the copyists"
    )
    parser.add_argument("--jobs", type=int, choices=(1, 2), default=1, help="copyists judged at a time")
    options = parser.parse_args()
    first, last = options.seeds
    found = []
    with ProcessPoolExecutor(options.jobs, get_context("spawn")) as pool:
        for one in pool.map(measure, range(first, last + 1)):
            found.append(one)
            show(f"{one.seed}: {one.gaps} gaps, {one.wrong} wrong words; {in_short(one)}")
    share = ("right", "of", "share", "from", "to")
    show("\n" + tabulate(gap_rows(found), headers=("", *share, "gaps"), floatfmt=".3f"))
    show(
        "\n" + tabulate(band_rows(found), headers=("said", "proposals", "mean said", "right"), floatfmt=".3f")
    )
    headers = ("", *share, "words restored", "wrong words", "restored")
    show("\n" + tabulate(reading_rows(found), headers=headers, floatfmt=".3f"))


if __name__ == "__main__":
    main()
