"""How often a letter stands for what in passages of one script, beside how often in all.

Arrives: the tags of the survivors, and in which script each letter of their originals is written. Leaves: for
each letter of a copy what its script adds to the log chance of each tag. Start reading at
``ScriptTags.log_ratios``.

Who misreads the s of one script may read that of another well. How often a letter stands for another in a
script is compared with how often it would if scripts made no difference: the ratio is drawn towards 1 by a
gamma prior with that mean, the posterior mean being (shape + seen) / (shape + expected), and the shape is
the one under which all that was seen is most probable (DuMouchel 1999, The American Statistician 53, 177-190,
with one gamma distribution instead of two; from memory). Where scripts make no difference it is large, and
nothing is added. "As it stands" gets what the others leave.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence

import numpy as np

from fidelity.copyist.context_tree import Floats
from fidelity.copyist.tagging import Tagged
from fidelity.copyist.tags import TagModel

GRID = (0.3, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 30.0, 100.0, 1000.0)
MOST_WRONG = 0.999  # of a letter's chance: some is left for "as it stands"
Counts = Mapping[tuple[str, str], Counter[int]]  # (letter, script) -> tag -> how often


class ScriptTags:
    """What the script of a passage adds to P(tag | letter), learned from the survivors.

    Args:
        stretches: the survivors' copies with their tags; only trusted letters are counted.
        tags: numbers of letters and tags.

    Attributes:
        shape: of the prior on the ratios; infinite where there are no two scripts to compare.
    """

    def __init__(self, stretches: Sequence[Tagged], tags: TagModel) -> None:
        self._kinds = len(tags.tags)
        counts = _counted(stretches, tags)
        self.shape = math.inf
        self._added: dict[tuple[str, str], tuple[list[int], list[float]]] = {}
        if len({script for _, script in counts}) < 2:
            return
        shares = _in_all(counts)
        own = {letter: tags.number.get(letter, -1) for letter in shares}
        cells = [
            (seen[tag], share * seen.total())
            for (letter, _), seen in counts.items()
            for tag, share in shares[letter].items()
            if tag != own[letter]
        ]
        self.shape = max((_likelihood(cells, shape), shape) for shape in GRID)[1]
        for (letter, script), seen in counts.items():
            total = seen.total()
            ratios = {
                tag: (self.shape + seen[tag]) / (self.shape + share * total)
                for tag, share in shares[letter].items()
            }
            found = _whole(ratios, shares[letter], own[letter])
            self._added[letter, script] = list(found), [math.log(ratio) for ratio in found.values()]

    def log_ratios(self, copied: str, scripts: Sequence[str]) -> Floats | None:
        """Give what the script adds at each letter: a row for each letter, a column for each tag.

        Args:
            copied: the letters of a stretch.
            scripts: for each the script of the original there, "" where it is not known; a script no
                survivor is in says nothing.

        Returns:
            Nats; None where nothing is added anywhere.
        """
        if not self._added or not any(scripts):
            return None
        found = np.zeros((len(copied), self._kinds))
        for at, (letter, script) in enumerate(zip(copied, scripts, strict=True)):
            if script and (known := self._added.get((letter, script))):
                found[at, known[0]] = known[1]
        return found


def _counted(stretches: Sequence[Tagged], tags: TagModel) -> dict[tuple[str, str], Counter[int]]:
    """Count the tags of each letter in each script; letters whose script is not known are one more."""
    counts: defaultdict[tuple[str, str], Counter[int]] = defaultdict(Counter)
    for one in stretches:
        scripts = one.scripts or ("",) * len(one.copied)
        for letter, script, tag, trusted in zip(one.copied, scripts, one.tags, one.trusted, strict=True):
            if trusted:
                counts[letter, script][tags.number[tag]] += 1
    return dict(counts)


def _in_all(counts: Counts) -> dict[str, dict[int, float]]:
    """Give for each letter the share of each tag, all scripts together."""
    sums: defaultdict[str, Counter[int]] = defaultdict(Counter)
    for (letter, _), seen in counts.items():
        sums[letter].update(seen)
    return {
        letter: {tag: count / seen.total() for tag, count in seen.items()} for letter, seen in sums.items()
    }


def _whole(ratios: Mapping[int, float], shares: Mapping[int, float], own: int) -> dict[int, float]:
    """Give the ratios so that chances sum to 1: "as it stands" gets what the others leave."""
    wrong = sum(ratio * shares[tag] for tag, ratio in ratios.items() if tag != own)
    if own not in shares:
        return {tag: ratio / wrong for tag, ratio in ratios.items()}
    less = min(1.0, MOST_WRONG / wrong) if wrong else 1.0
    found = {tag: ratio * less for tag, ratio in ratios.items()}
    found[own] = (1 - wrong * less) / shares[own]
    return found


def _likelihood(cells: Sequence[tuple[int, float]], shape: float) -> float:
    """Give the log likelihood of what was seen beside what was expected, without what no shape changes.

    Negative binomial: Poisson around the expected times a gamma of mean 1.
    """
    return sum(
        math.lgamma(shape + seen)
        - math.lgamma(shape)
        - shape * math.log1p(expected / shape)
        - seen * math.log(shape + expected)
        for seen, expected in cells
    )
