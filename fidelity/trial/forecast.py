"""How many errors the lost texts must be expected to hold, seen and unseen.

Arrives: the survivors' tallies and variants, and the copies of the lost texts. Leaves: an ``Outlook``:
for each lost text and kind of error a ``Forecast`` with its limits, and the same for every survivor
predicted from the others, beside what it holds in truth. Start reading at ``forecast``.

The rule for too little: with fewer than ``LEAST_PAGES`` pages no limits are given; with one survivor
they rest on its pages, and on what is assumed of texts before any is seen, and say so; with
``FEW_SURVIVORS`` or fewer, what is known of the difference between texts is next to nothing, and limits
are added as they would be if half of his texts had so many times the rate of the others. How the sums
are done: ``spread.py``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.scores import Tally, errors_of
from fidelity.settings import Settings
from fidelity.terms import Forecast, Limits, Outlook, Variant, Witness
from fidelity.terms.parallels import NO_NUMBERS
from fidelity.trial.spread import PAGE_PRIOR, PAGE_SPREADS, Belief, Evidence, Pages
from fidelity.variants.chances import CHANCES, chances_in_copies
from fidelity.witnesses.folds import Folds

__all__ = ["Outlook", "forecast"]

HEADLINES = ("letters", "words", "division")  # forecast even where none was seen, and under assumptions
LEAST_PAGES = 6  # of fewer the spread from page to page cannot be told (as in the tests of drift)
FEW_SURVIVORS = 4  # up to so many the spread from text to text can hardly be told
FACTORS = (1.0, 1.5, 2.0, 3.0)  # how many times the rate of his good texts his bad ones may have
TAILS = (0.1, 0.9, 0.025, 0.975)  # of limits that hold four times in five, and 19 times in 20
ASSUMED_PAGE_SPREAD = 0.35  # s.d. of the log-odds where the pages are too few: bad pages twice the good


@dataclass(frozen=True)
class _Kind:
    """One kind of error in the survivors: its pages, and how many of its changed words are words."""

    measure: str
    texts: tuple[str, ...]
    pages: tuple[Pages, ...]
    judged: int
    words: int


def forecast(
    counted: Sequence[Tally],
    variants: Sequence[Variant],
    lost: Mapping[str, Witness],
    folds: Folds,
    settings: Settings,
    numbers: Mapping[str, int] = NO_NUMBERS,
) -> Outlook:
    """Forecast the number of errors of each lost text, by kind.

    Args:
        counted: the survivors' tallies.
        variants: of all survivors, causes decided.
        lost: id of each lost text -> its copy.
        folds: letterforms counted as equal.
        settings: the seed.
        numbers: number words that the dossier declares, with their values.
    """
    kinds = _kinds(counted, variants)
    measures = [kind.measure for kind in kinds]
    offered = {text: _offered(copy, folds, measures, numbers) for text, copy in lost.items()}
    found: list[Forecast] = []
    checks: list[Forecast] = []
    for number, kind in enumerate(kinds):
        if not lost and len(kind.texts) < 2:
            continue  # there is nothing to predict
        rng = np.random.default_rng([settings.seed, number])
        evidence = _evidence(kind)
        if len(kind.texts) > 1:
            checks += _left_out(kind, evidence, rng)
        concerned = [text for text in lost if kind.measure in offered[text]]
        beliefs = list(_beliefs(kind, evidence)) if concerned else []
        found += [
            _forecast(text, offered[text][kind.measure], kind, range(len(kind.texts)), belief, rng, factor)
            for text in concerned
            for factor, belief in beliefs
        ]
    order = {text: at for at, text in enumerate(lost)}
    found.sort(key=lambda one: (order[one.text], one.assumed_factor is not None))
    return Outlook(tuple(found), tuple(checks), tuple(_notes(kinds)) if lost else ())


def _kinds(counted: Sequence[Tally], variants: Sequence[Variant]) -> list[_Kind]:
    """Put together what the survivors have of each kind of error; kinds never seen are left out."""
    by_measure: dict[str, list[Tally]] = {}
    for one in counted:
        if one.measure in CHANCES and any(one.chances.values()):
            by_measure.setdefault(one.measure, []).append(one)
    by_text = {
        text: errors_of([variant for variant in variants if variant.text == text])
        for text in dict.fromkeys(one.text for one in counted)
    }
    kinds = []
    for measure, tallies in by_measure.items():
        pages = tuple(_pages(one) for one in tallies)
        if measure in HEADLINES or any(one.errors.any() for one in pages):
            judged = [v.makes_word for one in tallies for v in by_text[one.text][measure]]
            known = [makes_word for makes_word in judged if makes_word is not None]
            texts = tuple(one.text for one in tallies)
            kinds.append(_Kind(measure, texts, pages, len(known), sum(known)))
    return kinds


def _pages(tally: Tally) -> Pages:
    """Give the pages that offered any chance."""
    offered = [(tally.errors.get(page, 0), chances) for page, chances in tally.chances.items() if chances]
    errors, chances = np.array(offered, dtype=np.float64).T
    return Pages(errors, chances)


def _offered(
    copy: Witness, folds: Folds, measures: Sequence[str], numbers: Mapping[str, int]
) -> dict[str, NDArray[np.float64]]:
    """Count the chances of each measure in a lost text's copy, spread over its pages by their letters."""
    letters = folds.fold(copy.letters)
    ends = [*copy.lines[1:], len(copy.letters)]
    sizes: dict[str, int] = {}
    for page, start, end in zip(copy.pages, copy.lines, ends, strict=True):
        sizes[page] = sizes.get(page, 0) + end - start
    shares = np.array(list(sizes.values()), dtype=np.float64) / max(len(copy.letters), 1)
    found = {measure: chances_in_copies([letters], measure, numbers) for measure in measures}
    return {measure: chances * shares for measure, chances in found.items() if chances is not None}


def _evidence(kind: _Kind, factor: float | None = None) -> Evidence:
    """Work out what the survivors tell, learning the spreads or assuming one between texts."""
    page_spreads, page_prior = PAGE_SPREADS, PAGE_PRIOR
    if sum(len(pages.errors) for pages in kind.pages) < LEAST_PAGES:
        page_spreads, page_prior = np.array([ASSUMED_PAGE_SPREAD]), np.ones(1)
    if factor is None:
        return Evidence(kind.pages, page_spreads, page_prior)
    return Evidence(kind.pages, page_spreads, page_prior, np.array([log(factor) / 2]), np.ones(1))


def _beliefs(kind: _Kind, evidence: Evidence) -> Iterator[tuple[float | None, Belief]]:
    """Give what is believed of one kind of error in any lost text; of the headlines also under assumptions.

    Before each belief stands the factor that it assumes, if it does.
    """
    yield None, evidence.belief()
    if kind.measure in HEADLINES and len(kind.texts) <= FEW_SURVIVORS:
        yield from ((factor, _evidence(kind, factor).belief()) for factor in FACTORS)


def _left_out(kind: _Kind, evidence: Evidence, rng: np.random.Generator) -> Iterator[Forecast]:
    """Predict each survivor from the others."""
    for number, text in enumerate(kind.texts):
        others = [at for at in range(len(kind.texts)) if at != number]
        own = kind.pages[number]
        actual = int(own.errors.sum())
        yield _forecast(text, own.chances, kind, others, evidence.belief(number), rng, actual=actual)


def _forecast(
    text: str,
    chances: NDArray[np.float64],
    kind: _Kind,
    learned_from: Sequence[int],
    belief: Belief,
    rng: np.random.Generator,
    factor: float | None = None,
    actual: int | None = None,
) -> Forecast:
    """Make one forecast."""
    pages = [kind.pages[at] for at in learned_from]
    number = sum(len(one.errors) for one in pages)
    seen, met = (int(sum(one[part].sum() for one in pages)) for part in (0, 1))
    total = round(float(chances.sum()))
    draws = belief.draw(chances, rng)
    limits = Limits(*(int(x) for x in np.quantile(draws, TAILS, method="inverted_cdf")))
    return Forecast(
        text=text,
        measure=kind.measure,
        chances=total,
        expected=total * belief.rate,
        limits=limits if number >= LEAST_PAGES or factor is not None else None,
        binomial=binomial_limits(total, seen / met),
        assumed_factor=factor,
        basis=_basis(len(pages), number, factor),
        seen=seen,
        survivors=len(pages),
        pages=number,
        judged=kind.judged,
        words=kind.words,
        actual=actual,
    )


def _basis(survivors: int, pages: int, factor: float | None) -> str:
    """Say what a forecast rests on."""
    if factor == 1:
        return "as if his texts were alike"
    if factor is not None:
        return f"as if half of his texts had {factor:g} times the rate of the rest"
    if pages < LEAST_PAGES:
        return f"no limits: {pages} pages are too few"
    if survivors == 1:
        return "pages of one survivor only: how much his texts differ is assumed, not learned"
    return "survivors and pages"


def binomial_limits(chances: int, rate: float) -> Limits:
    """Give the limits of a plain binomial forecast at a rate taken for known.

    >>> binomial_limits(1000, 0.446)
    Limits(low80=426, high80=466, low95=415, high95=477)
    """
    from scipy.special import bdtrik  # slow to import, and seldom needed

    if not 0 < rate < 1 or not chances:
        return Limits(*[round(chances * rate)] * 4)
    return Limits(*(int(np.ceil(max(bdtrik(tail, chances, rate), 0.0))) for tail in TAILS))


def _notes(kinds: Sequence[_Kind]) -> Iterator[str]:
    """Say what could not be told."""
    texts = {text for kind in kinds for text in kind.texts}
    pages = max((sum(len(one.errors) for one in kind.pages) for kind in kinds), default=0)
    if pages < LEAST_PAGES:
        yield (
            f"no limits are forecast: the survivors have {pages} pages by their page marks, and {LEAST_PAGES}"
            " are needed to tell how much pages differ; forecast.csv has the limits under assumptions"
        )
    elif len(texts) == 1:
        yield (
            "a single survivor: forecasts rest on its pages; how much his texts differ from one another is"
            " unknown, and forecast.csv has the limits under several assumptions"
        )
    elif len(texts) <= FEW_SURVIVORS:
        yield (
            f"with {len(texts)} survivors the difference between his texts can hardly be told: if they do"
            " differ, forecasts hold less often than they say; forecast.csv has the limits under assumptions"
        )
