"""What may have stood at a copied letter, context by context, ready to be looked up in arrays.

Arrives: branches and chances. Leaves: a ``ContextTable``: a tree of contexts (the copied letter, the
letter before with its tag, the letter after, and so on outwards), with the tags of each, fully mixed. A
context never met has the tags of the longest one that was met, so the tree ends there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from fidelity.copyist.branches import Branches

EDGE = "\x00"  # stands before the first and after the last letter of a stretch
EDGE_NUMBER = 0  # of that sign


@dataclass(frozen=True)
class ContextTable:
    """P(tag | context) for every context met.

    Attributes:
        letters: number of each copied letter, from 1; 0 is the edge of a stretch.
        tags: the strings that may have stood in the original; a tag's number is its place.
        stride: a letter before has the sign ``letter * stride + tag``, a letter after its own number,
            the edge 0.
        roots: for each letter the node of the letter by itself; node 0 is nobody's.
        tree: the longer contexts.
        first: for each node where its tags begin.
        tag, chance: number and probability of each, 0-1, what is improbable left out.
    """

    letters: dict[str, int]
    tags: tuple[str, ...]
    stride: int
    roots: np.ndarray
    tree: Branches
    first: np.ndarray
    tag: np.ndarray
    chance: np.ndarray

    def with_letters(self, unmet: Iterable[str]) -> ContextTable:
        """Add letters that he was never seen to write: they stand as they stand."""
        letters, tags = dict(self.letters), list(self.tags)
        new = sorted(set(unmet) - set(letters))
        for letter in new:
            letters[letter] = len(letters)
            if letter not in self.tags:
                tags.append(letter)
        nodes = len(self.first) - 1
        own = [tags.index(letter) for letter in new]
        ends, count = np.arange(1, len(new) + 1), len(new)
        tree = replace(self.tree, first=np.append(self.tree.first, [self.tree.first[-1]] * count))
        return ContextTable(
            letters,
            tuple(tags),
            self.stride,
            np.append(self.roots, nodes + ends - 1).astype(np.int32),
            replace(tree, first=tree.first.astype(np.int32)),
            np.append(self.first, self.first[-1] + ends).astype(np.int32),
            np.append(self.tag, own).astype(np.int32),
            np.append(self.chance, np.ones(count)),
        )
