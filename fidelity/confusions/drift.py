"""Whether he errs more, or less, as he goes on.

Arrives: the survivors' alignments and variants. Leaves: a ``Course``: the rate of every page, and the
tests of whether it changes over the survivor, from the head of a page to its foot, from the recto to
the verso, within the quire, and in all survivors since each one's beginning. Start reading at
``drift``; the tests themselves stand in ``order_tests.py``.

The order is that of the original; where the copy has page marks of its own, its pages are the sheets
that he himself wrote on, and are tested too. Where an original has no page marks, stretches of lines
stand for pages; if its true pages are longer and differ much, such a test finds too much. A change
found need not be the man: another hand, script or subject of the original changes the rate as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.beta import beta_quantiles
from fidelity.confusions.by_line import MEASURES, Lines, joined, lines_of_copy, lines_of_original, series_of
from fidelity.confusions.measure import benjamini_hochberg
from fidelity.confusions.order_tests import (
    MOST_DRAWS,
    Series,
    change_point,
    change_test,
    cochran_armitage,
    mirror_test,
    trend_test,
)
from fidelity.settings import Settings
from fidelity.terms import Alignment, Drift, PageRate, Variant
from fidelity.witnesses.folds import Folds

LEAST_PAGES = 6  # fewer can be put into less than 720 orders, and p could hardly get below 0.01
LEAST_ERRORS = 10  # fewer show no trend that could be told from chance
THIRD = 1 / 3  # the first and the last of it are shown
TREND = "Cochran-Armitage trend, pages permuted"
MIRROR = "Cochran-Armitage trend within pages (or leaves), each turned round"
CHANGE = "likelihood-ratio change-point, pages permuted"
PAGES, QUIRE = "pages", "pages of the quire"
LINES, OWN_LINES, SIDES = "lines of the original's page", "lines of the copy's page", "sides of the leaf"
ALL = "all"

_LEAF_SIDE = re.compile(r"(.*\d.*?)\.?\s*([rv])")


@dataclass(frozen=True)
class Course:
    """How he fared as he went on.

    Attributes:
        pages: the rates, page by page.
        drifts: the tests made, in order of the texts.
        skipped: what could not be tested, and why.
    """

    pages: tuple[PageRate, ...] = ()
    drifts: tuple[Drift, ...] = ()
    skipped: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Question:
    """One test to be made; ``names`` are the pages, where the pages are what is put in order."""

    text: str
    what: str
    along: str
    test: str
    series: Series
    names: tuple[str, ...] = ()


def drift(
    alignments: Mapping[str, Alignment],
    variants: Sequence[Variant],
    folds: Folds,
    settings: Settings,
    quires: Mapping[str, Sequence[Sequence[str]]] | None = None,
) -> Course:
    """Test whether the copyist's rates change as he goes on.

    Args:
        alignments: by id of the survivor.
        variants: of all survivors, causes decided.
        folds: letterforms counted as equal.
        settings: seed, false-discovery rate and confidence.
        quires: id of a survivor -> the pages of each of its original's quires, as the editor knows them;
            nothing in a text tells where its quires begin.
    """
    originals: list[Lines] = []
    own: list[Lines] = []
    for text, alignment in alignments.items():
        here = [variant for variant in variants if variant.text == text]
        originals.append(lines_of_original(text, alignment, here, folds))
        own += lines_of_copy(text, alignment, here)
    questions = [
        one for lines in originals for one in _of_survivor(lines, (quires or {}).get(lines.text, ()))
    ]
    questions += [one for lines in own for one in _within_pages([lines], OWN_LINES, lines.text)]
    if len(originals) > 1:
        questions += _since_beginnings(originals)
        questions += _within_pages(originals, LINES, ALL) + _within_pages(own, OWN_LINES, ALL)
        questions += _sides(originals, ALL)
    asked = [one for one in questions if not _too_little(one)]
    pages = [rate for lines in originals for rate in _page_rates(lines, settings.confidence)]
    skipped = _why_skipped([one for one in questions if _too_little(one)])
    skipped += [
        f"drift by quire in {text}: needs the quires, and the dossier does not say what they are"
        for text in alignments
        if not (quires or {}).get(text)
    ]
    return Course(tuple(pages), tuple(_answers(asked, settings)), tuple(dict.fromkeys(skipped)))


def _of_survivor(lines: Lines, quires: Sequence[Sequence[str]]) -> list[_Question]:
    """Ask all that can be asked of one survivor by its original's pages."""
    found = []
    for measure in MEASURES:
        series = series_of(lines, measure)
        found += [
            _Question(lines.text, measure, PAGES, test, series, lines.names) for test in (TREND, CHANGE)
        ]
    found += _within_pages([lines], LINES, lines.text) + _sides([lines], lines.text)
    number = {name: at for at, name in enumerate(lines.names)}
    known = [[number[name] for name in quire if name in number] for quire in quires]
    group = [quire for quire, pages in enumerate(pages for pages in known if pages) for _ in pages]
    if group:
        chosen, series = [at for pages in known for at in pages], series_of(lines, "letters")
        at = np.concatenate([np.arange(len(pages), dtype=np.float64) for pages in known])
        series = Series(series.errors[chosen], series.chances[chosen], at, np.array(group))
        names = tuple(lines.names[at] for at in chosen)
        found.append(_Question(lines.text, "letters", QUIRE, TREND, series, names))
    return found


def _since_beginnings(survivors: Sequence[Lines]) -> list[_Question]:
    """Ask of all survivors together, each from its own beginning."""
    return [
        _Question(ALL, measure, PAGES, TREND, joined([series_of(lines, measure) for lines in survivors]))
        for measure in MEASURES
    ]


def _within_pages(survivors: Sequence[Lines], along: str, text: str) -> list[_Question]:
    """Ask whether wrong letters grow more frequent from the head of a page to its foot."""
    parts = []
    for lines in survivors:
        first = np.searchsorted(lines.page, lines.page)  # of the lines of the same page
        at = np.arange(len(lines.page), dtype=np.float64) - first
        parts.append(Series(lines.errors["letters"], lines.chances["letters"], at, lines.page))
    return [_Question(text, "letters", along, MIRROR, joined(parts))] if parts else []


def _sides(survivors: Sequence[Lines], text: str) -> list[_Question]:
    """Ask whether he errs more on versos than on rectos, leaf by leaf."""
    parts = []
    for lines in survivors:
        series = series_of(lines, "letters")
        sides = [_LEAF_SIDE.fullmatch(name) for name in lines.names]
        numbers = {(found[1], found[2]): at for at, found in enumerate(sides) if found}
        leaves = [leaf for leaf, side in numbers if side == "r" and (leaf, "v") in numbers]
        pages = [numbers[leaf, side] for leaf in leaves for side in "rv"]
        if leaves:
            at = np.tile([0.0, 1.0], len(leaves))
            group = np.repeat(np.arange(len(leaves)), 2)
            parts.append(Series(series.errors[pages], series.chances[pages], at, group))
    return [_Question(text, "letters", SIDES, MIRROR, joined(parts))] if parts else []


def _units(question: _Question) -> int:
    """Give how many pages (within pages: how many with an error) a test rests on."""
    if question.test != MIRROR:
        return len(question.series.errors)
    return int(np.count_nonzero(np.bincount(question.series.group, question.series.errors)))


def _too_little(question: _Question) -> bool:
    return _units(question) < LEAST_PAGES or question.series.errors.sum() < LEAST_ERRORS


def _why_skipped(questions: Sequence[_Question]) -> list[str]:
    """Say for each survivor which tests were not made, and why."""
    found: dict[str, dict[str, list[str]]] = {}
    for one in questions:
        measures = found.setdefault(one.text, {}).setdefault(one.along, [])
        measures += [one.what] if one.what not in measures else []
    return [
        f"drift in {text}: needs {LEAST_PAGES} pages and {LEAST_ERRORS} errors along the "
        + "; the ".join(f"{along} ({', '.join(measures)})" for along, measures in tests.items())
        for text, tests in found.items()
    ]


def _answers(questions: Sequence[_Question], settings: Settings) -> list[Drift]:
    """Make the tests; each has its own random numbers, so that one more changes none of the others."""
    most = max(MOST_DRAWS, round(len(questions) / settings.false_discovery))  # one find alone can pass
    drifts, p_values = [], []
    for number, one in enumerate(questions):
        rng = np.random.default_rng([settings.seed, number])
        if one.test == CHANGE:
            p_values.append(change_test(one.series.errors, one.series.chances, rng, most))
        else:
            p_values.append((trend_test if one.test == TREND else mirror_test)(one.series, rng, most))
        drifts.append(one)
    q_values = benjamini_hochberg(p_values) if p_values else []
    return [
        _answer(one, p, q, q <= settings.false_discovery)
        for one, p, q in zip(drifts, p_values, q_values, strict=True)
    ]


def _answer(question: _Question, p_value: float, q_value: float, found: bool) -> Drift:
    """Make the record of a test."""
    series, names = question.series, question.names
    size = np.bincount(series.group)[series.group]
    rank = np.arange(len(size)) - np.searchsorted(series.group, series.group)
    first, last = (rank + 0.5) / size < THIRD, (rank + 0.5) / size > 1 - THIRD
    where = f"{names[0]} to {names[-1]}" if names else ""
    statistic = cochran_armitage(series)
    if question.test == CHANGE:
        statistic, before = change_point(series.errors, series.chances)
        first, last, where = rank < before, rank >= before, f"from {names[before]}"
    rates = [float(series.errors[part].sum() / max(series.chances[part].sum(), 1)) for part in (first, last)]
    return Drift(
        text=question.text,
        what=question.what,
        along=question.along,
        test=question.test,
        statistic=statistic,
        p_value=p_value,
        q_value=q_value,
        found=found,
        units=_units(question),
        errors=int(series.errors.sum()),
        first=rates[0],
        last=rates[1],
        where=where,
    )


def _page_rates(lines: Lines, confidence: float) -> Iterator[PageRate]:
    """Give the rates of every page with their intervals."""
    for measure in MEASURES:
        series = series_of(lines, measure)
        limits = _limits(series.errors, series.chances, confidence)
        for at, name in enumerate(lines.names):
            errors, chances = int(series.errors[at]), int(series.chances[at])
            yield PageRate(lines.text, name, measure, errors, chances, *limits[at])


def _limits(
    errors: NDArray[np.float64], chances: NDArray[np.float64], confidence: float
) -> list[tuple[float, float]]:
    """Give ``intervals.jeffreys`` of many pages, found side by side."""
    tail = (1 - confidence) / 2
    low, high = (beta_quantiles(errors + 0.5, chances - errors + 0.5, share) for share in (tail, 1 - tail))
    low, high = np.where(errors == 0, 0.0, low), np.where(errors == chances, 1.0, high)
    return list(zip(low.tolist(), high.tolist(), strict=True))
