"""Tests for letters and words drawn in from near by: anticipation, perseveration.

Arrives: a variant and the facts. Leaves: what made the test fit, as printed, or "". Start reading at
``anticipation``.

The pen writes what the eye or the memory holds: a letter of a word yet to come, or of one just
written, at the same place of the word at hand; or that word itself. Some word near by has the
letter at that place by chance, too. With share q of words that have it there, one of the d words
before or the d words after has it with probability 1 - (1 - q)^2d. Only where that is small does the
test fit. For q a slip of the pen is taken to give a letter half the time as often as the text has it at
that place, half the time like any other of the alphabet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import islice

from fidelity.causes.facts import MOST_LETTERS, WHOLE_WORD, Facts, bare, is_whole_words, shown
from fidelity.terms import Phenomenon, Variant

WINDOW = 3  # words before or after; what is farther off is no longer held in mind (chosen)
WORD_WINDOW = 6  # words, for whole words drawn in (chosen)
BY_CHANCE = 0.15  # the most that chance may account for (chosen)
PERHAPS_BY_CHANCE = 0.5  # as a rival only: drawn in as likely as not (chosen)
REACH = 120  # letters looked at on either side; six words are seldom longer

Match = tuple[float, str]  # probability by chance, and what was found


def anticipation(variant: Variant, facts: Facts, at_most: float = BY_CHANCE) -> str:
    """What was written stands a little further on, at the same place of the word.

    Where it stands a little before as well, and chance accounts for that less, it is perseveration.
    """
    after = _likeliest(variant, facts, _after) if _can_be_drawn(variant) else None
    if after is None or after[0] > at_most:
        return ""
    before = _likeliest(variant, facts, _before) if at_most == BY_CHANCE else None
    return "" if before is not None and before[0] < after[0] else _told(after, "after")


def perseveration(variant: Variant, facts: Facts, at_most: float = BY_CHANCE) -> str:
    """What was written stands a little before, at the same place of the word."""
    before = _likeliest(variant, facts, _before) if _can_be_drawn(variant) else None
    return "" if before is None or before[0] > at_most else _told(before, "before")


def _can_be_drawn(variant: Variant) -> bool:
    kind = variant.phenomenon in (Phenomenon.SUBSTITUTION, Phenomenon.ADDITION)
    return kind and bool(variant.copy.strip()) and variant.original.lower() != variant.copy.lower()


def _told(match: Match, where: str) -> str:
    return f"{match[1]} {where}; by chance {match[0]:.2g}"


def _likeliest(variant: Variant, facts: Facts, near: Callable[[Variant, Facts], list[str]]) -> Match | None:
    """Find the word the letters were drawn from: where chance accounts for it least."""
    key = near.__name__, variant.original_span, variant.copy_span
    if key not in facts.drawn:
        facts.drawn[key] = min(_matches(variant, facts, near(variant, facts)), default=None)
    return facts.drawn[key]


def _after(variant: Variant, facts: Facts) -> list[str]:
    """Give the words of the original after a variant's own, folded, nearest first."""
    letters = facts.alignment.original.letters
    end = _word_end(letters, variant.original_span[1])
    return _nearest(facts.folds.fold(letters[end : end + REACH]).split())


def _before(variant: Variant, facts: Facts) -> list[str]:
    """Give the words of the copy before a variant's own, folded, nearest first."""
    letters = facts.alignment.copy.letters
    start = _word_start(letters, variant.copy_span[0])
    return _nearest(reversed(facts.folds.fold(letters[max(start - REACH, 0) : start]).split()))


def _nearest(words: Iterable[str]) -> list[str]:
    """Give the first words without their stops; what is nothing but stops is no word."""
    return list(islice(filter(None, map(_bare, words)), WORD_WINDOW))


@lru_cache(maxsize=20_000)  # the words of a text recur, and each is met as the neighbour of many
def _bare(word: str) -> str:
    return bare(word)


def _word_start(letters: str, at: int) -> int:
    least = max(at - REACH, 0)
    while at > least and not letters[at - 1].isspace():
        at -= 1
    return at


def _word_end(letters: str, at: int) -> int:
    most = min(at + REACH, len(letters))
    while at < most and not letters[at].isspace():
        at += 1
    return at


def _matches(variant: Variant, facts: Facts, near: Sequence[str]) -> Iterator[Match]:
    """Give what of the words near by agrees with what was written."""
    letters, (c0, c1) = facts.alignment.copy.letters, variant.copy_span
    written = _bare(facts.folds.fold(letters[c0:c1]))
    if variant.replaced or (variant.phenomenon is Phenomenon.ADDITION and is_whole_words(letters, c0, c1)):
        yield from _words_drawn(written.split(), facts, near)
        return
    start, end = _word_start(letters, c0), _word_end(letters, c1)
    if not written or any(map(str.isspace, letters[start:end])):
        return
    word = _bare(facts.folds.fold(letters[start:end]))
    first, size = len(_bare(letters[start:c0])), len(written)
    if len(word) < 2:
        return
    for distance, other in enumerate(near[:WINDOW]):
        if not _may_agree(word, other, first, size):
            continue
        for place, drawn in _windows(word, first, size):
            if _stands_at(other, place, drawn):
                share = _share(facts, place, drawn)
                if len(drawn) == size:  # nothing that he kept agrees with it
                    share = (share + len(facts.vocabulary.alphabet) ** -size) / 2
                chance = _by_chance(share, distance + 1)
                yield chance, f"{shown(drawn)} as in {shown(other)}, {_off(distance)}"


def _may_agree(word: str, other: str, first: int, size: int) -> bool:
    """Tell whether the letters written stand at their place of another word, from either end of it.

    Every longer window holds them: where they do not stand, no window does. So it is with most words.
    """
    written, from_end = word[first : first + size], first + len(other) - len(word)
    return other.startswith(written, first) or (from_end >= 0 and other.startswith(written, from_end))


def _words_drawn(written: Sequence[str], facts: Facts, near: Sequence[str]) -> Iterator[Match]:
    """Give where the words written stand near by."""
    for distance in range(len(near) if written else 0):
        if list(near[distance : distance + len(written)]) == list(written):
            chance = _by_chance(_share(facts, WHOLE_WORD, written[0]), distance + 1)
            yield chance, f"{shown(' '.join(written))}, {_off(distance)}"


def _windows(word: str, first: int, size: int) -> Iterator[tuple[int, str]]:
    """Give the letters written with their neighbours in the word, by place from both ends."""
    yield WHOLE_WORD, word
    for length in range(size, MOST_LETTERS + 1):
        for start in range(max(first + size - length, 0), min(first, len(word) - length) + 1):
            letters = word[start : start + length]
            yield start, letters
            yield start + length - len(word) - 1, letters


def _stands_at(word: str, place: int, letters: str) -> bool:
    """Tell whether a word has these letters at that place."""
    if place == WHOLE_WORD:
        return word == letters
    if place >= 0:
        return word.startswith(letters, place)
    start = place + 1 + len(word) - len(letters)
    return start >= 0 and word.startswith(letters, start)


def _share(facts: Facts, place: int, letters: str) -> float:
    """Give the share of the original's words that have these letters at that place; never none."""
    vocabulary = facts.vocabulary
    return (vocabulary.standing(place, letters) + 1) / (len(vocabulary.words) + 1)


def _by_chance(share: float, words: int) -> float:
    return float(1 - (1 - share) ** (2 * words))


def _off(distance: int) -> str:
    return f"{distance + 1} word{'s' if distance else ''}"
