"""The restoration of a stretch once more, with dictionaries and logs: slow, short, and easily looked over.

Arrives: a model and copied letters. Leaves: what ``fidelity.readings.lattice`` should give with the same
beam. Start reading at ``restored``.
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass

from fidelity.copyist.contexts import EDGE
from fidelity.copyist.model import Model
from fidelity.copyist.tags import LEAST_TAG, REACH
from fidelity.readings.lattice import FAR_BEHIND

State = tuple[int, str | None, str]  # context of the language, word begun if one is known to, word before
Step = tuple[State, str, float]


@dataclass(frozen=True)
class Restored:
    """The states after each letter, the steps to each, and the sums from either end (logs)."""

    copied: str
    columns: list[dict[State, float]]
    steps: list[dict[State, list[Step]]]
    behind: list[dict[State, float]]

    def letter(self, at: int) -> dict[str, float]:
        """Give the probability of each tag at one letter."""
        found: defaultdict[str, float] = defaultdict(float)
        total = self.behind[0][next(iter(self.columns[0]))]
        for state, steps in self.steps[at + 1].items():
            for came, tag, score in steps:
                found[tag] += math.exp(self.columns[at][came] + score + self.behind[at + 1][state] - total)
        return found

    def readings(self, start: int, end: int) -> dict[str, float]:
        """Give the probability of each reading of a unit: all its strings, state by state."""
        strings: dict[State, dict[str, float]] = {state: {} for state in self.columns[start]}
        if start == 0:
            strings = {state: {"": 1.0} for state in self.columns[0]}
        for state, steps in self.steps[start].items():
            for came, tag, score in steps:
                if tag == self.copied[start - 1]:
                    way = math.exp(self.columns[start - 1][came] + score)
                    strings[state][""] = strings[state].get("", 0.0) + way
        for at in range(start, end):
            strings = self._spelled_on(strings, at)
        found: defaultdict[str, float] = defaultdict(float)
        total = self.behind[0][next(iter(self.columns[0]))]
        for state, readings in strings.items():
            for reading, p in readings.items():
                found[reading] += p * self._leaving(state, end) * math.exp(-total)
        return found

    def _spelled_on(self, strings: dict[State, dict[str, float]], at: int) -> dict[State, dict[str, float]]:
        carried: dict[State, dict[str, float]] = {}
        for state, steps in self.steps[at + 1].items():
            here: defaultdict[str, float] = defaultdict(float)
            for came, tag, score in steps:
                for reading, p in strings[came].items():
                    here[reading + tag] += p * math.exp(score)
            carried[state] = here
        return carried

    def _leaving(self, state: State, end: int) -> float:
        if end == len(self.copied):
            return math.exp(self.behind[end][state])
        return sum(
            math.exp(score + self.behind[end + 1][after])
            for after, steps in self.steps[end + 1].items()
            for came, tag, score in steps
            if came == state and tag == self.copied[end]
        )


def restored(model: Model, copied: str, beam: int) -> Restored:
    """Restore a stretch: the same mixture, the same states, the best ``beam`` of them."""
    begun = {word[:length] for word in model.words.counts for length in range(len(word) + 1)}
    start: State = (model.letters.start, "", "")
    columns, steps, tags = [{start: 0.0}], [dict[State, list[Step]]()], {start: ("",) * REACH}
    for at in range(len(copied)):
        reached: dict[State, float] = {}
        edges: defaultdict[State, list[Step]] = defaultdict(list)
        best: dict[State, tuple[float, tuple[str, ...]]] = {}
        for state, total in columns[-1].items():
            for tag, habit in _choices(model, copied, at, tags[state]):
                after, score = _spelled(model, state, tag, begun)
                way = total + score + habit
                reached[after] = _added(reached[after], way) if after in reached else way
                edges[after].append((state, tag, score + habit))
                if after not in best or way > best[after][0]:
                    best[after] = (way, (tag, *tags[state][:-1]))
        limit = max(reached.values()) - FAR_BEHIND
        kept = set(sorted(reached, key=lambda state: -reached[state])[:beam])
        columns.append({state: p for state, p in reached.items() if state in kept and p >= limit})
        steps.append({state: edges[state] for state in columns[-1]})
        tags = {state: best[state][1] for state in columns[-1]}
    return Restored(copied, columns, steps, _weighed_back(model, columns, steps))


def _added(first: float, second: float) -> float:
    """Give log(exp(first) + exp(second))."""
    return max(first, second) + math.log1p(math.exp(-abs(first - second)))


def _choices(model: Model, copied: str, at: int, tags: tuple[str, ...]) -> list[tuple[str, float]]:
    parts = [copied[at]]
    for distance in range(1, REACH + 1):
        before, after = at - distance, at + distance
        parts.append(copied[before] + tags[distance - 1] if before >= 0 else EDGE)
        parts.append(copied[after] if after < len(copied) else EDGE)
    answers = model.tags.answers(tuple(parts))
    return [(tag, model.weights.habits * math.log(p)) for tag, p in answers.items() if p >= LEAST_TAG]


def _spelled(model: Model, state: State, tag: str, begun: set[str]) -> tuple[State, float]:
    context, word, before = state
    weights = model.weights
    score = weights.language * model.letters.log_probability(tag, context) + weights.length * len(tag)
    for letter in tag:
        if not letter.isspace():
            word = None if word is None or word + letter not in begun else word + letter
        elif word != "":
            gained, before = _finished(model, word, before)
            word, score = "", score + gained
    return (model.letters.after(context, tag), word, before), score


def _finished(model: Model, word: str | None, before: str) -> tuple[float, str]:
    """Give what a finished word adds, and what it is as the word before: nothing if nothing follows it."""
    whole = word if word in model.words.counts else None
    gain = model.words.gain(whole or "\x00", before)  # a sign that is in no word
    return model.weights.words * gain, whole if whole and model.words.before[whole] else ""


def _weighed_back(
    model: Model, columns: list[dict[State, float]], steps: list[dict[State, list[Step]]]
) -> list[dict[State, float]]:
    behind = [{state: _finished(model, *state[1:])[0] if state[1] != "" else 0.0 for state in columns[-1]}]
    for at in range(len(columns) - 1, 0, -1):
        sums = dict.fromkeys(columns[at - 1], -math.inf)
        for state, edges in steps[at].items():
            for came, _, score in edges:
                way = score + behind[0][state]
                sums[came] = way if sums[came] == -math.inf else _added(sums[came], way)
        behind.insert(0, sums)
    return behind
