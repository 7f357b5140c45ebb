"""What stood in the original, given what the copyist wrote: one tag for each copied letter.

Arrives: the tags of the survivors (``tagging.py``). Leaves: P(tag | this copied letter and its
surroundings), from whole remembered words down to the single letter. Start reading at
``TagModel.answers``.

The context grows by turns: the copied letter, the letter before with its tag, the letter after,
the next letter before with its tag, and so on to four on each side (``context_tree.py``). Each longer
context is mixed with the next shorter one (``mixing.py``).
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence

import numpy as np

from fidelity.copyist.branches import branches
from fidelity.copyist.context_tree import ContextTree, Numbers, grown
from fidelity.copyist.contexts import EDGE, EDGE_NUMBER, ContextTable
from fidelity.copyist.mixing import mixed
from fidelity.copyist.tagging import Tagged

REACH = 4  # letters of context on either side: nine levels (measured on prototypes)
LEAST_TAG = 1e-3  # a tag less probable than this, given its surroundings, is not tried (3e-5 gained nothing)

NO_LETTER = ""  # has the number of the edge, so that the sign for the edge, if a copy has it, is a letter

Context = tuple[str, ...]


def context_of(copied: str, tags: Sequence[str], at: int, levels: int = 2 * REACH + 1) -> Context:
    """Give the longest context of a copied letter: by turns what is before and what is after.

    Args:
        copied: the copied letters of one stretch.
        tags: tags of the letters before ``at`` (only those are looked at).
        at: place of the letter.
        levels: how many parts the context has.
    """
    parts = [copied[at]]
    last = len(copied) - 1
    for distance in range(1, REACH + 1):
        before = at - distance
        parts.append(copied[before] + tags[before] if before >= 0 else EDGE)
        parts.append(copied[at + distance] if at + distance <= last else EDGE)
    return tuple(parts[:levels])


class TagModel:
    """P(tag | context), learned from the survivors.

    Args:
        stretches: the survivors' copies with their tags; only trusted letters are counted.
        published: confusions in print, (original, misread) in single folded letters: hypotheses
            that get a share of the flat guess, never a count.
        least: a tag less probable than this in its context is left out, 0-1; 0 keeps all.
    """

    def __init__(
        self,
        stretches: Iterable[Tagged],
        published: Iterable[tuple[str, str]] = (),
        least: float = LEAST_TAG,
    ) -> None:
        stretches = list(stretches)
        in_print: defaultdict[str, list[str]] = defaultdict(list)
        for original, misread in sorted(set(published)):
            if len(misread) == 1 and original != misread:
                in_print[misread].append(original)
        self._number(stretches, in_print)
        self.tree = self._grown(stretches)
        self._in_print = {
            self.letters[letter]: [self.number[original] for original in originals]
            for letter, originals in in_print.items()
        }
        self.table = self.laid_out(least)
        self._stood: Counter[str] = Counter()  # every string that stood in the originals
        self._left_out: Counter[str] = Counter()  # what hangs on the letter beside it
        for letter in self.letters:
            for tag, count in self.seen(letter).items():
                self._stood[tag] += count
                if len(tag) > 1 and letter in (tag[0], tag[-1]):
                    self._left_out[tag[1:] if tag[0] == letter else tag[:-1]] += count

    def _number(self, stretches: Sequence[Tagged], published: dict[str, list[str]]) -> None:
        """Number the letters he wrote, and the strings that stood in the originals."""
        letters = sorted({letter for one in stretches for letter in one.copied} | set(published))
        tags = {tag for one in stretches for tag in one.tags}.union(letters, *published.values())
        self.letters = {NO_LETTER: EDGE_NUMBER} | {letter: at for at, letter in enumerate(letters, start=1)}
        self.tags = tuple(sorted(tags))
        self.number = {tag: at for at, tag in enumerate(self.tags)}

    def _grown(self, stretches: Sequence[Tagged]) -> ContextTree:
        """Let the contexts grow, by turns a letter before with its tag and a letter after."""
        parts: list[list[Numbers]] = [[] for _ in range(2 * REACH + 2)]
        edge = np.full(REACH, EDGE_NUMBER, dtype=np.int64)
        for one in stretches:
            written = np.array([self.letters[letter] for letter in one.copied], dtype=np.int64)
            tags = np.array([self.number[tag] for tag in one.tags], dtype=np.int64)
            at = np.flatnonzero(np.array(one.trusted, dtype=bool)) + REACH
            before = np.concatenate([edge, written * len(self.tags) + tags, edge])
            after = np.concatenate([edge, written, edge])
            parts[0].append(after[at])
            parts[-1].append(tags[at - REACH])
            for distance in range(1, REACH + 1):
                parts[2 * distance - 1].append(before[at - distance])
                parts[2 * distance].append(after[at + distance])
        nothing = np.zeros(0, dtype=np.int64)
        letters, *outward, tagged = (np.concatenate([nothing, *part]) for part in parts)
        own = np.array([-1, *(self.number[letter] for letter in self.letters if letter)], dtype=np.int64)
        return grown(letters, outward, tagged, own, len(self.tags))

    def laid_out(self, least: float) -> ContextTable:
        """Mix the contexts and lay them out to be looked up.

        Args:
            least: a tag less probable than this in its context is left out, 0-1; 0 keeps all.
        """
        tree, found = self.tree, mixed(self.tree, self._in_print, least)
        longer = np.arange(len(tree.own), tree.size)
        node, sign = np.concatenate(tree.parents), np.concatenate(tree.signs)
        return ContextTable(
            letters=self.letters,
            tags=self.tags,
            stride=len(self.tags),
            roots=np.arange(len(tree.own), dtype=np.int32),
            tree=branches(tree.size, node, sign, longer),
            first=found.first.astype(np.int32),
            tag=found.tag.astype(np.int32),
            chance=found.chance,
        )

    def rate(self, original: str, written: str) -> float:
        """Give how often he answered these letters by those, per chance, 0-1; never quite 0.

        Letters left out hang on a letter beside them, so they are looked up with any letter; what
        was never seen counts as half an occurrence.
        """
        count = self.seen(written[0])[original] if written else self._left_out[original]
        chances = self._stood[original] if original else self._stood.total()
        return (count + 0.5) / (max(chances, count) + 1.0)

    def seen(self, letter: str) -> Counter[str]:
        """Give how often each tag was seen at this copied letter."""
        node = self.letters.get(letter, EDGE_NUMBER)
        found = self.tree.seen_at(node) if node else ()
        return Counter({self.tags[tag]: count for tag, count in found})

    def answers(self, context: Context) -> dict[str, float]:
        """Give P(tag | context) for every tag worth trying, "as it stands" among them.

        The probabilities sum to 1, but for the tags that are too improbable to be kept.

        >>> seen = [Tagged("ber", ("b", "e", end), (True, True, True)) for end in "sr"]
        >>> model = TagModel(seen)
        >>> sorted(model.answers(("r",)))
        ['r', 's']
        """
        node = self._node(context)
        if not node:
            return {context[0]: 1.0}
        start, end = self.table.first[node : node + 2]
        chances = self.table.chance[start:end].tolist()
        return {self.tags[tag]: p for tag, p in zip(self.table.tag[start:end], chances, strict=True)}

    def _node(self, context: Context) -> int:
        """Find the longest part of a context that was met; 0 where not even the letter was."""
        node, tree = self.letters.get(context[0], 0), self.table.tree
        for level, part in enumerate(context[1:], start=1):
            sign = self._sign(part, level)
            start, end = tree.first[node : node + 2]
            at = start + int(np.searchsorted(tree.sign[start:end], sign))
            if not node or at == end or tree.sign[at] != sign:
                break
            node = int(tree.leads_to[at])
        return node

    def _sign(self, part: str, level: int) -> int:
        """Give the sign of one part of a context, -1 for one never met; odd levels look back."""
        if part == EDGE:
            return EDGE_NUMBER
        letter, tag = self.letters.get(part[0], -1), self.number.get(part[1:], -1)
        if letter < 0 or (level % 2 and tag < 0):
            return -1
        return letter * len(self.tags) + tag if level % 2 else letter
