"""What may have stood at a copied letter, context by context, ready to be looked up in arrays.

Arrives: the tags as learned, or what was counted of them as arrays (``Level``). Leaves: a ``ContextTable``: a
tree of contexts (the copied letter, the letter before with its tag, the letter after, and so on outwards),
with the tags of each, fully mixed. Start reading at ``context_table``, then ``mixed_table``.

A context never met has the tags of the longest one that was met, so the tree ends there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from fidelity.copyist.branches import Branches, branches
from fidelity.copyist.tags import EDGE, Context, TagModel

EDGE_NUMBER = 0  # of the sign that stands before the first and after the last letter of a stretch


@dataclass(frozen=True)
class ContextTable:
    """P(tag | context) for every context met.

    Attributes:
        letters: number of each copied letter, from 1; 0, of no letter, is the edge of a stretch.
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


@dataclass(frozen=True)
class Level:
    """All contexts of one length: P(tag | context) = mass + share * P(tag | the context one shorter).

    Attributes:
        letter: for each context the number of its copied letter, ascending.
        parent: for each context the index of the one shorter in the level before.
        sign: for each context the sign of its last part.
        share: for each context what it leaves to the one shorter, 0-1.
        context, tag, mass: what was counted, less what is held back: index of the context, number of the
            tag, probability.
    """

    letter: np.ndarray
    parent: np.ndarray
    sign: np.ndarray
    share: np.ndarray
    context: np.ndarray
    tag: np.ndarray
    mass: np.ndarray


def mixed_table(
    letters: dict[str, int], tags: tuple[str, ...], alone: np.ndarray, levels: Sequence[Level], least: float
) -> ContextTable:
    """Mix the levels from the shortest contexts up, and put them into a tree.

    Args:
        letters: number of each copied letter, from 1.
        tags: the tags in the order of their numbers.
        alone: P(tag | letter), a row for each number of a letter (row 0 is nobody's), a column for each tag.
        levels: the longer contexts, the shortest first.
        least: a tag less probable than this in its context is left out, 0-1; never all of them.
    """
    sizes = [len(alone), *(len(level.letter) for level in levels)]
    offsets = np.cumsum([0, *sizes])
    parts = [_mixed(letter, alone, levels, least) for letter in range(1, len(alone))]
    empty = np.zeros((3, 0))
    moved = [part + np.array([[offsets[at]], [0], [0]]) for found in parts for at, part in enumerate(found)]
    node, tag, chance = np.concatenate([empty, *moved], axis=1)
    order = np.argsort(node, kind="stable")
    grown = [offsets[at] + level.parent for at, level in enumerate(levels)]
    signs = [level.sign for level in levels]
    none = np.zeros(0, dtype=np.int64)
    return ContextTable(
        letters,
        tags,
        len(tags),
        np.arange(len(alone), dtype=np.int32),
        branches(
            int(offsets[-1]),
            np.concatenate([none, *grown]),
            np.concatenate([none, *signs]),
            np.arange(len(alone), offsets[-1]),
        ),
        np.searchsorted(node[order], np.arange(offsets[-1] + 1)).astype(np.int32),
        tag[order].astype(np.int32),
        chance[order],
    )


def _mixed(letter: int, alone: np.ndarray, levels: Sequence[Level], least: float) -> list[np.ndarray]:
    """Mix all contexts of one letter; give for each level context, tag and chance, three rows."""
    own = np.flatnonzero(alone[letter])  # the tags of this letter; no context of it has others
    matrix, before = alone[letter : letter + 1, own], letter
    found = [_worth_trying(matrix, letter, own, least)]
    for level in levels:
        first, end = (int(at) for at in np.searchsorted(level.letter, (letter, letter + 1)))
        if first == end:
            break
        matrix = level.share[first:end, None] * matrix[level.parent[first:end] - before]
        low, high = np.searchsorted(level.context, (first, end))
        columns = np.searchsorted(own, level.tag[low:high])
        matrix[level.context[low:high] - first, columns] += level.mass[low:high]
        found.append(_worth_trying(matrix, first, own, least))
        before = first
    return found


def _worth_trying(matrix: np.ndarray, first: int, own: np.ndarray, least: float) -> np.ndarray:
    """Give the tags that are probable enough: context, tag, chance. The most probable one is, in any case."""
    rows, columns = np.nonzero(matrix >= np.minimum(matrix.max(axis=1, keepdims=True), least))
    return np.array([rows + first, own[columns], matrix[rows, columns]])


def context_table(model: TagModel, least: float) -> ContextTable:
    """Lay out what was learned of the tags.

    Args:
        model: the tags as learned.
        least: a tag less probable than this in its context is left out, 0-1; never all of them.
    """
    parts = [{context[level] for context in table} - {EDGE} for level, table in enumerate(model.tables)]
    behind, ahead = set().union(*parts[1::2]), set().union(*parts[::2], *model.tables[0], model.published)
    written = sorted(ahead | {part[0] for part in behind})
    letters = {"": EDGE_NUMBER} | {letter: at for at, letter in enumerate(written, start=1)}
    by_itself = {letter: model.answers((letter,)) for letter in written}
    tags = tuple(
        sorted({tag for found in by_itself.values() for tag in found} | {part[1:] for part in behind})
    )
    number = {tag: at for at, tag in enumerate(tags)}
    alone = np.zeros((len(letters), len(tags)))
    for letter, found in by_itself.items():
        for tag, p in found.items():
            alone[letters[letter], number[tag]] = p
    index: dict[Context, int] = {(letter,): at for letter, at in letters.items()}
    levels = []
    for length in range(1, model.levels):
        ordered = sorted(model.tables[length].items(), key=lambda item: letters[item[0][0]])
        levels.append(_level(model, length, ordered, index, letters, number))
        index = {context: at for at, (context, _) in enumerate(ordered)}
    return mixed_table(letters, tags, alone, levels, least)


def _level(
    model: TagModel,
    length: int,
    ordered: Sequence[tuple[Context, Counter[str]]],
    index: Mapping[Context, int],
    letters: Mapping[str, int],
    number: Mapping[str, int],
) -> Level:
    """Put the contexts of one length into arrays; odd lengths look back, even ones ahead."""
    right, wrong = model.discounts[length]
    contexts, counted = [], []
    for at, (context, seen) in enumerate(ordered):
        total, held_back, part = seen.total(), 0.0, context[-1]
        for tag, count in seen.items():
            discount = (right if tag == context[0] else wrong)[min(count, 3) - 1]
            held_back += discount
            counted.append((at, number[tag], (count - discount) / total))
        sign = EDGE_NUMBER
        if part != EDGE:
            sign = letters[part[0]] * len(number) + number[part[1:]] if length % 2 else letters[part]
        contexts.append((letters[context[0]], index[context[:-1]], sign, held_back / total))
    letter, parent, signs, share = np.array(contexts, dtype=np.float64).reshape(-1, 4).T
    where, tags, mass = np.array(counted, dtype=np.float64).reshape(-1, 3).T
    whole = [array.astype(np.int64) for array in (letter, parent, signs, where, tags)]
    return Level(whole[0], whole[1], whole[2], share, whole[3], whole[4], mass)
