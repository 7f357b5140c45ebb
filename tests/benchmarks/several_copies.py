"""What a second copy of each text adds: restored with and without it, and from what it was made.

Arrives: the number of copyists. Leaves: tables on the terminal. Run it from the project's root as ``python -m
tests.benchmarks.several_copies``; start reading at ``main``.

Each copyist is a plain one (``planted_plain.py``) who wrote all his texts twice (``planted_several.py``): the
fair copy from the draft, or from the original anew; or another man copied the same originals. The dossier is
audited without the other copies and with them; the lost text's proposals are judged by what was planted in
its first copy. *Unknown* is another's transcript of the lost text alone: no survivor tells what he is worth.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from tabulate import tabulate

from fidelity.audit import audit
from fidelity.copyist.tagging import LONGEST_TAIL, with_words_beside
from fidelity.dossier import Dossier, OtherWitness
from fidelity.letters import encode
from fidelity.terms import ProposedReading, Witness
from fidelity.terms.copies import MadeFrom
from fidelity.witnesses.read import read_witness
from tests.benchmarks.plain_copies import dossier_of
from tests.benchmarks.plain_scoring import scored
from tests.benchmarks.scoring import FATES
from tests.planted_plain import COPY_LINE, COPY_PAGE_LINES, PlainCopy, laid_out
from tests.planted_several import ANEW, ANOTHER, FROM_DRAFT, Several, several_copies

SEEDS = (1, 6)
ALONE, UNKNOWN = "first copies alone", "another's, unknown"
TRULY = {FROM_DRAFT: MadeFrom.FIRST, ANEW: MadeFrom.ORIGINAL, ANOTHER: MadeFrom.ORIGINAL}


@dataclass(frozen=True)
class Fared:
    """How one copyist's lost text fared in one way.

    Attributes:
        seed, how: of the copyist; what stood beside the first copies.
        wrong, restored: wrong words, and those restored at 0.9 or more.
        proposals, right: proposals at 0.9 or more, what a skip of the draft left out among them.
        said: the sum of their probabilities.
        verdicts: from what the other copies were made, text by text and in all, as it was judged.
        trial: proposals at 0.9 or more in the blind test, and how many of them were right.
    """

    seed: int
    how: str
    wrong: int
    restored: int
    proposals: int
    right: int
    said: float
    verdicts: tuple[MadeFrom, ...]
    trial: tuple[int, int]


def with_others(dossier: Dossier, several: Several, how: str) -> Dossier:
    """Give the dossier with the other copies."""
    texts = [*dossier.survivors, *dossier.lost]
    ids = [*(one.id for one in dossier.survivors), *(one.id for one in dossier.lost)]
    others = [
        _read(text, "K" if how in (ANOTHER, UNKNOWN) else name, f"{name}_2.txt")
        for name, text in zip(ids, several.others, strict=True)
    ]
    assert len(texts) == len(others)
    if how in (ANOTHER, UNKNOWN):
        witnesses = [OtherWitness(of, one, from_original=True) for of, one in zip(ids, others, strict=True)]
        return replace(dossier, witnesses=tuple(witnesses[-1:] if how == UNKNOWN else witnesses))
    *of_survivors, of_lost = others
    survivors = [
        replace(one, other_copies=(other,))
        for one, other in zip(dossier.survivors, of_survivors, strict=True)
    ]
    lost = replace(dossier.lost[0], other_copies=(of_lost,))
    return replace(dossier, survivors=tuple(survivors), lost=(lost,))


def _read(text: str, siglum: str, file: str) -> Witness:
    return replace(read_witness(laid_out(text, COPY_LINE, COPY_PAGE_LINES), siglum=siglum), file=file)


def measure(seed: int, how: str) -> Fared:
    """Let one copyist be judged in one way, and score what is proposed for his lost text."""
    several = several_copies(seed, ANOTHER if how == UNKNOWN else FROM_DRAFT if how == ALONE else how)
    dossier = dossier_of(several.case, "none")
    found = audit(dossier if how == ALONE else with_others(dossier, several, how))
    proposed = [one for one in found.readings if one.is_proposal]
    known = {word for one in dossier.survivors for word in one.original.letters.split()}
    copy = dossier.lost[0].copy
    score = scored(seed, "none", several.case, copy, proposed, known, lambda word: (word, 0.0))
    sure = [one.probability for one in proposed if one.probability >= 0.9]
    back = [puts_back(several.case.lost, one) for one in proposed if one.probability >= 0.9]
    tried = [one for one in found.trial.readings if one.probability >= 0.9] if found.trial else []
    return Fared(
        seed,
        how,
        score.wrong_words,
        score.fated(FATES[0]),
        score.proposals,
        score.right + sum(back),
        sum(sure),
        tuple(one.made_from for one in found.copies.rates if one.made_from),
        (len(tried), sum(one.right for one in tried)),
    )


def puts_back(lost: PlainCopy, one: ProposedReading) -> bool:
    """Tell whether a proposal puts back words left out beside it: right, though its own are not wrong."""
    truth, (start, end), proposed = lost.truth(), one.copy_span, encode(one.proposed)
    if proposed in with_words_beside(truth, start, end):
        return True
    for edit, (first, _) in zip(lost.edits, lost.copied, strict=True):
        if edit.end - edit.start > LONGEST_TAIL and not edit.written and start - 1 <= first <= end + 1:
            before, after = lost.original[: edit.start].split(), lost.original[edit.end :].split()
            skipped, words = lost.original[edit.start : edit.end].split(), lost.copy[start:end].split()
            return proposed.split() in ([*words, *skipped], [*skipped, *words]) and bool(before and after)
    return False


def row(name: str, some: Sequence[Fared]) -> list[object]:
    """Give the figures of one or several copyists in one way."""
    wrong, restored, proposals, right = (
        sum(getattr(one, what) for one in some) for what in ("wrong", "restored", "proposals", "right")
    )
    said = sum(one.said for one in some)
    tried, tried_right = (sum(one.trial[at] for one in some) for at in (0, 1))
    share = right / proposals if proposals else None
    return [
        name, wrong, restored, restored / max(wrong, 1), f"{right}/{proposals}", share,
        said / max(proposals, 1), tried_right / tried if tried else None, *_judged(some),
    ]  # fmt: skip


def _judged(some: Sequence[Fared]) -> Iterable[str]:
    """Give how many verdicts on what a copy was made from were right, undecided and wrong."""
    verdicts = [(one.how, verdict) for one in some for verdict in one.verdicts]
    right = sum(verdict is TRULY.get(how) for how, verdict in verdicts)
    undecided = sum(verdict is MadeFrom.UNDECIDED for _, verdict in verdicts)
    yield f"{right}, {undecided}, {len(verdicts) - right - undecided}"


HEADERS = (
    "beside", "wrong words", "restored", "share", "right at .9", "share right", "said", "blind test right",
    "made from: right, undecided, wrong",
)  # fmt: skip


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seeds", type=int, nargs=2, default=SEEDS, metavar=("FROM", "TO"))
    options = parser.parse_args()
    ways = (ALONE, FROM_DRAFT, ANEW, ANOTHER, UNKNOWN)
    first, last = options.seeds
    found = []
    for seed in range(first, last + 1):
        for how in ways:
            found.append(measure(seed, how))
            show(" ".join(str(cell) for cell in row(f"{seed} {how}:", found[-1:])))
    rows = [row(how, [one for one in found if one.how == how]) for how in ways]
    show("\n" + tabulate(rows, headers=HEADERS, floatfmt=".3f", missingval="-"))


if __name__ == "__main__":
    main()
