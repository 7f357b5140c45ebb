"""Restore a stretch of the copy as a whole: all restorations worth keeping, with their sums.

Arrives: copied letters (normalised level) and the model of the copyist. Leaves: a ``Lattice``,
from which the probability of every reading of a word and of every letter can be summed. Start
reading at ``Restorer.restore``.

Left to right, letter by letter, each restoration is carried on with every tag the copied letter
may have; restorations that can no more be told apart by their letters, the word begun and the word
before are one state, and their probabilities are added (several alignments of the same string count
together). The best ``beam`` states go on. Forward-backward sums then give what every part is worth
within the whole. The score is a log-linear mixture of the copyist's habits and the originals'
language; its weights are fitted on survivors. The loops stand in ``carry.py`` and ``gather.py``.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np

from fidelity.copyist.model import Model
from fidelity.copyist.tags import LEAST_TAG
from fidelity.readings import carry, gather
from fidelity.readings.known import Knowledge, as_read, room

FAR_BEHIND = 8.0  # nats behind the best at which a restoration is given up (12 gained nothing)
MOST_STRINGS = 40  # readings carried for one state while a word's readings are summed
FIRST_ROOM = 1024  # states after one letter there is room for at first; doubled as often as needed
ROOM_FOR_READINGS = 4096  # of one unit, at first; doubled as often as needed


class Restorer:
    """Carries restorations through a stretch of the copy.

    A tag asks for the last four tags before it. States of the same letters are one state all the same,
    and what comes after is asked of the tags of its best way alone: where tags of several letters, or of
    none, give the same letters in several ways, that is an approximation. Without a beam nothing is given
    up and states of different tags are kept apart: the sums are those over all restorations there are.

    Args:
        model: what is known of the copyist and the language.
        beam: how many states are kept at each letter; None for all there are (for short stretches).
    """

    def __init__(self, model: Model, beam: int | None) -> None:
        self.beam = beam
        self.knowledge = Knowledge(model, LEAST_TAG if beam else 0.0)
        self._most_new = FIRST_ROOM
        self._scratch: tuple[Any, ...] = ()

    def restore(self, copied: str, extra: np.ndarray | None = None) -> Lattice:
        """Restore one stretch; it is taken to stand between word divisions.

        Args:
            copied: its letters.
            extra: nats added to the score of each tag at each letter: a row for each letter, in it a number
                for each of ``knowledge.contexts.tags`` as far as known; nothing is added if not given.
        """
        self.knowledge.meet(copied)
        contexts = self.knowledge.contexts
        numbers = as_read(np.array([contexts.letters[letter] for letter in copied], dtype=np.int32))
        tags, factors = (0, np.ones(1)) if extra is None else (len(contexts.tags), self._factors(extra))
        beam, behind = (self.beam, math.exp(-FAR_BEHIND)) if self.beam else (0, 0.0)
        known, factors = self.knowledge.looked_up, as_read(factors)
        while True:
            found, sizes = self._room(len(copied))
            ways = carry.Ways(found, self._scratch, sizes)
            if (
                carry.carry(known, ways, numbers, len(copied), beam, behind, factors, tags, not self.beam)
                >= 0
            ):
                return Lattice(copied, self.knowledge, found, beam)
            self._most_new *= 2
            self._scratch = ()

    def _factors(self, extra: np.ndarray) -> np.ndarray:
        """Turn what is added to the scores into factors; tags that came with new letters get 1."""
        missing = len(self.knowledge.contexts.tags) - extra.shape[1]
        factors: np.ndarray = np.exp(np.pad(extra, ((0, 0), (0, missing)))).ravel()
        return factors

    def _room(self, length: int) -> tuple[tuple[Any, ...], tuple[int, ...]]:
        """Make room for the states and steps of a stretch; give also how much it is."""
        new, raw = self._most_new, 4 * self._most_new
        states = 2 + length * min(self.beam or new, new) + new
        steps = 2 * states + raw
        if not self._scratch:
            whole = [room(np.int32, 7 * new) for _ in range(2)]
            self._scratch = (
                *whole,
                *(room(np.float64, new), room(np.float64, new)),
                *(room(np.int32, new), room(np.float64, new), room(np.int32, new)),
                *(room(np.int32, raw), room(np.int32, raw), room(np.int32, raw), room(np.float64, raw)),
                *(room(np.int32, 2 * new), room(np.int32, 2 * new)),
            )
        found = (
            *(room(np.int32, length + 2), room(np.float64, states)),
            *(room(np.float64, length + 1), room(np.float64, new), room(np.int32, states + 1)),
            *(room(np.int32, steps), room(np.int32, steps), room(np.float64, steps)),
        )
        return found, (states, steps, new, raw, 2 * new)


class Lattice:
    """All restorations kept for one stretch, with their sums.

    Args:
        copied: the copied letters.
        knowledge: by which they were restored.
        found: states and steps, as ``carry.carry`` left them.
        beam: how many states were kept; 0 for all.
    """

    def __init__(self, copied: str, knowledge: Knowledge, found: tuple[Any, ...], beam: int) -> None:
        self.copied, self.tags, self._alphabet = copied, knowledge.contexts.tags, knowledge.alphabet
        self._number = {tag: at for at, tag in enumerate(self.tags)}
        self._found, self._tag_letters = found, knowledge.tag_letters
        self._most = MOST_STRINGS if beam else 0
        first_state = [int(at) for at in found[0]]
        self._states = max(b - a for a, b in pairwise(first_state)) + 1
        steps = int(found[4][first_state[-1]])
        marks = room(np.int32, len(self.tags))
        marks[:] = [-1] * len(self.tags)
        self._answers = (
            *(room(np.float64, first_state[-1]), room(np.int32, len(copied) + 1)),
            *(room(np.int32, steps), room(np.float64, steps)),
        )
        self._marks, self._room = marks, ROOM_FOR_READINGS
        self._make_room()
        gather.letters(self._sums, len(copied))
        self._first, self._answer, self._chance = (list(array) for array in self._answers[1:])

    def _make_room(self) -> None:
        """Make room for the readings of a unit."""
        size = self._room
        self._readings = (
            *(room(np.int32, size), room(np.int32, size), room(np.int32, size), room(np.float64, size)),
        )
        scratch = (
            *(self._marks, *(room(np.int32, size) for _ in range(4))),
            *(room(np.int32, 2 * self._states), room(np.int32, 2 * size), room(np.float64, 2 * size)),
            *(room(np.float64, self._states), room(np.float64, max(self._most, 1))),
        )
        gathered = (*self._answers, *self._readings)
        sizes = (size, size, self._states)
        self._sums = gather.Sums(self._found, self._tag_letters, gathered, scratch, sizes)
        gather.weigh_back(self._sums, len(self.copied))

    def letter(self, at: int) -> dict[str, float]:
        """Give the probability of each tag at one copied letter; they sum to 1."""
        span = range(self._first[at], self._first[at + 1])
        return {self.tags[self._answer[place]]: float(self._chance[place]) for place in span}

    def readings(self, start: int, end: int) -> dict[str, float]:
        """Give the probability of each reading of a unit between two word divisions.

        Args:
            start, end: the unit's copied letters; the letters at ``start - 1`` and ``end`` are
                word divisions (or the stretch begins or ends there). Restorations in which a
                border is no word division are left out, so the sum may be below 1.
        """
        before, after = (
            self._number[self.copied[at]] if 0 <= at < len(self.copied) else -1 for at in (start - 1, end)
        )
        count = -1
        while count < 0:
            count = gather.readings(self._sums, len(self.copied), start, end, before, after, self._most)
            if count < 0:
                self._room *= 2
                self._make_room()
        found, chances = (array[:count] for array in self._readings[2:])
        return dict(zip(self._spelled(list(found)), map(float, chances), strict=True))

    def _spelled(self, found: list[int]) -> list[str]:
        """Spell readings out; beginnings that several share are spelled once."""
        parent, last, _, _ = self._readings
        known = {0: ""}
        for reading in found:
            begun, rest = reading, []
            while begun not in known:
                rest.append(begun)
                begun = parent[begun]
            for longer in reversed(rest):
                known[longer] = known[begun] + self._alphabet[last[longer]]
                begun = longer
        return [known[reading] for reading in found]
