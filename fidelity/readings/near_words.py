"""Known words near an unknown one: readings that the restored line itself may not hold.

Arrives: copied words and the model. Leaves: for each unknown word the known words, or pairs of words, that
may have stood there. Start reading at ``NearWords.of``.

What the copyist was never seen to do has no tag, and so no restoration has it. Yet a copied word that is
no word, one letter from a word that is one, is likely to be a slip, whether it was seen before or not. How
likely, the survivors held out tell.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from fidelity.copyist.model import Model
from fidelity.readings.features import channel_odds
from fidelity.readings.simple import words_within

SHORTEST = 4  # letters; too many words are near a shorter one
LONG = 8  # letters; two may be wrong in a longer one
MOST = 2  # readings of one word that are judged
MINIMS = {"i": 1, "ı": 1, "n": 2, "u": 2, "m": 3}  # strokes: common practice, as in the handbooks


def strokes(word: str) -> str:
    """Write a word as its letters and the number of strokes between them.

    >>> strokes("hunia"), strokes("huma"), strokes("huina")
    ('h5a', 'h5a', 'h5a')
    """
    parts, run = [], 0
    for letter in [*word, ""]:
        if letter in MINIMS:
            run += MINIMS[letter]
            continue
        if run:
            parts.append(str(run))
        run = 0
        parts.append(letter)
    return "".join(parts)


class NearWords:
    """Looks for known words near unknown ones.

    Args:
        model: its words, and how often the copyist does what.
    """

    def __init__(self, model: Model) -> None:
        self.model = model
        self._known = sorted(model.words.counts)
        self._by_strokes: defaultdict[str, list[str]] = defaultdict(list)
        for word in self._known:
            if any(letter in MINIMS for letter in word):
                self._by_strokes[strokes(word)].append(word)
        self._memo: dict[str, list[str]] = {}
        self._likeliest: dict[tuple[str, str], list[str]] = {}  # an unknown word recurs where it did before

    def of(self, transmitted: str, before: str) -> list[str]:
        """Give known readings near a copied one, the likeliest first; none where all its words are known.

        Args:
            transmitted: one copied word, or several.
            before: the copied word before.
        """
        words = transmitted.split()
        if not words or len(words) > 2 or all(word in self.model.words for word in words):
            return []
        key = transmitted, before
        if key not in self._likeliest:
            found = self._joined(words) if len(words) == 2 else self._near(transmitted)
            odds = {one: channel_odds(one, transmitted, before, self.model) for one in found}
            self._likeliest[key] = sorted(found, key=lambda one: (-odds[one], one))[:MOST]
        return self._likeliest[key]

    def _joined(self, words: list[str]) -> list[str]:
        """Give the word that two would be if they had been parted by mistake."""
        one = "".join(words)
        return [one] if one in self.model.words else []

    def _near(self, word: str) -> list[str]:
        """Give known words near one word, words of as many strokes, and pairs of words it would be."""
        if word not in self._memo:
            found = set(self._by_strokes.get(strokes(word), ()))
            found.update(self._parted(word))
            if len(word) >= SHORTEST:
                near = words_within(2 if len(word) >= LONG else 1, word, self._known)
                least = min((distance for _, distance in near), default=0)
                found.update(form for form, distance in near if distance == least)
            self._memo[word] = sorted(found - {word})
        return self._memo[word]

    def _parted(self, word: str) -> Iterator[str]:
        """Give the known pairs of words that a word would be if they had been joined by mistake."""
        for at in range(1, len(word)):
            first, second = word[:at], word[at:]
            if first in self.model.words and second in self.model.words:
                yield f"{first} {second}"
