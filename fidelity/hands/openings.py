"""How additions begin, and where they stand: learned from what other hands added in the survivors.

Arrives: the words of the survivors' copies, additions marked. Leaves: ``Openings``, by which words of a copy
look like an addition. Start reading at ``openings_of``.

"i. uetonica" and "i. marubium" teach that two words beginning with "i." may be a gloss. An opening met in one
addition only counts where it is short or ends in a stop, as abbreviated formulae do, and the main hands never
wrote it: any other word would be flagged for the single reason that somebody once wrote it in a margin.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from fidelity.hands.words import MAIN, Words
from fidelity.letters import decode, without_stops
from fidelity.terms.hands import Layer

MOSTLY = 0.5  # share of an opening's occurrences that must begin an addition: more likely so than not
SHORT = 3  # letters of an opening that is believed on one addition (uel, id, al.; chosen)
FIRST_CITED = 3  # places cited for an opening

Chosen = Sequence[tuple[Words, NDArray[np.bool_]]]  # words, and which of them may be learned from


@dataclass(frozen=True)
class Opening:
    """A word with which additions begin.

    Attributes:
        word: as printed in the first of them.
        additions: how many begin with it.
        elsewhere: how often the main hands have it.
        length: how many words the additions have, most often.
        loci: places of the first additions, as printed.
    """

    word: str
    additions: int
    elsewhere: int
    length: int
    loci: tuple[str, ...]


@dataclass(frozen=True)
class Openings:
    """What is known of how additions begin and where they stand.

    Attributes:
        words: by key (``words.opening_key``).
        after: word before an addition -> places of those that follow it.
        second_after: word before that one -> the same, where it stands so before several additions.
        additions: how many additions it was learned from.
        longest: words of the longest of them.
    """

    words: dict[str, Opening] = field(default_factory=dict)
    after: dict[str, tuple[str, ...]] = field(default_factory=dict)
    second_after: dict[str, tuple[str, ...]] = field(default_factory=dict)
    additions: int = 0
    longest: int = 0

    def told(self) -> str:
        """Give the openings in words."""
        return ", ".join(f"“{one.word}” ({', '.join(one.loci)})" for one in self.words.values())


def runs_of_layers(words: Words) -> Iterator[tuple[int, int, int]]:
    """Give the additions in a copy: number of the layer, first word, last word and one."""
    layers = words.layers
    at = 0
    marked = np.flatnonzero(layers != MAIN).tolist()
    while at < len(marked):
        end = at
        while (
            end + 1 < len(marked)
            and marked[end + 1] == marked[end] + 1
            and layers[marked[end + 1]] == layers[marked[at]]
        ):
            end += 1
        yield int(layers[marked[at]]), marked[at], marked[end] + 1
        at = end + 1


def openings_of(chosen: Chosen, layers: Sequence[Layer]) -> Openings:
    """Learn from the survivors' copies how additions begin and where they stand.

    Args:
        chosen: words of the copies, and which of them may be learned from.
        layers: to which the words' numbers refer; their places are cited.
    """
    starts: defaultdict[str, list[tuple[str, int, str]]] = defaultdict(list)
    before: tuple[defaultdict[str, list[str]], ...] = (defaultdict(list), defaultdict(list))
    elsewhere: Counter[str] = Counter()
    longest = total = 0
    for words, learned in chosen:
        for number, first, end in runs_of_layers(words):
            if not learned[first]:
                continue
            locus = str(layers[number].locus)
            starts[words.keys[words.number[first]]].append((words.form(first), end - first, locus))
            for back, places in enumerate(before, start=1):
                if first >= back and words.fields[first - back] == words.fields[first]:
                    places[words.bare[words.number[first - back]]].append(locus)
            longest, total = max(longest, end - first), total + 1
        mains = words.number[learned & (words.layers == MAIN)]
        for form, count in zip(*np.unique(mains, return_counts=True), strict=True):
            elsewhere[words.keys[form]] += int(count)
    found = {key: _opening(met, elsewhere[key]) for key, met in starts.items()}
    after, second = ({word: tuple(dict.fromkeys(loci)) for word, loci in one.items()} for one in before)
    return Openings(
        words={key: one for key, one in found.items() if _is_believed(key, one)},
        after=after,
        second_after={word: loci for word, loci in second.items() if len(loci) > 1},
        additions=total,
        longest=longest,
    )


def _opening(met: Sequence[tuple[str, int, str]], elsewhere: int) -> Opening:
    """Make the record of one opening: the length is the commonest, of equals the greatest."""
    lengths = Counter(length for _, length, _ in met)
    length = max(lengths, key=lambda one: (lengths[one], one))
    loci = tuple(dict.fromkeys(locus for _, _, locus in met))[:FIRST_CITED]
    return Opening(decode(met[0][0]), len(met), elsewhere, length, loci)


def _is_believed(key: str, one: Opening) -> bool:
    """Tell whether what begins with a word may be an addition."""
    if one.additions > 1:
        return one.additions >= MOSTLY * (one.additions + one.elsewhere)
    return not one.elsewhere and (key.endswith(".") or len(without_stops(key)) <= SHORT)


def found_by_openings(words: Words, openings: Openings) -> Iterator[tuple[int, int, str]]:
    """Give the words of a copy that begin as additions do: first, last and one, and why, in words."""
    known = [openings.words.get(key) for key in words.keys]
    if not any(known):
        return
    for at in np.flatnonzero(np.array([one is not None for one in known])[words.number]).tolist():
        one = known[words.number[at]]
        if one is None:
            continue
        end = at + 1
        while end < min(len(words), at + one.length) and words.fields[end] == words.fields[at]:
            end += 1
        times = "1 addition begins" if one.additions == 1 else f"{one.additions} additions begin"
        main = f", and {one.elsewhere} times the main hand has it" if one.elsewhere else ""
        yield at, end, f"begins with “{one.word}”, as {times} ({', '.join(one.loci)}){main}"
