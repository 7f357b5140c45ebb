"""Letterforms of another script than the rest of a text: words in them, and words that mix the two.

Arrives: a transcript in which letterforms are kept apart (ꞅ and s). Leaves: which words have the forms of
another script. Start reading at ``Forms``.

The forms of a script stand in ``confusion_tables/folds.tsv``, in the set that bears the script's name. Small
letters only: capitals were often written in forms of their own. A letter that the text has in both forms
often is left aside, for there the form is no sign of a script.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

import regex

from fidelity.letters import decode, encode
from fidelity.terms import Witness
from fidelity.terms.hands import Mixture
from fidelity.variants.places import Places
from fidelity.witnesses.data import published_table
from fidelity.witnesses.folds import known_scripts

ONE_FORM_FROM = 0.9  # share of a letter that must be in one form for the other to be a sign (chosen)
_WORD = regex.compile(r"\S+")


@cache
def forms_by_script() -> dict[str, dict[str, str]]:
    """Give for each script that has forms of its own: form -> the letter it is a form of, small letters only.

    >>> forms_by_script()["insular"]["ᵹ"]
    'g'
    """
    found: dict[str, dict[str, str]] = {}
    for row in published_table("folds.tsv", ("set", "written", "stands_for")):
        written, letter = encode(row["written"]), encode(row["stands_for"])
        if row["set"] in known_scripts() and letter == letter.lower() and len(letter) == 1:
            found.setdefault(row["set"], {})[written] = letter
    return found


@dataclass(frozen=True)
class FormWord:
    """A word with letters that two scripts write in different forms.

    Attributes:
        start, end: its offsets, half-open.
        others: its letters in the form that the text does not have else.
        usual: the form that the text has of each of these.
        mixed: whether it has letters in the text's own forms as well.
    """

    start: int
    end: int
    others: tuple[str, ...]
    usual: tuple[str, ...]
    mixed: bool


class Forms:
    """The letterforms of one text.

    Args:
        witness: the transcript.
        places: its scripts; passages declared to be in another script are left aside.

    Attributes:
        usual: form of another script -> the text's own form of the same letter; empty where letterforms are
            not kept apart.
        why: where it is empty, why, in words.
        words: how many words have a letter that tells.
    """

    def __init__(self, witness: Witness, places: Places) -> None:
        self.witness, self._script = witness, witness.script
        self._spans: list[tuple[int, int]] = []
        self.usual: dict[str, str] = {}
        self.why = "the transcript keeps no letterforms apart"
        self.words = 0
        if not any(form in witness.letters for forms in forms_by_script().values() for form in forms):
            return  # as in most copies, which are not gone through for nothing
        self._spans += [
            found.span()
            for found in _WORD.finditer(witness.letters)
            if places.script(found.start()) in ("", witness.script)
        ]
        counted = Counter[str]()
        for start, end in self._spans:
            if not (witness.hands and any(witness.hands[start:end])):  # else marked as another hand's
                counted.update(witness.letters[start:end])
        for script, forms in forms_by_script().items():
            self._learn(script, forms, counted)
        self.words = sum(1 for _ in self._telling())

    def _learn(self, script: str, forms: dict[str, str], counted: Counter[str]) -> None:
        """Note for the forms of a script and for the plain ones which are the text's own."""
        special = sum(counted[form] for form in forms)
        plain = sum(counted[letter] for letter in forms.values())
        if not special:
            return
        own = special > plain
        if self._script and own != (self._script == script):
            self.why = f"it is not written in the letterforms of the script declared ({self._script})"
            return
        for form, letter in forms.items():
            usual, other = (form, letter) if own else (letter, form)
            if counted[usual] and counted[usual] >= ONE_FORM_FROM * (counted[usual] + counted[other]):
                self.usual[other] = usual

    def _telling(self) -> Iterator[tuple[int, int, list[str], bool]]:
        """Give the words that have a letter with two forms: span, letters in the other, any in the usual."""
        usual = set(self.usual.values())
        for start, end in self._spans:
            letters = self.witness.letters[start:end]
            others = [letter for letter in letters if letter in self.usual]
            own = any(letter in usual for letter in letters)
            if others or own:
                yield start, end, others, own

    def of_another_script(self) -> Iterator[FormWord]:
        """Give the words with letters in forms of another script, in order."""
        for start, end, others, own in self._telling():
            if others:
                seen = tuple(dict.fromkeys(others))
                yield FormWord(start, end, seen, tuple(self.usual[one] for one in seen), own)


def mixtures_of(forms: Forms, text: str, lost: bool) -> list[Mixture]:
    """Give the words of a text whose letterforms belong to two scripts."""
    witness = forms.witness
    return [
        Mixture(
            text=text,
            lost=lost,
            locus=witness.locus(one.start),
            word=decode(witness.letters[one.start : one.end]),
            letters=tuple(map(decode, one.others)),
            usual=tuple(map(decode, one.usual)),
            marked=bool(witness.hands) and any(witness.hands[one.start : one.end]),
        )
        for one in forms.of_another_script()
        if one.mixed
    ]
