"""How far rates by circumstance hold: simulated copyists whose confusions depend on something, or on nothing.

Arrives: the number of copyists. Leaves: a table on the terminal and, if asked, a JSON file. Run it from
the project's root as ``python -m tests.benchmarks.simulated_circumstances``; start reading at ``main``.

Four texts of ten pages of the Völsunga saga each go through the whole chain: reading, aligning, judging,
counting, and the rates by circumstance. Half of each text is in another script, every fourth line in
another language. What each rate should be is computed here from what was planted, letter by letter.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from tabulate import tabulate

from fidelity.confusions.intervals import jeffreys
from fidelity.dossier import Dossier, Passage, Survivor
from fidelity.judge import judge, told_in_full
from fidelity.settings import Settings
from fidelity.terms import Circumstance, CircumstanceRate, Habit, Tendency
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted import SLIP_RATE, Pair, random_habits, saga_lines

COPYISTS = 100
TEXTS, PAGES, PAGE_LINES = 4, 10, 17  # lines of about 60 letters: a page of about 1,000
SIZE = PAGES * PAGE_LINES
TIMES = 3.0  # by so much a planted circumstance raises a confusion's rate
DEPENDENT = 2  # of the five confusions planted in a copyist, so many depend on a circumstance
LEAST_SHARE = 0.08  # of a letter's places that are under the circumstance, and as many that are not
CLASSES = {"few": (0, 20), "some": (20, 200), "many": (200, 10**9)}  # of chances, half-open
SCRIPTS, LANGUAGES = ("insular", "caroline"), ("non", "la")
BY_PAGE = (Circumstance.SCRIPT, Circumstance.LANGUAGE, Circumstance.TEXT)
AIMS = {
    "alarms": "at most 0.05 where nothing depends on anything",
    "coverage": "at least 0.92, in each class of chances at least 0.88",
}

Letters = NDArray[np.str_]
Rates = NDArray[np.float64]


@dataclass(frozen=True)
class Exemplar:
    """Four originals as one string of letters, and what stands around each letter.

    Attributes:
        lines: of all texts together.
        letters: the lines, joined by line ends.
        around: circumstance -> its value at each letter.
        page: number of the page of each letter, all texts counted together.
    """

    lines: tuple[str, ...]
    letters: Letters
    around: dict[Circumstance, Letters]
    page: NDArray[np.int64]


def exemplar(seed: int) -> Exemplar:
    """Take so many lines of the saga, and note what stands around each letter."""
    first = int(np.random.default_rng(seed).integers(0, len(saga_lines()) - TEXTS * SIZE))
    lines = saga_lines()[first : first + TEXTS * SIZE]
    words, places = [""], ["inside"]
    for word in " ".join(lines).split(" "):
        words += [word] * len(word) + [""]
        ends = ["first", *["inside"] * (len(word) - 2), "last"]
        places += [*(ends if len(word) > 1 else ["alone"]), "inside"]
    letters = np.array(list(" ".join(lines)))
    line = np.repeat(np.arange(len(lines)), [len(one) + 1 for one in lines])[: len(letters)]
    around = {
        Circumstance.PLACE: np.array(places[1:-1]),
        Circumstance.BEFORE: np.concatenate([[" "], letters[:-1]]),
        Circumstance.AFTER: np.concatenate([letters[1:], [" "]]),
        Circumstance.WORD: np.array(words[1:-1]),
        Circumstance.SCRIPT: np.array(SCRIPTS)[(line % SIZE) // (SIZE // 2)],
        Circumstance.LANGUAGE: np.array(LANGUAGES)[(line % 4 == 3).astype(int)],
        Circumstance.TEXT: np.array([str(number) for number in range(TEXTS)])[line // SIZE],
    }
    return Exemplar(lines, letters, around, line // PAGE_LINES)


@dataclass
class Copyist:
    """One simulated copyist.

    Attributes:
        exemplar: what he had before him.
        rates: confusion -> its rate at each letter, were all pages alike.
        planted: confusion -> the circumstance and value under which it happens more often.
        habits: what was found.
    """

    exemplar: Exemplar
    rates: dict[Pair, Rates]
    planted: dict[Pair, tuple[Circumstance, str]] = field(default_factory=dict)
    habits: tuple[Habit, ...] = ()

    def true_rate(self, told: CircumstanceRate) -> float:
        """Give the rate that one of those told of a habit should have."""
        here = self.exemplar.letters == told.original
        whole = any(kind in BY_PAGE for kind, _ in self.planted.values()) and told.circumstance not in BY_PAGE
        if not whole:  # in which script a rare word happens to stand is chance, as is on which pages
            here = here & (self.exemplar.around[told.circumstance] == told.value)
        return float(self.rates[told.original, told.copy][here].mean())


def copyist(seed: int, dependence: Circumstance | None, page_factor: float = 1.0) -> Copyist:
    """Let a copyist with five habits copy, and tell his habits in full.

    Args:
        seed: of the random draws, and where in the saga he begins.
        dependence: what two of his habits depend on: the place (only last letters), the letter after
            or the script (three times as often under one value).
        page_factor: how many times the rate of a good page a bad one has; half of them are bad.
    """
    made, rng = exemplar(seed), np.random.default_rng([7, seed])
    found = Copyist(made, {})
    habits = random_habits(made.lines, seed)
    slip = SLIP_RATE / (len(set(made.letters.tolist())) - 2)
    for pair, rate in sorted(habits.items(), key=lambda one: -one[1]):
        found.rates[pair] = np.full(len(made.letters), rate)
        value = _value(made, pair[0], dependence, rng)
        if dependence and value and len(found.planted) < DEPENDENT:
            more = made.around[dependence] == value
            low = 0.0 if dependence is Circumstance.PLACE else rate
            found.rates[pair] = np.where(more, TIMES * rate, low)
            found.planted[pair] = dependence, value
    factors = rng.choice([2 / (1 + page_factor), 2 * page_factor / (1 + page_factor)], TEXTS * PAGES)
    written = _written(found, factors[made.page], rng)
    for rates in found.rates.values():
        rates += slip
    found.habits = _told(made.lines, "".join(written.tolist()))
    return found


def _value(made: Exemplar, letter: str, dependence: Circumstance | None, rng: np.random.Generator) -> str:
    """Choose a value that is neither rare nor the rule among the places of a letter; "" if there is none."""
    if dependence is None:
        return ""
    values = Counter(made.around[dependence][made.letters == letter].tolist())
    del values[" "]
    total = values.total()
    if dependence is Circumstance.PLACE:
        return "last" if values["last"] >= LEAST_SHARE * total else ""
    fit = sorted(value for value, count in values.items() if LEAST_SHARE <= count / total <= 1 - LEAST_SHARE)
    return str(rng.choice(fit)) if fit else ""


def _written(made: Copyist, factors: Rates, rng: np.random.Generator) -> Letters:
    """Copy letter for letter, with habits and chance slips."""
    letters = made.exemplar.letters
    copy = letters.copy()
    drawn = rng.random(len(letters)) / factors
    done = np.zeros(len(letters))
    for (letter, other), rates in made.rates.items():
        here = letters == letter
        copy[here & (drawn >= done) & (drawn < done + rates)] = other
        done += np.where(here, rates, 0.0)
    alphabet = np.unique(letters[letters != " "])
    slips = np.flatnonzero((letters != " ") & (drawn >= done) & (drawn < done + SLIP_RATE))
    steps = rng.integers(1, len(alphabet), len(slips))  # round the alphabet: any letter but the right one
    copy[slips] = alphabet[(np.searchsorted(alphabet, letters[slips]) + steps) % len(alphabet)]
    return copy


def _told(lines: Sequence[str], copy: str) -> tuple[Habit, ...]:
    """Send originals and copies through the whole chain."""
    ends = np.cumsum([len(line) + 1 for line in lines]).tolist()
    copied = [copy[end - len(line) - 1 : end - 1] for line, end in zip(lines, ends, strict=True)]
    survivors = []
    for number in range(TEXTS):
        part = slice(number * SIZE, (number + 1) * SIZE)
        paged = [
            line if at % PAGE_LINES else f"[p. {at // PAGE_LINES + 1}]\n{line}"
            for at, line in enumerate(lines[part])
        ]
        first = read_witness("\n".join(paged), siglum=str(number))
        second = read_witness("\n".join(copied[part]), siglum=str(number))
        survivors.append(Survivor(str(number), first, second, _passages(number)))
    dossier = Dossier(Path(), "", "", NO_FOLDS, tuple(survivors), (), (), (), Settings())
    return told_in_full(judge(dossier)).habits


def _passages(number: int) -> tuple[Passage, ...]:
    """Say which lines of a text are in which script and language."""
    latin = [Passage((at, at + 1), language=LANGUAGES[(number * SIZE + at) % 4 == 3]) for at in range(SIZE)]
    halves = [
        Passage((at * SIZE // 2, (at + 1) * SIZE // 2), script=script) for at, script in enumerate(SCRIPTS)
    ]
    return (*latin, *halves)


@dataclass
class Figures:
    """What so many copyists of one kind show.

    Attributes:
        copyists: how many.
        alarms: circumstance -> copyists with a tendency that was not planted.
        planted, found: confusions that depend on a circumstance; those for which that was found.
        held: class of chances -> [intervals with the true rate in them, intervals].
        widths: class -> [widths of these intervals, widths of Jeffreys' intervals, unpooled], summed.
        by_kind: circumstance -> as ``held``.
    """

    copyists: int = 0
    alarms: Counter[str] = field(default_factory=Counter)
    planted: int = 0
    found: int = 0
    held: dict[str, list[int]] = field(default_factory=lambda: defaultdict(lambda: [0, 0]))
    widths: dict[str, list[float]] = field(default_factory=lambda: defaultdict(lambda: [0.0, 0.0]))
    by_kind: dict[str, list[int]] = field(default_factory=lambda: defaultdict(lambda: [0, 0]))

    def add(self, made: Copyist) -> None:
        """Add one copyist."""
        self.copyists += 1
        kinds: set[str] = set()
        for habit in made.habits:
            pair = habit.confusion.original, habit.confusion.copy
            for told in habit.rates if pair in made.rates else ():
                self._hold(told, made.true_rate(told))
            if pair not in made.planted:
                kinds |= {str(told.circumstance) for told in habit.rates if told.tendency}
        self.alarms.update(kinds)
        self.alarms["any"] += bool(kinds)
        by_pair = {(one.confusion.original, one.confusion.copy): one for one in made.habits}
        for pair, (kind, value) in made.planted.items():
            self.planted += 1
            rates = by_pair[pair].rates if pair in by_pair else ()
            shown = {(told.circumstance, told.value) for told in rates if told.tendency is Tendency.MORE}
            self.found += (kind, value) in shown

    def _hold(self, told: CircumstanceRate, true: float) -> None:
        """Note whether an interval holds the true rate, and how wide it is."""
        size = next(name for name, (low, high) in CLASSES.items() if low <= told.chances < high)
        unpooled = jeffreys(told.count, told.chances)
        for name in (size, "all"):
            self.held[name][0] += told.low <= true <= told.high
            self.held[name][1] += 1
            self.widths[name][0] += told.high - told.low
            self.widths[name][1] += unpooled[1] - unpooled[0]
        self.by_kind[told.circumstance][0] += told.low <= true <= told.high
        self.by_kind[told.circumstance][1] += 1

    def shares(self) -> dict[str, float]:
        """Give everything as shares: alarms of copyists, power, coverage, width of the unpooled."""
        found = {f"alarms {kind}": count / self.copyists for kind, count in sorted(self.alarms.items())}
        if self.planted:
            found["power"] = self.found / self.planted
        found |= {f"coverage {size}": held / total for size, (held, total) in self.held.items()}
        found |= {f"coverage {kind}": held / total for kind, (held, total) in self.by_kind.items()}
        return found | {f"width {size}": mine / other for size, (mine, other) in self.widths.items()}


def figures(copyists: int, dependence: Circumstance | None, page_factor: float = 1.0) -> dict[str, float]:
    """Simulate so many copyists of one kind."""
    found = Figures()
    for seed in range(copyists):
        found.add(copyist(seed, dependence, page_factor))
    return found.shares()


RUNS: dict[str, tuple[Circumstance | None, float]] = {
    "nothing": (None, 1.0),
    "nothing, bad pages 2x": (None, 2.0),
    "last letters only": (Circumstance.PLACE, 1.0),
    "3x before a letter": (Circumstance.AFTER, 1.0),
    "3x before a letter, bad pages 2x": (Circumstance.AFTER, 2.0),
    "3x in one script": (Circumstance.SCRIPT, 1.0),
    "3x in one script, bad pages 2x": (Circumstance.SCRIPT, 2.0),
}


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures beside the aims."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--copyists", type=int, default=COPYISTS, help="how many of each kind")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    found = {name: figures(options.copyists, *run) for name, run in RUNS.items()}
    names = list(dict.fromkeys(name for shares in found.values() for name in shares))
    rows = [[name, *(shares.get(name) for shares in found.values())] for name in sorted(names)]
    show(tabulate(rows, headers=["", *found], floatfmt=".3f", missingval="-", maxheadercolwidths=16))
    show("\n".join(f"aim: {name} {aim}" for name, aim in AIMS.items()))
    if options.json:
        report = {"copyists": options.copyists, "aims": AIMS, "figures": found}
        options.json.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
