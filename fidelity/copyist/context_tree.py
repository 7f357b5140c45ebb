"""The contexts in which the copyist wrote his letters, as a tree, and how often each tag was seen in each.

Arrives: letters, each with the signs of its context and its tag, as numbers. Leaves: a ``ContextTree``: the
nodes that were met, and the counts at each. Start reading at ``grown``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.int64]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class ContextTree:
    """Contexts that were met and what was counted there.

    Attributes:
        own: for each copied letter (numbers from 1; 0 is nobody's) the number of the tag that is the
            letter itself; its node by itself has the letter's number.
        kinds: how many tags there are.
        parents, signs: level by level, the longer contexts: which node each grows from, by which sign.
            The nodes of a level follow those of the level before.
        nodes: level by level, the node of each letter that was counted.
        tags: its tag.
    """

    own: Numbers
    kinds: int
    parents: tuple[Numbers, ...]
    signs: tuple[Numbers, ...]
    nodes: tuple[Numbers, ...]
    tags: Numbers

    @property
    def size(self) -> int:
        """How many nodes there are."""
        return len(self.own) + sum(map(len, self.parents))

    @cached_property
    def levels(self) -> list[Numbers]:
        """The numbers of the nodes of each level."""
        ends = np.cumsum([0, len(self.own), *map(len, self.parents)])
        return [np.arange(start, end) for start, end in pairwise(ends)]

    @cached_property
    def wrong(self) -> NDArray[np.bool_]:
        """Whether each letter stands for something else than itself."""
        return np.asarray(self.tags != self.own[self.nodes[0]])

    @cached_property
    def letter_of(self) -> Numbers:
        """For each node the copied letter its context begins with."""
        letters = np.arange(self.size)
        for ids, parents in zip(self.levels[1:], self.parents, strict=True):
            letters[ids] = letters[parents]
        return letters

    @cached_property
    def times(self) -> Floats:
        """How often each context was met."""
        return self._added_up(None)

    @cached_property
    def times_wrong(self) -> Floats:
        """How often a letter stood for something else there."""
        return self._added_up(self.wrong.astype(np.float64))

    def _added_up(self, weights: Floats | None) -> Floats:
        total = np.zeros(self.size)
        for node in self.nodes:
            total += np.bincount(node, weights, minlength=self.size)
        return total

    @cached_property
    def counts(self) -> tuple[Numbers, Numbers]:
        """Keys ``node * kinds + tag``, ascending, and how often that tag was seen there."""
        found = [np.unique(node * self.kinds + self.tags, return_counts=True) for node in self.nodes]
        return np.concatenate([keys for keys, _ in found]), np.concatenate([count for _, count in found])

    def counted(self, nodes: Numbers, tags: Numbers) -> Floats:
        """Give how often each of these tags was seen at each of these nodes."""
        keys, counts = self.counts
        if not len(keys):
            return np.zeros(len(nodes))
        wanted = nodes * self.kinds + tags
        at = np.minimum(np.searchsorted(keys, wanted), len(keys) - 1)
        return np.where(keys[at] == wanted, counts[at], 0).astype(np.float64)

    def seen_at(self, node: int) -> list[tuple[int, int]]:
        """Give the tags seen at a node, with their counts."""
        keys, counts = self.counts
        start, end = np.searchsorted(keys, [node * self.kinds, (node + 1) * self.kinds])
        tags = keys[start:end] % self.kinds
        return list(zip(tags.tolist(), counts[start:end].tolist(), strict=True))


def grown(
    letters: Numbers, outward: Sequence[Numbers], tags: Numbers, own: Numbers, kinds: int
) -> ContextTree:
    """Let the tree grow from the copied letters outward.

    Args:
        letters: number of each copied letter.
        outward: level by level, the sign of the next part of each letter's context.
        tags: number of each letter's tag.
        own, kinds: as in ``ContextTree``.
    """
    nodes, parents, signs = [letters], [], []
    size = len(own)
    for sign in outward:
        width = int(sign.max(initial=0)) + 1
        keys, where = np.unique(nodes[-1] * width + sign, return_inverse=True)
        parents.append(keys // width)
        signs.append(keys % width)
        nodes.append(size + where)
        size += len(keys)
    return ContextTree(own, kinds, tuple(parents), tuple(signs), tuple(nodes), tags)
