"""Originals and copies made up for measuring the alignment, of any size and with known slips.

Arrives: a size in letters, a kind of text, a share of letters that go wrong, a seed. Leaves: an
original and its copy. Start reading at ``made_pair``; for planted operations at ``with_operations``.

The words are made of syllables by a seeded generator and belong to no language. Their letters are
all in Latin-1, so that a text of ten million letters takes ten million bytes.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

Bytes = npt.NDArray[np.uint8]
Operation = tuple[str, str]

FORMS = 3000  # word forms; a small cartulary has about as many
ZIPF_SHIFT = 2.7  # frequency as 1 / (rank + 2.7): the form of Mandelbrot 1953, the shift from memory
STOP_EVERY = 12  # words to a sentence, about
FORMULAS = 60  # different formulas in a formulaic text
FORMULA_WORDS = (8, 40)  # shortest and longest formula
FREE_WORDS = (1, 8)  # between formulas: names and bounds
CHANGED_WORDS = 0.05  # share of a formula's words that are others this time

# What goes wrong at a letter inside a word; at a word division the words are joined.
SUBSTITUTED, OMITTED, ADDED, PARTED = 0.62, 0.18, 0.13, 0.07
HABITUAL = 0.5  # share of the substitutions that are the copyist's own confusion of that letter
SKIP_EVERY = 10_000  # letters to one eye-skip, from a word to its next occurrence
SKIP_REACH = (20, 160)  # letters that a skip may lose

# Syllables with their weights: every letter sequence of OPERATIONS stands at 0.5 % of all places or more.
ONSETS = dict.fromkeys(["b", "d", "g", "h", "m", "p", "r", "s", "st", "t", "þ", "w"], 1)
ONSETS |= dict.fromkeys(["cl", "f", "l", "n", "vv"], 2) | {"c": 3}
NUCLEI = {"a": 2, "e": 3, "i": 4, "o": 1, "u": 1, "æ": 1, "ea": 1, "iu": 1, "ii": 1}
CODAS = {"": 3, "n": 2, "rn": 2, "rt": 2, "tt": 2, "s": 1, "l": 1, "m": 1, "d": 1}
SYLLABLES = (0.35, 0.5, 0.15)  # share of words of one, two and three syllables

OPERATIONS: tuple[Operation, ...] = (
    ("rn", "m"),
    ("m", "rn"),
    ("in", "m"),
    ("ni", "m"),
    ("cl", "d"),
    ("li", "h"),
    ("rt", "st"),
    ("ci", "a"),
    ("vv", "w"),
    ("ii", "u"),
    ("iu", "ni"),
    ("fi", "h"),
    ("tt", "n"),
)


@dataclass(frozen=True)
class MadePair:
    """An original and its copy.

    Attributes:
        original, copy: the texts in letters.
        planted: how often each operation was planted.
        chances: how often each operation's letters stand in the original.
    """

    original: str
    copy: str
    planted: dict[Operation, int]
    chances: dict[Operation, int]


@cache
def vocabulary(seed: int = 1) -> tuple[str, ...]:
    """Give the word forms, the commonest first; short words are commoner (Zipf 1949)."""
    rng = np.random.default_rng(seed)
    words: dict[str, float] = {}
    while len(words) < FORMS:
        count = int(rng.choice(3, p=SYLLABLES)) + 1
        tables = [ONSETS, NUCLEI, CODAS] * count
        word = "".join(_drawn(table, rng) for table in tables)
        words.setdefault(word, len(word) + rng.normal(0, 2.5))
    return tuple(sorted(words, key=lambda word: (words[word], word)))


def _drawn(weights: dict[str, int], rng: np.random.Generator) -> str:
    """Draw a part of a syllable by its weight."""
    shares = np.array(list(weights.values())) / sum(weights.values())
    return list(weights)[int(rng.choice(len(weights), p=shares))]


def made_text(letters: int, *, formulaic: bool, seed: int) -> str:
    """Make a text of so many letters: running words, or formulas with free words between.

    Args:
        letters: its length.
        formulaic: whether formulas return again and again with small changes, as in charters.
        seed: of everything drawn.
    """
    rng = np.random.default_rng([seed, letters, formulaic])
    words = vocabulary()
    weights = 1 / (np.arange(len(words)) + ZIPF_SHIFT)
    weights /= weights.sum()
    count = letters // 3 + 50  # more than enough: a word and its division have over three letters
    drawn = rng.choice(len(words), count, p=weights)
    stops = rng.random(count) < 1 / STOP_EVERY
    numbers = np.where(stops, drawn + len(words), drawn)
    if formulaic:
        numbers = _with_formulas(numbers, rng, len(words), letters)
    written = [*words, *(word + "." for word in words)]
    text = " ".join(map(written.__getitem__, numbers[: letters // 3 + 50].tolist()))
    return text[:letters]


def _with_formulas(
    free: npt.NDArray[np.int64], rng: np.random.Generator, forms: int, letters: int
) -> npt.NDArray[np.int64]:
    """Put formulas between stretches of free words; in each a word may be another this time."""
    formulas = []
    for _ in range(FORMULAS):
        length = int(rng.integers(*FORMULA_WORDS))
        formula = rng.choice(free % forms, length)
        formula[-1] += forms  # with a stop
        formulas.append(formula)
    parts: list[npt.NDArray[np.int64]] = []
    at, total = 0, 0
    wanted = letters // 3 + 50
    while total < wanted:
        formula = formulas[min(int(rng.exponential(FORMULAS / 4)), FORMULAS - 1)].copy()
        other = rng.random(len(formula)) < CHANGED_WORDS
        formula[other] = rng.choice(free, int(other.sum()))
        length = int(rng.integers(*FREE_WORDS))
        parts += [formula, free[at : at + length]]
        total += len(formula) + length
        at = (at + length) % (len(free) - FREE_WORDS[1])
    return np.concatenate(parts)


def made_pair(letters: int, noise: float, *, formulaic: bool = False, seed: int = 1) -> MadePair:
    """Make an original and a copy with slips and a few eye-skips.

    Args:
        letters: length of the original.
        noise: share of the letters at which something goes wrong, 0-1; eye-skips come on top.
        formulaic: whether the text is full of formulas.
        seed: of everything drawn.
    """
    original = made_text(letters, formulaic=formulaic, seed=seed)
    rng = np.random.default_rng([seed, letters, formulaic, round(noise * 1000)])
    first, second = _slips(original, noise, rng)
    for start, end in _skips(original, rng):
        first[start:end] = second[start:end] = 0
    return MadePair(original, _joined(first, second), {}, {})


def made_texts(letters: int, noise: float, texts: int, *, seed: int = 1) -> list[MadePair]:
    """Make several originals and their copies by one copyist: his confusions are the same in all.

    Args:
        letters: length of the originals together.
        noise: share of the letters at which something goes wrong, 0-1.
        texts: how many.
        seed: of everything drawn.
    """
    original = made_text(letters, formulaic=False, seed=seed)
    rng = np.random.default_rng([seed, letters, texts])
    first, second = _slips(original, noise, rng)
    cuts = [original.find(" ", at) + 1 for at in range(letters // texts, letters, letters // texts)]
    cuts = [0, *cuts[: texts - 1], len(original)]
    return [
        MadePair(original[start:end], _joined(first[start:end], second[start:end]), {}, {})
        for start, end in pairwise(cuts)
    ]


def with_operations(letters: int, noise: float, rate: float, *, seed: int) -> MadePair:
    """Make an original and a copy in which every operation of ``OPERATIONS`` is planted.

    Args:
        letters: length of the original.
        noise: share of the letters at which something else goes wrong, 0-1.
        rate: share of an operation's chances at which it is planted, 0-1; where two meet, the
            first is planted.
        seed: of everything drawn.
    """
    original = made_text(letters, formulaic=False, seed=seed)
    rng = np.random.default_rng([seed, letters, 7])
    first, second = _slips(original, noise, rng)
    drawn = []
    chances = {}
    for operation in OPERATIONS:
        places = _places(original, operation[0])
        chances[operation] = len(places)
        drawn += [(at, operation) for at in places if rng.random() < rate]
    planted = dict.fromkeys(OPERATIONS, 0)
    done = 0
    for at, (letters_there, written) in sorted(drawn):
        end = at + len(letters_there)
        if at < done:
            continue
        first[at:end] = second[at:end] = 0
        first[at] = ord(written[0])
        second[at] = ord(written[1]) if len(written) > 1 else 0
        planted[letters_there, written] += 1
        done = end
    return MadePair(original, _joined(first, second), planted, chances)


def _places(text: str, sought: str) -> list[int]:
    """Give every place of some letters in a text, overlapping ones too."""
    places = []
    at = text.find(sought)
    while at >= 0:
        places.append(at)
        at = text.find(sought, at + 1)
    return places


def _slips(original: str, noise: float, rng: np.random.Generator) -> tuple[Bytes, Bytes]:
    """Copy letter by letter: for each the letter written (0 for none) and one written after it."""
    letters = np.frombuffer(original.encode("latin-1"), dtype=np.uint8)
    alphabet = np.unique(letters[~np.isin(letters, np.frombuffer(b" .", dtype=np.uint8))])
    own = np.zeros(256, dtype=np.uint8)  # his confusion of each letter
    mixed = rng.permutation(alphabet)
    own[mixed] = np.roll(mixed, 1)  # a round, so that none is its own
    first, second = letters.copy(), np.zeros_like(letters)
    wrong = np.flatnonzero(rng.random(len(letters)) < noise)
    division = letters[wrong] == ord(" ")
    first[wrong[division]] = 0
    wrong = wrong[~division]
    kind = rng.choice(4, len(wrong), p=(SUBSTITUTED, OMITTED, ADDED, PARTED))
    other = rng.choice(alphabet, len(wrong))
    habitual = (rng.random(len(wrong)) < HABITUAL) & (own[letters[wrong]] > 0)
    written = np.where(habitual, own[letters[wrong]], other)
    first[wrong[kind == 0]] = written[kind == 0]
    first[wrong[kind == 1]] = 0
    second[wrong[kind == 2]] = other[kind == 2]
    second[wrong[kind == 3]] = ord(" ")
    return first, second


def _skips(original: str, rng: np.random.Generator) -> list[tuple[int, int]]:
    """Give stretches that the eye jumps over: from the end of a word to its next end nearby."""
    skips = []
    for _ in range(round(len(original) / SKIP_EVERY)):
        start = original.find(" ", int(rng.integers(len(original))))
        end = original.find(" ", start + 1)
        if start < 0 or end < 0:
            continue
        again = original.find(original[start : end + 1], end + SKIP_REACH[0], end + SKIP_REACH[1])
        if again >= 0:
            skips.append((end, again + end - start))
    return skips


def _joined(first: Bytes, second: Bytes) -> str:
    """Write out what was written for each letter."""
    both = np.stack([first, second], axis=1).ravel()
    return both[both > 0].tobytes().decode("latin-1")
