"""Turn what is to be expected, and how he fared as he went on, into rows and sentences.

Arrives: an audit's ``Course`` and ``Outlook``. Leaves: the rows of ``drift.csv``, ``page_rates.csv``,
``forecast.csv`` and ``forecast_trial.csv``, and the sentences that stand before them. Start reading at
``forecast_rows``.

Rates are per 1,000 chances, probabilities and shares 0-1.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fidelity.apparatus.cells import Row, rate_cells, significant
from fidelity.terms import Drift, Forecast, Limits, PageRate, Trial

DRIFT_COLUMNS = (
    *("text", "what", "along", "test", "statistic", "p_value", "q_value", "found", "pages", "errors"),
    *("first_rate", "last_rate", "where"),
)
PAGE_COLUMNS = ("text", "page", "measure", "errors", "chances", "rate_per_1000", "low", "high")
LIMITS = ("low80", "high80", "low95", "high95")
BINOMIAL = tuple(f"binomial_{limit}" for limit in LIMITS)
FORECAST_COLUMNS = (
    *("text", "class", "chances", "expected", *LIMITS, *BINOMIAL, "visible_share", "invisible_share"),
    *("judged", "found_from_0.5", "found_from_0.9", "assumed_factor", "seen", "survivors", "pages", "basis"),
)
CHECK_COLUMNS = (
    *("text", "class", "chances", "actual", "expected", *LIMITS, "within80", "within95", *BINOMIAL),
    *("binomial_within80", "seen", "survivors", "pages", "basis"),
)
ALTERED = (
    "words"  # the kind of error that the blind test counts: words of the copy that are not the original's
)
FINDING = (0.5, 0.9)  # probabilities from which proposals are taken for found
SHOWN = ("letters", "words", "division")
SHOWN_FACTOR = 2.0  # of the assumptions, the one that is told in words


def drift_rows(drifts: Sequence[Drift]) -> list[Row]:
    """Give the tests of whether he changed as he went on."""
    return [
        {
            "text": one.text,
            "what": one.what,
            "along": one.along,
            "test": one.test,
            "statistic": significant(one.statistic),
            "p_value": significant(one.p_value),
            "q_value": significant(one.q_value),
            "found": one.found,
            "pages": one.units,
            "errors": one.errors,
            "first_rate": significant(1000 * one.first),
            "last_rate": significant(1000 * one.last),
            "where": one.where,
        }
        for one in drifts
    ]


def page_rows(pages: Sequence[PageRate]) -> list[Row]:
    """Give the rate of every page with its interval."""
    return [
        {
            "text": one.text,
            "page": one.page,
            "measure": one.measure,
            "errors": one.errors,
            "chances": one.chances,
            **rate_cells(one.errors, one.chances, one.low, one.high),
        }
        for one in pages
    ]


def forecast_rows(forecasts: Sequence[Forecast], trial: Trial | None) -> list[Row]:
    """Give how many errors each lost text must be expected to hold, by kind."""
    return [_forecast_row(one, trial) for one in forecasts]


def _forecast_row(one: Forecast, trial: Trial | None) -> Row:
    """Give the row of one forecast."""
    hidden = one.invisible_share
    found = found_shares(trial) if one.measure == ALTERED else {}
    return {
        "text": one.text,
        "class": one.measure,
        "chances": one.chances,
        "expected": significant(one.expected),
        **_limits(one.limits, LIMITS),
        **_limits(one.binomial, BINOMIAL),
        "visible_share": None if hidden is None else significant(1 - hidden),
        "invisible_share": None if hidden is None else significant(hidden),
        "judged": one.judged,
        **{f"found_from_{level:g}": found.get(level) for level in FINDING},
        "assumed_factor": one.assumed_factor,
        "seen": one.seen,
        "survivors": one.survivors,
        "pages": one.pages,
        "basis": one.basis,
    }


def _limits(limits: Limits | None, names: Sequence[str]) -> Row:
    """Give the limits under the names of their columns; nothing where they cannot be told."""
    return {
        name: None if limits is None else getattr(limits, key)
        for name, key in zip(names, LIMITS, strict=True)
    }


def found_shares(trial: Trial | None) -> Mapping[float, float]:
    """Give the share of altered places that proposals of a probability restored in the blind test."""
    return {
        one.at_least: significant(one.restored / one.wrong_places)
        for one in (trial.precisions if trial else ())
        if one.wrong_places and one.at_least in FINDING
    }


def check_rows(checks: Sequence[Forecast]) -> list[Row]:
    """Give every survivor as it was predicted from the others, beside what it holds in truth."""
    return [
        {
            "text": one.text,
            "class": one.measure,
            "chances": one.chances,
            "actual": one.actual,
            "expected": significant(one.expected),
            **_limits(one.limits, LIMITS),
            "within80": _within(one.actual, one.limits, "80"),
            "within95": _within(one.actual, one.limits, "95"),
            **_limits(one.binomial, BINOMIAL),
            "binomial_within80": _within(one.actual, one.binomial, "80"),
            "seen": one.seen,
            "survivors": one.survivors,
            "pages": one.pages,
            "basis": one.basis,
        }
        for one in checks
    ]


def _within(actual: int | None, limits: Limits | None, level: str) -> bool | None:
    """Tell whether what came about lies within the limits; None where there are none."""
    if actual is None or limits is None:
        return None
    return bool(getattr(limits, f"low{level}") <= actual <= getattr(limits, f"high{level}"))


def coverage(checks: Sequence[Forecast]) -> Row | None:
    """Count how often forecasts of survivors from the others held; None where there are none."""
    rows = [row for row in check_rows(checks) if row["within80"] is not None]
    if not rows:
        return None
    return {
        "forecasts": len(rows),
        "within80": sum(row["within80"] is True for row in rows),
        "within95": sum(row["within95"] is True for row in rows),
        "binomial_within80": sum(row["binomial_within80"] is True for row in rows),
    }


def headline_forecasts(forecasts: Sequence[Forecast]) -> list[Forecast]:
    """Give the forecasts that a page has room for: headline kinds; under assumptions altered words only."""
    return [
        one
        for one in forecasts
        if one.measure in SHOWN and (one.assumed_factor is None or one.measure == ALTERED)
    ]


def forecast_sentences(forecasts: Sequence[Forecast], trial: Trial | None) -> list[str]:
    """Say in plain words how many altered words each lost text must be expected to hold."""
    words = [one for one in forecasts if one.measure == ALTERED]
    assumed = {one.text: one.limits for one in words if one.assumed_factor == SHOWN_FACTOR}
    return [
        "; ".join([_number(one), *_if_texts_differ(assumed.get(one.text)), *_hidden(one), *_restored(trial)])
        + "."
        for one in words
        if one.assumed_factor is None
    ]


def _number(one: Forecast) -> str:
    """Say how many there will be."""
    text = f"{one.text} must be expected to hold about {one.expected:,.0f} altered words"
    text += ", stops and word divisions not counted"
    if one.limits is None:
        return f"{text} ({one.basis})"
    text += f" (80 % forecast {one.limits.low80:,} to {one.limits.high80:,}"
    return f"{text}, 95 % {one.limits.low95:,} to {one.limits.high95:,}; {one.basis})"


def _if_texts_differ(limits: Limits | None) -> list[str]:
    """Say what the limits would be if his texts differed, where survivors are too few to tell."""
    if limits is None:
        return []
    how = f"if half of his texts had {SHOWN_FACTOR:g} times the rate of the rest"
    return [f"{how}, the 80 % forecast would be {limits.low80:,} to {limits.high80:,}"]


def _hidden(one: Forecast) -> list[str]:
    """Say how many of them will not show."""
    if one.invisible_share is None:
        return []
    number = one.expected * one.invisible_share
    few = "fewer than one" if 0 < number < 1 else f"about {number:,.0f}"
    return [f"{few} of them will be words that the originals are known to have, and will not show"]


def _restored(trial: Trial | None) -> list[str]:
    """Say what share of them the proposals should restore."""
    found = found_shares(trial)
    if 0.5 not in found:
        return []
    if not found[0.5]:
        return ["proposals of 0.5 or more restored none in the blind test"]
    text = f"proposals of 0.5 or more that rest on him alone should restore about {found[0.5]:.0%} of them"
    return [f"{text}, those of 0.9 or more {found[0.9]:.0%}" if 0.9 in found else text]


def drift_sentence(drifts: Sequence[Drift], false_discovery: float) -> str:
    """Say in plain words whether he changed as he went on."""
    if not drifts:
        return "Whether he changed as he went on could not be tested."
    found = sorted((one for one in drifts if one.found), key=lambda one: (one.q_value, one.p_value))
    tests = f"{len(drifts)} tests" if len(drifts) > 1 else "one test"
    if not found:
        return (
            f"Nothing shows that he changed as he went on ({tests}, none with a false-discovery rate of"
            f" {false_discovery:g} or less); a small change may be there all the same."
        )
    first = found[0]
    text = "all survivors" if first.text == "all" else first.text
    return (
        f"He changed as he went on: {len(found)} of {tests} say so, most clearly {first.what} along the"
        f" {first.along} in {text}, from {1000 * first.first:.3g} to {1000 * first.last:.3g} per 1,000"
        f" (q = {first.q_value:.2g}). The rates of the survivors are then no rates of any one time."
    )
