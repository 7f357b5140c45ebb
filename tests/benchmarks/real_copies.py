"""How well real copies are restored, beside the simple methods and beside what is aimed at.

Arrives: nothing but the names of sets (``real_sets.py`` says where they lie and how each is halved). Leaves:
tables on the terminal and, if asked, a JSON file. Run it from the project's root as ``python -m
tests.benchmarks.real_copies``; start reading at ``main``.

The figures: wrong letters taken away by every method; how proposals at three levels fared; what was said in
each band and what was found; the same by kind of error (habits of spelling, misreadings, divisions, letters);
and for the wrong words where the right reading is. At the end each figure stands beside the least it must be
and what is aimed at.

The program runs in a process of its own and is shown a dossier, in which the originals of the lost texts are
not. They are looked at to score, and for nothing else.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

from fidelity.alignment.align import align_witnesses
from fidelity.copyist.language import Letters, Words
from fidelity.copyist.model import WordMemory
from fidelity.copyist.tagging import tag_alignment
from fidelity.readings.simple import NoisyChannel, learned_channel, nearest_form, remembered
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.real_restoring import (
    Outcome,
    Show,
    Summary,
    beside,
    figures,
    met,
    outcomes,
    wrong_letters,
)
from tests.benchmarks.real_sets import Task, by_protocol, parser_of_sets, read_options, sets_at_hand
from tests.benchmarks.score_rows import (
    BAND_COUNTS,
    Row,
    band_rows,
    bands_missed,
    brier,
    fate_rows,
    kind_rows,
    level_rows,
    show_rows,
)
from tests.benchmarks.scoring import SETTLED, SURE

ENOUGH = 300  # proposals at 0.9 on which their share of right ones is to be shown


@dataclass(frozen=True)
class Aims:
    """What must be, and what is aimed at, of each figure; shares 0-1.

    Attributes:
        taken_away: wrong letters taken away, all proposals at 0.5 put in.
        right: right among the proposals at 0.9, letters included.
        restored: wrong words restored by them.
        seconds, memory: most that the whole audit may take on one core, in MB; None for no limit.
    """

    taken_away: tuple[float, float]
    right: tuple[float, float]
    restored: tuple[float, float]
    seconds: float | None = None
    memory: float | None = None


AIMS: Mapping[str, Aims] = {
    "parzifal": Aims((0.42, 0.48), (0.91, 0.94), (0.20, 0.30), 60, 1000),
    "prints": Aims((0.46, 0.54), (0.90, 0.94), (0.12, 0.22)),
}


@dataclass(frozen=True)
class Figures:
    """What is reported of one set: rows of tables, and the figures over all."""

    methods: list[Row]
    levels: list[Row]
    bands: list[Row]
    kinds: list[Row]
    fates: list[Row]
    brier: float | None
    summary: Summary
    seconds: float
    memory_mb: float
    verdicts: list[str]


def simple_methods(task: Task) -> dict[str, Callable[[str], str]]:
    """Learn the simple methods from the survivors; each gives a word for a word."""
    witnesses = [(read_witness(original), read_witness(copy)) for original, copy in task.survivors]
    alignments = [align_witnesses(*pair) for pair in witnesses]
    texts = [original.letters for original, _ in witnesses]
    texts += [read_witness(text).letters for text in task.references]
    words = Words(texts, Letters(texts))
    memory = WordMemory(tag_alignment(alignment, NO_FOLDS) for alignment in alignments)
    noisy = NoisyChannel(learned_channel(alignments, NO_FOLDS), words)

    def if_settled(word: str, found: tuple[str, float]) -> str:
        return found[0] if found[1] >= SETTLED else word

    return {
        "as transmitted": lambda word: word,
        "nearest form": lambda word: nearest_form(word, words.counts),
        "word memory": lambda word: if_settled(word, remembered(word, memory)),
        "letter channel": lambda word: if_settled(word, noisy.best(word)),
    }


def put_in(copies: Sequence[Witness], method: Callable[[str], str]) -> list[str]:
    """Restore the copies word by word, each different word once."""
    known = {word: method(word) for word in {word for copy in copies for word in copy.letters.split()}}
    return [" ".join(known[word] for word in copy.letters.split()) for copy in copies]


def method_rows(task: Task, one: Outcome, has_simple: bool) -> list[Row]:
    """Set the letters that each method leaves in error beside those of the program."""
    copies, truth = [read_witness(copy) for copy in task.lost], [read_witness(text) for text in task.truth]
    methods = simple_methods(task) if has_simple else {}
    left = {name: wrong_letters(put_in(copies, method), truth) for name, method in methods.items()}
    left["fidelity"] = one.left[SETTLED]
    return [
        {
            "method": name,
            "wrong": one.wrong,
            "left": count,
            "percent_taken_away": 100 * (1 - count / one.wrong),
        }
        for name, count in left.items()
    ]


def verdicts(one: Outcome, aims: Aims) -> list[str]:
    """Set the figures beside what must be and what is aimed at."""
    summary = figures([one])
    lines = [beside(f"wrong letters taken away at {SETTLED}", summary.taken_away, *aims.taken_away)]
    if summary.right is None:
        lines.append(f"right at {SURE}: nothing was proposed at so much: NOT met")
    else:
        name = f"right at {SURE} ({summary.low:.3f}-{summary.high:.3f}, Wilson 95 %)"
        lines.append(beside(name, summary.right, *aims.right))
        lines.append(f"on {summary.sure} proposals; must {ENOUGH}: {met(summary.sure >= ENOUGH)}")
    lines.append(beside(f"wrong words restored at {SURE}", summary.restored, *aims.restored))
    for by, interval in (("page_holds", "allowing for pages that differ"), ("holds", "Wilson's")):
        missed = [f"{row['from']}-{row['to']}" for row in bands_missed(one.found, by=by)]
        lines.append(
            f"bands of {BAND_COUNTS} or more whose 95 % interval ({interval}) misses what they said: "
            f"{', '.join(missed) or 'none'}" + (f"; must be none: {met(not missed)}" if by != "holds" else "")
        )
    outside = [
        f"{row['from']}-{row['to']}"
        for row in band_rows(one.found)
        if int(row["proposals"] or 0) >= BAND_COUNTS and row["in_range"] == "no"
    ]
    lines.append(f"bands found outside the range given for one more text: {', '.join(outside) or 'none'}")
    gain = summary.gain_sure
    lines.append(f"net gain at {SURE}, in letters: {gain}; must be above zero: {met(gain > 0)}")
    for what, found, most in (
        ("seconds", one.seconds, aims.seconds),
        ("MB", one.memory, aims.memory),
    ):
        if most is not None:
            lines.append(f"audit, {what}: {found:.0f}; must be at most {most:.0f}: {met(found <= most)}")
    return lines


def measure(name: str, task: Task, has_simple: bool = True) -> Figures:
    """Restore with every method and score."""
    (one,) = outcomes([task], 1)
    return Figures(
        methods=method_rows(task, one, has_simple),
        levels=level_rows(one.found),
        bands=band_rows(one.found),
        kinds=kind_rows(one.found),
        fates=fate_rows(one.found),
        brier=brier(one.found),
        summary=figures([one]),
        seconds=one.seconds,
        memory_mb=one.memory,
        verdicts=verdicts(one, AIMS[name]),
    )


def show_tables(name: str, found: Figures, show: Show) -> None:
    """Print the figures of one set."""
    score = "no proposals" if found.brier is None else f"Brier {found.brier:.3f}"
    show(f"\n{name}: {found.seconds:.0f} s, {found.memory_mb:.0f} MB, {score}")
    for rows in (found.methods, found.levels, found.bands, found.kinds, found.fates):
        show_rows(rows, show)
    show("\n".join(found.verdicts))


def write_json(file: Path | None, report: object) -> None:
    """Write the figures where that is asked for."""
    if file:
        file.write_text(json.dumps(report, indent=2) + "\n", encoding="utf-8")


def main(show: Show = print) -> None:
    """Run the benchmark and show its figures."""
    parser = parser_of_sets(__doc__)
    parser.add_argument("--alone", action="store_true", help="without the simple methods")
    options = read_options(parser)
    report: dict[str, Figures] = {}
    for name, one in sets_at_hand(options, show):
        report[name] = measure(name, by_protocol(one), not options.alone)
        show_tables(name, report[name], show)
    write_json(options.json, {name: asdict(one) for name, one in report.items()})


if __name__ == "__main__":
    main()
