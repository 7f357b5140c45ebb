"""What may have stood at a copied letter, context by context, ready to be looked up in arrays.

Arrives: the tags as learned. Leaves: a ``ContextTable``: a tree of contexts (the copied letter, the letter
before with its tag, the letter after, and so on outwards), with the tags of each, fully mixed. Start reading
at ``context_table``.

A context never met has the tags of the longest one that was met, so the tree ends there.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from fidelity.copyist.branches import Branches, branches
from fidelity.copyist.tags import EDGE, Context, TagModel

EDGE_NUMBER = 0  # of the sign that stands before the first and after the last letter of a stretch


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


def context_table(model: TagModel, least: float) -> ContextTable:
    """Lay out what was learned of the tags.

    Args:
        model: the tags as learned.
        least: a tag less probable than this in its context is left out, 0-1; never all of them.
    """
    parts = [{context[level] for context in table} - {EDGE} for level, table in enumerate(model.tables)]
    behind, ahead = set().union(*parts[1::2]), set().union(*parts[::2], model.published)
    written = sorted(ahead | {part[0] for part in behind})
    letters = {EDGE: EDGE_NUMBER} | {letter: at for at, letter in enumerate(written, start=1)}
    found = {tag for letter in written for tag in model.answers((letter,))}
    tags = tuple(sorted(found | {part[1:] for part in behind}))
    number = {tag: at for at, tag in enumerate(tags)}
    nodes: dict[Context, int] = {(): 0} | {(letter,): at for letter, at in letters.items() if at}
    grown: list[tuple[int, int, int]] = []
    for level in range(1, model.levels):
        for context in model.tables[level]:
            nodes[context] = len(nodes)
            grown.append((nodes[context[:-1]], _sign(context[-1], level, letters, number), nodes[context]))
    kept = [_worth_trying(model.answers(context), number, least) if context else [] for context in nodes]
    node, sign, leads_to = np.array(grown, dtype=np.int64).reshape(-1, 3).T
    return ContextTable(
        letters,
        tags,
        len(tags),
        np.arange(len(letters), dtype=np.int32),
        branches(len(nodes), node, sign, leads_to),
        np.cumsum([0, *map(len, kept)]).astype(np.int32),
        np.array([tag for tags_here in kept for tag, _ in tags_here], dtype=np.int32),
        np.array([p for tags_here in kept for _, p in tags_here], dtype=np.float64),
    )


def _sign(part: str, level: int, letters: dict[str, int], number: dict[str, int]) -> int:
    """Give the number of one part of a context; odd levels look back, even ones ahead."""
    if part == EDGE:
        return EDGE_NUMBER
    if level % 2:
        return letters[part[0]] * len(number) + number[part[1:]]
    return letters[part]


def _worth_trying(answers: dict[str, float], number: dict[str, int], least: float) -> list[tuple[int, float]]:
    """Give the tags of one context that are probable enough, the most probable one in any case."""
    most = max(answers.values())
    return [(number[tag], p) for tag, p in answers.items() if p >= min(least, most)]
