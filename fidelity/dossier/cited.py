"""Understand a place as scholars write it: "B 12r:3.4", "B f. 12r, l. 3", "12r,3", "B 12r:3-12v:2".

Arrives: what was written, and the texts that may be cited. Leaves: a ``Place``: the text and a span of its
letters. Start reading at ``find_place``.

A place is named by text, page, line and word, or by the number that the text itself gives a verse or an
entry. So it stays what it is when another line is corrected, put in or taken out on another page.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from fidelity.errors import DataError, UsageError
from fidelity.terms import Locus, Witness

# What stands before a number without saying more than its place in the row does.
_WORDS_FOR_PARTS = re.compile(
    r"(?<![^\s,;:.–-])(?:folios?|foll?|ff?|pages?|pp?|lines?|ll?|verses?|vv?|words?|ww?|entry|entries|nos?)"
    r"(?:\s*\.\s*|\s+)(?=\d|[ivxlc]+\b)",
    re.IGNORECASE,
)
_SIDES = re.compile(r"(\d)\s*\.?\s*(recto|verso|[rv])(?![^\W\d_])[°ᵒº]?", re.IGNORECASE)
_BETWEEN_PARTS = re.compile(r"[\s:,;.]+")
_DASH = re.compile(r"\s*[-–—]\s*")
_WORD = re.compile(r"\S+")

Parts = tuple[str, ...]


@dataclass(frozen=True)
class Place:
    """A place in a text.

    Attributes:
        text: id of the text.
        span: offsets of its letters, from whole word to whole word.
        locus: its first word.
        last: its last word, if there are several.
        by_word: whether words were named, not whole lines or pages.
    """

    text: str
    span: tuple[int, int]
    locus: Locus
    last: Locus | None
    by_word: bool

    def __str__(self) -> str:
        if self.last is None:
            return str(self.locus)
        if self.last.line == self.locus.line:
            return f"{self.locus}-{self.last.word}"
        return f"{self.locus}-{self.last.line}.{self.last.word}"


class _Found(NamedTuple):
    """Where one end of a place lies: its letters, and whether a word was named."""

    start: int
    end: int
    by_word: bool


def find_place(written: str, texts: Mapping[str, Witness], without_id: Sequence[str] = ()) -> Place:
    """Find a place as it is written.

    Args:
        written: the citation. A line or a page without a word stands for all its words.
        texts: the texts that may be cited, by id.
        without_id: those that are meant where no text is named; that must be one.

    Returns:
        The place; a word that runs over a line end is the same word in either line.

    Raises:
        DataError: there is no such text, page, line or word; the nearest that there is is named.
        UsageError: nothing is written, or it does not say which of several texts is meant.
    """
    if not written.strip():
        raise UsageError(
            "no place is named", remedy='write text, page, line and word: "B 12r:3.4", or "B 3.4"'
        )
    text, rest = _text_of(written.strip(), texts, without_id)
    return _Finder(text, texts[text]).find(rest)


def _text_of(written: str, texts: Mapping[str, Witness], without_id: Sequence[str]) -> tuple[str, str]:
    """Part a citation into the text it names and the place in it."""
    longest_first = sorted(texts, key=len, reverse=True)
    for start, of in ((written, str), (written.lower(), str.lower)):  # as it is written, then in any case
        for name in longest_first:
            rest = written[len(name) :]
            if start.startswith(of(name)) and rest[:1] in ("", " ", ",", ":", "\t", "\u00a0"):
                return name, rest.strip(" ,:\t\u00a0")
    first = re.split(r"[\s,:]", written, maxsplit=1)[0]
    plain = _WORDS_FOR_PARTS.sub("", written)
    if not re.match(r"\d", plain) and not any(_parts(label)[:1] == _parts(first) for label in _labels(texts)):
        raise no_such_text(first, texts)
    if len(without_id) != 1:
        names = [f'"{name} {written}"' for name in (without_id or texts)]
        raise UsageError(f"{written}: which text is meant?", remedy=f"write {' or '.join(names)}")
    return without_id[0], written


def no_such_text(name: str, texts: Mapping[str, Witness]) -> DataError:
    """Say that there is no such text, and which is nearest."""
    from rapidfuzz import fuzz  # only needed where something is wrong

    known = {each: each.lower() for each in texts}
    near = max(known, key=lambda each: fuzz.ratio(name.lower(), known[each]))
    return DataError(
        f"there is no text {name} in the dossier", remedy=f"did you mean {near}? texts: {', '.join(texts)}"
    )


def _labels(texts: Mapping[str, Witness]) -> Iterator[str]:
    for witness in texts.values():
        yield from witness.labels


def _parts(written: str) -> Parts:
    """Part a citation at its separators, words for page, line and word left out.

    >>> _parts("f. 12r, l. 3"), _parts("12r:3.4"), _parts("fol. 12 verso 3")
    (('12r', '3'), ('12r', '3', '4'), ('12v', '3'))
    """
    plain = _WORDS_FOR_PARTS.sub("", written)
    plain = _SIDES.sub(lambda found: found[1] + found[2][0], plain).lower()
    return tuple(part for part in _BETWEEN_PARTS.split(plain) if part)


class _Finder:
    """Finds places in one text."""

    def __init__(self, text: str, witness: Witness) -> None:
        self.text, self.witness = text, witness
        self.lines: dict[Parts, int] = {}
        for line, label in enumerate(witness.labels):
            self.lines.setdefault(_parts(label), line)
        self.pages: dict[Parts, list[int]] = {}
        for line, page in enumerate(witness.pages):
            if page:
                self.pages.setdefault(_parts(page), []).append(line)

    def find(self, written: str) -> Place:
        """Find a place or a range of places."""
        first = _parts(written)
        if not first:
            return self._place(_Found(0, len(self.witness), by_word=False), written)
        if first in self.lines or not (dash := _DASH.search(written)):
            return self._place(self._point(first), written)
        first, last = _parts(written[: dash.start()]), _parts(written[dash.end() :])
        if len(last) < len(first) and all(part.isdigit() for part in last):
            last = (*first[: len(first) - len(last)], *last)
        one, other = self._point(first), self._point(last)
        if other.end < one.end:
            raise DataError(
                f"{self.text} {written} ends before it begins",
                remedy=f"write the earlier place first: {self._place(other, written)}",
            )
        return self._place(_Found(one.start, other.end, one.by_word or other.by_word), written)

    def _place(self, found: _Found, written: str) -> Place:
        """Make a place of a span of letters, without blanks at its ends."""
        start, end = found.start, found.end
        letters = self.witness.letters
        while start < end and letters[start].isspace():
            start += 1
        while end > start and letters[end - 1].isspace():
            end -= 1
        if start == end:
            raise DataError(f"{self.text} {written} holds no word", remedy="name a place that has words")
        one, last = (replace(self.witness.locus(at), text=self.text) for at in (start, end - 1))
        several = any(map(str.isspace, letters[start:end]))
        return Place(self.text, (start, end), one, last if several else None, found.by_word)

    def _point(self, parts: Parts) -> _Found:
        """Find a word, a line or a page."""
        if parts in self.lines:
            line = self.lines[parts]
            start, end = self._span(line)
            return _Found(start, end, by_word=False)
        if parts in self.pages:
            lines = self.pages[parts]
            return _Found(self._span(lines[0])[0], self._span(lines[-1])[1], by_word=False)
        if parts[:-1] in self.lines and parts[-1].isdigit():
            return self._word(self.lines[parts[:-1]], int(parts[-1]))
        raise self._nothing_there(parts)

    def _span(self, line: int) -> tuple[int, int]:
        """Give a line from whole word to whole word."""
        lines, size = self.witness.lines, len(self.witness)
        end = lines[line + 1] if line + 1 < len(lines) else size
        return self._whole(lines[line], max(end - 1, lines[line]) if end < size else end)

    def _word(self, line: int, number: int) -> _Found:
        """Find the word of this number in a line."""
        lines = self.witness.lines
        end = lines[line + 1] if line + 1 < len(lines) else len(self.witness)
        words = list(_WORD.finditer(self.witness.letters[lines[line] : end]))
        label = self.witness.labels[line]
        if not 1 <= number <= len(words):
            near = min(max(number, 1), len(words))
            have = "1 word" if len(words) == 1 else f"{len(words)} words"
            raise DataError(
                f"{self.text} {label} has no word {number}",
                remedy=f"the line has {have}; the nearest is {self.text} {label}.{near}",
            )
        found = words[number - 1]
        return _Found(*self._whole(found.start() + lines[line], found.end() + lines[line] - 1), by_word=True)

    def _whole(self, first: int, last: int) -> tuple[int, int]:
        """Widen a span, the last letter counted in, to whole words: one may run on over a line end."""
        letters = self.witness.letters
        while first and not letters[first].isspace() and not letters[first - 1].isspace():
            first -= 1
        end = last
        while end < len(letters) and not letters[end].isspace():
            end += 1
        return first, end

    def _nothing_there(self, parts: Parts) -> DataError:
        """Say what is not there, and what is nearest to it."""
        if self.pages and parts[:1] not in self.pages:
            page = self.pages[_nearest(parts[:1], list(self.pages))]
            names = [self.witness.pages[lines[0]] for lines in self.pages.values()]
            return DataError(
                f"{self.text} has no page {parts[0]}",
                remedy=f"the nearest is {self.text} {self.witness.labels[page[0]]}; its pages go from"
                f" {names[0]} to {names[-1]}",
            )
        of_page = self.pages.get(parts[:1], list(range(len(self.witness.labels))))
        labels = [_parts(self.witness.labels[line]) for line in of_page]
        line = of_page[labels.index(_nearest(parts, labels))]
        first, last, near = (self.witness.labels[at] for at in (of_page[0], of_page[-1], line))
        what = f"has no line {' '.join(parts[1:2] if self.pages else parts[:1])}"
        on = f" on page {self.witness.pages[of_page[0]]}" if self.pages else ""
        return DataError(
            f"{self.text} {what}{on}",
            remedy=f"the nearest is {self.text} {near}; its lines go from {first} to {last}",
        )


def _nearest(parts: Parts, known: Sequence[Parts]) -> Parts:
    """Give the known citation nearest to another: by its numbers, then by its letters."""

    def far(one: Parts) -> tuple[tuple[float, bool], ...]:
        return tuple(_far(*pair) for pair in zip(parts, one, strict=False))

    return min(known, key=far)


def _far(one: str, other: str) -> tuple[float, bool]:
    """Give how far two parts of a citation are from each other: the numbers in them, then the rest."""
    numbers = [re.search(r"\d+", part) for part in (one, other)]
    if numbers[0] and numbers[1]:
        return abs(int(numbers[0][0]) - int(numbers[1][0])), one != other
    return (0.0, False) if one == other else (float("inf"), True)
