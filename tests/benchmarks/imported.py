"""How well a stretch taken from another witness is found, and how often one is found that is not there.

Arrives: numbers of simulated texts. Leaves: tables on the terminal and, if asked, a JSON file. Run it from
the project's root as ``python -m tests.benchmarks.imported``; start reading at ``main``.

What is simulated are texts: an archetype (a part of the Völsunga saga), two witnesses of it and the lost
original with errors of their own, and copies of the original with a stretch from one of the witnesses
(``tests/planted_import.py``). From there on everything is the program's own: the alignments, the peculiar
places, the weights learned from what the copyist did in 60,000 letters that survive, the tests, the verdict.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np
from tabulate import tabulate

from fidelity.settings import Settings
from fidelity.sources.direction import Known
from fidelity.sources.facing import face
from fidelity.sources.imported import judged
from fidelity.sources.peculiar import peculiar_places
from fidelity.sources.thirds import Case, Third
from fidelity.terms.imported import Imported, Sharing, Verdict
from fidelity.witnesses.folds import NO_FOLDS
from tests.planted_import import Copyist, PlantedImport, copyist, planted_case, scribe, witness

COPYISTS = 10
SETTINGS = Settings()
AIMS = {
    "false alarms": "at most .05",
    "edges": "at least .80 where four errors or more are shared",
    "ancestor": "at least .90 shared throughout",
    "coincidence": "within a factor of two by decade down to .001",
}
DECADES = ((0.1, 1.0), (0.01, 0.1), (0.001, 0.01))


@cache
def copyist_of(seed: int) -> Copyist:
    """Give one of the copyists."""
    return copyist(seed % COPYISTS)


@dataclass(frozen=True)
class Found:
    """What was found of one simulated text.

    Attributes:
        case: what was planted.
        result: what was found.
        true: indices of the first and last place, of those that count, shared because it was taken from
            the witness; None where there is none.
        inside: how many such places there are.
    """

    case: PlantedImport
    result: Imported
    true: tuple[int, int] | None
    inside: int


def found_in(seed: int, planted: bool, ancestor: bool = False) -> Found:
    """Simulate one text and look into it."""
    by = copyist_of(seed)
    case = planted_case(by, seed, planted, ancestor)
    settings = replace(SETTINGS, seed=seed + 1)
    result = judged("X", case.copy, case.witness, [Third(case.third)], by.survivors, NO_FOLDS, settings)
    if case.stretch is None:
        return Found(case, result, None, 0)
    start, end = (case.starts[at] for at in case.stretch)
    taken = [
        at
        for at, one in enumerate(result.counted)
        if one.own and one.sharing is Sharing.SHARED and start <= one.copy_span[0] < end
    ]
    return Found(case, result, (taken[0], taken[-1]) if taken else None, len(taken))


def edges_hold(one: Found) -> bool:
    """Tell whether both ends of the stretch found are within two shared errors of the true ones."""
    stretch, shared = one.result.stretch, _shared_before(one.result)
    if stretch is None or one.true is None:
        return False
    off = [abs(shared[a] - shared[b]) for a, b in zip((stretch.first, stretch.last), one.true, strict=True)]
    return max(off) <= 2


def _shared_before(result: Imported) -> list[int]:
    """Give for each place that counts how many shared ones stand before it."""
    flags = [one.own and one.sharing is Sharing.SHARED for one in result.counted]
    return [0, *np.cumsum(flags).tolist()][:-1]


def covers(one: Found) -> bool:
    """Tell whether the true ends lie within the limits given."""
    stretch = one.result.stretch
    if stretch is None or one.true is None:
        return False
    first = stretch.earliest <= one.true[0] <= stretch.latest_first
    return first and stretch.earliest_last <= one.true[1] <= stretch.latest


def share_of(some: Sequence[Found], verdict: Verdict) -> str:
    """Give how many of some have a verdict, as printed."""
    hits = sum(one.result.verdict is verdict for one in some)
    return f"{hits}/{len(some)}"


def power(found: Sequence[Found]) -> list[list[str]]:
    """Give the share of planted stretches found, by length of the text and error rate of the witness."""
    lengths, rates = (
        ((0, 15_000), (15_000, 30_000), (30_000, 50_001)),
        ((0, 0.003), (0.003, 0.006), (0.006, 1)),
    )
    rows = []
    for low, high in lengths:
        row = [f"{low:,}-{high:,} letters"]
        for least, most in rates:
            some = [one for one in found if low <= one.case.letters < high and least <= one.case.rate < most]
            row.append(share_of(some, Verdict.IMPORTED))
        rows.append(row)
    return rows


def calibration(copies: int) -> list[dict[str, float]]:
    """Hold the probability of a coincidence against two copyists who know nothing of each other.

    A witness errs often in 20,000 letters; the copyist copies the same, right, text again and again.
    """
    said: dict[tuple[float, float], list[float]] = {decade: [] for decade in DECADES}
    seen: dict[tuple[float, float], list[bool]] = {decade: [] for decade in DECADES}
    from tests.planted_import import archetype

    for seed in range(COPYISTS):
        by, rng = copyist_of(seed), np.random.default_rng([seed, 3])
        text = archetype()[by.rest : by.rest + 4_500]
        right = witness("W", text)
        erring = witness("K", scribe(0.02, rng).copies(text, rng))
        for _ in range(copies):
            copy = witness("X", by.scribe.copies(text, rng))
            thirds = (Third(right, is_original=True),)
            case = Case("X", copy, erring, thirds, by.survivors.chances, Known(), NO_FOLDS)
            for one in peculiar_places(case, face(erring, copy, NO_FOLDS)):
                for decade in DECADES:
                    if one.measured and one.proved and decade[0] <= one.coincidence < decade[1]:
                        said[decade].append(one.coincidence)
                        seen[decade].append(one.sharing is Sharing.SHARED)
    return [
        {
            "from": decade[0],
            "places": len(said[decade]),
            "said": float(np.mean(said[decade])) if said[decade] else float("nan"),
            "seen": float(np.mean(seen[decade])) if seen[decade] else float("nan"),
        }
        for decade in DECADES
    ]


def main() -> None:
    """Measure, print, write."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--texts", type=int, default=200)
    parser.add_argument("--copies", type=int, default=20)
    parser.add_argument("--first-seed", type=int, default=0)
    parser.add_argument("--only", choices=("planted", "none", "ancestor", "coincidence"))
    parser.add_argument("--out", type=Path)
    given = parser.parse_args()
    facts: dict[str, object] = {}
    seeds = range(given.first_seed, given.first_seed + given.texts)
    begun = time.perf_counter()
    if given.only in (None, "none"):
        none = [found_in(seed, planted=False) for seed in seeds]
        facts["none"] = {str(verdict): share_of(none, verdict) for verdict in Verdict}
        print("Nothing planted:", facts["none"], f"aim: {AIMS['false alarms']}")
    if given.only in (None, "planted"):
        facts["planted"] = _told([found_in(seed, planted=True) for seed in seeds])
    if given.only in (None, "ancestor"):
        some = [found_in(seed, planted=False, ancestor=True) for seed in seeds]
        facts["ancestor"] = {str(verdict): share_of(some, verdict) for verdict in Verdict}
        print("A common ancestor:", facts["ancestor"], f"aim: {AIMS['ancestor']}")
    if given.only in (None, "coincidence"):
        rows = calibration(given.copies)
        facts["coincidence"] = rows
        print(tabulate(rows, headers="keys"), f"\naim: {AIMS['coincidence']}")
    print(f"{time.perf_counter() - begun:.0f} s")
    if given.out:
        given.out.write_text(json.dumps(facts, indent=1), encoding="utf-8")


def _told(planted: Sequence[Found]) -> dict[str, object]:
    """Print and give what was found of planted stretches."""
    verdicts = {str(verdict): share_of(planted, verdict) for verdict in Verdict}
    rich = [one for one in planted if one.inside >= 4]
    sure = [one for one in rich if one.result.verdict is Verdict.IMPORTED]
    told: dict[str, object] = {
        "verdicts": verdicts,
        "four shared or more": share_of(rich, Verdict.IMPORTED),
        "edges, four shared or more": f"{sum(map(edges_hold, rich))}/{len(rich)}",
        "edges of those found": f"{sum(map(edges_hold, sure))}/{len(sure)}",
        "true edges within limits, of those found": f"{sum(map(covers, sure))}/{len(sure)}",
    }
    print("A stretch planted:", told, f"aim: {AIMS['edges']}")
    table = power(planted)
    print(tabulate(table, headers=["found", "to .003", "to .006", "to .010"]))
    return told | {"power": table}


if __name__ == "__main__":
    main()
