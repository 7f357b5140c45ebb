"""All that the loop of the restoration looks up, laid out in arrays.

Arrives: the model of the copyist. Leaves: the tables and numbers of ``carry.Known``. Start reading at
``Knowledge``.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from fidelity.copyist.branches import Branches, joined
from fidelity.copyist.model import Model
from fidelity.readings import carry

COMPILED = not str(carry.__file__).endswith(".py")


def as_read(array: np.ndarray) -> Any:
    """Give an array in the form the loop reads fastest: as it is compiled, a list interpreted."""
    return array if COMPILED else array.tolist()


def room(kind: type, size: int) -> Any:
    """Make room for so many numbers, in the same form."""
    return np.empty(size, dtype=kind) if COMPILED else [0] * size


class Knowledge:
    """The model as the loop reads it, with the weights of the mixture in it.

    Args:
        model: what is known of the copyist and the language.
        least: tags less probable than this in their context are not tried, 0-1.

    Attributes:
        contexts: the tags of each context.
        alphabet: the letters that may be spelled, by number.
        looked_up: what ``carry.carry`` asks for.
        tag_letters: where the letters of each tag begin, and their numbers.
    """

    def __init__(self, model: Model, least: float) -> None:
        self.model = model
        self.contexts = model.tags.table if least else model.tags.laid_out(0.0)
        self.alphabet = [*model.lexicon.alphabet]
        self.alphabet += sorted(set().union(*self.contexts.tags) - set(self.alphabet))
        self._lay_out()

    def meet(self, copied: Iterable[str]) -> None:
        """Make room for letters that he was never seen to write."""
        unmet = set(copied) - set(self.contexts.letters)
        if unmet:
            self.contexts = self.contexts.with_letters(unmet)
            self.alphabet += sorted(unmet - set(self.alphabet))
            self._lay_out()

    def _numbers(self) -> dict[str, int]:
        return {letter: at for at, letter in enumerate(self.alphabet)}

    def _lay_out(self) -> None:
        """Put everything into arrays."""
        letters, lexicon, weights = self.model.letters, self.model.lexicon, self.model.weights
        spelled = Branches(
            letters.first, letters.follower, letters.leads_to, letters.chance**weights.language
        )
        pairs = Branches(
            lexicon.pairs.first,
            lexicon.pairs.sign,
            lexicon.pairs.leads_to,
            np.exp(weights.words * lexicon.pairs.worth),
        )
        tree, (_, at_letters, at_words, at_pairs) = joined([self.contexts.tree, spelled, lexicon.tree, pairs])
        tables = (
            *(tree.first, tree.sign, tree.leads_to, tree.worth),
            *self._choices(),
            *self._tags(),
            letters.left**weights.language,
            (letters.shorter + at_letters).astype(np.int32),
            *(lexicon.word, lexicon.follows),
            *(np.exp(weights.words * lexicon.gain), np.exp(weights.words * lexicon.lean)),
        )
        numbers = (self.contexts.stride, at_letters, at_words, at_pairs, letters.start + at_letters)
        factors = (letters.size**-weights.language, float(np.exp(weights.length)))
        self.looked_up = carry.Known(tuple(map(as_read, tables)), (*numbers, *factors))

    def _choices(self) -> tuple[np.ndarray, ...]:
        """Give the tags of each context with what the mixture makes of their chances."""
        contexts = self.contexts
        return contexts.roots, contexts.first, contexts.tag, contexts.chance**self.model.weights.habits

    def _tags(self) -> tuple[np.ndarray, ...]:
        """Give the letters of each tag, the language's number of each letter, and which are divisions."""
        number, language = self._numbers(), self.model.letters.number
        tags = self.contexts.tags
        first = np.cumsum([0, *map(len, tags)]).astype(np.int32)
        spelled = np.array([number[letter] for tag in tags for letter in tag], dtype=np.int32)
        self.tag_letters = as_read(first), as_read(spelled)
        return (
            first,
            spelled,
            np.array([language.get(letter, 0) for letter in self.alphabet], dtype=np.int32),
            np.array([letter.isspace() for letter in self.alphabet], dtype=np.uint8),
        )
