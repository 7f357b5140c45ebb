"""A hand that takes letters for others of like shape.

Arrives: the exemplar and a word of it. Leaves: the letter or group misread. Start reading at ``Hand``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import numpy as np

from tests.planted_mechanisms import Edit, Exemplar, bare

# The shape of each letter, from general knowledge of a round book hand: strokes (i one, n two, m three),
# ascender, descender, bowl open (1) or closed (2), crossbar, curve to the right at the top.
SHAPES = {
    "a": (2, 0, 0, 2, 0, 0), "b": (1, 1, 0, 2, 0, 0), "c": (1, 0, 0, 1, 0, 1), "d": (1, 1, 0, 2, 0, 1),
    "e": (1, 0, 0, 1, 1, 1), "f": (1, 1, 0, 0, 1, 1), "g": (1, 0, 1, 2, 0, 0), "h": (2, 1, 0, 0, 0, 0),
    "k": (2, 1, 0, 0, 0, 1), "l": (1, 1, 0, 0, 0, 0), "o": (2, 0, 0, 2, 0, 1), "p": (1, 0, 1, 2, 0, 0),
    "r": (1, 0, 0, 0, 0, 1), "s": (1, 1, 0, 0, 0, 1), "t": (1, 0, 0, 1, 1, 0), "x": (2, 0, 0, 0, 0, 1),
    "y": (2, 0, 1, 0, 0, 0), "z": (1, 0, 0, 0, 1, 0), "þ": (1, 1, 1, 2, 0, 0), "ð": (1, 1, 0, 2, 1, 1),
    "n": (2, 0, 0, 0, 0, 0), "u": (2, 0, 0, 1, 0, 0), "v": (2, 0, 0, 1, 0, 0),
}  # fmt: skip
# Exchanges that nobody can tell from another cause: minims, and what scribes exchange in spelling.
NO_MISREADING = (frozenset("inumv"), frozenset("þðdt"), frozenset("ck"), frozenset("iy"), frozenset("sz"))
GROUPS = (("rn", "m"), ("cl", "d"), ("li", "h"), ("ct", "a"))  # groups that look like one letter


@cache
def looks_like(letter: str) -> tuple[tuple[str, float], ...]:
    """Give the letters of like shape, each with how readily it is read instead."""
    shape = SHAPES.get(letter)
    if shape is None:
        return ()
    near = []
    for other, features in SHAPES.items():
        far = sum(abs(one - two) for one, two in zip(shape, features, strict=True))
        if other != letter and far <= 2 and not any({letter, other} <= group for group in NO_MISREADING):
            near.append((other, float(np.exp(-2.0 * far))))
    return tuple(near)


@dataclass
class Hand:
    """A hand that misreads some shapes as a habit, and any like shape now and then.

    Attributes:
        habits: his pairs (letter, misread).
        tail: share of his misreadings that are no habit.
    """

    rng: np.random.Generator
    tail: float = 0.1
    habits: list[tuple[str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        letters = [letter for letter in "aehrstdgfþðlbcp" if looks_like(letter)]
        for letter in self.rng.permutation(letters)[:5].tolist():
            self.habits.append((letter, self._other(letter)))

    def _other(self, letter: str) -> str:
        others, weights = zip(*looks_like(letter), strict=True)
        return str(self.rng.choice(others, p=np.array(weights) / sum(weights)))

    def misreads(self, exemplar: Exemplar, at: int) -> Edit | None:
        """Read a letter, or a group, for another of like shape."""
        word = bare(exemplar.words[at])
        if self.rng.random() < self.tail:
            for group, other in GROUPS:
                if group in word:
                    first = word.index(group)
                    return exemplar.replaced("letter_confusion", at, other, first, first + len(group))
            habits = [(letter, self._other(letter)) for letter in word if looks_like(letter)]
        else:
            habits = [habit for habit in self.habits if habit[0] in word]
        if not habits:
            return None
        letter, other = habits[exemplar.pick(len(habits))]
        first = word.index(letter)
        return exemplar.replaced("letter_confusion", at, other, first, first + 1)
