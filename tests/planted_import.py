"""Copies with a planted stretch from another witness: where it begins and ends is known.

Arrives: a seed, and the Völsunga saga (see ``planted.py``). Leaves: a lost text's copy, a witness with
errors of its own, a third witness, and what the copyist did in texts that survive. Start reading at
``planted_case``.

A text is a list of the words of an archetype; a scribe leaves words out, writes others, and changes letters,
so that any stretch of the archetype can be found in every text that descends from it. Each scribe has a few
misreadings of his own out of a common stock, as hands that are alike mislead alike, and slips besides.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np

from fidelity.dossier import Dossier, Survivor
from fidelity.judge import Audit, judge
from fidelity.settings import Settings
from fidelity.sources.imported import Survivors, survivors_of
from fidelity.terms import Witness
from fidelity.witnesses.folds import NO_FOLDS
from tests.planted import saga_lines

Words = list[str]  # "" for a word left out

LOOK_ALIKE = ("nu", "un", "rn", "rs", "sr", "ct", "tc", "eo", "oe", "fs", "sf", "ao", "lt", "bh", "hb", "ce")
MISREADINGS = 5  # of the stock, each scribe's own
REACH = 12  # words within which the eye may come back to a like one
SHARES = {  # of a scribe's errors; chosen
    "misreading": 0.45, "slip": 0.2, "omitted": 0.1, "added": 0.05, "division": 0.06, "skip": 0.05,
    "word": 0.04, "twice": 0.05,
}  # fmt: skip
SURVIVING = 60_000  # letters of the texts that survive, in two


@dataclass(frozen=True)
class Scribe:
    """Who errs so often and so.

    Attributes:
        rate: errors per letter.
        misreadings: letter -> what he takes it for.
    """

    rate: float
    misreadings: dict[str, str]

    def copies(self, words: Words, rng: np.random.Generator) -> Words:
        """Copy a text, errors and all."""
        written = list(words)
        self._letters(written, rng)
        size = sum(map(len, words))
        for kind in ("division", "skip", "word", "twice"):
            for at in rng.integers(
                0, len(words) - REACH, rng.poisson(self.rate * SHARES[kind] * size)
            ).tolist():
                _WHOLE[kind](written, at)
        return written

    def _letters(self, written: Words, rng: np.random.Generator) -> None:
        """Change single letters."""
        letters = np.array(list("".join(written)))
        word = np.repeat(np.arange(len(written)), [len(each) for each in written])
        start = np.concatenate([[0], np.cumsum([len(each) for each in written])])
        size = len(letters)
        prone = np.isin(letters, list(self.misreadings))
        chance = np.full(size, self.rate * (SHARES["slip"] + SHARES["omitted"] + SHARES["added"]))
        often = self.rate * SHARES["misreading"] * size / max(prone.sum(), 1)
        hits = np.flatnonzero(rng.random(size) < np.where(prone, often, 0.0))
        slips = np.flatnonzero(rng.random(size) < chance)
        alphabet = sorted(set(letters.tolist()))
        for at in sorted({*hits.tolist(), *slips.tolist()}, reverse=True):
            number, letter = int(word[at]), str(letters[at])
            new = self.misreadings[letter] if at in hits else self._slip(letter, alphabet, rng)
            inside = at - int(start[number])
            written[number] = written[number][:inside] + new + written[number][inside + 1 :]

    def _slip(self, letter: str, alphabet: list[str], rng: np.random.Generator) -> str:
        """Write any letter for one, none, or one more."""
        kinds = np.array([SHARES["slip"], SHARES["omitted"], SHARES["added"]])
        kind = int(rng.choice(3, p=kinds / kinds.sum()))
        other = str(rng.choice(alphabet))
        return (other, "", letter + other)[kind]


def _division(words: Words, at: int) -> None:
    """Join a word to the next, or part a long one."""
    if len(words[at]) > 6:
        words[at] = words[at][:3] + " " + words[at][3:]
    elif words[at] and words[at + 1]:
        words[at], words[at + 1] = words[at] + words[at + 1], ""


def _skip(words: Words, at: int) -> None:
    """Go on after the next word that ends alike."""
    for last in range(at + 1, at + REACH):
        if words[at][-3:] and words[last][-3:] == words[at][-3:]:
            words[at + 1 : last + 1] = [""] * (last - at)
            return


def _word(words: Words, at: int) -> None:
    """Leave a word out."""
    words[at] = ""


def _twice(words: Words, at: int) -> None:
    """Write a word twice."""
    words[at] = f"{words[at]} {words[at]}".strip()


_WHOLE = {"division": _division, "skip": _skip, "word": _word, "twice": _twice}


def scribe(rate: float, rng: np.random.Generator) -> Scribe:
    """Draw a scribe."""
    stock = [LOOK_ALIKE[at] for at in rng.permutation(len(LOOK_ALIKE))]
    misreadings: dict[str, str] = {}
    for pair in stock:
        if len(misreadings) < MISREADINGS:
            misreadings.setdefault(pair[0], pair[1])
    return Scribe(rate, misreadings)


@cache
def archetype() -> Words:
    """Give the words of the saga, in small letters, without stops."""
    return " ".join(saga_lines()).split()


def witness(siglum: str, words: Words) -> Witness:
    """Give a text as a witness, in one line."""
    return Witness(siglum, " ".join(filter(None, words)))


@dataclass(frozen=True, eq=False)
class Copyist:
    """A copyist with what he did in texts that survive.

    Attributes:
        scribe: how he errs.
        survivors: what is learned of him.
        rest: where in the archetype the texts that survive end.
        judged: the first half of the chain over them.
    """

    scribe: Scribe
    survivors: Survivors
    rest: int
    judged: Audit = field(repr=False)


def copyist(seed: int) -> Copyist:
    """Draw a copyist, let him copy what survives, and learn from it."""
    rng = np.random.default_rng([seed, 1])
    pen = scribe(float(rng.uniform(0.002, 0.008)), rng)
    words = archetype()
    rest = int(np.searchsorted(np.cumsum([len(word) for word in words]), SURVIVING))
    survivors = []
    for name, part in (("A", words[: rest // 2]), ("B", words[rest // 2 : rest])):
        survivors.append(Survivor(name, witness(name, part), witness(name, pen.copies(part, rng))))
    found = judge(dossier_of(tuple(survivors)))
    return Copyist(pen, survivors_of(found.dossier, found.counts, found.variants, found.scores), rest, found)


def dossier_of(survivors: tuple[Survivor, ...]) -> Dossier:
    """Give a dossier that holds these survivors alone."""
    from pathlib import Path

    return Dossier(Path(), "", "", NO_FOLDS, survivors, (), (), (), Settings())


@dataclass(frozen=True, eq=False)
class PlantedImport:
    """A lost text's copy with its witnesses, and what was planted.

    Attributes:
        copy, witness, third: the texts.
        letters: of the archetype.
        rate: the witness's errors per letter.
        stretch: indices of the first word taken from the witness and of the one after the last; None
            where nothing was.
        starts: offset in the copy of each word of the archetype, and the end.
    """

    copy: Witness
    witness: Witness
    third: Witness
    letters: int
    rate: float
    stretch: tuple[int, int] | None
    starts: tuple[int, ...]


def planted_case(by: Copyist, seed: int, planted: bool, ancestor: bool = False) -> PlantedImport:
    """Let a copyist copy a lost text of 5,000 to 50,000 letters.

    Args:
        by: the copyist.
        seed: of everything drawn.
        planted: whether 2 to 20 % of it, at a place drawn, are taken from the witness.
        ancestor: whether witness and lost original descend from one ancestor that had half of the
            witness's errors.
    """
    rng = np.random.default_rng([seed, 2])
    words = archetype()
    letters = int(rng.uniform(5_000, 50_000))
    lengths = np.cumsum([len(word) + 1 for word in words])
    last_start = int(np.searchsorted(lengths, lengths[-1] - letters - 100))
    start = int(rng.integers(by.rest, max(last_start, by.rest + 1)))
    end = int(np.searchsorted(lengths, lengths[start] + letters))
    text = words[start:end]
    rates = rng.uniform(0.001, 0.010, 2)
    of_ancestor = rates[0] / 2 if ancestor else 0.0
    common = scribe(of_ancestor, rng).copies(text, rng) if ancestor else text
    kept = scribe(rates[0] - of_ancestor, rng).copies(common, rng)
    third = scribe(float(rates[1]), rng).copies(text, rng)
    lost = scribe(float(rng.uniform(0.001, 0.005)), rng).copies(common, rng)
    stretch = None
    if planted:
        size = int(len(text) * rng.uniform(0.02, 0.20))
        first = int(rng.integers(0, len(text) - size))
        stretch = (first, first + size)
        lost[first : first + size] = kept[first : first + size]
    written = by.scribe.copies(lost, rng)
    sizes = [len(word) + 1 if word else 0 for word in written]
    starts = tuple(np.concatenate([[0], np.cumsum(sizes)]).tolist())
    copy, other, beside = (witness(*each) for each in (("X", written), ("K", kept), ("W", third)))
    return PlantedImport(copy, other, beside, letters, float(rates[0]), stretch, starts)
