"""The words of a copy, ready to be searched for other hands.

Arrives: a copy; of a survivor its alignment, and what he did with the layers. Leaves: ``Words``: columns, one
place for each word. Start reading at ``words_of``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

import numpy as np
import regex
from numpy.typing import NDArray

from fidelity.letters import is_punctuation, without_stops
from fidelity.terms import Alignment, StepKind, Witness
from fidelity.terms.hands import CHANGED, KEPT_APART, REPRODUCED, Layer
from fidelity.variants.numerals import value_of_numeral
from fidelity.variants.places import Places
from fidelity.witnesses.folds import Folds

MAIN = -1  # in the place of a layer's number: the main hand's
LONGEST_FIELD = 4  # words; a line parted by one sign into longer pieces is no entry of a glossary (chosen)

Column = NDArray[np.int64]
_WORD = regex.compile(r"\S+")


@dataclass(frozen=True)
class Words:
    """The words of a copy, in their order.

    Attributes:
        text: id of the text.
        witness: the copy.
        starts, ends: offsets in the copy, half-open.
        lines: index of the line each stands in.
        fields: number of the field of an entry each stands in; in running text all are one.
        whole: whether a word's field is one of several in its entry.
        forms: the different forms, folded, without capitals, stops kept.
        number: for each word its form.
        layers: for each the number of the survivor's layer it belongs to; -1 for the main hand's.
        languages: for each the language declared of its place; "" where none is.
    """

    text: str
    witness: Witness
    starts: Column
    ends: Column
    lines: Column
    fields: Column
    whole: NDArray[np.bool_]
    forms: tuple[str, ...]
    number: Column
    layers: Column
    languages: NDArray[Any]

    def __len__(self) -> int:
        return len(self.starts)

    def form(self, at: int) -> str:
        """Give a word's form."""
        return self.forms[int(self.number[at])]

    @cached_property
    def bare(self) -> tuple[str, ...]:
        """Give the forms without stops."""
        return tuple(map(without_stops, self.forms))

    @cached_property
    def keys(self) -> tuple[str, ...]:
        """Give the forms as openings are told by: any stop before and any stop after alike."""
        return tuple(map(opening_key, self.forms))

    @cached_property
    def silent(self) -> NDArray[np.bool_]:
        """Tell of each form whether it says nothing of a language: a numeral, or no letters."""
        says = [
            not bare or value_of_numeral(form) is not None
            for form, bare in zip(self.forms, self.bare, strict=True)
        ]
        return np.array(says, dtype=bool)

    @cached_property
    def empty(self) -> NDArray[np.bool_]:
        """Tell of each form whether it has no letters."""
        return np.array([not bare for bare in self.bare], dtype=bool)

    @cached_property
    def times(self) -> Column:
        """Give for each word how often it stands in the copy, stops apart."""
        bare = {word: at for at, word in enumerate(dict.fromkeys(self.bare))}
        numbers = np.array([bare[word] for word in self.bare], dtype=np.int64)[self.number]
        found: Column = np.bincount(numbers, minlength=len(bare))[numbers]
        return found


def opening_key(form: str) -> str:
    """Give a word as openings are told by.

    >>> opening_key("i."), opening_key("i,"), opening_key(".i."), opening_key("uel")
    ('i.', 'i.', '.i.', 'uel')
    """
    before, after = (is_punctuation(letter) for letter in (form[:1] or " ", form[-1:] or " "))
    bare = without_stops(form)
    return f"{'.' if before else ''}{bare}{'.' if after else ''}" if bare else form


def words_of(copy: Witness, text: str, folds: Folds) -> Words:
    """Give the words of a copy, all as the main hand's, in the copy's own language."""
    letters = folds.fold(copy.letters).lower()
    if len(letters) != len(copy.letters):  # a capital whose small letter takes two places
        letters = folds.fold(copy.letters)
    spans = [found.span() for found in _WORD.finditer(letters)]
    starts = np.array([start for start, _ in spans], dtype=np.int64)
    ends = np.array([end for _, end in spans], dtype=np.int64)
    written = [letters[start:end] for start, end in spans]
    forms = {form: at for at, form in enumerate(dict.fromkeys(written))}
    lines = np.searchsorted(np.array(copy.lines), starts, side="right") - 1
    fields, whole = _fields(copy, written, starts, lines)
    return Words(
        text=text,
        witness=copy,
        starts=starts,
        ends=ends,
        lines=lines.astype(np.int64),
        fields=fields,
        whole=whole,
        forms=tuple(forms),
        number=np.array([forms[one] for one in written], dtype=np.int64),
        layers=np.full(len(spans), MAIN, dtype=np.int64),
        languages=np.full(len(spans), copy.language, dtype=object),
    )


def _fields(
    copy: Witness, written: Sequence[str], starts: Column, lines: Column
) -> tuple[Column, NDArray[np.bool_]]:
    """Number the fields of entries: parted by tabs, or by one sign alone between a few words."""
    fields = np.zeros(len(starts), dtype=np.int64)
    whole = np.zeros(len(starts), dtype=bool)
    number = 0
    for line, group in groupby(range(len(starts)), key=lambda at: int(lines[at])):
        words = list(group)
        parted = _parted(copy, [written[at] for at in words])
        number += bool(parted)
        tabs = copy.letters.count("\t", *copy.line_span(line)) if copy.fields else 0
        for at in words:
            passed = copy.letters.count("\t", copy.lines[line], int(starts[at])) if tabs else 0
            passed += bool(parted and not tabs and at - words[0] >= parted)
            fields[at], whole[at] = number + passed, bool(parted)
        number += (tabs + 1) if parted else 0
    return fields, whole


def _parted(copy: Witness, words: Sequence[str]) -> int:
    """Give the place among its words at which an entry is parted by a sign; 0 where a line is no entry."""
    if copy.fields:
        return 1
    signs = [at for at, word in enumerate(words) if not without_stops(word)]
    if len(signs) != 1 or not 0 < signs[0] < len(words) - 1:
        return 0
    return signs[0] if max(signs[0], len(words) - 1 - signs[0]) <= LONGEST_FIELD else 0


def words_of_survivor(
    alignment: Alignment, text: str, places: Places, folds: Folds, layers: Sequence[tuple[int, Layer]]
) -> Words:
    """Give the words of a survivor's copy, with the layers they belong to.

    Args:
        alignment: of original and copy.
        text: id of the survivor.
        places: languages of the original.
        folds: letterforms counted as equal.
        layers: of this survivor, each with its number.
    """
    words = words_of(alignment.copy, text, folds)
    if not len(words):
        return words
    for number, layer in layers:
        if layer.done in (REPRODUCED, CHANGED, KEPT_APART) and layer.copy_span[0] < layer.copy_span[1]:
            start, end = layer.copy_span
            middle = (words.starts + words.ends) // 2  # of a word half of it counts
            words.layers[(middle >= start) & (middle < end)] = number
    answered = _answered(alignment, words.starts)
    starts = np.array(places.starts)
    stretch = np.searchsorted(starts, answered, side="right") - 1
    words.languages[:] = np.array(places.languages, dtype=object)[stretch]
    return words


def _answered(alignment: Alignment, offsets: Column) -> Column:
    """Give the offsets in the original that letters of the copy answer."""
    steps = np.asarray(alignment.steps)
    step = steps[np.minimum(np.searchsorted(steps[:, 3], offsets, "right"), len(steps) - 1)]
    within = np.where(step[:, 4] == StepKind.KEPT, offsets - step[:, 2], 0)
    found: Column = np.clip(step[:, 0] + within, 0, np.maximum(step[:, 1] - 1, step[:, 0])).astype(np.int64)
    return found
