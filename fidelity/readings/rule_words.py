"""Where a rule could be undone in a lost text, word by word, and what would come of it.

Arrives: the copy of a lost text, and which words are known. Leaves: for any written letters every form
of the copy they stand in, with its places. Start reading at ``LostForms``.

A form that recurs is looked at once, so that the work grows with the words of a text and not with its
letters.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from functools import cached_property
from typing import NamedTuple

from fidelity.letters import is_punctuation, whole_words, without_stops
from fidelity.readings.steps import Step
from fidelity.variants.set_aside import Mask

WOULD_BE_KNOWN, BOTH_KNOWN, WORD_LOST, BOTH_UNKNOWN = range(4)
WHY = (
    "no known word, and would be one",
    "both are known words",
    "is a known word, and would be none",
    "neither is a known word",
)


class Occasion(NamedTuple):
    """A place of a form at which a rule could be undone.

    Attributes:
        form: the word, or where the rule concerns a division the words, as the copy has them.
        at: offset in it of the written letters.
        starts: offsets in the copy at which the form stands.
        undone: the form with the rule undone.
    """

    form: str
    at: int
    starts: list[int]
    undone: str


class LostForms:
    """The forms of a lost text's copy.

    Args:
        copied: its letters, folded.
        his: which of them the copyist wrote; what is not his is left out.
        words: the words that are known.
    """

    def __init__(self, copied: str, his: Mask, words: Collection[str]) -> None:
        self.copied, self.his, self.words = copied, his, words
        self.all_his = bool(his.all())
        self.forms: defaultdict[str, list[int]] = defaultdict(list)
        end = 0
        for form in copied.split():
            start = copied.index(form, end)
            end = start + len(form)
            if self._is_his(start, end):
                self.forms[form].append(start)
        self._written: dict[str, list[tuple[str, int, list[int]]]] = {}
        self._known: dict[str, bool] = {}

    def _is_his(self, start: int, end: int) -> bool:
        return self.all_his or bool(self.his[start:end].all())

    def occasions(self, rule: Step) -> Iterator[Occasion]:
        """Give every place of every form at which a rule could be undone."""
        original, written = rule
        division = not written and original.isspace()
        for form, at, starts in self._where_written(written):
            if division and not 0 < at < len(form):
                continue
            yield Occasion(form, at, starts, form[:at] + original + form[at + len(written) :])

    def _where_written(self, written: str) -> list[tuple[str, int, list[int]]]:
        """Give the forms some letters stand in, at which offset, and where the forms stand."""
        if written not in self._written:
            if any(map(str.isspace, written)):
                found = self._across_words(written)
            else:
                found = [
                    (form, at, starts) for form, starts in self.forms.items() for at in _finds(form, written)
                ]
            self._written[written] = found
        return self._written[written]

    def _across_words(self, written: str) -> list[tuple[str, int, list[int]]]:
        """Give the words around some letters with a division among them."""
        found: defaultdict[tuple[str, int], list[int]] = defaultdict(list)
        for at in _finds(self.copied, written):
            start, end = whole_words(self.copied, at, at + len(written))
            if self._is_his(start, end) and "\t" not in self.copied[start:end]:
                found[self.copied[start:end], at - start].append(start)
        return [(form, at, starts) for (form, at), starts in found.items()]

    def looked_at(self, rule: Step) -> Iterator[tuple[Occasion, int]]:
        """Give every place at which a rule could be undone, and what is known of it (of ``WHY``)."""
        original, written = rule
        becoming = None if written or original.isspace() else self._becoming_known(original)
        for one in self.occasions(rule):
            known = self._is_known(one.undone) if becoming is None else (one.form, one.at) in becoming
            if self._form_is_known(one.form):
                yield one, BOTH_KNOWN if known else WORD_LOST
            else:
                yield one, WOULD_BE_KNOWN if known else BOTH_UNKNOWN

    def _becoming_known(self, left_out: str) -> set[tuple[str, int]]:
        """Give the places of forms at which putting some letters in makes a known word.

        There are as many such places as letters in the text, so it is asked from the known words' side.
        """
        found = set()
        for word in self.words:
            for at in _finds(word, left_out):
                for form, shift in self._bare.get(word[:at] + word[at + len(left_out) :], ()):
                    found.add((form, at + shift))
        return found

    @cached_property
    def _bare(self) -> dict[str, list[tuple[str, int]]]:
        """Give the forms by what they are without stops at their ends, and how far these shift them."""
        bare: defaultdict[str, list[tuple[str, int]]] = defaultdict(list)
        for form in self.forms:
            first = next((at for at, letter in enumerate(form) if not is_punctuation(letter)), 0)
            last = len(form) - next(
                (at for at, letter in enumerate(form[::-1]) if not is_punctuation(letter)), 0
            )
            for start, end in {(0, len(form)), (first, last)}:
                bare[form[start:end]].append((form, start))
        return bare

    def _is_known(self, form: str) -> bool:
        """Tell whether all words of a form are known, with or without their stops."""
        parts = form.split()
        return bool(parts) and all(part in self.words or without_stops(part) in self.words for part in parts)

    def _form_is_known(self, form: str) -> bool:
        """Tell the same of a form of the copy, once."""
        known = self._known.get(form)
        if known is None:
            known = self._known[form] = self._is_known(form)
        return known


def _finds(text: str, letters: str) -> list[int]:
    """Give every offset of some letters; of none, every place between letters and at both ends."""
    if not letters:
        return list(range(len(text) + 1))
    found, at = [], text.find(letters)
    while at >= 0:
        found.append(at)
        at = text.find(letters, at + 1)
    return found
