"""Whether a copied spelling stands oftener, or less often, here than there: no original is needed.

Arrives: the words of his copies, page by page, and the words the survivors' originals had. Leaves: how
much the odds of a spelling differ between two sets of pages, with what they differ by chance. Start
reading at ``Spellings``.

A rule o→w gives every word of the originals with o in it two copied spellings, as it was and with w. The
share of the second is compared word by word (Mantel & Haenszel 1959, J. Nat. Cancer Inst. 22:719-748,
from memory), so that texts which merely use other words do not differ. Pages, not words, are the units
that vary: the variance is that of what the pages contribute beyond the difference itself (the
linearised, between-cluster variance of survey statistics; Binder 1983, Int. Stat. Review 51:279-292,
from memory), and never less than the binomial one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, inf, log, sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.beta import beta_tail, normal_quantile
from fidelity.copyist.tagging import word_spans
from fidelity.letters import without_stops
from fidelity.readings.steps import Step
from fidelity.terms import Witness

Floats = NDArray[np.float64]
Pages = NDArray[np.bool_]  # for each page whether it belongs to a set

FEWEST_PAGES = 6  # of a text; with fewer marked, runs of lines stand for pages (the forecast asks as many)
BLOCK = 250  # words of such a run: about a page
FARTHEST = 8.0  # normal deviates; beyond it a p-value is 0 to the last digit
LEAST_FREEDOM = 2.0  # degrees of freedom of a variance from pages; fewer say nothing


class Stretch(NamedTuple):
    """A page of a copy, or a run of lines that stands for one.

    Attributes:
        text: id of the text.
        start, end: offsets in the copy.
    """

    text: str
    start: int
    end: int


def stretches(text: str, copy: Witness) -> list[Stretch]:
    """Cut a copy into its pages, or into runs of lines where it has hardly any."""
    starts = [copy.lines[at] for at in range(1, len(copy.lines)) if copy.pages[at] != copy.pages[at - 1]]
    if len(starts) + 1 < FEWEST_PAGES:
        starts, words = [], 0
        for line, start in enumerate(copy.lines):
            if words >= BLOCK:
                starts.append(start)
                words = 0
            words += len(copy.letters[slice(*copy.line_span(line))].split())
    borders = [0, *starts, len(copy.letters)]
    return [Stretch(text, a, b) for a, b in pairwise(borders)]


class Difference(NamedTuple):
    """How the odds of a spelling differ between two sets of pages.

    Attributes:
        log_odds: of the first set less those of the second, near zero exact, far from it too small.
        variance: of this, from the pages; infinite where nothing can be said.
        freedom: degrees of freedom of the variance.
        first, second: the share of the spelling in either set, over the words both have, as if the
            words stood as often in both as they do together, 0-1.
        places: words in the first set, of those that both have.
        factor: the odds ratio, 1 or more (Mantel-Haenszel; half an occurrence added to each side).
        either: occurrences in both sets; otherwise: places in both that are spelled the other way.
    """

    log_odds: float
    variance: float
    freedom: float
    first: float
    second: float
    places: int
    factor: float
    either: int
    otherwise: int

    def p_value(self, between: float) -> float:
        """Give the two-sided probability of such a difference, were texts alike but for chance.

        Args:
            between: variance of the log-odds from text to text.
        """
        total = self.variance + between
        if not 0 < total < inf:
            return 1.0
        t = self.log_odds / sqrt(total)
        return beta_tail(self.freedom / 2, 0.5, self.freedom / (self.freedom + t * t))

    def chance_of_shift(self, between: float, prior: float, spread: float) -> float:
        """Give the posterior probability that the spelling has shifted.

        Bayes' factor of two normal distributions of the log-odds about nothing, with the variance of chance
        and texts alone, or with a shift's variance beside it. Since the variance is known from few pages
        only, the normal deviate that belongs to the p-value stands for the difference over its error.

        Args:
            between: variance of the log-odds from text to text.
            prior: probability of a shift before looking, 0-1.
            spread: standard deviation of the log-odds of a shift.
        """
        plain = self.variance + between
        if not 0 < plain < inf:
            return prior
        wide = plain + spread**2
        deviate = normal_quantile(max(1 - self.p_value(between) / 2, 0.5))
        log_factor = (log(plain / wide) + min(deviate, FARTHEST) ** 2 * (1 - plain / wide)) / 2
        odds = prior / (1 - prior) * exp(min(log_factor, 700.0))
        return odds / (1 + odds)


NOTHING = Difference(0.0, inf, LEAST_FREEDOM, 0.0, 0.0, 0, 1.0, 0, 0)


@dataclass(frozen=True)
class RuleCounts:
    """The words a rule touches: for each and each page, how often it stands there, and how spelled.

    Attributes:
        word, page: which word and which page, one entry for each pair that occurs.
        spelled: how often it is spelled by the rule there.
        places: how often it stands there in either spelling.
        pages: number of all pages.
        example: a word in both spellings.
    """

    word: NDArray[np.intp]
    page: NDArray[np.intp]
    spelled: Floats
    places: Floats
    pages: int
    example: tuple[str, str]

    def difference(self, first: Pages, second: Pages) -> Difference:
        """Compare two sets of pages."""
        a, b = first[self.page], second[self.page]
        xa, na, xb, nb = (self._by_word(what * of) for of in (a, b) for what in (self.spelled, self.places))
        both = (na > 0) & (nb > 0)
        xa, na, xb, nb = (np.where(both, each, 0.0) for each in (xa, na, xb, nb))
        n = np.maximum(na + nb, 1.0)
        share, weight = (xa + xb) / n, na * nb / n
        information = float((weight * share * (1 - share)).sum())
        if information <= 0:
            return NOTHING
        of_page = np.where(a, (nb / n)[self.word], 0.0) - np.where(b, (na / n)[self.word], 0.0)
        p = share[self.word]
        given = self._by_page(of_page * (self.spelled - self.places * p))
        expected = self._by_page(np.abs(of_page) * self.places * p * (1 - p))
        left, freedom = _left_over(given, expected, first, second)
        odds = ((xa * (nb - xb) / n).sum() + 0.5) / ((xb * (na - xa) / n).sum() + 0.5)
        return Difference(
            log_odds=float(given.sum()) / information,
            variance=max(left, information) / information**2,
            freedom=freedom,
            first=float((weight * xa / np.maximum(na, 1)).sum() / weight.sum()),
            second=float((weight * xb / np.maximum(nb, 1)).sum() / weight.sum()),
            places=round(float(na.sum())),
            factor=float(np.exp(np.abs(np.log(odds)))),
            either=round(float((xa + xb).sum())),
            otherwise=round(float((na + nb - xa - xb).sum())),
        )

    def _by_word(self, values: Floats) -> Floats:
        return np.bincount(self.word, values).astype(np.float64)

    def _by_page(self, values: Floats) -> Floats:
        return np.bincount(self.page, values, self.pages).astype(np.float64)

    def standing(self, chosen: Pages) -> tuple[int, int]:
        """Give how often words are spelled by the rule on some pages, and how often they stand there."""
        of = chosen[self.page]
        return round(float(self.spelled[of].sum())), round(float(self.places[of].sum()))

    def course(self, chosen: Pages) -> tuple[Floats, Floats]:
        """Give for each of some pages how much oftener than at their rate words are spelled so there.

        Returns:
            The excess of each page in order, and its binomial variance.
        """
        of = chosen[self.page].astype(np.float64)
        n = self._by_word(self.places * of)
        p = (self._by_word(self.spelled * of) / np.maximum(n, 1))[self.word]
        excess = self._by_page(of * (self.spelled - self.places * p))
        variance = self._by_page(of * self.places * p * (1 - p))
        return excess[chosen], variance[chosen]


def _left_over(given: Floats, expected: Floats, first: Pages, second: Pages) -> tuple[float, float]:
    """Give the variance of the sum of what pages give beyond their set's part, and its freedom."""
    parts = []
    for chosen in (first, second):
        of, e = given[chosen & (expected > 0)], expected[chosen & (expected > 0)]
        if len(of) < 2:
            return inf, LEAST_FREEDOM
        left = of - e * (of.sum() / e.sum())
        freedom = float(e.sum() ** 2 / (e**2).sum()) - 1  # of as many pages of equal weight
        parts.append((len(of) / (len(of) - 1) * float((left**2).sum()), max(freedom, 0.1)))
    variance = sum(part for part, _ in parts)
    spread = sum(part**2 / freedom for part, freedom in parts)  # Satterthwaite 1946
    return variance, max(variance**2 / spread, LEAST_FREEDOM) if spread else LEAST_FREEDOM


class Spellings:
    """The words of his copies, page by page.

    Args:
        copies: of survivors and lost texts, by id, folded.
        pages: their stretches.
        words: the words of the survivors' originals.
        only_in: words that stand in the original of one survivor alone, with its id. They are not looked
            at in its copy: that a word is known because it stands there says that there it is the word
            it seems, while in a lost text it may as well be another that is spelled like it.
    """

    def __init__(
        self,
        copies: Mapping[str, str],
        pages: Sequence[Stretch],
        words: Iterable[str],
        only_in: Mapping[str, str] | None = None,
    ) -> None:
        self.pages, self.words, self.only_in = pages, sorted(set(words)), only_in or {}
        self.places: defaultdict[str, dict[int, int]] = defaultdict(dict)
        for number, page in enumerate(pages):
            letters = copies[page.text][page.start : page.end]
            for start, end in word_spans(letters):
                if word := without_stops(letters[start:end]):
                    there = self.places[word]
                    there[number] = there.get(number, 0) + 1

    def of(self, rule: Step) -> RuleCounts | None:
        """Count the words a rule touches; None where there are none.

        Args:
            rule: original letters, written letters, folded; letters inside words.
        """
        original, written = rule
        entries: list[tuple[int, int, int, int]] = []
        example, most = ("", ""), 0
        for number, (right, spelled) in enumerate(self._pairs(original, written)):
            kept, changed = self.places.get(right, {}), self.places.get(spelled, {})
            only_in = self.only_in.get(right)
            for page in sorted({*kept, *changed}):
                if self.pages[page].text == only_in:
                    continue
                x = changed.get(page, 0)
                entries.append((number, page, x, x + kept.get(page, 0)))
            size = min(sum(kept.values()), sum(changed.values()))
            if size > most:
                example, most = (right, spelled), size
        if not entries:
            return None
        table = np.array(entries)
        return RuleCounts(
            table[:, 0], table[:, 1], table[:, 2].astype(float), table[:, 3].astype(float),
            len(self.pages), example,
        )  # fmt: skip

    def _pairs(self, original: str, written: str) -> Iterable[tuple[str, str]]:
        """Give the words of the originals that have these letters, each place in both spellings."""
        for word in self.words:
            at = word.find(original) if original else 0
            while 0 <= at <= len(word):
                spelled = word[:at] + written + word[at + len(original) :]
                if spelled in self.places or word in self.places:
                    yield word, spelled
                if not original:
                    at += 1
                else:
                    at = word.find(original, at + 1)
