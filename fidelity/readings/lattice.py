"""Restore a stretch of the copy as a whole: all restorations worth keeping, with their sums.

Arrives: copied letters (normalised level) and the model of the copyist. Leaves: a ``Lattice``,
from which the probability of every reading of a word and of every letter can be summed. Start
reading at ``Restorer.restore``.

Left to right, letter by letter, each restoration is carried on with every tag the copied letter
may have; restorations that agree in their last letters, the word begun and the word before are
one state, and their probabilities are added (several alignments of the same string count
together). The best ``beam`` states go on. Forward-backward sums (Baum et al. 1970, Ann. Math.
Stat. 41, 164-171) then give what every part is worth within the whole. The score is a log-linear
mixture of the copyist's habits and the originals' language; its weights are fitted on survivors.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from fidelity.copyist.model import Model
from fidelity.copyist.tags import EDGE, REACH

LEAST_TAG = 1e-3  # a tag less probable than this, given its surroundings, is not tried (3e-5 gained nothing)
FAR_BEHIND = 8.0  # nats behind the best at which a restoration is given up (12 gained nothing)


@dataclass
class _Column:
    """All states after so many copied letters.

    Attributes:
        forward: log sum of all ways to reach each state.
        state: (language context, word begun, word before).
        tags: the last tags of the best way.
        edges: for each state the steps into it: (state before, tag, score).
    """

    forward: list[float]
    state: list[tuple[int, str, str]]
    tags: list[tuple[str, ...]]
    edges: list[list[tuple[int, str, float]]]


def add_logs(first: float, second: float) -> float:
    """Give log(exp(first) + exp(second))."""
    if first < second:
        first, second = second, first
    return first + math.log1p(math.exp(second - first))


class Restorer:
    """Carries restorations through a stretch of the copy.

    Args:
        model: what is known of the copyist and the language.
        beam: how many states are kept at each letter.
    """

    def __init__(self, model: Model, beam: int) -> None:
        self.model, self.beam = model, beam
        self._spelled: dict[tuple[int, str], tuple[float, int]] = {}

    def restore(self, copied: str) -> Lattice:
        """Restore one stretch; it is taken to stand between word divisions."""
        start = self.model.letters.start
        columns = [_Column([0.0], [(start, "", "")], [()], [[]])]
        for at in range(len(copied)):
            columns.append(self._carried_on(columns[-1], copied, at))
        last = columns[-1]
        ends = [self._word_score(word, before) for _, word, before in last.state]
        return Lattice(copied, columns, ends)

    def _word_score(self, word: str, before: str) -> float:
        """Give what a finished word adds to the score."""
        if not word:
            return 0.0
        return self.model.weights.words * self.model.words.gain(word, before)

    def _letters_score(self, context: int, tag: str) -> tuple[float, int]:
        """Give what the letters of a tag add to the score, and the context after them."""
        known = self._spelled.get((context, tag))
        if known is None:
            letters, weights = self.model.letters, self.model.weights
            score = weights.language * letters.log_probability(tag, context) + weights.length * len(tag)
            known = (score, letters.after(context, tag))
            self._spelled[context, tag] = known
        return known

    def _choices(self, copied: str, at: int, tags: tuple[str, ...]) -> list[tuple[str, float]]:
        """Give the tags worth trying at a letter, with their weighted log probability."""
        parts = [copied[at]]
        for distance in range(1, REACH + 1):
            before, after = at - distance, at + distance
            parts.append(copied[before] + tags[distance - 1] if before >= 0 else EDGE)
            parts.append(copied[after] if after < len(copied) else EDGE)
        weight = self.model.weights.habits
        answers = self.model.tags.answers(tuple(parts))
        return [(tag, weight * math.log(p)) for tag, p in answers.items() if p >= LEAST_TAG]

    def _carried_on(self, column: _Column, copied: str, at: int) -> _Column:
        """Carry every state over one more copied letter and keep the best."""
        choices: dict[tuple[str, ...], list[tuple[str, float]]] = {}
        forward: dict[tuple[int, str, str], float] = {}
        best_way: dict[tuple[int, str, str], tuple[float, tuple[str, ...]]] = {}
        edges: dict[tuple[int, str, str], list[tuple[int, str, float]]] = {}
        for number, reached in enumerate(column.forward):
            context, word, before = column.state[number]
            tags = column.tags[number]
            if tags not in choices:
                choices[tags] = self._choices(copied, at, tags)
            for tag, habit in choices[tags]:
                score = habit
                if not tag:
                    state = (context, word, before)
                else:
                    spelled, after = self._letters_score(context, tag)
                    score += spelled
                    if " " in tag or "\t" in tag:
                        word_score, state = self._over_space(after, word, before, tag)
                        score += word_score
                    else:
                        state = (after, word + tag, before)
                total = reached + score
                if state in forward:
                    forward[state] = add_logs(forward[state], total)
                    edges[state].append((number, tag, score))
                    if total > best_way[state][0]:
                        best_way[state] = (total, (tag, *tags[: REACH - 1]))
                else:
                    forward[state] = total
                    edges[state] = [(number, tag, score)]
                    best_way[state] = (total, (tag, *tags[: REACH - 1]))
        ranked = sorted(forward, key=lambda state: (-forward[state], state))[: self.beam]
        limit = forward[ranked[0]] - FAR_BEHIND
        kept = [state for state in ranked if forward[state] >= limit]
        return _Column(
            [forward[state] for state in kept],
            kept,
            [best_way[state][1] for state in kept],
            [edges[state] for state in kept],
        )

    def _over_space(self, after: int, word: str, before: str, tag: str) -> tuple[float, tuple[int, str, str]]:
        """Finish the words that a tag with a word division finishes; give their score and the state."""
        score = 0.0
        for letter in tag:
            if not letter.isspace():
                word += letter
            elif word:
                score += self._word_score(word, before)
                word, before = "", word
        return score, (after, word, before)


MOST_STRINGS = 40  # readings carried for one state while a word's readings are summed


class Lattice:
    """All restorations kept for one stretch, with their sums.

    Args:
        copied: the copied letters.
        columns: the states after 0, 1, ... letters.
        ends: what finishing the stretch adds for each last state.
    """

    def __init__(self, copied: str, columns: Sequence[_Column], ends: Sequence[float]) -> None:
        self.copied, self.columns = copied, columns
        backward = [list(ends)]
        for at in range(len(copied), 0, -1):
            behind = [-math.inf] * len(columns[at - 1].forward)
            after = backward[-1]
            for number, steps in enumerate(columns[at].edges):
                for came, _, score in steps:
                    total = score + after[number]
                    known = behind[came]
                    behind[came] = total if known == -math.inf else add_logs(known, total)
            backward.append(behind)
        self.backward = backward[::-1]
        self.total = self.backward[0][0]

    def letter(self, at: int) -> dict[str, float]:
        """Give the probability of each tag at one copied letter; they sum to 1."""
        found: dict[str, float] = {}
        column, after = self.columns[at + 1], self.backward[at + 1]
        reached = self.columns[at].forward
        for number, steps in enumerate(column.edges):
            for came, tag, score in steps:
                p = math.exp(reached[came] + score + after[number] - self.total)
                found[tag] = found.get(tag, 0.0) + p
        return found

    def readings(self, start: int, end: int) -> dict[str, float]:
        """Give the probability of each reading of a unit between two word divisions.

        Args:
            start, end: the unit's copied letters; the letters at ``start - 1`` and ``end`` are
                word divisions (or the stretch begins or ends there). Restorations in which a
                border is no word division are left out, so the sum may be below 1.
        """
        strings = self._entered(start)
        for at in range(start, end):
            strings = self._spelled_on(strings, at)
        found: dict[str, float] = {}
        for number, readings in enumerate(strings):
            leaving = self._leaving(number, end)
            if leaving == -math.inf:
                continue
            for reading, reached in readings.items():
                p = math.exp(reached + leaving - self.total)
                found[reading] = found.get(reading, 0.0) + p
        return found

    def _entered(self, start: int) -> list[dict[str, float]]:
        """Give for each state at the unit's start the sum of the ways over the border."""
        if start == 0:
            return [{"": 0.0}]
        border = self.copied[start - 1]
        reached = self.columns[start - 1].forward
        strings: list[dict[str, float]] = []
        for steps in self.columns[start].edges:
            total = -math.inf
            for came, tag, score in steps:
                if tag == border:
                    way = reached[came] + score
                    total = way if total == -math.inf else add_logs(total, way)
            strings.append({} if total == -math.inf else {"": total})
        return strings

    def _spelled_on(self, strings: list[dict[str, float]], at: int) -> list[dict[str, float]]:
        """Carry the readings of every state over one more copied letter."""
        carried: list[dict[str, float]] = []
        for steps in self.columns[at + 1].edges:
            here: dict[str, float] = {}
            for came, tag, score in steps:
                for reading, reached in strings[came].items():
                    longer, total = reading + tag, reached + score
                    here[longer] = add_logs(here[longer], total) if longer in here else total
            if len(here) > MOST_STRINGS:
                here = dict(sorted(here.items(), key=lambda item: (-item[1], item[0]))[:MOST_STRINGS])
            carried.append(here)
        return carried

    def _leaving(self, number: int, end: int) -> float:
        """Give the log sum of the ways out of a unit over its border, from one state."""
        if end == len(self.copied):
            return self.backward[end][number]
        border = self.copied[end]
        total = -math.inf
        for after, steps in enumerate(self.columns[end + 1].edges):
            for came, tag, score in steps:
                if came == number and tag == border:
                    way = score + self.backward[end + 1][after]
                    total = way if total == -math.inf else add_logs(total, way)
        return total
