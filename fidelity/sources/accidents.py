"""What happens to a word though no slip of letters explains it: another word for it, left out, put in.

Arrives: the words of a reading and of what a witness has for it. Leaves: a probability. Start reading at
``by_accident``; ``word_shares`` tells what a pen is likely to have put there.

A word that comes into the pen by accident is one that its owner writes often. So its share among those that
could have come is how common it is in the witnesses, and not the same for all: a witness that has *and* where
another has a rare word has more probably lost the rare word than the other has found it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence

Share = Callable[[str], float]  # a word -> its share among those that could stand for another, 0-1


def word_shares(texts: Iterable[str]) -> Share:
    """Give how common each word is in some texts: (n(word) + 1) / (N + 1).

    n is how often the text has it that has it oftenest, N how many words the longest has: copies of one text
    are that text once, and what many of them have is no more likely to come into a pen.

    Args:
        texts: of the witnesses, as they are compared.

    >>> share = word_shares(["and he cwæð and eode", "and he eode"])
    >>> share("and"), round(share("locc"), 3)
    (0.5, 0.167)
    """
    most: Counter[str] = Counter()
    longest = 0
    for text in texts:
        words = text.split()
        most |= Counter(words)
        longest = max(longest, len(words))
    return lambda word: (most[word] + 1) / (longest + 1)


def by_accident(
    words: Sequence[str],
    others: Sequence[str],
    exchanged: float,
    spelled: Callable[[str, str], float],
    share: Share,
) -> float:
    """Give the probability of these words for those, an accident having befallen one of them at least.

    Summed over all ways of setting the words side by side: each is spelled (1 - e) P(written | original),
    exchanged for another e s(written), left out e, or put in e s(written).

    Args:
        words, others: original and written.
        exchanged: e, probability of an accident to a word, 0-1.
        spelled: P(written | original) of a word, letter by letter.
        share: s.

    >>> same, tenth = (lambda original, written: float(original == written)), (lambda word: 0.1)
    >>> round(by_accident(["swiðe", "eode"], ["and", "eode"], 0.005, same, tenth), 6)
    0.000503
    """
    right = [[0.0] * (len(others) + 1) for _ in range(len(words) + 1)]
    wrong = [[0.0] * (len(others) + 1) for _ in range(len(words) + 1)]
    right[0][0] = 1.0
    for i in range(len(words) + 1):
        for j in range(len(others) + 1):
            if i:
                wrong[i][j] += exchanged * (right[i - 1][j] + wrong[i - 1][j])
            if j:
                put = exchanged * share(others[j - 1])
                wrong[i][j] += put * (right[i][j - 1] + wrong[i][j - 1])
            if i and j:
                kept = (1 - exchanged) * spelled(words[i - 1], others[j - 1])
                right[i][j] = kept * right[i - 1][j - 1]
                wrong[i][j] += kept * wrong[i - 1][j - 1] + put * (right[i - 1][j - 1] + wrong[i - 1][j - 1])
    return wrong[-1][-1]
