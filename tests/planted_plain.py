"""Plain copies: a careful copyist with habits of his own, who errs a few times on a page.

Arrives: a seed, and the Völsunga saga (see ``planted.py``), cut into texts that survive, one that is lost,
and the rest for reference. Leaves: what he copied, and for each error where it was planted and by what.
Start reading at ``plain_copies``; what he is like is drawn by ``plain_copyist``.

The saga has some 132,000 letters, divisions of words counted: beside 30,000 that survive and 30,000 that are
lost it leaves about 72,000 for reference, not 100,000.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from textwrap import wrap

import numpy as np

from fidelity.copyist.tagging import LONGEST_TAIL, Tagged, shared_out
from tests.planted import saga_lines
from tests.planted_errors import eye_skip, minims, once_for_twice, word_lost
from tests.planted_hand import Hand, looks_like
from tests.planted_mechanisms import Edit, Exemplar, Mechanism

SURVIVORS, SURVIVOR_LETTERS, LOST_LETTERS, REFERENCE_LETTERS = 3, 10_000, 30_000, 100_000
LINE, PAGE_LINES = 56, 28  # the original's: letters to the line, lines to the page
COPY_LINE, COPY_PAGE_LINES = 66, 24  # the copyist keeps to his own
RATES = (0.002, 0.006)  # errors per letter, a careful copyist's
SHARES = {"misreading": 0.45, "minims": 0.15, "spelling": 0.2, "division": 0.12, "skip": 0.08}
UNLIKE = 20.0  # how like one another copyists are in these shares: Dirichlet's parameters are so many times
SHAPE_WEIGHTS = (0.35, 0.25, 0.15, 0.1, 0.05)  # of his confusions; the rest are any letters of like shape
BAD_PAGES, BAD_FACTOR = 0.2, (2.0, 4.0)  # share of the pages, and how many times the rate of a good one
LESSER = 0.2  # share of his lesser habit of spelling (if any), and of the division that is not his habit
EDGE = 14  # words at both ends of a text kept free: a mechanism looks so far ahead
TRIES, A_WAY = 2_000, 200  # words looked at for an occasion, so many of them for one way of erring

# How words are spelled in his day (modern Icelandic against the saga's spelling, from general knowledge).
SPELLINGS = {
    "k>g": (r"(?<=[ei])k$", "g"), "t>ð": (r"(?<=[aáiu])t$", "ð"), "r>ur": (r"(?<=[dðfgklmnpstv])r$", "ur"),
    "pt>ft": (r"pt", "ft"), "vá>vo": (r"vá", "vo"), "y>i": (r"y", "i"), "ll>l": (r"ll", "l"),
}  # fmt: skip


@dataclass(frozen=True)
class PlainCopyist:
    """What a copyist is like.

    Attributes:
        rate: errors per letter.
        bad_factor: how many times the rate of a good page a bad one has.
        shares: of his errors, by mechanism.
        shapes: (letter, misread) -> share of his misreadings.
        spellings: name in ``SPELLINGS`` -> share of his normalised spellings.
        joins: share of his wrong divisions that join two words; the others part one.
    """

    rate: float
    bad_factor: float
    shares: Mapping[str, float]
    shapes: Mapping[tuple[str, str], float]
    spellings: Mapping[str, float]
    joins: float


def plain_copyist(seed: int) -> PlainCopyist:
    """Draw a copyist."""
    rng = np.random.default_rng([seed, 1])
    shares = rng.dirichlet(UNLIKE * np.array(list(SHARES.values())))
    names = rng.permutation(sorted(SPELLINGS)).tolist()
    spellings = {names[0]: 1.0} if rng.random() < 0.5 else {names[0]: 1 - LESSER, names[1]: LESSER}
    return PlainCopyist(
        rate=float(rng.uniform(*RATES)),
        bad_factor=float(rng.uniform(*BAD_FACTOR)),
        shares=dict(zip(SHARES, shares.tolist(), strict=True)),
        shapes=dict(zip(Hand(rng).habits, SHAPE_WEIGHTS, strict=True)),
        spellings=spellings,
        joins=float(rng.choice([LESSER, 1 - LESSER])),
    )


@dataclass(frozen=True)
class PlainCopy:
    """An original and what the copyist made of it.

    Attributes:
        original, copy: in letters and single spaces.
        edits: the errors, in order; offsets in the original.
        copied: for each the offsets of what he wrote for it, in the copy.
        pages: offset at which each page of the original begins.
        bad: for each page whether it is a bad one.
    """

    original: str
    copy: str
    edits: tuple[Edit, ...]
    copied: tuple[tuple[int, int], ...]
    pages: tuple[int, ...]
    bad: tuple[bool, ...]

    def truth(self) -> Tagged:
        """Give what the original has at each letter of the copy, as it was planted.

        Letters left out hang on the letter before; where more than six are, nothing hangs anywhere, as in
        what the program learns from: such a skip is no wrong word.
        """
        tags = list(self.copy)
        for edit, (start, end) in zip(self.edits, self.copied, strict=True):
            meant = self.original[edit.start : edit.end]
            if end > start:
                tags[start:end] = shared_out(meant, edit.written)
            elif len(meant) <= LONGEST_TAIL:
                tags[start - 1] += meant
        return Tagged(self.copy, tuple(tags), (True,) * len(tags))


@dataclass(frozen=True)
class PlainCase:
    """One copyist's survivors and lost text, and more text of the original's language."""

    copyist: PlainCopyist
    survivors: tuple[PlainCopy, ...]
    lost: PlainCopy
    reference: str


def plain_copies(seed: int) -> PlainCase:
    """Let one copyist copy three texts that survive and one that is lost; none of them overlap."""
    copyist = plain_copyist(seed)
    rng = np.random.default_rng([seed, 2])
    *texts, reference = stretches(rng, [SURVIVOR_LETTERS] * SURVIVORS + [LOST_LETTERS, REFERENCE_LETTERS])
    *survivors, lost = (copied(words, copyist, rng) for words in texts)
    return PlainCase(copyist, tuple(survivors), lost, " ".join(reference))


def stretches(rng: np.random.Generator, sizes: Sequence[int]) -> list[list[str]]:
    """Cut the saga, from a place drawn at random and round its end, into stretches of so many letters.

    The last one is shorter where the saga ends.
    """
    words = " ".join(saga_lines()).split()
    start = int(rng.integers(len(words)))
    words = words[start:] + words[:start]
    ends = np.cumsum([len(word) + 1 for word in words])
    borders = [0, *np.searchsorted(ends, np.cumsum(sizes)).tolist()]
    return [words[first:last] for first, last in pairwise(borders)]


def misreads(letter: str, other: str) -> Mechanism:
    """Make the mechanism of reading one letter for another."""

    def mechanism(exemplar: Exemplar, at: int) -> Edit | None:
        places = [place for place, found in enumerate(exemplar.words[at]) if found == letter]
        if not places:
            return None
        first = places[exemplar.pick(len(places))]
        return exemplar.replaced("misreading", at, other, first, first + 1)

    return mechanism


def misreads_any(exemplar: Exemplar, at: int) -> Edit | None:
    """He reads any letter for one of like shape."""
    word = exemplar.words[at]
    first = exemplar.pick(len(word))
    if not (near := looks_like(word[first])):
        return None
    weights = np.array([weight for _, weight in near])
    other = near[int(exemplar.rng.choice(len(near), p=weights / weights.sum()))][0]
    return exemplar.replaced("misreading", at, other, first, first + 1)


def spells(name: str) -> Mechanism:
    """Make the mechanism of spelling as in his day."""
    pattern, written = SPELLINGS[name]

    def mechanism(exemplar: Exemplar, at: int) -> Edit | None:
        found = re.search(pattern, exemplar.words[at])
        return exemplar.replaced("spelling", at, written, *found.span()) if found else None

    return mechanism


def counts_minims(exemplar: Exemplar, at: int) -> Edit | None:
    """He parts a run of strokes otherwise, but takes them for letters that stand together in words."""
    edit = minims(exemplar, at)
    return None if edit is None or "ii" in edit.written else edit


def joins(exemplar: Exemplar, at: int) -> Edit | None:
    """He writes a little word and the next as one."""
    _, end = exemplar.span(at, at)
    return Edit("division", end, end + 1, "") if len(exemplar.words[at]) <= 3 else None


def parts(exemplar: Exemplar, at: int) -> Edit | None:
    """He parts a long word."""
    word = exemplar.words[at]
    if len(word) < 7:
        return None
    place = 3 + exemplar.pick(len(word) - 5)
    return exemplar.replaced("division", at, " ", place, place)


@dataclass
class Pen:
    """The copyist's mechanisms, and how often he uses each."""

    copyist: PlainCopyist
    kinds: dict[str, list[tuple[Mechanism, float]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        one = self.copyist
        shapes = [(misreads(*pair), share) for pair, share in one.shapes.items()]
        self.kinds = {
            "misreading": [*shapes, (misreads_any, 1 - sum(one.shapes.values()))],
            "minims": [(counts_minims, 1.0)],
            "spelling": [(spells(name), share) for name, share in one.spellings.items()],
            "division": [(joins, one.joins), (parts, 1 - one.joins)],
            "skip": [(eye_skip, 0.4), (word_lost, 0.3), (once_for_twice, 0.3)],
        }

    def draw(self, rng: np.random.Generator) -> tuple[str, Mechanism]:
        """Draw what goes wrong next: a kind of error, and in what way."""
        kind = str(rng.choice(list(self.kinds), p=list(self.copyist.shares.values())))
        ways = self.kinds[kind]
        return kind, ways[int(rng.choice(len(ways), p=[share for _, share in ways]))][0]


def copied(words: list[str], copyist: PlainCopyist, rng: np.random.Generator) -> PlainCopy:
    """Let the copyist copy a text: so many errors on each page as its quality and chance will have."""
    exemplar = Exemplar(rng, words)
    ends = np.cumsum([len(word) + 1 for word in words])
    exemplar.starts = [0, *ends[:-1].tolist()]
    pages = page_words(words)
    bad = rng.random(len(pages)) < BAD_PAGES
    factors = np.where(bad, copyist.bad_factor, 1.0) / (1 + BAD_PAGES * (copyist.bad_factor - 1))
    pen, taken = Pen(copyist), np.zeros(len(words), dtype=bool)
    taken[:EDGE] = taken[-EDGE:] = True
    edits: list[Edit] = []
    for page, factor in zip(pages, factors.tolist(), strict=True):
        letters = sum(len(words[at]) + 1 for at in page)
        for _ in range(int(rng.poisson(copyist.rate * factor * letters))):
            edits += _one_error(exemplar, pen, page, taken)
    edits.sort(key=lambda edit: edit.start)
    copy, spans = _written(" ".join(words), edits)
    starts = tuple(exemplar.starts[page[0]] for page in pages)
    return PlainCopy(" ".join(words), copy, tuple(edits), spans, starts, tuple(bad.tolist()))


def _one_error(exemplar: Exemplar, pen: Pen, page: range, taken: np.ndarray) -> list[Edit]:
    """Make one error somewhere on a page, where no other is beside it; none if there is no occasion."""
    for attempt in range(TRIES):
        if attempt % A_WAY == 0:
            kind, mechanism = pen.draw(exemplar.rng)
        at = page[exemplar.pick(len(page))]
        edit = None if taken[at] else mechanism(exemplar, at)
        if edit is None:
            continue
        last = int(np.searchsorted(exemplar.starts, max(edit.end - 1, edit.start), side="right"))
        if not taken[at : last + 1].any():
            taken[at - 1 : last + 1] = True
            return [Edit(kind, edit.start, edit.end, edit.written)]
    return []


def _written(original: str, edits: Sequence[Edit]) -> tuple[str, tuple[tuple[int, int], ...]]:
    """Write the copy, and say where each error stands in it."""
    pieces, spans, size, done = [], [], 0, 0
    for edit in edits:
        pieces += [original[done : edit.start], edit.written]
        size += edit.start - done
        spans.append((size, size + len(edit.written)))
        size += len(edit.written)
        done = edit.end
    return "".join([*pieces, original[done:]]), tuple(spans)


def page_words(words: Sequence[str]) -> list[range]:
    """Set an original in lines and pages; gives the words of each page."""
    counts = [len(line.split()) for line in wrap(" ".join(words), LINE)]
    borders = [0, *np.cumsum(counts)[PAGE_LINES - 1 :: PAGE_LINES].tolist()]
    if borders[-1] < len(words):
        borders.append(len(words))
    return [range(first, last) for first, last in pairwise(borders)]


def laid_out(text: str, line: int, page_lines: int) -> str:
    """Set a text in lines, with a mark before each page."""
    lines = wrap(text, line)
    marked = (f"[p. {number // page_lines + 1}]\n{one}" if not number % page_lines else one
              for number, one in enumerate(lines))  # fmt: skip
    return "\n".join(marked)
