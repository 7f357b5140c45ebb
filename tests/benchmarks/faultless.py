"""What is proposed where there is nothing to restore: lost texts copied without any error.

Arrives: the number of copyists. Leaves: tables on the terminal and, if asked, a JSON file. Run it from the
project's root as ``python -m tests.benchmarks.faultless``; start reading at ``main``.

Each copyist has three survivors of 3,000 to 30,000 letters together and a lost text of 5,000 to 30,000, cut
out of the saga (``tests/planted_plain.py``) from a place drawn at random; every other one has the rest of the
saga for reference, and every other pair of them a dossier that names a script, so that confusions in print
are tried. Two sorts of copyist: one makes no errors at all, and then at most one proposal at 0.5 or more is
allowed in 20,000 letters of lost text, over all; the other errs in his survivors as careful copyists do, but
made none in the lost text. The latter is harder, and reported without a limit: what is proposed there cannot
but be wrong, yet nobody could know it.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np
from tabulate import tabulate

from fidelity.audit import audit
from fidelity.dossier import Dossier
from tests.benchmarks.plain_copies import dossier_of
from tests.benchmarks.scoring import LEVELS, SETTLED
from tests.planted_plain import REFERENCE_LETTERS, SURVIVORS, PlainCase, copied, plain_copyist, stretches

COPYISTS = 50
SURVIVOR_LETTERS, LOST_LETTERS = (3_000, 30_000), (5_000, 30_000)  # of all survivors; of the lost text
LETTERS_A_PROPOSAL = 20_000  # at most one at 0.5 in so many
SORTS = ("faultless", "faultless here")  # in all his copies; in the lost text alone
SCRIPT = "insular"  # whose letters are confused, says print, is what counts here; the saga's own is near it
SHOWN = 20  # proposals that are shown


@dataclass(frozen=True)
class Idle:
    """What was proposed for one text in which nothing is wrong.

    Attributes:
        seed: of the copyist.
        sort: one of ``SORTS``.
        survivors, lost: letters.
        mode: "none" or "text": whether there was a reference text.
        script: that the dossier names; "" for none.
        survivor_errors: errors he made in the survivors.
        said: probability of each proposal.
        proposals: those at 0.5 or more, as transmitted and as proposed.
    """

    seed: int
    sort: str
    survivors: int
    lost: int
    mode: str
    script: str
    survivor_errors: int
    said: tuple[float, ...]
    proposals: tuple[tuple[str, str, float], ...]

    def at(self, level: float) -> int:
        """Count the proposals of at least this probability."""
        return sum(said >= level for said in self.said)


def faultless_case(seed: int, sort: str) -> PlainCase:
    """Let a copyist copy a text without error; sizes are drawn, evenly on the scale of logarithms."""
    rng = np.random.default_rng([seed, 7])
    survivors, lost = (int(np.exp(rng.uniform(*np.log(ends)))) for ends in (SURVIVOR_LETTERS, LOST_LETTERS))
    sizes = [survivors // SURVIVORS] * SURVIVORS
    *texts, lost_words, reference = stretches(rng, [*sizes, lost, REFERENCE_LETTERS])
    erring = plain_copyist(seed)
    perfect = replace(erring, rate=0.0)
    his = perfect if sort == SORTS[0] else erring
    return PlainCase(
        erring,
        tuple(copied(words, his, rng) for words in texts),
        copied(lost_words, perfect, rng),
        " ".join(reference),
    )


def measure(seed: int, sort: str) -> Idle:
    """Let one copyist be judged, and note what is proposed."""
    case, mode = faultless_case(seed, sort), "text" if seed % 2 else "none"
    script = SCRIPT if seed // 2 % 2 else ""
    if case.lost.copy != case.lost.original:
        raise AssertionError("an error was planted where none was to be")
    readings = audit(with_script(dossier_of(case, mode), script)).readings
    return Idle(
        seed=seed,
        sort=sort,
        survivors=sum(len(one.copy) for one in case.survivors),
        lost=len(case.lost.copy),
        mode=mode,
        script=script,
        survivor_errors=sum(len(one.edits) for one in case.survivors),
        said=tuple(one.probability for one in readings),
        proposals=tuple(
            (one.transmitted, one.proposed, one.probability) for one in readings if one.probability >= SETTLED
        ),
    )


def with_script(dossier: Dossier, script: str) -> Dossier:
    """Name the script of all originals, the lost one's with its copy."""
    survivors = tuple(
        replace(one, original=replace(one.original, script=script)) for one in dossier.survivors
    )
    lost = tuple(replace(one, copy=replace(one.copy, script=script)) for one in dossier.lost)
    return replace(dossier, survivors=survivors, lost=lost)


def measured(tasks: Sequence[tuple[int, str]], jobs: int) -> Iterator[Idle]:
    """Judge so many copyists at a time; gives them in order."""
    with ProcessPoolExecutor(jobs, get_context("spawn")) as pool:
        yield from pool.map(measure, *zip(*tasks, strict=True))


def row(name: str, some: Sequence[Idle]) -> list[Any]:
    """Give the figures of some texts together."""
    letters = sum(one.lost for one in some)
    at = [sum(one.at(level) for one in some) for level in LEVELS]
    errors = sum(one.survivor_errors for one in some)
    return [name, len(some), errors, letters, *at, at[0] * LETTERS_A_PROPOSAL / max(letters, 1)]


def verdict(some: Sequence[Idle]) -> str:
    """Set what is proposed for copyists without any error beside the limit."""
    letters, proposals = sum(one.lost for one in some), sum(one.at(SETTLED) for one in some)
    is_met = proposals * LETTERS_A_PROPOSAL <= letters
    return (
        f"proposals at {SETTLED} of copyists who make no errors: {proposals} in {letters:,} letters; must be "
        f"at most one in {LETTERS_A_PROPOSAL:,}: {'met' if is_met else 'NOT met'}"
    )


def show_tables(found: Sequence[Idle], sort: str, show: Callable[[str], None]) -> None:
    """Print the figures of one sort of copyist."""
    small = (SURVIVOR_LETTERS[0] * SURVIVOR_LETTERS[1]) ** 0.5
    parts = {
        "no reference text": [one for one in found if one.mode == "none"],
        "reference text": [one for one in found if one.mode == "text"],
        f"survivors below {small:,.0f}": [one for one in found if one.survivors < small],
        "larger survivors": [one for one in found if one.survivors >= small],
        "no script named": [one for one in found if not one.script],
        "a script named": [one for one in found if one.script],
        "all": list(found),
    }
    headers = (
        "", "texts", "errors in survivors", "lost letters", *(f"at {level}" for level in LEVELS),
        f"at {SETTLED} in {LETTERS_A_PROPOSAL:,}",
    )  # fmt: skip
    rows = [row(name, some) for name, some in parts.items()]
    show(f"\n{sort}\n" + tabulate(rows, headers=headers, floatfmt=".3f"))
    wrong = sorted((p, before, after, one.seed) for one in found for before, after, p in one.proposals)[::-1]
    if wrong:
        named = ("said", "transmitted", "proposed", "copyist")
        show(f"\nmost believed of {len(wrong)}\n" + tabulate(wrong[:SHOWN], headers=named, floatfmt=".3f"))


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures beside the limit."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--copyists", type=int, default=COPYISTS, help="of each sort")
    parser.add_argument("--seed", type=int, default=1, help="of the first; the others' follow")
    parser.add_argument("--sort", choices=[*SORTS, "both"], default="both", help="where he makes no errors")
    parser.add_argument("--jobs", type=int, default=1, help="copyists judged at a time")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    sorts = list(SORTS) if options.sort == "both" else [options.sort]
    seeds = range(options.seed, options.seed + options.copyists)
    found = []
    for one in measured([(seed, sort) for sort in sorts for seed in seeds], options.jobs):
        found.append(one)
        show(f"{one.sort}, {one.seed}: {one.at(SETTLED)} proposals at {SETTLED} in {one.lost:,} letters")
    for sort in sorts:
        show_tables([one for one in found if one.sort == sort], sort, show)
    if SORTS[0] in sorts:
        show(verdict([one for one in found if one.sort == SORTS[0]]))
    if options.json:
        figures = [asdict(one) for one in found]
        options.json.write_text(json.dumps(figures, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
