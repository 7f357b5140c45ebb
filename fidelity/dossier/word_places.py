"""Find the words of a text at a place as it is printed, and cite them again.

Arrives: a witness and a locus such as "12r:3.4", "B 12r:3.4" or "12r:3.4-12r:3.6". Leaves: the letters
of these words. Start reading at ``words_at``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from fidelity.letters import decode, encode, whole_words
from fidelity.terms import Witness

_WORD = re.compile(r"\S+")
_DASH = re.compile(r"\s*[-–]\s*")


@dataclass(frozen=True)
class WordPlace:
    """Words of a text that stand together.

    Attributes:
        locus: of the first word and, if there are several, of the last, without the text's id.
        first, last: line and word of either, lines from 0, words from 1.
        span: their letters, half-open; words that run on over a line end are whole.
    """

    locus: str
    first: tuple[int, int]
    last: tuple[int, int]
    span: tuple[int, int]


def words_at(witness: Witness, text: str, cited: str) -> WordPlace | str | None:
    """Find words by their locus.

    Args:
        witness: the text.
        text: its id, which may stand before the place.
        cited: one word ("12r:3.4"), a line ("12r:3"), or the first and the last of several.

    Returns:
        The words; where the line is there but has not so many words, a sentence that says so; None
        where there is no such line.
    """
    cited = cited.strip()
    wholes = [cited]
    if cited.startswith(text + " "):
        wholes.insert(0, cited[len(text) :].strip())
    short = None
    for whole in wholes:
        for first, last in _readings_of(whole):
            found = _between(witness, first, last)
            if isinstance(found, WordPlace):
                return found
            short = short or found
    return short


def stand_at(witness: Witness, place: WordPlace, printed: str) -> WordPlace | None:
    """Find whether these words stand at a place; None where others do.

    A place of one word may be that of the first of several: then as many are taken as are given.

    Args:
        witness: the text.
        place: in it.
        printed: the words, as printed; stops and letterforms count.
    """
    wanted = in_words(printed)
    letters = witness.letters
    if " ".join(letters[slice(*place.span)].split()) == wanted:
        return place
    if place.first != place.last or " " not in wanted:
        return None
    end = place.span[0]
    for _ in wanted.split(" "):
        found = _WORD.search(letters, end)
        if found is None:
            return None
        end = found.end()
    if " ".join(letters[place.span[0] : end].split()) != wanted:
        return None
    line = witness.line_of(end - 1)
    word = len(_WORD.findall(letters, witness.lines[line], end))
    return replace(
        place,
        locus=cited_words(witness, place.first, (line, word)),
        last=(line, word),
        span=(place.span[0], end),
    )


def nearest_words(witness: Witness, printed: str, offset: int, reach: int) -> tuple[int, int] | None:
    """Find the span of whole words nearest to an offset; None where they stand nowhere near.

    Args:
        witness: the text.
        printed: the words, as printed.
        offset: where to look, in letters.
        reach: how far to either side, in letters.
    """
    words = in_words(printed).split(" ")
    pattern = re.compile(r"(?<!\S)" + r"\s+".join(map(re.escape, words)) + r"(?!\S)")
    start = max(offset - reach, 0)
    spans = [found.span() for found in pattern.finditer(witness.letters, start, offset + reach)]
    spans = [span for span in spans if span == whole_words(witness.letters, *span)]
    return min(spans, key=lambda span: (max(span[0] - offset, offset - span[1], 0), span), default=None)


def _readings_of(cited: str) -> Iterator[tuple[str, str]]:
    """Give the ways to take a locus: one place, or two parted by a dash; the second may be cut short."""
    yield cited, cited
    for dash in _DASH.finditer(cited):
        first, last = cited[: dash.start()], cited[dash.end() :]
        yield first, first.rpartition(".")[0] + "." + last  # "1.3-4" are two words, not lines
        yield first, last
        yield first, first.rpartition(":")[0] + ":" + last


def _between(witness: Witness, first: str, last: str) -> WordPlace | str | None:
    """Give the words from one place to another; why not, where there are fewer."""
    begin, end = _place(witness, first), _place(witness, last)
    if begin is None or end is None:
        return None
    for line, word, _ in (begin, end):
        there = len(_words_of(witness, line))
        if word > there or not there:
            return f"line {witness.labels[line]} has {there} word{'s' * (there != 1)}"
    (line, word, _), (last_line, last_word, is_line) = begin, end
    last_word = len(_words_of(witness, last_line)) if is_line else last_word
    if (last_line, last_word) < (line, word):
        return None
    start = _words_of(witness, line)[word - 1][0]
    stop = _words_of(witness, last_line)[last_word - 1][1]
    locus = cited_words(witness, (line, word), (last_line, last_word))
    return WordPlace(locus, (line, word), (last_line, last_word), whole_words(witness.letters, start, stop))


def cited_words(witness: Witness, first: tuple[int, int], last: tuple[int, int]) -> str:
    """Cite words by the first and the last of them, as printed."""
    begin, end = (f"{witness.labels[line]}.{word}" for line, word in (first, last))
    return begin if first == last else f"{begin}-{end}"


def _place(witness: Witness, cited: str) -> tuple[int, int, bool] | None:
    """Find line and word; whether the line alone is named."""
    if cited in witness.labels:
        return witness.labels.index(cited), 1, True
    label, _, word = cited.rpartition(".")
    if label in witness.labels and word.isdecimal() and int(word):
        return witness.labels.index(label), int(word), False
    return None


def _words_of(witness: Witness, line: int) -> list[tuple[int, int]]:
    """Give the words of a line as they are counted when places are cited."""
    start = witness.lines[line]
    end = witness.lines[line + 1] if line + 1 < len(witness.lines) else len(witness.letters)
    return [found.span() for found in _WORD.finditer(witness.letters, start, end)]


def in_words(printed: str) -> str:
    """Give printed words in letters, one blank between them, so that they can be compared."""
    return " ".join(encode(printed).split())


def as_printed(letters: str) -> str:
    """Give letters of a text as they stand in a table of decisions."""
    return decode(" ".join(letters.split()))


def nearest(name: str, known: Sequence[str]) -> str:
    """Ask whether the nearest of these names was meant; "" where there is none."""
    from rapidfuzz.distance import Levenshtein  # only needed where something is wrong

    if not known:
        return ""
    near = min(known, key=lambda one: (Levenshtein.normalized_distance(name, one), known.index(one)))
    return f"did you mean {near}?"
