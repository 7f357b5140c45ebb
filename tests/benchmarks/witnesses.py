"""What other witnesses of the lost text add, and whether what is said of their readings is right.

Arrives: the number of copyists. Leaves: a table on the terminal. Run it from the project's root as
``python -m tests.benchmarks.witnesses``; start reading at ``main``.

The copyists are those of ``plain_copies.py``, without reference text. The witnesses are made here from the
lost original: letters changed, left out and put in at a rate, and words exchanged for others of the text,
five per 1,000. Each is independent, but for the last way: there the witness is a copy of the copy, and nobody
has said so. The program assumes five wrong letters per 1,000 of all of them.
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from tabulate import tabulate

from fidelity.audit import audit
from fidelity.dossier import Dossier, OtherWitness
from fidelity.witnesses.read import read_witness
from tests.benchmarks.plain_copies import dossier_of
from tests.benchmarks.plain_scoring import scored
from tests.benchmarks.scoring import FATES
from tests.benchmarks.several_copies import puts_back
from tests.planted_plain import COPY_LINE, COPY_PAGE_LINES, laid_out, plain_copies

EXCHANGED = 0.005  # of words
SEEDS = (1, 2)


@dataclass(frozen=True)
class Way:
    """The witnesses beside the copy.

    Attributes:
        name: in plain words.
        rates: of each independent one, wrong letters per 1,000.
        share: of the text that each has, 0-1.
        of_copy: whether there is one more, made from the copy.
    """

    name: str
    rates: tuple[float, ...] = ()
    share: float = 1.0
    of_copy: bool = False


WAYS = (
    Way("none"),
    Way("one, as assumed", (5.0,)),
    Way("two, as assumed", (5.0, 5.0)),
    Way("one, a fifth of the text", (5.0,), 0.2),
    Way("one, four times as bad", (20.0,)),
    Way("a copy of the copy, unsaid", (), 1.0, of_copy=True),
)


@dataclass(frozen=True)
class Fared:
    """How one copyist's lost text fared in one way: counts, of proposals at 0.9 or more but for ``wrong``."""

    way: str
    wrong: int
    restored: int
    proposals: int
    right: int
    said: float
    codicum: int
    suspected: int


def made_witness(text: str, per_1000: float, drawn: random.Random) -> str:
    """Copy a text with slips of letters, and words exchanged."""
    words = text.split()
    letters = sorted({letter for letter in text if letter.isalpha()})
    made = []
    for word in words:
        if drawn.random() < EXCHANGED:
            made.append(drawn.choice(words))
            continue
        slipped = "".join(_slip(letter, letters, per_1000, drawn) for letter in word)
        made.append(slipped or word)
    return " ".join(made)


def _slip(letter: str, letters: Sequence[str], per_1000: float, drawn: random.Random) -> str:
    if drawn.random() >= per_1000 / 1000:
        return letter
    return drawn.choice(["", letter + drawn.choice(letters), *(drawn.choice(letters) for _ in range(4))])


def with_witnesses(dossier: Dossier, way: Way, original: str, copy: str, seed: int) -> Dossier:
    """Give the dossier with the witnesses of the lost text."""
    drawn = random.Random(1000 * seed + 7)
    texts = [made_witness(original, rate, drawn) for rate in way.rates]
    texts = [_part(text, way.share, drawn) for text in texts]
    texts += [made_witness(copy, 5.0, drawn)] if way.of_copy else []
    witnesses = []
    for number, text in enumerate(texts):
        siglum = f"K{number}"
        read = read_witness(laid_out(text, COPY_LINE, COPY_PAGE_LINES), siglum=siglum)
        witnesses.append(OtherWitness("L", replace(read, file=f"{siglum}.txt")))
    return replace(dossier, witnesses=tuple(witnesses))


def _part(text: str, share: float, drawn: random.Random) -> str:
    """Keep some of a text, in one piece."""
    words = text.split()
    size = int(len(words) * share)
    start = drawn.randrange(len(words) - size + 1)
    return " ".join(words[start : start + size])


def measure(seed: int, way: Way) -> Fared:
    """Let one copyist be judged in one way, and score what is proposed for his lost text."""
    case = plain_copies(seed)
    dossier = with_witnesses(dossier_of(case, "none"), way, case.lost.original, case.lost.copy, seed)
    found = audit(dossier)
    proposed = [one for one in found.readings if one.is_proposal]
    known = {word for one in dossier.survivors for word in one.original.letters.split()}
    copy = dossier.lost[0].copy
    score = scored(seed, "none", case, copy, proposed, known, lambda word: (word, 0.0))
    sure = [one for one in proposed if one.probability >= 0.9]
    back = sum(puts_back(case.lost, one) for one in sure)
    return Fared(
        way.name,
        score.wrong_words,
        score.fated(FATES[0]),
        score.proposals,
        score.right + back,
        sum(one.probability for one in sure),
        sum(one.ground == "ope_codicum" for one in sure),
        sum("may be a copy of" in note for note in found.notes),
    )


def row(name: str, some: Sequence[Fared]) -> list[object]:
    """Give the figures of one or several copyists in one way."""
    wrong, restored, proposals, right, codicum = (
        sum(getattr(one, what) for one in some)
        for what in ("wrong", "restored", "proposals", "right", "codicum")
    )
    said = sum(one.said for one in some) / max(proposals, 1)
    return [
        *(name, wrong, restored, restored / max(wrong, 1), f"{right}/{proposals}"),
        *(right / proposals if proposals else None, said, codicum, sum(one.suspected for one in some)),
    ]


HEADERS = (
    *("witnesses", "wrong words", "restored", "share", "right at .9", "share right", "said", "ope codicum"),
    "suspected",
)


def main(show: Callable[[str], None] = print) -> None:
    """Run the benchmark and show its figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--seeds", type=int, nargs=2, default=SEEDS, metavar=("FROM", "TO"))
    first, last = parser.parse_args().seeds
    found = []
    for seed in range(first, last + 1):
        for way in WAYS:
            found.append(measure(seed, way))
            show(" ".join(str(cell) for cell in row(f"{seed} {way.name}:", found[-1:])))
    rows = [row(way.name, [one for one in found if one.way == way.name]) for way in WAYS]
    show("\n" + tabulate(rows, headers=HEADERS, floatfmt=".3f", missingval="-"))


if __name__ == "__main__":
    main()
