"""Search a lost text on every ground, and say what was looked for.

Arrives: the copy of a lost text, what was learned from the survivors. Leaves: candidates and searches. Start
reading at ``LostSearch.candidates``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from fidelity.hands.by_letterforms import by_forms, search_of_forms
from fidelity.hands.learning import Trial
from fidelity.hands.letterforms import Forms
from fidelity.hands.search import Found, Learned, candidate_of, in_times, merged, search
from fidelity.hands.survivors import BRACKETED, stretches_by_hand
from fidelity.hands.words import Words
from fidelity.terms import Witness
from fidelity.terms.hands import LANGUAGE, MARKED, OPENING, Candidate, Layer, Search
from fidelity.variants.layers import BRACKETS
from fidelity.variants.places import places_of

MOST_IN_BRACKETS = 8  # words; longer brackets are none of an addition's (chosen)


class LostSearch:
    """The search of one lost text."""

    def __init__(self, copy: Witness, text: str, words: Words, searchers: Mapping[str, Trial]) -> None:
        self._copy, self._text, self._words = copy, text, words
        self._trial = searchers[copy.language]
        self.forms = Forms(copy, places_of(copy))
        self.searches: list[Search] = []

    def candidates(self, layers: Sequence[Layer]) -> list[Candidate]:
        """Give the candidates in order, and note what was looked for."""
        words, learned = self._words, self._trial.learned
        found, too_long = search(words, np.ones(len(words), dtype=bool), learned)
        brackets = any(one.how == BRACKETED for one in layers)
        marked = [self._of_span(span) for span in marked_in(self._copy, brackets)]
        forms = by_forms(self.forms, words)
        self._note(MARKED, True, _told_of_marks(brackets), len(marked))
        openings = sum(OPENING in one.kinds for one in found)
        self._note(OPENING, bool(learned.openings.words), _told_of_openings(learned), openings)
        self._note(
            LANGUAGE,
            learned.limit is not None,
            _told_of_languages(self._trial, too_long),
            sum(LANGUAGE in one.kinds for one in found),
        )
        self.searches.append(search_of_forms(self.forms, self._text, len(forms), lost=True))
        every = merged([*found, *(one for one in marked if one), *forms])
        return [candidate_of(one, words, learned.openings, lost=True) for one in every]

    def _of_span(self, span: tuple[int, int]) -> Found | None:
        """Give the words of a stretch that the copy marks; None where there is none."""
        inside = np.flatnonzero((self._words.ends > span[0]) & (self._words.starts < span[1])).tolist()
        if not inside:
            return None
        hand = self._copy.hand(span[0])
        how = (
            f"the copy gives it to another hand ({hand})"
            if self._copy.hands
            else "the copy has it in brackets"
        )
        return Found(inside[0], inside[-1] + 1, (MARKED,), (how,))

    def _note(self, kind: str, looked: bool, what: str, found: int) -> None:
        self.searches.append(Search(self._text, True, kind, looked, what, len(self._words), found))


def _told_of_marks(brackets: bool) -> str:
    """Say which marks of the copy were looked for."""
    more = ", or sets in brackets, as he did with additions in the survivors" if brackets else ""
    return f"words that the copy itself marks as added or in another hand{more}"


def _told_of_openings(learned: Learned) -> str:
    """Say which openings were looked for."""
    known = learned.openings
    if known.words:
        return f"words that begin as additions in the survivors do: {known.told()}"
    if known.additions:
        return "no word begins the additions in the survivors and is not the main hand's as well"
    return "no survivor has an addition by another hand that the copy reproduces as text"


def _told_of_languages(trial: Trial, too_long: int) -> str:
    """Say which languages were looked for, and what was left aside."""
    tongues, limit = trial.learned.tongues, trial.learned.limit
    if tongues is None:
        return "no survivor or reference text has another language to compare with"
    if limit is None:
        return f"with {trial.own_words} words nobody can tell how foreign the main hand's may look"
    aside = f"; {too_long} longer stretches left aside as passages" if too_long else ""
    return (
        f"words that another language ({', '.join(tongues.others)}) makes more probable than the text's own"
        f" does, by a factor of more than {in_times(limit)}, which the main hand's words alone would hardly"
        f" reach{aside}"
    )


def marked_in(copy: Witness, brackets: bool) -> list[tuple[int, int]]:
    """Give the stretches that a copy itself marks as another hand's, or sets in brackets if he does so."""
    found = [(one.start, one.end) for one in stretches_by_hand(copy) if one.hand]
    if brackets:
        found += [span for pair in BRACKETS for span in _between(copy.letters, pair)]
    return sorted(found)


def _between(letters: str, pair: str) -> Iterator[tuple[int, int]]:
    """Give the stretches between a pair of brackets, if they are a few words."""
    start = letters.find(pair[0])
    while start >= 0:
        end = letters.find(pair[1], start)
        if end < 0:
            return
        if 0 < len(letters[start + 1 : end].split()) <= MOST_IN_BRACKETS:
            yield start + 1, end
        start = letters.find(pair[0], start + 1)
