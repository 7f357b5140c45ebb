"""Whether a change of habit is noticed without the original, and what acting on it does to proposals.

Arrives: numbers of copyists. Leaves: tables on the terminal. Run it from the project's root as
``python -m tests.benchmarks.shifting_habits --alarms 40 --proposals 4``; start reading at ``main``.

Each copyist (``tests/planted_shift.py``) has habits of spelling that vary from page to page and text to
text; they stay so, or two of them change between the survivors and the lost text, or in the middle of
this. An alarm where none changed is false. Proposals at 0.9 are judged by the lost original, as the
survivors alone would have them, and after acting.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from tabulate import tabulate

from fidelity.alignment.align import align_witnesses
from fidelity.audit import hold_out_survivors, judge, learner_of, readings_of
from fidelity.copyist.tagging import Tagged, tag_alignment
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.judge import Audit
from fidelity.readings.evidence import EvidenceBook
from fidelity.settings import Settings
from fidelity.terms import ProposedReading, Shift
from fidelity.trial.shifted import INSIDE, SHIFTED
from fidelity.trial.transfer import transfer
from fidelity.trial.withheld import withheld
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.planted_shift import CHANGES, ShiftingCase, shifting_copyist

SURE = 0.9
ALARMS = ("habits change", "lost texts", "with an alarm", "fall noticed", "rise noticed")
PROPOSALS = ("habits change", "lost texts", "at 0.9 before", "right", "at 0.9 after", "right")


def dossier_of(case: ShiftingCase) -> Dossier:
    """Give the dossier the program is shown; nothing of the lost original is in it."""
    survivors = tuple(
        Survivor(f"S{n}", read_witness(one[0], siglum=f"S{n}"), read_witness(one[1], siglum=f"S{n}"))
        for n, one in enumerate(case.survivors, start=1)
    )
    lost = LostText("L", read_witness(case.lost[1], siglum="L"))
    return Dossier(Path(), "the copyist", "", NO_FOLDS, survivors, (lost,), (), (), Settings())


def shifts_of(found: Audit) -> list[Shift]:
    """Give the shifts, of every rule seen in the survivors."""
    alignments = found.by_survivor
    book = EvidenceBook(alignments, found.variants, found.counts, NO_FOLDS)
    return transfer(found.dossier, sorted(book.places))


def alarms(shifts: Sequence[Shift]) -> set[str]:
    """Give the rules found to have shifted."""
    return {one.what for one in shifts if one.found and one.kind in (SHIFTED, INSIDE)}


def concerns(rule: str, habit: str) -> bool:
    """Tell whether a rule found is a planted habit, or the part of it that its letters differ in."""
    sides = rule.replace("∅", "").split("→")
    planted = habit.split(">")
    return all(side in whole for side, whole in zip(sides, planted, strict=True))


def right_at(readings: Sequence[ProposedReading], truth: Tagged, least: float) -> tuple[int, int]:
    """Count proposals of at least one probability, and those that are right."""
    some = [one for one in readings if one.probability >= least]
    return len(some), sum(truth.original(*one.copy_span) == one.proposed for one in some)


def alarm_rows(copyists: int, changes: Sequence[str] = CHANGES) -> list[list[object]]:
    """Give how many of the lost texts raise an alarm, and how many changes are noticed."""
    rows: list[list[object]] = []
    for change in changes:
        found: Counter[str] = Counter()
        for seed in range(1, copyists + 1):
            case = shifting_copyist(seed, change)
            rules = alarms(shifts_of(judge(dossier_of(case))))
            found["any"] += bool(rules)
            for name, habit in zip(("falls", "rises"), case.changed, strict=True):
                found[name] += any(concerns(rule, habit) for rule in rules)
        rows.append([change, copyists, found["any"], found["falls"], found["rises"]])
    return rows


def proposal_rows(copyists: int, changes: Sequence[str] = CHANGES) -> list[list[object]]:
    """Give the proposals at 0.9, and those that are right, before and after acting."""
    rows: list[list[object]] = []
    for change in changes:
        counted: Counter[str] = Counter()
        for seed in range(1, copyists + 1):
            case = shifting_copyist(seed, change)
            found = judge(dossier_of(case))
            learner = learner_of(found)
            held = hold_out_survivors(found, learner, lambda _: None)
            proposer, readings = readings_of(found, learner, held, lambda _: None)
            assert proposer is not None
            shifts = transfer(found.dossier, sorted(proposer.book.places))
            original = read_witness(case.lost[0], siglum="L")
            truth = tag_alignment(align_witnesses(original, found.dossier.lost[0].copy, NO_FOLDS), NO_FOLDS)
            for name, some in (("before", readings), ("after", withheld(readings, shifts)[0])):
                number, right = right_at(some, truth, SURE)
                counted[name] += number
                counted[f"{name} right"] += right
        shares = [counted[f"{name} right"] / max(counted[name], 1) for name in ("before", "after")]
        rows.append([change, copyists, counted["before"], shares[0], counted["after"], shares[1]])
    return rows


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--alarms", type=int, default=40, help="copyists for the first table")
    parser.add_argument("--proposals", type=int, default=4, help="copyists for the second")
    parser.add_argument("--change", nargs="*", choices=CHANGES, default=CHANGES, help="which changes")
    asked = parser.parse_args()
    if asked.alarms:
        print(tabulate(alarm_rows(asked.alarms, asked.change), ALARMS))
    if asked.proposals:
        print(tabulate(proposal_rows(asked.proposals, asked.change), PROPOSALS, floatfmt=".3f"))


if __name__ == "__main__":
    main()
