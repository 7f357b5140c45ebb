"""What undoing a kind of error would do to the words of a lost text.

Arrives: the copies of the lost texts, and the originals' known words. Leaves: for a confusion, or for
words joined or divided, how many words of the copies it may have made, and of what sort. Start
reading at ``LostWords``.

Undone means: the copied letters put back to the original's, at one place of a word at a time. Whether
the result is a word is asked of the survivors' originals and the reference texts; it is found from the
known words, by making the error in each of them. Nothing is weighed here, and nothing proposed: this
says where to look.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import partial
from itertools import islice, pairwise
from typing import NamedTuple

from fidelity.copyist.tagging import normalise
from fidelity.letters import decode, without_stops
from fidelity.terms import LOST_LETTER, Undoing, Undone, Witness
from fidelity.variants.citations import Citations
from fidelity.variants.numerals import value_of_numeral
from fidelity.witnesses.folds import Folds

LEAST_PART = 2  # letters of either word into which a copied word may be parted: one letter parts any word
SHORTEST = 3  # letters of a joined word that is more than two short words beside each other by chance

_WORD = re.compile(r"\S+")

Place = tuple[str, int]  # a lost text, and where in its copy a word begins
Errors = Callable[[str], Iterator[tuple[str, int, int]]]  # a word -> miswritten, and the span
Fits = Callable[[str, int, int], bool]  # a word, and the span of its letters that would be put back


class Found(NamedTuple):
    """A word of the copies that undoing an error would make a known word.

    Attributes:
        is_word: whether it is a known word as it stands.
        unlike: whether he never made this error at such a place of a word.
        size: how many words of the copy it takes in.
        undone: what it would be.
        places: where.
    """

    is_word: bool
    unlike: bool
    size: int
    undone: str
    places: list[Place]


def anywhere(word: str, start: int, end: int) -> bool:
    """Every place of a word fits."""
    return True


class LostWords:
    """The words of the copies whose originals are lost, and what is known of their language.

    Args:
        copies: by id of the lost text.
        known: the originals' words, as far as known, normalised.
        folds: letterforms counted as equal.
    """

    def __init__(self, copies: Mapping[str, Witness], known: Collection[str], folds: Folds) -> None:
        self.known = {word.lower() for word in known}
        self.folds = folds
        self.copies, self._texts = copies, list(copies)
        self._with_letter: defaultdict[str, list[str]] = defaultdict(list)
        for word in sorted(self.known) if copies else ():
            for letter in set(word):
                self._with_letter[letter].append(word)
        self._places: defaultdict[str, list[Place]] = defaultdict(list)
        self._beside: defaultdict[tuple[str, str], list[Place]] = defaultdict(list)
        for text, copy in copies.items():
            normal = {word: self._normal(word) for word in set(copy.letters.split())}
            words = [(normal[found.group()], *found.span()) for found in _WORD.finditer(copy.letters)]
            for word, start, _ in words:
                if _is_whole(word):
                    self._places[word].append((text, start))
            for (first, start, end), (second, next_start, _) in pairwise(words):
                if _is_whole(first) and _is_whole(second) and not _are_apart(copy, end, next_start):
                    self._beside[first, second].append((text, start))
        self._cited = {text: Citations(copy, text) for text, copy in copies.items()}

    def _normal(self, word: str) -> str:
        """Put a word on the level of the known words, without stops, in small letters."""
        return without_stops(normalise(word, self.folds).lower())

    def confusion(self, original: str, copy: str, fits: Fits = anywhere) -> Undoing | None:
        """Undo a confusion of letters in every word; None where it is none that can be undone.

        Args:
            original, copy: letters; ``copy`` may be "".
            fits: tells at which places of a word he made it in the survivors.
        """
        old, new = (self._normal(letters) for letters in (original, copy))
        if not self.copies or not old or old == new:
            return None
        miswritten = partial(_miswritten, old=old, new=new)
        return self._undone(self._with_letter.get(old[0], ()), miswritten, fits)

    def once_for_twice(self) -> Undoing | None:
        """Double letters that he may have written once."""
        return self._undone(self.known, _singled) if self.copies else None

    def twice_for_once(self) -> Undoing | None:
        """Write letters once that he may have doubled."""
        return self._undone(self.known, _doubled) if self.copies else None

    def later_forms(self, modern: Mapping[str, Collection[str]]) -> Undoing | None:
        """Put older forms of words for later ones.

        Args:
            modern: word -> its later forms, all normalised.
        """
        if not self.copies or not modern:
            return None
        found = [
            Found(False, False, 1, word, self._places[later])
            for word, forms in sorted(modern.items())
            for later in sorted(forms)
            if later != word and later in self._places and later not in self.known
        ]
        return self._told(found)

    def joined(self) -> Undoing | None:
        """Part words that he may have joined."""
        if not self.copies:
            return None
        found = [
            Found(word in self.known, False, 1, " ".join(parted), places)
            for word, places in self._places.items()
            for parted in _parted(word)
            if all(part in self.known for part in parted)
        ]
        return self._told(found)

    def divided(self) -> Undoing | None:
        """Join neighbouring words into which he may have divided one."""
        if not self.copies:
            return None
        found = []
        for (first, second), places in self._beside.items():
            whole = first + second
            if whole in self.known and len(whole) >= SHORTEST and value_of_numeral(whole) is None:
                both = first in self.known and second in self.known
                found.append(Found(both, False, 2, whole, places))
        return self._told(found)

    def _undone(self, words: Iterable[str], errors: Errors, fits: Fits = anywhere) -> Undoing:
        """Make an error in every known word, and look where the copies have the result."""
        found = []
        for word in words:
            forms: dict[str, bool] = {}  # what he would have written, and whether at no place like his
            for copied, start, end in errors(word):
                if copied in self._places:
                    forms[copied] = forms.get(copied, True) and not fits(word, start, end)
            for copied, unlike in forms.items():
                found.append(Found(copied in self.known, unlike, 1, word, self._places[copied]))
        return self._told(found)

    def _told(self, found: Sequence[Found]) -> Undoing:
        """Count what was found, and cite the places; words that are unknown as they stand first."""
        counts = [
            len({place for one in found if one.is_word is known for place in one.places})
            for known in (False, True)
        ]
        places = sorted(
            (one.is_word, one.unlike, *self._order(place), one.undone, one.size)
            for one in found
            for place in one.places
        )
        looks = [
            Undone(self._cited[text].locus(at), self._printed(text, at, size), undone, is_word, unlike)
            for is_word, unlike, number, at, undone, size in places
            for text in [self._texts[number]]
        ]
        return Undoing(unknown_to_known=counts[0], known_to_known=counts[1], looks=tuple(looks))

    def _order(self, place: Place) -> tuple[int, int]:
        """Put places in the order of the texts."""
        return self._texts.index(place[0]), place[1]

    def _printed(self, text: str, at: int, size: int) -> str:
        """Give so many words of a copy, as printed."""
        words = islice(_WORD.finditer(self.copies[text].letters, at), size)
        return decode(" ".join(found.group() for found in words))


def _is_whole(word: str) -> bool:
    """Tell whether there are letters, none of them lost: a stop by itself is no word."""
    return bool(word) and LOST_LETTER not in word


def _are_apart(copy: Witness, end: int, start: int) -> bool:
    """Tell whether neighbouring words stand in two fields, or in two entries of a table."""
    return bool(copy.fields) and ("\t" in copy.letters[end:start] or copy.line_of(end) != copy.line_of(start))


def _miswritten(word: str, old: str, new: str) -> Iterator[tuple[str, int, int]]:
    """Make an error at one place of a word at a time; gives the result and what was miswritten.

    >>> list(_miswritten("sæs", "s", "r"))
    [('ræs', 0, 1), ('sær', 2, 3)]
    """
    at = word.find(old)
    while at >= 0:
        yield word[:at] + new + word[at + len(old) :], at, at + len(old)
        at = word.find(old, at + 1)


def _singled(word: str) -> Iterator[tuple[str, int, int]]:
    """Write one letter for two; the strokes of a numeral are no letters.

    >>> list(_singled("bedde")), list(_singled("uii"))
    ([('bede', 2, 4)], [])
    """
    for at in range(len(word) - 1) if value_of_numeral(word) is None else ():
        if word[at] == word[at + 1]:
            yield word[:at] + word[at + 1 :], at, at + 2


def _doubled(word: str) -> Iterator[tuple[str, int, int]]:
    """Write two letters for one; not in a numeral.

    >>> list(_doubled("on")), list(_doubled("ui"))
    ([('oon', 0, 1), ('onn', 1, 2)], [])
    """
    for at, letter in enumerate(word) if value_of_numeral(word) is None else ():
        yield word[:at] + letter + word[at:], at, at + 1


def _parted(word: str) -> Iterator[tuple[str, str]]:
    """Part a word in two; every part of a numeral would be one, so that it is left whole.

    >>> list(_parted("onþære")), list(_parted("uiiii"))
    ([('on', 'þære'), ('onþ', 'ære'), ('onþæ', 're')], [])
    """
    if value_of_numeral(word) is not None:
        return
    for at in range(LEAST_PART, len(word) - LEAST_PART + 1):
        yield word[:at], word[at:]
