"""Make an audit as large as any page must bear: a hundred thousand differences, thousands of proposals.

Arrives: how many. Leaves: an ``Audit``, made directly, since aligning texts of this size is measured
elsewhere. One survivor of invented words, with a difference in every other word (a letter changed, left
out or put in, a word parted); a lost text with a proposal in every tenth word. Its alignment gives back
both texts. Everything else is the small audit of ``tests/apparatus/made.py``, its rows repeated at other
places. Start reading at ``large_audit``.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate
from typing import TypeVar

import numpy as np

from fidelity.dossier import LostText, Survivor
from fidelity.judge import Audit
from fidelity.terms import (
    Alignment,
    Cause,
    Confusion,
    Locus,
    Phenomenon,
    ProposedReading,
    Recheck,
    Rescued,
    RulePlace,
    Variant,
    Witness,
)
from tests.apparatus.made import made_audit

WORDS_TO_A_LINE, LINES_TO_A_PAGE = 8, 30  # a quarto page of prose
WORDS_TO_A_DIFFERENCE, WORDS_TO_A_PROPOSAL = 2, 10
LETTERS = "aæbcꝺefᵹhilmnopꞃꞅꞇþƿuy"  # of the originals; ð is what he puts in
SEED = 9  # any will do: the words matter to nobody
Row = TypeVar("Row", Recheck, RulePlace, Rescued)
CAUSES = (Cause.LETTER_CONFUSION, Cause.MINIMS, Cause.SPELLING_HABIT, Cause.UNDETERMINED)


def large_audit(differences: int, proposals: int) -> Audit:
    """Give an audit with so many differences in its survivor and so many proposals for its lost text."""
    rng = random.Random(SEED)
    small = made_audit()
    words = _words(rng, differences * WORDS_TO_A_DIFFERENCE)
    survivor, alignment, variants = _survivor(rng, words)
    lost, readings = _lost(rng, small.readings[0], _words(rng, proposals * WORDS_TO_A_PROPOSAL))
    confusions = _confusions(small.confusions[0], variants)
    return replace(
        small,
        dossier=replace(small.dossier, survivors=(survivor,), lost=(lost,)),
        alignments=(alignment,),
        variants=variants,
        confusions=confusions,
        readings=readings,
        patterns=tuple(small.patterns[0] for _ in range(len(confusions))),
        rechecks=tuple(_elsewhere(small.rechecks[0], variants, proposals)),
        rule_places=tuple(_elsewhere(small.rule_places[0], readings, proposals)),
        rescued=tuple(_elsewhere(small.rescued[0], variants, proposals)),
        attestation=small.attestation * (proposals // 2),
    )


def witness_of(siglum: str, words: Sequence[str], starts: Sequence[int], language: str = "") -> Witness:
    """Give a witness of these words, of which those at ``starts`` begin a line."""
    offsets = [0, *accumulate(len(word) + 1 for word in words)]
    numbers = [divmod(line, LINES_TO_A_PAGE) for line in range(len(starts))]
    return Witness(
        siglum,
        " ".join(words),
        lines=tuple(offsets[at] for at in starts),
        labels=tuple(f"{page + 1}:{line + 1}" for page, line in numbers),
        pages=tuple(str(page + 1) for page, _ in numbers),
        line_ends=("",) * len(starts),
        language=language,
        file=f"{siglum}.txt",
    )


def _words(rng: random.Random, number: int) -> list[str]:
    """Give invented words of three to nine letters."""
    return ["".join(rng.choices(LETTERS, k=rng.randint(3, 9))) for _ in range(number)]


def _locus(text: str, word: int) -> Locus:
    """Cite a word by its number in the text."""
    line, within = divmod(word, WORDS_TO_A_LINE)
    page, line = divmod(line, LINES_TO_A_PAGE)
    return Locus(text, f"{page + 1}:{line + 1}", within + 1)


def _survivor(rng: random.Random, words: list[str]) -> tuple[Survivor, Alignment, tuple[Variant, ...]]:
    """Copy words with a difference in every other one."""
    steps: list[tuple[int, ...]] = []
    variants: list[Variant] = []
    written = []
    original_at = copy_at = kept_original = kept_copy = 0
    for number, word in enumerate(words):
        copied = word
        if number % WORDS_TO_A_DIFFERENCE:
            at = rng.randrange(1, len(word))
            phenomenon = list(Phenomenon)[number // WORDS_TO_A_DIFFERENCE % 5]
            new, taken = _slip(rng, phenomenon)
            copied = word[:at] + new + word[at + taken :]
            of, to = (original_at + at, original_at + at + taken), (copy_at + at, copy_at + at + len(new))
            steps += [(kept_original, of[0], kept_copy, to[0], 0), (*of, *to, 1)]
            kept_original, kept_copy = of[1], to[1]
            variants.append(
                Variant(
                    *(len(variants) + 1, "E", _locus("E", number), word[at : at + taken], new, word, copied),
                    *(of, to, phenomenon, CAUSES[number % len(CAUSES)]),
                    pairs=((word[at : at + taken], new),),
                )
            )
        written.append(copied)
        original_at += len(word) + 1
        copy_at += len(copied) + 1
    steps.append((kept_original, original_at - 1, kept_copy, copy_at - 1, 0))
    starts = range(0, len(words), WORDS_TO_A_LINE)
    original, copy = witness_of("E", words, starts, "ang"), witness_of("E", written, starts)
    alignment = Alignment(original, copy, np.array(steps, dtype=np.int32), 1.0, 1)
    return Survivor("E", original, copy), alignment, tuple(variants)


def _slip(rng: random.Random, phenomenon: Phenomenon) -> tuple[str, int]:
    """Give what he writes, and for how many letters."""
    if phenomenon is Phenomenon.OMISSION:
        return "", 1
    if phenomenon is Phenomenon.ADDITION:
        return "ð", 0
    return (" ", 0) if phenomenon is Phenomenon.DIVISION else (rng.choice("rstcnumpw"), 1)


def _lost(
    rng: random.Random, like: ProposedReading, words: list[str]
) -> tuple[LostText, tuple[ProposedReading, ...]]:
    """Give a lost text, and a proposal for every tenth of its words, as full of evidence as another."""
    witness = witness_of("X", words, range(0, len(words), WORDS_TO_A_LINE), "ang")
    readings: list[ProposedReading] = []
    at = 0
    for number, word in enumerate(words):
        if number % WORDS_TO_A_PROPOSAL == 0:
            readings.append(
                replace(
                    like,
                    number=len(readings) + 1,
                    locus=_locus("X", number),
                    copy_span=(at, at + len(word)),
                    transmitted=word,
                    proposed=word[:-1] + "ꞅ",
                    probability=round(rng.uniform(0.2, 0.99), 3),
                    context=word,
                    passage=" ".join(words[max(number - 2, 0) : number + 3]),
                )
            )
        at += len(word) + 1
    return LostText("X", witness), tuple(readings)


def _confusions(like: Confusion, variants: Sequence[Variant]) -> tuple[Confusion, ...]:
    """Count the letters taken for others, each with all its places."""
    places: dict[tuple[str, str], list[Locus]] = {}
    for one in variants:
        places.setdefault(one.pairs[0], []).append(one.locus)
    found = sorted(places.items(), key=lambda one: -len(one[1]))
    return tuple(
        replace(
            like,
            original=o,
            copy=c,
            folded=f"{o}→{c}",
            count=len(loci),
            chances=9 * len(loci),
            loci=tuple(loci),
        )
        for (o, c), loci in found
    )


def _elsewhere(row: Row, places: Sequence[Variant | ProposedReading], number: int) -> Iterator[Row]:
    """Repeat a row at other places."""
    for place in places[:number]:
        yield replace(row, locus=place.locus)
