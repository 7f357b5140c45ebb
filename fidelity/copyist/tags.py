"""What stood in the original, given what the copyist wrote: one tag for each copied letter.

Arrives: the tags of the survivors (``tagging.py``). Leaves: P(tag | this copied letter and its
surroundings), from whole remembered words down to the single letter. Start reading at
``TagModel.answers``.

The context grows by turns: the copied letter, the letter before with its tag, the letter after,
the next letter before with its tag, and so on to four on each side. Each longer context is
interpolated with the next shorter one with modified Kneser-Ney discounts on the raw counts (Chen
& Goodman 1999, Computer Speech and Language 13, sec. 3); the shortest leans on a flat guess that
the letter stood as it stands.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence

from fidelity.copyist.tagging import Tagged

EDGE = "\x00"  # stands before the first and after the last letter of a stretch
REACH = 4  # letters of context on either side: nine levels (measured on prototypes)
FLAT_STRENGTH = 2.0  # how many letters the flat guess is worth at the lowest level
FLAT_SLIP = 0.02  # share of the flat guess that is not "as it stands"

Context = tuple[str, ...]


def discounts(counts: Iterable[int]) -> tuple[float, float, float]:
    """Give the discounts for what was seen once, twice, and more often.

    D1 = 1 - 2Y n2/n1, D2 = 2 - 3Y n3/n2, D3 = 3 - 4Y n4/n3 with Y = n1 / (n1 + 2 n2) (Chen &
    Goodman 1999, eq. 17, after Ney, Essen & Kneser 1994); 0.5, 1 and 1.5 where the counts of
    counts do not give them. Discounts stay between 0.1 and 0.95 of their count.
    """
    of = Counter(min(count, 5) for count in counts)
    if not of[1] or not of[2]:
        return 0.5, 1.0, 1.5
    y = of[1] / (of[1] + 2 * of[2])
    raw = [k - (k + 1) * y * (of[k + 1] / of[k]) if of[k] else k / 2 for k in (1, 2, 3)]
    first, second, third = (min(max(d, 0.1), 0.95 * k) for k, d in enumerate(raw, start=1))
    return first, second, third


def _two_discounts(
    table: Mapping[Context, Counter[str]],
) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    """Give the discounts of one level for "as it stands" and for every other tag.

    A letter seen once as it stands says the same of its neighbours almost always; an error seen
    once in some surroundings may never come again there. Their counts of counts differ, so their
    discounts do.
    """
    right = [seen[context[0]] for context, seen in table.items() if context[0] in seen]
    wrong = [count for context, seen in table.items() for tag, count in seen.items() if tag != context[0]]
    return discounts(right), discounts(wrong)


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
    """

    def __init__(self, stretches: Iterable[Tagged], published: Iterable[tuple[str, str]] = ()) -> None:
        self.published: defaultdict[str, list[str]] = defaultdict(list)
        for original, misread in sorted(set(published)):
            if len(misread) == 1 and original != misread:
                self.published[misread].append(original)
        self.levels = 2 * REACH + 1
        tables: list[defaultdict[Context, Counter[str]]] = [defaultdict(Counter) for _ in range(self.levels)]
        for stretch in stretches:
            copied, tags = stretch.copied, stretch.tags
            for at, trusted in enumerate(stretch.trusted):
                if not trusted:
                    continue
                context = context_of(copied, tags, at)
                for level in range(self.levels):
                    tables[level][context[: level + 1]][tags[at]] += 1
        self.tables = tables
        self.discounts = [_two_discounts(table) for table in tables]
        self._stood: Counter[str] = Counter()  # every string that stood in the originals
        self._left_out: Counter[str] = Counter()  # what hangs on the letter before it
        for (letter,), seen in tables[0].items():
            for tag, count in seen.items():
                self._stood[tag] += count
                if len(tag) > 1 and tag.startswith(letter):
                    self._left_out[tag[1:]] += count
        self._known: dict[Context, dict[str, float]] = {}

    def rate(self, original: str, written: str) -> float:
        """Give how often he answered these letters by those, per chance, 0-1; never quite 0.

        Letters left out hang on the letter before, so they are looked up with any letter; what
        was never seen counts as half an occurrence.
        """
        count = self.seen(written[0])[original] if written else self._left_out[original]
        chances = self._stood[original] if original else self._stood.total()
        return (count + 0.5) / (max(chances, count) + 1.0)

    def seen(self, letter: str) -> Counter[str]:
        """Give how often each tag was seen at this copied letter."""
        return self.tables[0].get((letter,), Counter())

    def answers(self, context: Context) -> dict[str, float]:
        """Give P(tag | context) for every tag seen at the letter, and for "as it stands".

        The probabilities sum to 1.

        >>> seen = [Tagged("ber", ("b", "e", end), (True, True, True)) for end in "sr"]
        >>> model = TagModel(seen)
        >>> sorted(model.answers(("r",)))
        ['r', 's']
        """
        known = self._known.get(context)
        if known is not None:
            return known
        if len(context) > 1:
            seen = self.tables[len(context) - 1].get(context)
            shorter = self.answers(context[:-1])
            mixed = shorter if seen is None else self._mixed(seen, context[0], shorter, len(context) - 1)
        else:
            mixed = self._shortest(context[0])
        if len(context) < self.levels - 2:  # the longest contexts seldom come again
            self._known[context] = mixed
        return mixed

    def _mixed(
        self, seen: Counter[str], letter: str, shorter: dict[str, float], level: int
    ) -> dict[str, float]:
        """Interpolate what was seen in a context with the distribution of the shorter one."""
        total = seen.total()
        right, wrong = self.discounts[level]
        held_back = 0.0
        mixed = {}
        for tag, count in seen.items():
            discount = (right if tag == letter else wrong)[min(count, 3) - 1]
            held_back += discount
            mixed[tag] = (count - discount) / total
        share = held_back / total
        return {tag: mixed.get(tag, 0.0) + share * p for tag, p in shorter.items()}

    def _shortest(self, letter: str) -> dict[str, float]:
        """Give P(tag | letter), leaning on the guess that the letter stood as it stands."""
        seen = self.seen(letter)
        others = sorted({*seen, *self.published.get(letter, ())} - {letter})
        flat = {letter: 1.0 - (FLAT_SLIP if others else 0.0)}
        for tag in others:
            flat[tag] = FLAT_SLIP / len(others)
        total = seen.total() + FLAT_STRENGTH
        return {tag: (seen[tag] + FLAT_STRENGTH * p) / total for tag, p in flat.items()}
