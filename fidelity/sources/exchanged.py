"""Take what differs between two witnesses in the words in which it was altered.

Arrives: differences letter by letter, as an alignment gives them. Leaves: the same, where one word stands for
another altogether the whole word once; and of differences that run through several words the single ones.
Start reading at ``words_exchanged``.

What letters two different words happen to have in common tells nothing. So what differs in one word is taken
to be one change wherever that he puts one word for another is likelier than all its slips in letters
together.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby

from fidelity.letters import whole_words
from fidelity.sources.coincidence import Chance, Coincidence, plain
from fidelity.sources.facing import Span
from fidelity.terms import LOST_LETTER, Cause, Witness
from fidelity.witnesses.folds import Folds

NEARLY, FAR = 1 / 3, 2 / 3  # share of a reading's letters to be changed to get another (chosen)

Spans = tuple[Span, Span]


def words_exchanged(
    differing: Iterable[Spans],
    texts: tuple[Witness, Witness],
    chances: Coincidence,
    folds: Folds,
    usage: frozenset[tuple[str, str]] = frozenset(),
) -> list[Spans]:
    """Put together what differs in one word, where one word stands for another.

    Args:
        differing: spans of the first and of the second that differ, in order.
        texts: the two witnesses.
        chances: how likely slips in letters and in words are.
        folds: letterforms counted as equal.
        usage: letters for letters, plain, that are usage of one of them: these stay what they are.

    Returns:
        The differences in order, those in one word as the whole word wherever that is likelier.
    """
    found: list[Spans] = []
    for words, group in groupby(differing, key=lambda spans: _words(texts, spans)):
        some = list(group)
        letters = [_letters(texts, spans, folds) for spans in some]
        single = all(len(text.letters[slice(*span)].split()) == 1 for text, span in _of(texts, words))
        changed = sum(max(len(one), len(other)) for one, other in letters)
        if not single or changed < 2 or usage.intersection(letters) or LOST_LETTER in str(letters):
            found += some
            continue
        chance = 1.0
        for one, other in letters:
            chance *= chances.of(one, other).probability
        found += [words] if chance < chances.rate(Cause.WORD_SUBSTITUTION) else some
    return found


def as_a_word(chance: Chance, spans: Spans, texts: tuple[Witness, Witness], chances: Coincidence) -> Chance:
    """Give the chance of one whole word for another, however short: as of a word, if that is likelier.

    Args:
        chance: of the change as it is in letters.
        spans, texts: what differs, and in what.
        chances: how likely it is that a word is put for another.
    """
    words = [text.letters[slice(*span)] for text, span in _of(texts, spans)]
    rate = chances.rate(Cause.WORD_SUBSTITUTION)
    if _words(texts, spans) != spans or rate <= chance.probability or max(map(len, words)) < 2:
        return chance
    return Chance(rate, "another word") if all(len(word.split()) == 1 for word in words) else chance


def single_words(spans: Spans, texts: tuple[Witness, Witness], folds: Folds) -> list[Spans]:
    """Part a difference of several words into the words that differ, each with the one that answers it.

    Returns:
        As many as there are; the difference as it is where it is within one word, where the two have not as
        many words, or where words were moved.
    """
    if any(start == end for start, end in spans):
        return [spans]
    words = [list(_each_word(text, whole_words(text.letters, *span))) for text, span in _of(texts, spans)]
    if len(words[0]) != len(words[1]) or len(words[0]) < 2:
        return [spans]
    pairs = list(zip(*words, strict=True))
    read = [_letters(texts, pair, folds) for pair in pairs]
    if {one for one, other in read if one != other} & {other for one, other in read if one != other}:
        return [spans]
    return [pair for pair, (one, other) in zip(pairs, read, strict=True) if one != other] or [spans]


def nearly(letters: str, reading: str, third: str) -> bool:
    """Tell whether a witness has a reading but for a slip of its own, and has not the other one.

    >>> nearly("our", "oure", "castel"), nearly("our", "oure", "ours"), nearly("n", "u", "m")
    (True, False, False)
    """
    from rapidfuzz.distance import Levenshtein  # slow to import; few dossiers have other witnesses

    near, far = (Levenshtein.normalized_distance(letters, one) for one in (reading, third))
    return near <= NEARLY and far >= FAR


def _of(texts: tuple[Witness, Witness], spans: Spans) -> Iterator[tuple[Witness, Span]]:
    """Give each witness with its span."""
    return zip(texts, spans, strict=True)


def _words(texts: tuple[Witness, Witness], spans: Spans) -> Spans:
    """Give the words that a difference stands in, in both."""
    first, second = (whole_words(text.letters, *span) for text, span in _of(texts, spans))
    return first, second


def _letters(texts: tuple[Witness, Witness], spans: Spans, folds: Folds) -> tuple[str, str]:
    """Give the letters of a difference as they are compared."""
    one, other = (plain(text.letters[slice(*span)], folds) for text, span in _of(texts, spans))
    return one, other


def _each_word(witness: Witness, span: Span) -> Iterator[Span]:
    """Give the words of a span."""
    start = span[0]
    for word in witness.letters[slice(*span)].split():
        start = witness.letters.index(word, start)
        yield start, start + len(word)
        start += len(word)
