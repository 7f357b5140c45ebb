"""P(tag | context) at every context that was met: longer contexts mixed with shorter ones.

Arrives: a tree of contexts with its counts. Leaves: for each node its tags and their probabilities. Start
reading at ``mixed``.

Two ways of mixing are worked out side by side, and their mean is taken: concentrations
(``smoothing.py``), which keep a rare slip possible wherever it was not seen to fail very often, and
modified Kneser-Ney discounts on the raw counts (Chen & Goodman 1999, Computer Speech and Language 13,
sec. 3), which follow a word seen once or twice. On letters held out of a real copy the mean was more
probable than either.

At each node a way of mixing is told by the share of letters that stand for something else, and by what these
stand for. Where nothing else was seen at a node, the latter is that of the shorter context.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from fidelity.copyist.context_tree import ContextTree, Floats, Numbers
from fidelity.copyist.smoothing import Concentrations, discounts, fitted

NOTHING_KNOWN = Concentrations(np.full(1, 2.0), np.full(1, 2.0), 0.02)  # before any letter is seen: a guess
SHARES = (0.25, 0.75)  # of the two; 0.1 to 0.5 of the first differed by less than a point on real copies
AT_ONCE = 50_000  # nodes listed at one go, for the sake of memory


@dataclass(frozen=True)
class Mixed:
    """Tags and probabilities, node after node.

    Attributes:
        first: for each node where its tags begin; one more than there are nodes.
        tag, chance: number and probability of each, the letter itself first.
    """

    first: Numbers
    tag: Numbers
    chance: Floats


@dataclass
class _Rows:
    """What letters stand for where they stand for something else; nodes share rows.

    Attributes:
        of: for each node its row.
        first: for each row where its tags begin.
        tag: their numbers.
        shares: their shares, one line for each way of mixing.
    """

    of: Numbers
    first: Numbers
    tag: Numbers
    shares: Floats


def mixed(
    tree: ContextTree,
    published: Mapping[int, Iterable[int]],
    least: float,
    known: Concentrations | None = None,
) -> Mixed:
    """Mix the contexts.

    Args:
        tree: the contexts and their counts.
        published: letter -> tags it is known from print to be misread for: hypotheses that get a
            share of the flat guess, never a count.
        least: tags less probable than this in their context are left out, 0-1.
        known: the concentrations; fitted if None.
    """
    if known is None:
        some = len(tree.tags) > 0
        known = fitted(tree.nodes, tree.tags, tree.wrong, tree.kinds) if some else NOTHING_KNOWN
    wrong = np.zeros((2, tree.size))
    rows = _roots(tree, published, known, wrong)
    for level in range(1, len(tree.levels) if len(tree.tags) else 1):
        _follow(tree, level, known, rows, wrong)
    return _listed(tree, rows, wrong, least)


def _roots(
    tree: ContextTree, published: Mapping[int, Iterable[int]], known: Concentrations, wrong: Floats
) -> _Rows:
    """Begin with the letters by themselves: both ways lean on the same flat guess there."""
    first, tags, shares = [0], [], []
    strength, lean = known.wrong[0], known.which[0]
    for letter, own in enumerate(tree.own.tolist()):
        seen = {tag: count for tag, count in tree.seen_at(letter) if tag != own} if letter else {}
        others = sorted({*seen, *published.get(letter, ())} - {own}) if letter else []
        times, errors = tree.times[letter], tree.times_wrong[letter]
        if others:
            wrong[:, letter] = (errors + strength * known.at_all) / (times + strength)
        for tag in others:
            tags.append(tag)
            shares.append((seen.get(tag, 0) + lean / len(others)) / (errors + lean))
        first.append(len(tags))
    of = np.zeros(tree.size, dtype=np.int64)
    of[: len(tree.own)] = np.arange(len(tree.own))
    one = np.array(shares, dtype=np.float64)
    return _Rows(of, np.array(first), np.array(tags, dtype=np.int64), np.array([one, one]))


def _spread(first: Numbers, rows: Numbers) -> tuple[Numbers, Numbers]:
    """Give for rows one after another the place of each entry, and which of the rows it belongs to."""
    sizes = first[rows + 1] - first[rows]
    which = np.repeat(np.arange(len(rows)), sizes)
    begin = np.cumsum(sizes) - sizes
    return np.arange(len(which)) - begin[which] + first[rows][which], which


def _follow(tree: ContextTree, level: int, known: Concentrations, rows: _Rows, wrong: Floats) -> None:
    """Mix one level with the level before, both ways."""
    nodes, parents = tree.levels[level], tree.parents[level - 1]
    times, errors = tree.times[nodes], tree.times_wrong[nodes]
    strength, lean = known.wrong[level], known.which[level]
    wrong[0, nodes] = (errors + strength * wrong[0, parents]) / (times + strength)
    right = times - errors
    cut_right, cut_wrong = _two_discounts(tree, level)
    rows.of[nodes] = rows.of[parents]
    other = errors > 0
    ids, above = nodes[other], parents[other]
    place, which = _spread(rows.first, rows.of[above])
    tag, node = rows.tag[place], ids[which]
    count = tree.counted(node, tag)
    discount = _discount(count, cut_wrong)
    held_back = np.zeros(tree.size)
    held_back[ids] = np.bincount(which, discount, minlength=len(ids))
    rest = (held_back[nodes] + _discount(right, cut_right)) / times
    wrong[1, nodes] = (errors - held_back[nodes]) / times + rest * wrong[1, parents]
    shares = rows.shares[:, place]
    drawn = (count + lean * shares[0]) / (errors[other][which] + lean)
    left = rest[other][which] * wrong[1, above][which] * shares[1]
    cut = ((count - discount) / times[other][which] + left) / wrong[1, node]
    rows.of[ids] = len(rows.first) - 1 + np.arange(len(ids))
    sizes = np.bincount(which, minlength=len(ids))
    rows.first = np.concatenate([rows.first, rows.first[-1] + np.cumsum(sizes)])
    rows.tag = np.concatenate([rows.tag, tag])
    rows.shares = np.concatenate([rows.shares, np.array([drawn, cut])], axis=1)


def _two_discounts(tree: ContextTree, level: int) -> tuple[Floats, Floats]:
    """Give the discounts of one level for "as it stands" and for every other tag.

    A letter seen once as it stands says the same of its neighbours almost always; an error seen
    once in some surroundings may never come again there. Their counts of counts differ, so their
    discounts do.
    """
    keys, counts = tree.counts
    nodes = tree.levels[level]
    start, end = np.searchsorted(keys, [nodes[0] * tree.kinds, (nodes[-1] + 1) * tree.kinds])
    node, tag = keys[start:end] // tree.kinds, keys[start:end] % tree.kinds
    own = tree.own[tree.letter_of[node]] == tag
    counted = counts[start:end]
    return np.array(discounts(counted[own].tolist())), np.array(discounts(counted[~own].tolist()))


def _discount(counts: Floats, cut: Floats) -> Floats:
    """Give what is held back of each count: nothing of none."""
    held = cut[np.minimum(np.maximum(counts, 1), len(cut)).astype(np.int64) - 1]
    return np.where(counts > 0, held, 0.0)


def _listed(tree: ContextTree, rows: _Rows, wrong: Floats, least: float) -> Mixed:
    """List the tags of every node, those too improbable left out."""
    parts = list(_some_listed(tree, rows, wrong, least))
    sizes = np.concatenate([size for size, _, _ in parts])
    return Mixed(
        np.concatenate([[0], np.cumsum(sizes)]),
        np.concatenate([tag for _, tag, _ in parts]),
        np.concatenate([chance for _, _, chance in parts]),
    )


def _some_listed(
    tree: ContextTree, rows: _Rows, wrong: Floats, least: float
) -> Iterator[tuple[Numbers, Numbers, Floats]]:
    """Give sizes, tags and probabilities for some nodes at a time."""
    probable = (
        rows.shares.max(axis=0, initial=0.0) >= least
    )  # no tag of a node is more probable than its share
    kept = np.concatenate([[0], np.cumsum(probable)])
    first, tags, shares = kept[rows.first], rows.tag[probable], rows.shares[:, probable]
    for start in range(0, tree.size, AT_ONCE):
        ids = np.arange(start, min(start + AT_ONCE, tree.size))
        place, which = _spread(first, rows.of[ids])
        chance = np.average(wrong[:, ids][:, which] * shares[:, place], axis=0, weights=SHARES)
        good = chance >= least
        itself = 1.0 - np.average(wrong[:, ids], axis=0, weights=SHARES)
        stands = np.flatnonzero((itself >= least) & (ids > 0))
        owner = np.concatenate([stands, which[good]])
        tag = np.concatenate([tree.own[tree.letter_of[ids[stands]]], tags[place[good]]])
        order = np.argsort(owner, kind="stable")
        chances = np.concatenate([itself[stands], chance[good]])[order]
        yield np.bincount(owner, minlength=len(ids)), tag[order], chances
