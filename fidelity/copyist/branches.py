"""Trees in arrays: from each place the signs that may follow, in order, and where each one leads.

Arrives: single branches, in any order. Leaves: ``Branches``, in which a sign is looked up by halving. The
loop that carries restorations (``readings/carry.py``) reads contexts, letters and words alike from them.
Start reading at ``branches``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class Branches:
    """The branches of a tree, node after node.

    Attributes:
        first: for each node where its branches begin; one more than there are nodes.
        sign: what stands on each branch, ascending within a node.
        leads_to: the node each branch leads to.
        worth: a factor that belongs to the branch, where there is one.
    """

    first: np.ndarray
    sign: np.ndarray
    leads_to: np.ndarray
    worth: np.ndarray


def branches(
    nodes: int, node: np.ndarray, sign: np.ndarray, leads_to: np.ndarray, worth: np.ndarray | None = None
) -> Branches:
    """Put branches in order, by the node they grow from and their sign.

    Args:
        nodes: how many nodes there are.
        node: node from which each branch grows.
        sign, leads_to, worth: as in ``Branches``; every worth is 1 where none is given.

    >>> import numpy as np
    >>> made = branches(3, np.array([0, 0]), np.array([7, 5]), np.array([2, 1]))
    >>> made.first.tolist(), made.sign.tolist(), made.leads_to.tolist()
    ([0, 2, 2, 2], [5, 7], [1, 2])
    """
    order = np.lexsort((sign, node))
    given = np.ones(len(node)) if worth is None else np.asarray(worth, dtype=np.float64)
    return Branches(
        np.searchsorted(node[order], np.arange(nodes + 1)).astype(np.int32),
        sign[order].astype(np.int64),
        leads_to[order].astype(np.int32),
        given[order],
    )


def joined(trees: Sequence[Branches]) -> tuple[Branches, list[int]]:
    """Put several trees into the same arrays; give also the first node of each."""
    nodes, before = [0], [0]
    for tree in trees:
        nodes.append(nodes[-1] + len(tree.first) - 1)
        before.append(before[-1] + len(tree.sign))
    firsts = [tree.first[:-1] + count for tree, count in zip(trees, before, strict=False)]
    return Branches(
        np.concatenate([*firsts, [before[-1]]]).astype(np.int32),
        np.concatenate([tree.sign for tree in trees]),
        np.concatenate([tree.leads_to + at for tree, at in zip(trees, nodes, strict=False)]).astype(np.int32),
        np.concatenate([tree.worth for tree in trees]),
    ), nodes[:-1]
