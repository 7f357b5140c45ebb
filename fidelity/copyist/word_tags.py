"""What stood in the original, given the word a letter stands in: a second opinion beside ``tags.py``.

Arrives: the tags of the survivors. Leaves: for each letter of a copy P(tag | the copied word around it and
its neighbours). Start reading at ``WordTags.log_chances``.

The context grows from the copied letter to the letter after, the letter before, the place in the whole
copied word, the word after and the word before; what stood there is not asked. It sees a word as a whole,
however long it is, where ``tags.py`` sees four letters on either side; both are learned and mixed alike
(``mixing.py``). On the learning halves of two real copies, blind, it took 42.7 % of the wrong letters away
to 44.3 %, and 42.9 % to 44.6 %.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence

import numpy as np

from fidelity.copyist.context_tree import ContextTree, Floats, grown
from fidelity.copyist.contexts import EDGE
from fidelity.copyist.mixing import mixed
from fidelity.copyist.tagging import Tagged, word_spans
from fidelity.copyist.tags import LEAST_TAG, TagModel

LEVELS = 5  # beyond the letter itself
UNLISTED = 1e-4  # chance of a tag too improbable to be listed: a tenth of the least that is
Signs = tuple[Hashable, ...]


class WordTags:
    """P(tag | letter, neighbours, word, words beside), learned from the survivors.

    Args:
        stretches: the survivors' copies with their tags; only trusted letters are counted.
        tags: numbers of letters and tags.
    """

    def __init__(self, stretches: Sequence[Tagged], tags: TagModel) -> None:
        self._letters, self._kinds = tags.letters, len(tags.tags)
        self._number: dict[tuple[int, Hashable], int] = {}
        tree = self._grown(stretches, tags)
        found = mixed(tree, {}, LEAST_TAG)
        self._first, self._tag = found.first.tolist(), found.tag
        self._log_chance = np.log(found.chance)
        nodes, signs = (np.concatenate(parts).tolist() for parts in (tree.parents, tree.signs))
        longer = range(len(tree.own), tree.size)
        self._leads_to = dict(zip(zip(nodes, signs, strict=True), longer, strict=True))

    def _grown(self, stretches: Sequence[Tagged], tags: TagModel) -> ContextTree:
        """Let the contexts grow."""
        columns: list[list[int]] = [[] for _ in range(LEVELS + 2)]
        for one in stretches:
            for at, signs in enumerate(signs_of(one.copied)):
                if one.trusted[at]:
                    columns[0].append(tags.letters[one.copied[at]])
                    columns[-1].append(tags.number[one.tags[at]])
                    for level, sign in enumerate(signs):
                        key = level, sign
                        columns[level + 1].append(self._number.setdefault(key, len(self._number)))
        letters, *outward, tagged = (np.array(column, dtype=np.int64) for column in columns)
        return grown(letters, outward, tagged, tags.tree.own, self._kinds)

    def log_chances(self, copied: str) -> Floats:
        """Give the log of P(tag) at each letter of a stretch: a row for each letter, a column for each tag.

        A letter never met says nothing: its row is 0.
        """
        found = np.full((len(copied), self._kinds), np.log(UNLISTED))
        for at, signs in enumerate(signs_of(copied)):
            node = self._letters.get(copied[at], 0)
            if not node:
                found[at] = 0.0
                continue
            for level, sign in enumerate(signs):
                longer = self._leads_to.get((node, self._number.get((level, sign), -1)))
                if longer is None:
                    break
                node = longer
            here = slice(self._first[node], self._first[node + 1])
            found[at, self._tag[here]] = self._log_chance[here]
        return found


def signs_of(copied: str) -> Iterator[Signs]:
    """Give for each letter the further parts of its context, each longer than the one before.

    >>> list(signs_of("of me"))[3]
    ('e', ' ', (0, 'me'), '', 'of')
    """
    spans = word_spans(copied)
    words = [copied[start:end] for start, end in spans]
    beside = ["", *words, ""]
    number = -1
    for at, letter in enumerate(copied):
        after, before = copied[at + 1 : at + 2] or EDGE, copied[at - 1] if at else EDGE
        if letter.isspace():
            yield after, before, (0, " "), "", ""
            continue
        if number < 0 or at >= spans[number][1]:
            number += 1
        place = at - spans[number][0], words[number]
        yield after, before, place, beside[number + 2], beside[number]
