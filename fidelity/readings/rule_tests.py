"""What would have come of following a rule in the survivors, where the truth can be looked up.

Arrives: the survivors' copies as tagged letters, with their alignments, and the surroundings that are
asked for. Leaves: for each rule at how many places following it is right, and where it would be wrong.
Start reading at ``RuleTests``.

Every string a rule may have written is looked for once, whatever the number of rules that end in it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

import numpy as np

from fidelity.confusions.intervals import clustered
from fidelity.copyist.tagging import Tagged
from fidelity.letters import decode, whole_words
from fidelity.readings.steps import Step
from fidelity.terms import Alignment
from fidelity.variants.citations import Citations

EVERYWHERE = ("", "")
Where = tuple[str, str]  # kind of surroundings ("after", "before", "in", or "" for all), letters
FEWEST = 5  # places in the survivors; of fewer, narrower surroundings say nothing that is worth reading
NOTHING_KNOWN = (0.0, 1.0)  # limits of a share of which the survivors tell nothing
KEPT_PLACES = 40  # places of one kind remembered, to cite those in different words first


class Verdict(NamedTuple):
    """What following a rule would have done in the survivors, in some surroundings.

    The limits are 0 and 1 where nothing is known: no such place, or an original letter never met there.
    """

    places: int
    right: int
    wrong: int
    low: float
    high: float
    wrong_at: tuple[str, ...]


@dataclass
class _Seen:
    """What stood in the originals where some letters are written, in some surroundings."""

    originals: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    places: Counter[str] = field(default_factory=Counter)  # by page
    kept: list[tuple[str, int]] = field(default_factory=list)  # survivor and offset, where copied right


class RuleTests:
    """Follows rules in the survivors.

    Args:
        tagged: the survivors' copies with their tags, by id.
        alignments: of the same.
        wanted: written letters -> the surroundings that will be asked for, beside everywhere.
    """

    def __init__(
        self,
        tagged: Mapping[str, Tagged],
        alignments: Mapping[str, Alignment],
        wanted: Mapping[str, set[Where]],
    ) -> None:
        self.tagged, self.alignments, self.wanted = tagged, alignments, wanted
        self._origins = {text: _origins(alignment) for text, alignment in alignments.items()}
        self._pages = {text: _pages(alignments[text], self._origins[text]) for text in tagged}
        self._citations = {text: Citations(one.original, text) for text, one in alignments.items()}
        self._seen: dict[tuple[str, bool], dict[Where, _Seen]] = {}
        self._singles: dict[str, list[tuple[str, int]]] | None = None

    def of(self, rule: Step, where: Where, confidence: float, most: int) -> Verdict:
        """Tell what following a rule in some surroundings would have done.

        Args:
            rule: original letters, written letters, folded.
            where: the surroundings.
            confidence: of the interval, 0-1.
            most: at most so many places where it would be wrong are cited.
        """
        seen = self._look(rule[1], division=rule[0].isspace()).get(where, _Seen())
        return self._verdict(rule, seen, confidence, most)

    def _verdict(self, rule: Step, seen: _Seen, confidence: float, most: int) -> Verdict:
        """Sum up what was seen."""
        original, written = rule
        right = seen.originals.get(original, Counter())
        wrong = seen.originals.get(written, Counter()).total()
        told = seen.places and all(letter in self._met for letter in original)
        low, high = clustered(right, seen.places, confidence)[:2] if told else NOTHING_KNOWN
        return Verdict(
            seen.places.total(), right.total(), wrong, low, high, self._cited(seen.kept, written, most)
        )

    @cached_property
    def _met(self) -> frozenset[str]:
        """The letters that the survivors' originals have: of others nothing can be told, not even never."""
        return frozenset(
            letter for one in self.tagged.values() for letter in one.original(0, len(one.copied))
        )

    def _look(self, written: str, division: bool) -> dict[Where, _Seen]:
        """Find every place where these letters are written, and what the originals had there."""
        key = (written, division and not written)
        if key in self._seen:
            return self._seen[key]
        seen: dict[Where, _Seen] = defaultdict(_Seen)
        wanted = self.wanted.get(written, set())
        for text, at, original, page in self._stood_at(written, key[1]):
            copied, end = self.tagged[text].copied, at + len(written)
            wheres = _surroundings(copied, at, end) if wanted else (EVERYWHERE,)
            for where in wheres:
                if where == EVERYWHERE or where in wanted:
                    _note(seen[where], original, written, page, (text, at))
        self._seen[key] = seen
        return seen

    def _stood_at(self, written: str, division: bool) -> Iterator[tuple[str, int, str, str]]:
        """Give every place that is evidence, with what the original had there, and its page."""
        for text, at in self._places(written):
            one, end = self.tagged[text], at + len(written)
            if not all(one.trusted[at - (not written) : end]):
                continue
            if division and (at >= len(one.copied) or " " in one.copied[at - 1 : at + 1]):
                continue
            page = self._pages[text][min(at, len(self._pages[text]) - 1)]
            yield text, at, _stood(one, at, end), page

    def under(
        self, rule: Step, holds: Callable[[str, int, int], bool], confidence: float, most: int
    ) -> Verdict:
        """Tell what following a rule would have done where a circumstance holds.

        Args:
            rule: original letters, written letters, folded.
            holds: told the id of a survivor, an offset in its copy and the original's offset.
            confidence: of the interval, 0-1.
            most: at most so many places where it would be wrong are cited.
        """
        original, written = rule
        seen = _Seen()
        for text, at, stood, page in self._stood_at(written, not written and original.isspace()):
            origins = self._origins[text]
            if holds(text, at, int(origins[min(at, len(origins) - 1)])):
                _note(seen, stood, written, page, (text, at))
        return self._verdict(rule, seen, confidence, most)

    def _places(self, written: str) -> Iterator[tuple[str, int]]:
        """Give every place where these letters are written; of nothing, every place after a letter."""
        if not written:
            for text, one in self.tagged.items():
                yield from ((text, at) for at in range(1, len(one.copied) + 1))
        elif len(written) == 1:
            if self._singles is None:
                self._singles = defaultdict(list)
                for text, one in self.tagged.items():
                    for at, letter in enumerate(one.copied):
                        self._singles[letter].append((text, at))
            yield from self._singles.get(written, ())
        else:
            for text, one in self.tagged.items():
                at = one.copied.find(written)
                while at >= 0:
                    yield text, at
                    at = one.copied.find(written, at + 1)

    def _cited(self, kept: Sequence[tuple[str, int]], written: str, most: int) -> tuple[str, ...]:
        """Cite places with their words, different words first."""
        by_word: dict[str, str] = {}
        rest = []
        for text, at in kept:
            copied = self.tagged[text].copied
            word = decode(_around(copied, at, at + len(written)))
            origins = self._origins[text]
            origin = min(int(origins[min(at, len(origins) - 1)]), len(self.alignments[text].original) - 1)
            cited = f"{self._citations[text].locus(origin)} {word}"
            if word in by_word:
                rest.append(cited)
            else:
                by_word[word] = cited
        return tuple(dict.fromkeys([*by_word.values(), *rest]))[:most]


def _note(seen: _Seen, original: str, written: str, page: str, place: tuple[str, int]) -> None:
    """Add one place."""
    seen.originals[original][page] += 1
    seen.places[page] += 1
    if original == written and len(seen.kept) < KEPT_PLACES:
        seen.kept.append(place)


def _stood(one: Tagged, at: int, end: int) -> str:
    """Give what the original had for some copied letters; for a place after a letter, what was left out.

    What stood there in a longer operation (th for þ) is told by an answer that no rule has for its own.
    """
    if at == end:
        letter, tag = one.copied[at - 1], one.tags[at - 1]
        return tag[1:] if tag.startswith(letter) else "\x00"
    stood = one.original(at, end)
    if not stood and at and not one.tags[at - 1].startswith(one.copied[at - 1]):
        return "\x00"
    return stood


def _surroundings(copied: str, at: int, end: int) -> tuple[Where, ...]:
    """Give the surroundings of a place, the widest first."""
    before, after = copied[at - 1 : at] if at else " ", copied[end : end + 1] or " "
    return EVERYWHERE, ("after", before), ("before", after), ("in", _around(copied, at, end))


def surroundings_in(form: str, at: int, end: int) -> tuple[Where, ...]:
    """Give the surroundings of a place in a word that stands by itself."""
    before, after = form[at - 1 : at] if at else " ", form[end : end + 1] or " "
    return EVERYWHERE, ("after", before), ("before", after), ("in", form)


def told(where: Where) -> str:
    """Print surroundings.

    >>> told(("before", " ")), told(("in", "with")), told(EVERYWHERE)
    ('at the end of a word', 'in with', '')
    """
    kind, letters = where
    if kind in ("before", "after") and letters.isspace():
        return "at the end of a word" if kind == "before" else "at the beginning of a word"
    return f"{kind} {decode(letters)}" if kind else ""


def _around(copied: str, at: int, end: int) -> str:
    """Give the word or words some letters stand in; of a division, those on either side."""
    return copied[slice(*whole_words(copied, at, end))]


def _origins(alignment: Alignment) -> np.ndarray:
    """Give for each letter of the copy the offset in the original that it answers."""
    origins = np.zeros(max(len(alignment.copy), 1), dtype=np.int64)
    for o0, o1, c0, c1, _ in alignment.steps.tolist():
        if c1 > c0:
            origins[c0:c1] = np.minimum(o0 + np.arange(c1 - c0), max(o1 - 1, o0))
    return origins


def _pages(alignment: Alignment, origins: np.ndarray) -> list[str]:
    """Give for each letter of the copy the original's page that it answers."""
    original = alignment.original
    lines = np.maximum(np.searchsorted(np.asarray(original.lines), origins, side="right") - 1, 0)
    names = [f"{original.siglum} {page}".rstrip() for page in original.pages]
    return [names[line] for line in lines.tolist()]
