"""Turn the copyist's own marks into rows and sentences: what he could not read, doubted, vouched for.

Arrives: an audit. Leaves: the rows of ``flagged.csv`` and ``flagged_rates.csv``, what summary and page say of
them. Start reading at ``flagged_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fidelity.apparatus.cells import Row, significant, where_the_rest_is
from fidelity.judge import Audit
from fidelity.terms import Flagged, FlagRate, Mark, MarkKind
from fidelity.witnesses.his_marks import printed_sign

FLAGGED_COLUMNS = (
    *("text", "locus", "mark", "kind", "copy", "original", "letters_shown", "letters_lost", "right"),
    *("copy_start", "copy_end"),
)
FLAG_RATE_COLUMNS = ("measure", "count", "chances", "share", "low", "high", "method")
MOST_SHOWN = 25  # marks on the page; flagged.csv has all
HONESTY = (
    "The figures say how far his own marks can be trusted: how many of his errors he marked, and how many of"
    " the words he marked are wrong. They hold of the survivors; that he was as candid in the lost texts is"
    " presumed, not shown."
)


_SAID = {
    MarkKind.UNREAD: "he could not read what stands for it",
    MarkKind.BLANK: "he left a space",
    MarkKind.DOUBT: "he queries the word",
    MarkKind.LINE_DOUBT: "in the margin he queries something in the line",
    MarkKind.VOUCHED: "he vouches for the word",
}


def mark_row(mark: Mark) -> Row:
    """Give a mark of his at one place."""
    return {"mark": printed_sign(mark.sign), "kind": str(mark.kind)}


def mark_sentence(mark: Mark) -> str:
    """Say what a mark of his at one place says.

    >>> mark_sentence(Mark(MarkKind.DOUBT, 0, 4, "(?)", 4, 4, "(?)"))
    'His own mark (?): he queries the word.'
    """
    return f"His own mark {printed_sign(mark.sign)}: {_SAID[mark.kind]}."


def flagged_rows(flagged: Sequence[Flagged]) -> list[Row]:
    """Give his marks, one row each, the survivors' first; "copy_start", "copy_end" count letters from 0."""
    return [
        {
            "text": one.text,
            "locus": str(one.locus),
            "mark": one.sign,
            "kind": str(one.kind),
            "copy": one.copy,
            "original": one.original if one.original or one.right is not None else None,
            "letters_shown": one.shown,
            "letters_lost": one.lost,
            "right": one.right,
            "copy_start": one.span[0],
            "copy_end": one.span[1],
        }
        for one in flagged
    ]


def flag_rate_rows(rates: Sequence[FlagRate]) -> list[Row]:
    """Give how honest, or how right, his marks are; the share and its limits 0-1."""
    return [
        {
            "measure": one.measure,
            "count": one.count,
            "chances": one.chances,
            "share": significant(one.count / one.chances) if one.chances else None,
            "low": None if one.low is None else significant(one.low),
            "high": None if one.high is None else significant(one.high),
            "method": one.method,
        }
        for one in rates
    ]


def marks_summary(audit: Audit) -> dict[str, object]:
    """Give what the summary says of his marks; nothing where there are none."""
    if not audit.flagged:
        return {}
    by_text: dict[str, Counter[str]] = {}
    for one in audit.flagged:
        by_text.setdefault(one.text, Counter())[str(one.kind)] += 1
    texts = {text: dict(sorted(kinds.items())) for text, kinds in by_text.items()}
    return {"his_marks": {"by_text": texts, "rates": flag_rate_rows(audit.flag_rates), "caution": HONESTY}}


def marks_content(audit: Audit) -> dict[str, object] | None:
    """Give what the page shows of his marks; None where there are none."""
    if not audit.flagged:
        return None
    return {
        "honesty": HONESTY,
        "rates": flag_rate_rows(audit.flag_rates),
        "rows": flagged_rows(audit.flagged[:MOST_SHOWN]),
        "note": where_the_rest_is(len(audit.flagged), MOST_SHOWN, "flagged.csv"),
    }
