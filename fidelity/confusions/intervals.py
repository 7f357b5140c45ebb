"""How far a rate can be trusted: intervals for k events in n chances.

Arrives: counts and chances, together or page by page. Leaves: lower and upper limits as shares
0-1. Start reading at ``clustered``, which every reported rate uses; the other intervals stand
here under their own names because a published figure may have been made with any of them.

A copyist errs more on some pages than on others (tired, a worn page, a bad light), so his errors
come in clusters and a plain interval is too narrow. How much the pages differ is estimated in
the log-odds of the error: ``dispersion`` is the variance of those odds from page to page (0: all
pages alike; 0.1: half the pages have twice the rate of the others).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from typing import NamedTuple

from fidelity.confusions.beta import beta_quantile, normal_quantile, student_quantile
from fidelity.confusions.count import AnswerCounts
from fidelity.errors import UsageError

JEFFREYS = "Jeffreys"
CLUSTERED = "Jeffreys on effective counts, clustered by page"

TYPICAL_SPREAD = 0.1  # (1/3)^2: half the pages at 2/3, half at 4/3 of the mean, "a factor of two"
# Measured on simulated copies (20-60 pages, rates of 1-5 %, pages alike or differing by a factor of
# two to four): with these three numbers 92-98 % of the intervals held the true rate.
LEAST_DOUBT = 0.05  # a confusion's own dispersion may differ by so much from the pooled one (s.d.)
DOUBT_ALONE = 0.5  # the same where there is nothing to pool it with
SPREAD_ALONE = 0.05  # the dispersion expected before looking, where there is nothing to pool with
LEAST_FREEDOM = 2.0  # degrees of freedom; with two pages the t quantile would otherwise explode


class Interval(NamedTuple):
    """Limits of a rate, as shares 0-1, and the method that gave them."""

    low: float
    high: float
    method: str


@dataclass(frozen=True)
class PageChances:
    """The chances of one letter, page by page, with the sums that every interval needs.

    Attributes:
        by_page: page -> chances.
        total: chances on all pages.
        share_squares: sum of squared page shares; its inverse is the effective number of pages.
    """

    by_page: Mapping[str, int]
    total: int
    share_squares: float


def page_chances(by_page: Mapping[str, int]) -> PageChances:
    """Sum up the chances of one letter.

    >>> page_chances({"1r": 30, "1v": 10}).share_squares
    0.625
    """
    total = sum(by_page.values())
    squares = sum(chances * chances for chances in by_page.values())
    return PageChances(by_page, total, squares / total**2 if total else 1.0)


def _check(count: float, chances: float, confidence: float) -> None:
    """Refuse what is no share: more events than chances, a confidence that is no probability."""
    if not 0 <= count <= chances:
        raise UsageError(f"{count} events in {chances} chances", remedy="give 0 <= events <= chances")
    if not 0 < confidence < 1:
        raise UsageError(f"confidence {confidence}", remedy="give a share between 0 and 1, such as 0.95")


def wilson(k: int, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Give Wilson's score interval (Newcombe 1998, Statistics in Medicine 17:857-872, method 3).

    Args:
        k: events.
        n: chances; with none the interval is 0 to 1.
        confidence: coverage, 0-1.

    Returns:
        Lower and upper limit, shares 0-1.

    >>> [round(limit, 4) for limit in wilson(15, 148)]
    [0.0624, 0.1605]
    """
    _check(k, n, confidence)
    if n == 0:
        return 0.0, 1.0
    z = normal_quantile((1 + confidence) / 2)
    middle = 2 * k + z * z
    reach = z * sqrt(z * z + 4 * k * (n - k) / n)
    below = 2 * (n + z * z)
    return (0.0 if k == 0 else (middle - reach) / below), (1.0 if k == n else (middle + reach) / below)


def wilson_continuity(k: int, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Give Wilson's interval with continuity correction (Newcombe 1998, method 4).

    Args and Returns: as ``wilson``.

    >>> [round(limit, 4) for limit in wilson_continuity(15, 148)]
    [0.0598, 0.1644]
    """
    _check(k, n, confidence)
    if n == 0:
        return 0.0, 1.0
    z = normal_quantile((1 + confidence) / 2)
    share, below, middle = k / n, 2 * (n + z * z), 2 * k + z * z
    low, high = 0.0, 1.0
    if k > 0:
        low = (middle - 1 - z * sqrt(z * z - 2 - 1 / n + 4 * share * (n - k + 1))) / below
    if k < n:
        high = (middle + 1 + z * sqrt(z * z + 2 - 1 / n + 4 * share * (n - k - 1))) / below
    return max(low, 0.0), min(high, 1.0)


def clopper_pearson(k: int, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Give the exact binomial interval (Clopper & Pearson 1934; Newcombe 1998, method 5).

    Args and Returns: as ``wilson``. Never too narrow, mostly too wide.

    >>> [round(limit, 4) for limit in clopper_pearson(15, 148)]
    [0.0578, 0.1617]
    """
    _check(k, n, confidence)
    tail = (1 - confidence) / 2
    low = 0.0 if k == 0 else beta_quantile(k, n - k + 1, tail)
    high = 1.0 if k == n else beta_quantile(k + 1, n - k, 1 - tail)
    return low, high


def jeffreys(k: float, n: float, confidence: float = 0.95) -> tuple[float, float]:
    """Give Jeffreys' interval: the middle of a beta posterior with half an event on each side.

    Convention (Brown, Cai & DasGupta 2001, Statistical Science 16:101-133, from memory): the
    lower limit is 0 where nothing happened, the upper 1 where it always did; the other limit
    stays the two-sided one.

    Args and Returns: as ``wilson``; k and n may be fractions (effective counts).

    >>> [round(limit, 4) for limit in jeffreys(0, 20)]
    [0.0, 0.1166]
    """
    _check(k, n, confidence)
    tail = (1 - confidence) / 2
    low = 0.0 if k == 0 else beta_quantile(k + 0.5, n - k + 0.5, tail)
    high = 1.0 if k == n else beta_quantile(k + 0.5, n - k + 0.5, 1 - tail)
    return low, high


def rule_of_three(n: int, confidence: float = 0.95) -> float:
    """Give the highest rate that n chances without one event leave open (about 3/n), 0-1.

    The exact one-sided limit 1 - (1 - confidence)^(1/n) (Hanley & Lippman-Hand 1983, JAMA
    249:1743-1745, from memory).

    >>> round(rule_of_three(14), 4)
    0.1926
    """
    _check(0, n, confidence)
    return 1.0 if n == 0 else float(1 - (1 - confidence) ** (1 / n))


def own_dispersion(counts: Mapping[str, int], chances: PageChances) -> tuple[float, float] | None:
    """Estimate from one confusion alone how much the pages differ in it.

    Given how often it happened in all, chance spreads the events over the pages as their chances
    (a hypergeometric draw), so that pairs of events on one page are expected in a known number;
    an excess of such pairs measures the dispersion. Where the confusion is the rule, its
    exceptions are counted instead.

    Args:
        counts: page -> events; pages without events may be left out.
        chances: the chances of the same letter.

    Returns:
        The dispersion (below 0 where events avoid each other) and the events per effective page,
        times the share of the other answer: the dispersion's weight in the design effect. None
        where there are fewer than two events or two pages.
    """
    total, happened = chances.total, sum(counts.values())
    squares = sum(count * count for count in counts.values())
    if 2 * happened > total:
        crossed = sum(count * chances.by_page.get(page, 0) for page, count in counts.items())
        squares += round(chances.share_squares * total * total) - 2 * crossed
        happened = total - happened
    if happened < 2 or chances.share_squares >= 1:
        return None
    share = happened / total
    chance_pairs = (chances.share_squares * total - 1) / (total - 1) * happened * (happened - 1)
    if chance_pairs <= 0:
        return None
    scale = (1 - share) ** 2 * (1 - chances.share_squares) * chance_pairs
    weight = share * (1 - share) * total * chances.share_squares
    return (squares - happened - chance_pairs) / scale, weight


def _doubt(weight: float, spread: float, share_squares: float) -> float:
    """Give the variance of a dispersion estimated from one confusion.

    A variance estimated from f + 1 pages has the relative variance 2/f.
    """
    return 2 * (1 / weight + spread) ** 2 * share_squares / max(1 - share_squares, 1e-9)


def dispersion(counts: AnswerCounts) -> float:
    """Estimate from all wrong letters together how much the copyist's pages differ.

    Each confusion's own estimate counts by its precision, so that one frequent confusion that
    is confined to a few pages does not speak for all.

    Args:
        counts: the answers, page by page.

    Returns:
        The variance between pages of the log-odds of an error, 0 or more.
    """
    pages: dict[str, PageChances] = {}
    weighted = weights = 0.0
    for pair in sorted(counts.answers):
        original = pair[0]
        if pair in counts.right or original == pair[1] or not counts.chances.get(original):
            continue
        if original not in pages:
            pages[original] = page_chances(counts.chances[original])
        own = own_dispersion(counts.answers[pair], pages[original])
        if own is not None:
            precision = 1 / _doubt(own[1], TYPICAL_SPREAD, pages[original].share_squares)
            weighted += precision * own[0]
            weights += precision
    return max(weighted / weights, 0.0) if weights else 0.0


def clustered(
    counts_by_page: Mapping[str, int],
    chances_by_page: Mapping[str, int] | PageChances,
    confidence: float = 0.95,
    pooled: float | None = None,
) -> Interval:
    """Give the interval of a rate whose events come in clusters by page.

    Jeffreys' interval on counts divided by the design effect (Kish 1965: 1 + dispersion x share x
    (1 - share) x chances per effective page), widened by Student's t as Korn & Graubard 1998
    (Survey Methodology 24:193-201) do; both from memory. The dispersion is the confusion's own,
    drawn towards the pooled one as far as its own is uncertain.

    Do not trust it where one page holds most of the chances, or where there are fewer than about
    ten pages of very unequal quality: then it is still too narrow.

    Args:
        counts_by_page: page -> events; pages without events may be left out.
        chances_by_page: page -> chances (or ``page_chances`` of it, where many intervals share it).
        confidence: coverage, 0-1.
        pooled: ``dispersion`` of the whole table; None where there is no table.

    Returns:
        The limits, and which method gave them: a plain Jeffreys interval where all chances are on
        one page, since then nothing is known of the difference between pages.

    >>> clustered({"1r": 4}, {"1r": 100})  # doctest: +ELLIPSIS
    Interval(low=0.01..., high=0.09..., method='Jeffreys')
    """
    chances = chances_by_page if isinstance(chances_by_page, PageChances) else page_chances(chances_by_page)
    events, total = sum(counts_by_page.values()), chances.total
    for page, count in counts_by_page.items():
        _check(count, chances.by_page.get(page, 0), confidence)
    if chances.share_squares >= 1:
        return Interval(*jeffreys(events, total, confidence), JEFFREYS)
    effect = _design_effect(counts_by_page, chances, confidence, pooled)
    low, high = jeffreys(events / effect, total / effect, confidence)
    rate = events / total
    return Interval(min(low, rate), max(high, rate), CLUSTERED)


def _design_effect(
    counts: Mapping[str, int], chances: PageChances, confidence: float, pooled: float | None
) -> float:
    """Give by how much clustering makes the chances worth less, the doubt about it included."""
    share = (sum(counts.values()) + 0.5) / (chances.total + 1)  # the mean of Jeffreys' posterior
    weight = share * (1 - share) * chances.total * chances.share_squares
    expected = SPREAD_ALONE if pooled is None else pooled
    prior = (DOUBT_ALONE if pooled is None else max(pooled, LEAST_DOUBT)) ** 2
    own = own_dispersion(counts, chances)
    trust, of_own, spread = 0.0, 0.0, expected
    if own is not None:
        trust = prior / (prior + _doubt(weight, expected, chances.share_squares))
        spread = max(trust * own[0] + (1 - trust) * expected, 0.0)
        of_own = _doubt(weight, spread, chances.share_squares)
    doubt = trust**2 * of_own + (1 - trust) ** 2 * prior
    effect = min(1 + spread * weight, max(1.0, chances.total * chances.share_squares))
    freedom = max(2 * effect**2 / (weight**2 * doubt), LEAST_FREEDOM)  # Satterthwaite 1946
    upper = (1 + confidence) / 2
    return effect * (student_quantile(freedom, upper) / normal_quantile(upper)) ** 2
