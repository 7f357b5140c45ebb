"""How far forecasts, intervals and tests of drift hold: 200 simulated copyists of each kind.

Arrives: the number of copyists. Leaves: a table on the terminal and, if asked, a JSON file. Run it from
the project's root as ``python -m tests.benchmarks.simulated_copyists``; start reading at ``main``.

False alarms and power go through the whole chain (reading, aligning, judging, counting, testing) on copies
of the Völsunga saga, and so does one measurement of coverage; the others start from drawn tallies, so that
texts can be made to differ as well.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from tabulate import tabulate

import fidelity
from fidelity.confusions.intervals import clustered
from fidelity.confusions.scores import Tally
from fidelity.dossier import Dossier, Survivor
from fidelity.judge import Audit, judge
from fidelity.settings import Settings
from fidelity.terms import Forecast, Witness
from fidelity.trial.forecast import forecast
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted import plant, saga_lines

COPYISTS = 200
PAGE_LINES = 17  # of about 60 letters: a page of about 1,000
PAGES = 40
SLIPS = 0.01  # of letters
AIMS = {
    "drift": "at most 17 of 200 where there is none",
    "systematic": "at most 17 of 200 where there are only slips",
    "held80": "0.76-0.86 (binomial: less)",
    "rate95": "at least 0.92",
}


def slipping(seed: int, by_frequency: bool, last_to_first: float = 1.0, page_factor: float = 1.0) -> Audit:
    """Let a copyist slip through 40 pages of the saga, and judge him by the whole chain.

    Args:
        seed: of the random draws, and where in the saga he begins.
        by_frequency: whether letters slip into others as these are frequent, or into all alike.
        last_to_first: how many times the rate of the first page the last one has.
        page_factor: how many times the rate of a good page a bad one has; half of them are bad.
    """
    rng = np.random.default_rng(seed)
    lines = list(saga_lines())
    start = int(rng.integers(0, len(lines) - PAGES * PAGE_LINES))
    lines = lines[start : start + PAGES * PAGE_LINES]
    factors = np.linspace(1.0, last_to_first, PAGES)
    factors *= rng.choice([2 / (1 + page_factor), 2 * page_factor / (1 + page_factor)], PAGES)
    text = np.array(list("\n".join(lines)))
    letters, counts = np.unique(text[~np.isin(text, [" ", "\n"])], return_counts=True)
    shares = counts / counts.sum() if by_frequency else np.full(len(letters), 1 / len(letters))
    page = (np.cumsum(text == "\n") // PAGE_LINES).clip(max=PAGES - 1)
    rates = SLIPS * factors[page] / factors.mean()
    hit = (rng.random(len(text)) < rates) & ~np.isin(text, [" ", "\n"])
    written = text.copy()
    written[hit] = rng.choice(letters, int(hit.sum()), p=shares)  # now and then the right letter: no slip
    return fidelity.compare(_paged(lines), "".join(written.tolist()))


def shows_drift(found: Audit) -> bool:
    """Tell whether any test of drift says that he changed."""
    return any(one.found for one in found.course.drifts)


def alarms(copyists: int, by_frequency: bool, page_factor: float = 1.0) -> dict[str, float]:
    """Count the copyists with nothing but slips who show drift, or a systematic confusion."""
    found = [slipping(seed, by_frequency, page_factor=page_factor) for seed in range(copyists)]
    return {
        "drift": sum(map(shows_drift, found)),
        "systematic": sum(any(one.systematic for one in each.confusions) for each in found),
    }


def tiring(copyists: int, page_factor: float = 1.0) -> dict[str, float]:
    """Count the copyists found to tire whose rate doubles from the first page to the last."""
    return {
        "drift": sum(shows_drift(slipping(1000 + seed, False, 2.0, page_factor)) for seed in range(copyists))
    }


def coverage_by_chain(copyists: int, page_factor: float = 2.0) -> dict[str, float]:
    """Give how often the fourth of four surviving texts is forecast right, and how often its rate is held.

    Each text has 12 pages of the saga, half of the pages, drawn at random, with ``page_factor`` times the
    rate of the others; the texts are read, aligned and judged as any.
    """
    held = {"held80": 0, "held95": 0, "binomial80": 0, "rate95": 0}
    size = 12 * PAGE_LINES
    for seed in range(copyists):
        at = np.random.default_rng(seed).integers(0, len(saga_lines()) - 4 * size)
        lines = saga_lines()[at : at + 4 * size]
        original, copy, _ = plant(lines, {}, SLIPS, seed, PAGE_LINES, page_factor)
        survivors = []
        for number in range(4):
            part = slice(number * size, (number + 1) * size)
            first = read_witness(_paged(original[part]), siglum=str(number))
            survivors.append(
                Survivor(str(number), first, read_witness("\n".join(copy[part]), siglum=str(number)))
            )
        found = judge(Dossier(Path(), "", "", NO_FOLDS, tuple(survivors), (), (), (), Settings()))
        _note(held, next(one for one in reversed(found.outlook.checks) if one.measure == "letters"))
        score = next(one for one in found.scores if (one.text, one.measure) == ("all", "letters"))
        held["rate95"] += score.low <= SLIPS <= score.high
    return {name: count / copyists for name, count in held.items()}


def _paged(lines: Sequence[str]) -> str:
    """Put page marks between the lines of an original."""
    return "\n".join(
        line if number % PAGE_LINES else f"[p. {number // PAGE_LINES + 1}]\n{line}"
        for number, line in enumerate(lines)
    )


def _note(held: dict[str, int], one: Forecast) -> None:
    """Note whether what came about lies within the limits of a forecast."""
    if one.actual is None or one.limits is None:
        raise AssertionError("every simulated text has pages enough")
    held["held80"] += one.limits.low80 <= one.actual <= one.limits.high80
    held["held95"] += one.limits.low95 <= one.actual <= one.limits.high95
    held["binomial80"] += one.binomial.low80 <= one.actual <= one.binomial.high80


def page_tallies(rng: np.random.Generator, texts: int, text_spread: float) -> tuple[list[Tally], float]:
    """Draw the pages of so many texts of one copyist, and give his rate.

    Texts have 10-30 pages of about 1,500 letters; half of the pages, drawn at random, have a rate two to
    three times that of the others; the log-odds of whole texts have the standard deviation ``text_spread``.
    """
    rate, factor = float(np.exp(rng.uniform(np.log(0.002), np.log(0.02)))), float(rng.uniform(2.0, 3.0))
    found = []
    for number in range(texts):
        pages = int(rng.integers(10, 31))
        chances = rng.integers(1_000, 2_001, pages)
        of_page = rng.choice([2 / (1 + factor), 2 * factor / (1 + factor)], pages)
        of_text = np.exp(rng.normal(0, text_spread) - text_spread**2 / 2)
        errors = rng.binomial(chances, rate * of_text * of_page)
        names = [f"{number} {page}" for page in range(pages)]
        found.append(Tally(str(number), "letters", _counts(names, errors), _counts(names, chances)))
    return found, rate


def _counts(names: Sequence[str], counts: NDArray[np.int64]) -> dict[str, int]:
    return dict(zip(names, counts.tolist(), strict=True))


def coverage(copyists: int, survivors: int, text_spread: float) -> dict[str, float]:
    """Give how often the number of errors of a further text lies within the forecast made of it.

    The further text is one more survivor; it is predicted from the others, as the table of survivors
    left out does.
    """
    held = {"held80": 0, "held95": 0, "binomial80": 0, "rate95": 0}
    for seed in range(copyists):
        rng = np.random.default_rng([survivors, seed])
        texts, rate = page_tallies(rng, survivors + 1, text_spread)
        _note(held, _of_last(texts))
        errors = {page: count for one in texts for page, count in one.errors.items()}
        chances = {page: count for one in texts for page, count in one.chances.items()}
        low, high, _ = clustered(errors, chances)
        held["rate95"] += low <= rate <= high
    return {name: count / copyists for name, count in held.items()}


def _of_last(texts: Sequence[Tally]) -> Forecast:
    """Predict the last of some texts from the others."""
    lost: dict[str, Witness] = {}
    return forecast(texts, (), lost, NO_FOLDS, Settings()).checks[-1]


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures beside the aims."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--copyists", type=int, default=COPYISTS, help="how many of each kind")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    number = options.copyists
    runs: dict[str, Callable[[], dict[str, float]]] = {
        "slips, all letters alike": lambda: alarms(number, False),
        "slips, by frequency of letters": lambda: alarms(number, True),
        "slips, bad pages twice the good": lambda: alarms(number, False, 2.0),
        "tires: rate doubles in 40 pages": lambda: tiring(number),
        "tires, bad pages twice the good": lambda: tiring(number, 2.0),
    }
    runs["4 texts by the whole chain, bad pages 2x"] = lambda: coverage_by_chain(number)
    for survivors in (3, 6):
        for spread in (0.0, 0.2, 0.35):
            name = f"{survivors} survivors, texts " + ("alike" if not spread else f"differ, s.d. {spread}")
            runs[name] = lambda survivors=survivors, spread=spread: coverage(number, survivors, spread)  # type: ignore[misc]
    figures = {}
    for name, run in runs.items():
        figures[name] = run()
        show(f"{name}: {figures[name]}")
    columns = ["drift", "systematic", "held80", "held95", "binomial80", "rate95"]
    rows = [[name, *(found.get(column) for column in columns)] for name, found in figures.items()]
    show(tabulate(rows, headers=["", *columns], floatfmt=".3f", missingval="-"))
    show("\n".join(f"aim: {column} {aim}" for column, aim in AIMS.items()))
    if options.json:
        report = {"copyists": number, "aims": AIMS, "figures": figures}
        options.json.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
