"""What the whole program restores of plain copies: careful copyists, who err a few times on a page.

Arrives: the number of copyists. Leaves: tables on the terminal, beside what is aimed at, and if asked a
JSON file. Run it from the project's root as ``python -m tests.benchmarks.plain_copies``; start reading at
``main``.

Each copyist (``tests/planted_plain.py``) has habits of his own, three copied texts of 10,000 letters whose
originals survive, and one of 30,000 whose original is taken for lost; there is no reference text, or the rest
of the saga: some 72,000 letters, since the package carries no other text. The dossier is audited with default
settings, and the lost text's proposals are judged by what was planted. A wrong word, and what became of it,
is as in ``scoring.py``; a skip of more than six letters is none. Beside the program stands a letter channel
with a list of words (``readings/simple.py``), learned from the same texts.

Copyists 1-20 are for measuring; what is tuned on plain copies is tuned on others (``--seeds 101 120``).
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, replace
from multiprocessing import get_context
from pathlib import Path

from tabulate import tabulate

from fidelity.audit import audit
from fidelity.confusions.intervals import clustered
from fidelity.copyist.language import Letters, Words
from fidelity.dossier import Dossier, LostText, Survivor
from fidelity.readings.simple import NoisyChannel, learned_channel
from fidelity.settings import Settings
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from fidelity.witnesses.read import read_witness
from tests.benchmarks.candidates_seen import watched
from tests.benchmarks.plain_scoring import SEEN, SURER, Found, scored
from tests.benchmarks.score_rows import band_rows, kind_rows, level_rows, show_rows
from tests.benchmarks.scoring import FATES, SETTLED, SURE
from tests.planted_plain import (
    COPY_LINE,
    COPY_PAGE_LINES,
    LINE,
    PAGE_LINES,
    SHARES,
    PlainCase,
    laid_out,
    plain_copies,
)

SEEDS = (1, 20)  # of the copyists that the figures are of, from the first to the last
MODES = {"none": False, "text": True}
# At least so much of the wrong words is to be restored at 0.9: what must be, and what is aimed at.
RESTORED = {"none": (0.12, 0.20), "text": (0.25, 0.35)}
RIGHT, RIGHT_LOW = 0.90, 0.85  # of the proposals at 0.9, and of the lower limit of the share's interval


def dossier_of(case: PlainCase, mode: str) -> Dossier:
    """Give the dossier the program is shown; nothing of the lost original is in it."""
    survivors = tuple(
        Survivor(f"S{number}", _original(one.original, f"S{number}"), _copy(one.copy, f"S{number}"))
        for number, one in enumerate(case.survivors, start=1)
    )
    references = (_original(case.reference, "R"),) if MODES[mode] else ()
    lost = (LostText("L", _copy(case.lost.copy, "L")),)
    return Dossier(Path(), "the copyist", "", NO_FOLDS, survivors, lost, (), references, Settings())


def _original(text: str, siglum: str) -> Witness:
    return read_witness(laid_out(text, LINE, PAGE_LINES), siglum=siglum)


def _copy(text: str, siglum: str) -> Witness:
    return read_witness(laid_out(text, COPY_LINE, COPY_PAGE_LINES), siglum=siglum)


def measure(seed: int, mode: str) -> Found:
    """Let one copyist be judged, and score what is proposed for his lost text."""
    case = plain_copies(seed)
    dossier = dossier_of(case, mode)
    with watched() as seen:
        found = audit(dossier)
    texts = [one.original.letters for one in dossier.survivors] + [one.letters for one in dossier.references]
    words = Words(texts, Letters(texts))
    channel = NoisyChannel(learned_channel(found.alignments, NO_FOLDS), words)
    copy = dossier.lost[0].copy
    known, reckoned = set(words.counts), seen[copy.letters]
    proposed = [one for one in found.readings if one.is_proposal]
    return scored(seed, mode, case, copy, proposed, known, channel.best, reckoned)


def row(found: Sequence[Found], name: str) -> list[object]:
    """Give the figures of one copyist, or of several together."""
    wrong = sum(one.wrong_words for one in found)
    words, words_right, letters, letters_right = (
        sum(getattr(one.sure, part) for one in found)
        for part in ("words", "words_right", "letters", "letters_right")
    )
    proposals, right = words + letters, words_right + letters_right
    fates = [sum(one.fated(fate) for one in found) for fate in FATES]
    unseen = sum(one.fated(fate, known=True) for one in found for fate in FATES[1:])
    before = sum(one.before for one in found)
    sure, settled = sum(one.after_sure for one in found), sum(one.after_settled for one in found)
    return [
        name, sum(one.errors for one in found), wrong, f"{words_right}/{words}", f"{letters_right}/{letters}",
        right / proposals if proposals else None, fates[0] / max(wrong, 1), *fates, unseen,
        before, before - sure, before - settled,
    ]  # fmt: skip


HEADERS = (
    "copyist", "errors", "wrong words", "words right", "letters right", "share right", "restored", *FATES,
    "unseen", "distance", "gain 0.9", "gain 0.5",
)  # fmt: skip


def rows_by(found: Sequence[Found], feature: str, values: Sequence[str]) -> list[list[object]]:
    """Give what became of the wrong words by a feature of theirs, and how many nobody can see."""
    rows: list[list[object]] = []
    for value in values:
        as_is = {feature: value}
        counts = [sum(one.fated(fate, **as_is) for one in found) for fate in FATES]
        unseen = [sum(one.fated(fate, known=True, **as_is) for one in found) for fate in FATES[1:]]
        rows.append([value, sum(counts), counts[0] / max(sum(counts), 1), *counts, sum(unseen), unseen[-1]])
    return rows


def right_interval(found: Sequence[Found]) -> tuple[float, float, float] | None:
    """Give the share of the sure proposals that are right, with limits that allow for his being one man."""
    right = {str(one.seed): one.right for one in found}
    proposals = {str(one.seed): one.proposals for one in found}
    total = sum(proposals.values())
    if not total:
        return None
    low, high, _ = clustered(right, proposals)
    return sum(right.values()) / total, low, high


def verdicts(found: Sequence[Found], mode: str) -> list[str]:
    """Set the figures beside the aims."""
    lines = []
    interval = right_interval(found)
    if interval:
        share, low, high = interval
        is_met = share >= RIGHT and low >= RIGHT_LOW
        lines.append(
            f"right at {SURE}: {share:.3f} ({low:.3f}-{high:.3f}); must {RIGHT}, lower limit {RIGHT_LOW}: "
            f"{_met(is_met)}"
        )
    else:
        lines.append(f"right at {SURE}: nothing was proposed at so much")
    must, aim = RESTORED[mode]
    share = sum(one.fated(FATES[0]) for one in found) / max(sum(one.wrong_words for one in found), 1)
    lines.append(
        f"wrong words restored: {share:.3f}; must {must}: {_met(share >= must)}, "
        f"aim {aim}: {_met(share >= aim)}"
    )
    for level, after in (
        (SURE, [one.before - one.after_sure for one in found]),
        (SETTLED, [one.before - one.after_settled for one in found]),
    ):
        losing = sum(gain < 0 for gain in after)
        lines.append(
            f"net gain or no change at {level} for every copyist: {_met(not losing)} ({losing} lose)"
        )
    wrong = sum(one.wrong_words for one in found)
    for level in (SURE, SURER):
        changed, right = (sum(one.channel[level][part] for one in found) for part in (0, 1))
        lines.append(
            f"for comparison, a letter channel alone where it says {level}: {right} of {changed} right "
            f"({right / max(changed, 1):.3f}), wrong words restored {right / max(wrong, 1):.3f}"
        )
    return lines


def _met(is_so: bool) -> str:
    return "met" if is_so else "NOT met"


def show_tables(found: Sequence[Found], mode: str, show: Callable[[str], None]) -> None:
    """Print the figures of one mode."""
    show(f"\nreference: {mode}; {len(found)} copyists")
    rows = [row([one], str(one.seed)) for one in found] + [row(found, "all")]
    show(tabulate(rows, headers=HEADERS, floatfmt=".3f", missingval="-"))
    for feature, named, values in (
        ("error", "error", list(SHARES)),
        ("seen", "same error in the survivors", SEEN),
    ):
        headers = (named, "wrong words", "restored", *FATES, "unseen", "of these nowhere")
        show("\n" + tabulate(rows_by(found, feature, values), headers=headers, floatfmt=".3f"))
    texts = [one.text for one in found if one.text]
    show("")
    for of_all in (level_rows(texts), band_rows(texts), kind_rows(texts)):
        show_rows(of_all, show)
    show("\n".join(verdicts(found, mode)))


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures beside the aims."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument(
        "--seeds", type=int, nargs=2, default=SEEDS, metavar=("FROM", "TO"), help="of the copyists"
    )
    parser.add_argument("--reference", choices=[*MODES, "both"], default="both", help="the reference text")
    parser.add_argument("--jobs", type=int, choices=(1, 2), default=1, help="copyists judged at a time")
    parser.add_argument("--json", type=Path, help="where to write the figures")
    options = parser.parse_args()
    modes = list(MODES) if options.reference == "both" else [options.reference]
    first, last = options.seeds
    tasks = [(seed, mode) for seed in range(first, last + 1) for mode in modes]
    found = []
    with ProcessPoolExecutor(options.jobs, get_context("spawn")) as pool:
        for one in pool.map(measure, *zip(*tasks, strict=True)):
            found.append(one)
            show(
                f"{one.seed} {one.mode}: {one.right}/{one.proposals} right, {one.wrong_words} wrong words, "
                f"{one.fated(FATES[0])} restored, gain {one.before - one.after_sure}"
            )
    for mode in modes:
        show_tables([one for one in found if one.mode == mode], mode, show)
    if options.json:
        options.json.write_text(
            json.dumps([as_json(one) for one in found], indent=2) + "\n", encoding="utf-8"
        )


def as_json(one: Found) -> dict[str, object]:
    """Give the figures of one copyist as JSON has them."""
    fates = [{**word._asdict(), "wrong_words": count} for word, count in sorted(one.fates.items())]
    plain = {name: value for name, value in asdict(replace(one, text=None)).items() if name != "fates"}
    texts = [one.text] if one.text else []
    return {**plain, "fates": fates, "text": level_rows(texts), "kinds": kind_rows(texts)}


if __name__ == "__main__":
    main()
