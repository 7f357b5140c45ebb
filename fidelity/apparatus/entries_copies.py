"""Turn several copies of one text into rows and sentences.

Arrives: an audit. Leaves: the rows of ``copies.csv`` and ``copies_rates.csv``, what summary, page and
``fidelity place`` say of them. Start reading at ``copy_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fidelity.apparatus.cells import RATE, Row, rate_cells, significant, where_the_rest_is
from fidelity.judge import Audit
from fidelity.terms.copies import CopiesFound, CopyPlace, CopyRate
from fidelity.variants.citations import in_short

COPY_COLUMNS = (
    *("text", "locus", "original", "first", "other", "other_copy", "what", "phenomenon", "cause", "by"),
    "set_aside",
)
COPY_RATE_COLUMNS = (
    *("text", "other_copy", "measure", "count", "chances", *RATE, "method"),
    *("expected", "p_value", "made_from"),
)
MOST_SHOWN = 25  # places on the page; copies.csv has all
HOW_TO_READ = (
    "Errors of the first copy are the eye's. If the other copy was made from it, what is wrong in the other"
    " and not in the first is the pen's, since he read his own hand; if it was made from the original anew,"
    " it is the eye's again. Errors that both share tell which: each is set against the chance that he makes"
    " it twice."
)


def copy_rows(places: Sequence[CopyPlace]) -> list[Row]:
    """Give every place at which copies of one text differ, or both differ from the original, one row each."""
    return [
        {
            "text": one.text,
            "locus": str(one.locus),
            "original": in_short(one.original),
            "first": in_short(one.first),
            "other": in_short(one.other),
            "other_copy": one.other_copy,
            "what": str(one.what),
            "phenomenon": one.phenomenon,
            "cause": one.cause,
            "by": one.by or "himself",
            "set_aside": one.set_aside,
        }
        for one in places
    ]


def copy_rate_rows(rates: Sequence[CopyRate]) -> list[Row]:
    """Give how often he erred with eye and pen, and mended; rates per 1,000 chances."""
    return [
        {
            "text": one.text,
            "other_copy": one.other_copy,
            "measure": one.measure,
            "count": one.count,
            "chances": one.chances,
            **rate_cells(one.count, one.chances, one.low, one.high),
            "method": one.method,
            "expected": None if one.expected is None else significant(one.expected),
            "p_value": None if one.p_value is None else significant(one.p_value),
            "made_from": str(one.made_from or ""),
        }
        for one in rates
    ]


def copies_summary(audit: Audit) -> dict[str, object]:
    """Give what the summary says of several copies; nothing where there are none."""
    if audit.copies == CopiesFound():
        return {}
    by_text: dict[str, Counter[str]] = {}
    for one in audit.copies.places:
        by_text.setdefault(one.text, Counter())[str(one.what)] += 1
    return {
        "several_copies": {
            "by_text": {text: dict(sorted(kinds.items())) for text, kinds in by_text.items()},
            "rates": copy_rate_rows(audit.copies.rates),
            "notes": list(audit.copies.notes),
        }
    }


def copies_content(audit: Audit) -> dict[str, object] | None:
    """Give what the page shows of several copies; None where there are none."""
    if audit.copies == CopiesFound():
        return None
    places = audit.copies.places
    return {
        "how": HOW_TO_READ,
        "notes": audit.copies.notes,
        "rates": copy_rate_rows([one for one in audit.copies.rates if one.text == "all"]),
        "rows": copy_rows(places[:MOST_SHOWN]),
        "note": where_the_rest_is(len(places), MOST_SHOWN, "copies.csv"),
    }


def copy_sentences(places: Sequence[CopyPlace]) -> list[str]:
    """Say what the other copies have at one place."""
    return [
        f"{one.locus}: {one.first or 'nothing'} in the first copy,"
        f" {one.other or 'nothing'} in {one.other_copy}"
        + (f", {one.original or 'nothing'} in the original" if one.what != "they differ" else "")
        + f" ({one.what})."
        for one in places
    ]
