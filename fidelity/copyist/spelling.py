"""The spelling of the originals: letters that stand for one another in forms of the same word.

Arrives: the words of the originals. Leaves: a ``Spelling``, by which forms of one word can be known as such
without anybody having declared it. Start reading at ``Spelling``.

Where u and v are written for one another, most words with u are met with v as well; where two letters
only tell words apart (*man*, *men*), few are. Letters count as standing for one another if of the words
with either, so far as these are met often enough, a good share is met with the other too.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping

OFTEN = 3  # a form met less often says little about how else it is written
LEAST_PAIRS = 20  # of forms that differ in these two letters alone; pronouns that rhyme make a dozen
# Share of the forms with one of two letters that are met with the other. In a medieval text letters that are
# used alike had .2 to .8 (i and j, u and v, s and z), others .17 or less; in modern spelling none .2.
LEAST_SHARE = 0.2


class Spelling:
    """Knows forms of one word.

    Args:
        counts: how often each form is met in the originals.

    Attributes:
        alike: each letter that stands for another -> the one that is put for both.
    """

    def __init__(self, counts: Mapping[str, int]) -> None:
        self.alike = _alike({form for form, count in counts.items() if count >= OFTEN})
        self._counts: Counter[str] = Counter()
        for form, count in counts.items():
            self._counts[self.key(form)] += count

    def key(self, form: str) -> str:
        """Give what all forms of a word have in common.

        >>> met = {one + "nd" + two: 9 for one in "uv" for two in "abcdefghiklmnopqrstwxyz"}
        >>> Spelling(met).key("unda") == Spelling(met).key("vnda")
        True
        """
        return "".join(self.alike.get(letter, letter) for letter in form)

    def count(self, form: str) -> int:
        """Give how often a word is met, however it is spelled."""
        return self._counts[self.key(form)]


def _alike(forms: set[str]) -> dict[str, str]:
    """Find the letters that stand for one another."""
    with_letter: Counter[str] = Counter()
    without: defaultdict[tuple[str, str], list[str]] = defaultdict(list)
    for form in sorted(forms):
        for at, letter in enumerate(form):
            with_letter[letter] += 1
            without[form[:at], form[at + 1 :]].append(letter)
    pairs: Counter[tuple[str, str]] = Counter()
    for letters in without.values():
        for at, first in enumerate(letters):
            pairs.update((first, second) for second in letters[at + 1 :])
    alike: dict[str, str] = {}
    for (first, second), count in sorted(pairs.items(), key=lambda pair: (-pair[1], pair[0])):
        if count >= LEAST_PAIRS and count >= LEAST_SHARE * min(with_letter[first], with_letter[second]):
            one, other = alike.get(first, first), alike.get(second, second)
            alike |= {letter: one for letter, shown in alike.items() if shown == other}
            alike |= {first: one, second: one}
    return alike
