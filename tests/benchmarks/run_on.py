"""Whether verses and stretches find their own when each text is given as one run-on text.

Arrives: nothing but the names of sets, the same as in ``real_sets.py`` and found in the same way.
Leaves: for each set how many verses or stretches of the copy are paired mainly with their own, with a
wrong one, or with none. Run it from the project's root as ``python -m tests.benchmarks.run_on``; start
reading at ``paired``.
"""

from __future__ import annotations

import json
import sys
import time
from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Sequence
from itertools import accumulate
from typing import Any

from tabulate import tabulate

from fidelity.alignment.align import align_witnesses
from fidelity.letters import decode, encode
from fidelity.terms import Alignment, StepKind, Witness
from tests.benchmarks.real_sets import RealSet, parser_of_sets, read_options, sets_at_hand

EXAMPLES = 5  # wrong pairings that are shown
WIDTH = 60  # letters of each that are shown


def pairs_of(one: RealSet) -> list[tuple[str, str]]:
    """Give the verses or stretches, each with its copy, in letters; those learned from come first."""
    pairs = [one.pieces[number] for number in (*one.learned, *one.lost)]
    lines = [
        pair
        for original, copy in pairs
        for pair in zip(original.splitlines(), copy.splitlines(), strict=True)
    ]
    return [(encode(original.strip()), encode(copy.strip())) for original, copy in lines]


def starts_of(texts: Sequence[str]) -> list[int]:
    """Give where each text begins when all are joined by single spaces."""
    return list(accumulate((len(text) + 1 for text in texts), initial=0))[:-1]


def answers(alignment: Alignment, originals: Sequence[int], copies: Sequence[int]) -> list[Counter[int]]:
    """Count, for each part of the copy, how many of its letters answer letters of which original part.

    Args:
        alignment: of the run-on texts.
        originals, copies: where the parts begin in either.
    """
    found = [Counter[int]() for _ in copies]
    for o0, o1, c0, c1, kind in alignment.steps.tolist():
        if kind == StepKind.SKIPPED or o0 == o1:
            continue
        for at in range(c0, c1):
            place = min(o0 + at - c0, o1 - 1)
            found[bisect_right(copies, at) - 1][bisect_right(originals, place) - 1] += 1
    return found


def paired(pairs: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Align the parts as one run-on text each and judge where each part of the copy went.

    Returns:
        ``parts``, of the copy that have letters; ``own``, ``wrong`` and ``none``: with which they are
        mainly paired; ``wrong_letters``: letters of the copy that answer another part; ``examples`` of
        the wrong ones; ``seconds``.
    """
    originals, copies = zip(*pairs, strict=True)
    witnesses = Witness("original", " ".join(originals)), Witness("copy", " ".join(copies))
    start = time.perf_counter()
    alignment = align_witnesses(*witnesses)
    seconds = time.perf_counter() - start
    counts = answers(alignment, starts_of(originals), starts_of(copies))
    verdicts = Counter[str]()
    examples = []
    for number, (found, copy) in enumerate(zip(counts, copies, strict=True)):
        if not copy:
            continue
        best = found.most_common(1)[0][0] if found else None
        verdict = "none" if best is None else "own" if best == number else "wrong"
        verdicts[verdict] += 1
        if verdict == "wrong" and best is not None:
            examples.append([number + 1, best + 1, decode(copy[:WIDTH]), decode(originals[best][:WIDTH])])
    wrong = sum(found.total() - found[number] for number, found in enumerate(counts))
    figures = {"letters": len(witnesses[1]), "parts": verdicts.total(), "seconds": seconds}
    figures |= {verdict: verdicts[verdict] for verdict in ("own", "wrong", "none")}
    return figures | {"wrong_letters": wrong, "examples": examples[:EXAMPLES]}


def main(show: Callable[[str], None] = print) -> int:
    """Run the benchmark and show its figures; 1 where a part is paired with a wrong one."""
    options = read_options(parser_of_sets(__doc__))
    report: dict[str, dict[str, Any]] = {
        name: paired(pairs_of(one)) for name, one in sets_at_hand(options, show)
    }
    columns = ["letters", "parts", "own", "wrong", "none", "wrong_letters", "seconds"]
    rows = [[name, *(figures[column] for column in columns)] for name, figures in report.items()]
    show(tabulate(rows, headers=["", *columns], floatfmt=".2f"))
    for name, figures in report.items():
        headers = [f"{name}: copy's", "paired with", "copy", "original it is paired with"]
        if figures["examples"]:
            show("\n" + tabulate(figures["examples"], headers=headers))
    if options.json:
        text = json.dumps(report, indent=2, ensure_ascii=False)
        options.json.write_text(text + "\n", encoding="utf-8")
    return int(any(figures["wrong"] for figures in report.values()))


if __name__ == "__main__":
    sys.exit(main())
