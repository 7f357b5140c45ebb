"""What follows from how he went wrong: whether he changed as he went on, and what is still to be expected.

Rates and limits of intervals are shares 0-1; numbers of errors are counts.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Drift:
    """One test of whether the copyist erred more, or less, as he went on.

    Attributes:
        text: id of the survivor, or "all": every survivor from its own beginning.
        what: the measure ("letters", "words", "division").
        along: in what order: "pages", "lines of the original's page", "sides of the leaf", ...
        test: its name, and what was permuted.
        statistic: z of the trend (above 0: more errors later), or the likelihood ratio.
        p_value: from the permutations, two-sided.
        q_value: false-discovery rate over all tests of the run (Benjamini-Hochberg 1995).
        found: q at most the setting.
        units: how many pages (or stretches, where there are no page marks) were put in order.
        errors: how many errors they hold.
        first, last: the rates in the first and the last third, or before and after the change.
        where: first and last page, or the page on which the change begins, as printed.
    """

    text: str
    what: str
    along: str
    test: str
    statistic: float
    p_value: float
    q_value: float
    found: bool
    units: int
    errors: int
    first: float
    last: float
    where: str


@dataclass(frozen=True)
class PageRate:
    """How often one kind of thing went wrong on one page.

    Attributes:
        text: id of the survivor.
        page: the page as its text cites it, or the lines of a stretch where there are no page marks.
        measure: "letters", "words" or "division".
        errors, chances: how often, and out of how many.
        low, high: limits of Jeffreys' interval (within a page there are no clusters), shares 0-1.
    """

    text: str
    page: str
    measure: str
    errors: int
    chances: int
    low: float
    high: float


@dataclass(frozen=True)
class Limits:
    """How many errors must be expected: limits that hold four times in five, and 19 times in 20."""

    low80: int
    high80: int
    low95: int
    high95: int


@dataclass(frozen=True)
class Forecast:
    """How many errors of one kind one text must be expected to hold.

    Attributes:
        text: id of the text.
        measure: "letters", "words", "division", or a cause.
        chances: how often it might have happened there, counted in the copy.
        expected: mean of the forecast.
        limits: of the forecast; None where the pages are too few to tell.
        binomial: the limits of a plain binomial forecast, which takes all pages and texts for alike
            and the rate for known; too narrow, for comparison only.
        assumed_factor: how many times the rate of a good text a bad one is taken to have; None
            where it is learned from the survivors.
        basis: what the forecast rests on, as printed.
        seen, survivors, pages: errors and texts and pages it was learned from.
        judged, words: of the changed words of this kind, how many are single words, and how many of
            those are known words of the originals' language and so cannot be seen.
        actual: how many there are, where the text is a survivor predicted from the others.
    """

    text: str
    measure: str
    chances: int
    expected: float
    limits: Limits | None
    binomial: Limits
    assumed_factor: float | None
    basis: str
    seen: int
    survivors: int
    pages: int
    judged: int = 0
    words: int = 0
    actual: int | None = None

    @property
    def invisible_share(self) -> float | None:
        """Share of the changed words that are words themselves, 0-1; None where none was judged."""
        return self.words / self.judged if self.judged else None


@dataclass(frozen=True)
class Outlook:
    """What is to be expected.

    Attributes:
        forecasts: for each lost text and kind of error; those under an assumed factor follow.
        checks: for each survivor the same, predicted from the others, with what it holds in truth.
        notes: what could not be told, and why.
    """

    forecasts: tuple[Forecast, ...] = ()
    checks: tuple[Forecast, ...] = ()
    notes: tuple[str, ...] = ()
