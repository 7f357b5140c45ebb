"""The mechanisms that ``planted_mechanisms.py`` plants, one function each.

Arrives: the exemplar and a word of it. Leaves: the error made there, or None where the word gives no
occasion. Start reading at ``mechanisms``.
"""

from __future__ import annotations

import numpy as np

from tests.planted_hand import Hand
from tests.planted_marks import MARKED, leaves_a_gap
from tests.planted_mechanisms import MODERN, STROKES, Edit, Exemplar, Mechanism, bare, saga_words

REACH_OF_EYE = 12  # words within which he looks for his place again


def minims(exemplar: Exemplar, at: int) -> Edit | None:
    """He counts a run of strokes anew and parts it otherwise, now and then one stroke off."""
    word = bare(exemplar.words[at])
    for first in range(len(word)):
        last = first
        while last < len(word) and word[last] in STROKES:
            last += 1
        if last - first >= 2 or (last > first and word[first] == "m"):
            strokes = sum(STROKES[letter] for letter in word[first:last])
            strokes += int(exemplar.rng.choice([0, 0, 0, 0, 1, -1]))
            written = ""
            while strokes > 0:
                letter = str(exemplar.rng.choice([x for x, size in STROKES.items() if size <= strokes]))
                written, strokes = written + letter, strokes - STROKES[letter]
            same = written == word[first:last] or not written
            return None if same else exemplar.replaced("minims", at, written, first, last)
    return None


def eye_skip(exemplar: Exemplar, at: int) -> Edit | None:
    """Having written a word he looks for it in the exemplar and goes on after a later one like it."""
    word = bare(exemplar.words[at])
    if len(word) < 2:
        return None
    for later in range(at + 2, at + REACH_OF_EYE):
        other = bare(exemplar.words[later])
        if other == word or (len(word) >= 4 and len(other) >= 4 and other[-4:] == word[-4:]):
            _, start = exemplar.span(at, at)
            return Edit("eye_skip", start, exemplar.span(later, later)[1], "")
    return None


def line_skip(exemplar: Exemplar, at: int) -> Edit | None:
    """His eye falls to the line after the next."""
    if not exemplar.lines:
        return Edit("line_skip", 0, 0, "")  # the lines are not laid out yet; there will be some
    first, second = [line for line in exemplar.lines if line > exemplar.starts[at]][:2]
    return Edit("line_skip", first, second, "")


def written_again(exemplar: Exemplar, at: int) -> Edit | None:
    """His eye falls back to a word he has written, and he copies on from there."""
    back = 1 + exemplar.pick(3)
    _, end = exemplar.span(at, at)
    return Edit("dittography", end, end, " " + " ".join(exemplar.words[at - back + 1 : at + 1]))


def syllable_again(exemplar: Exemplar, at: int) -> Edit | None:
    """Within a word his pen goes over a syllable twice."""
    word, size = bare(exemplar.words[at]), 2 + exemplar.pick(2)
    if len(word) < 5:
        return None
    place = size + exemplar.pick(len(word) - size)
    return exemplar.replaced("dittography", at, word[place - size : place], place, place)


def once_for_twice(exemplar: Exemplar, at: int) -> Edit | None:
    """Letters that stand twice are written once."""
    word = bare(exemplar.words[at])
    for size in (2, 1):
        for first in range(len(word) - 2 * size + 1):
            if word[first : first + size] == word[first + size : first + 2 * size]:
                return exemplar.replaced("haplography", at, "", first, first + size)
    return None


def letters_changed_round(exemplar: Exemplar, at: int) -> Edit | None:
    """The hand is ahead of itself: two letters change places."""
    word = bare(exemplar.words[at])
    if len(word) < 4:
        return None
    first = 1 + exemplar.pick(len(word) - 2)
    pair = word[first : first + 2]
    if pair[0] == pair[1] or set(pair) <= STROKES.keys():
        return None
    return exemplar.replaced("metathesis", at, pair[::-1], first, first + 2)


def words_changed_round(exemplar: Exemplar, at: int) -> Edit | None:
    """He holds two words in mind and writes them in the other order."""
    first, second = exemplar.words[at], exemplar.words[at + 1]
    if bare(first) != first or bare(second) != second or first == second or min(len(first), len(second)) < 3:
        return None
    return Edit("metathesis", *exemplar.span(at, at + 1), f"{second} {first}")


def capital(exemplar: Exemplar, at: int) -> Edit | None:
    """A capital for a small letter."""
    letter = exemplar.words[at][0]
    return exemplar.replaced("capital", at, letter.upper(), 0, 1) if letter.isalpha() else None


def stop(exemplar: Exemplar, at: int) -> Edit | None:
    """A stop is changed, left out, or set where there was none."""
    word = exemplar.words[at]
    size = len(bare(word))
    written = str(exemplar.rng.choice([mark for mark in ("", ",", ".", ";") if mark != word[size:]]))
    return exemplar.replaced("punctuation", at, written, size)


def modernises(exemplar: Exemplar, at: int) -> Edit | None:
    """He writes the word as it is written in his day."""
    word = bare(exemplar.words[at])
    return exemplar.replaced("modernised", at, MODERN[word], 0, len(word)) if word in MODERN else None


def other_form(exemplar: Exemplar, at: int) -> Edit | None:
    """He writes the long s of his own hand for the round one."""
    word = bare(exemplar.words[at])
    if "s" not in word[:-1]:
        return None
    return exemplar.replaced("letterform", at, "ſ", word.index("s"), word.index("s") + 1)


def _mixed(exemplar: Exemplar, at: int, other: str, cause: str) -> Edit | None:
    """Write a word with letters of another at the same place: onset, ending, or all of it."""
    word, other = bare(exemplar.words[at]), bare(other)
    how = exemplar.rng.random()
    if how < 0.15:  # the other word altogether
        return None if word == other or len(other) < 3 else exemplar.replaced(cause, at, other, 0, len(word))
    if min(len(word), len(other)) < 3:
        return None
    if how < 0.65:  # its first letter, if both begin alike in kind
        first, size = 0, 1
    elif how < 0.85:  # its onset
        first, size = 0, 2
    else:  # a letter within
        first, size = 1 + exemplar.pick(min(len(word), len(other)) - 2), 1
    if word[first : first + size] == other[first : first + size]:
        return None
    return exemplar.replaced(cause, at, other[first : first + size], first, first + size)


def _distance(exemplar: Exemplar) -> int:
    """Draw how far the word is off that he has in mind: mostly the next, seldom the one after."""
    return int(exemplar.rng.choice([1, 1, 1, 2]))


def anticipates(exemplar: Exemplar, at: int) -> Edit | None:
    """A word still to come runs into the one at hand."""
    return _mixed(exemplar, at, exemplar.words[at + _distance(exemplar)], "anticipation")


def perseveres(exemplar: Exemplar, at: int) -> Edit | None:
    """The word just written runs into the one at hand."""
    return _mixed(exemplar, at, exemplar.words[at - _distance(exemplar)], "perseveration")


def _any_word(exemplar: Exemplar, like: str) -> str:
    """Draw a word of the saga of about the same length and another sound."""
    words = saga_words()
    while True:
        word = bare(words[exemplar.pick(len(words))])
        if abs(len(word) - len(like)) <= 2 and len(word) >= 3 and word != like and word.isalpha():
            return word


def another_word(exemplar: Exemplar, at: int) -> Edit | None:
    """His memory gives him another word."""
    word = bare(exemplar.words[at])
    if len(word) < 4:
        return None
    return exemplar.replaced("word_substitution", at, _any_word(exemplar, word), 0, len(word))


def puts_in(exemplar: Exemplar, at: int) -> Edit | None:
    """He adds a word or two of his own."""
    _, end = exemplar.span(at, at)
    words = [_any_word(exemplar, "xxxxx") for _ in range(1 + exemplar.pick(2))]
    return Edit("interpolation", end, end, "".join(f" {word}" for word in words))


def slip(exemplar: Exemplar, at: int) -> Edit | None:
    """The pen slips: any letter for any other, one lost, one put in."""
    word = bare(exemplar.words[at])
    first = exemplar.pick(len(word))
    written = str(exemplar.rng.choice(sorted(set("abdefghklmnorstuvyþðæö") - {word[first]})))
    how = exemplar.rng.random()
    if how < 0.6:
        return exemplar.replaced("undetermined", at, written, first, first + 1)
    if how < 0.8:
        return exemplar.replaced("undetermined", at, "", first, first + 1)
    return exemplar.replaced("undetermined", at, written, first, first)


def word_lost(exemplar: Exemplar, at: int) -> Edit | None:
    """A word is left out for no reason to be seen."""
    start, end = exemplar.span(at, at)
    return Edit("undetermined", start, end + 1, "")


def mechanisms(seed: int) -> dict[str, Mechanism]:
    """Give every mechanism by name, those that need the rarest occasions first."""
    hand = Hand(np.random.default_rng(seed))
    return {
        "haplography": once_for_twice,
        "line skip": line_skip,
        "eye skip": eye_skip,
        "modernised": modernises,
        **MARKED,
        "minims": minims,
        "misreading": hand.misreads,
        "misreading again": hand.misreads,
        "misreading once more": hand.misreads,
        "words again": written_again,
        "syllable again": syllable_again,
        "words round": words_changed_round,
        "letters round": letters_changed_round,
        "capital": capital,
        "stop": stop,
        "gap": leaves_a_gap,
        "letterform": other_form,
        "anticipation": anticipates,
        "perseveration": perseveres,
        "other word": another_word,
        "put in": puts_in,
        "slip": slip,
        "word lost": word_lost,
    }
