"""Turn places to look at again, and what only the copy keeps, into rows.

Arrives: an audit. Leaves: the rows of ``recheck.csv`` and ``rescued.csv``. Start reading at ``recheck_rows``.
"""

from __future__ import annotations

from fidelity.apparatus.cells import Row, significant
from fidelity.dossier.images import photograph
from fidelity.judge import Audit
from fidelity.terms import Recheck

RECHECK_COLUMNS = ("text", "locus", "original_words", "copy_words", "why", "weight", "image", "copy_locus")
RESCUED_COLUMNS = ("text", "locus", "original", "copy", "state", "agrees", "copy_locus")


def recheck_rows(audit: Audit) -> list[Row]:
    """Give the places whose reading moves the result, weightiest first; the weight in letters per 1,000."""
    return [
        {
            "text": one.text,
            "locus": str(one.locus),
            "original_words": one.original_words,
            "copy_words": one.copy_words,
            "why": why(one),
            "weight": significant(one.weight),
            "image": photograph(audit.dossier.image_pattern, one.text, one.page, one.locus.line),
            "copy_locus": str(one.copy_locus or ""),
        }
        for one in audit.rechecks
    ]


def why(one: Recheck) -> str:
    """Say in a few words why a place is worth another look."""
    times = "once" if one.count == 1 else f"{one.count:,} times"
    if one.counted:
        return f"{one.confusion}, seen {times}: {one.changes}"
    return f"{one.confusion}, unclear here and not counted, seen {times}: {one.changes}"


def rescued_rows(audit: Audit) -> list[Row]:
    """Give what the copies keep and the survivors have lost, in order."""
    return [
        {
            "text": one.text,
            "locus": str(one.locus),
            "original": one.original,
            "copy": one.copy,
            "state": one.state,
            "agrees": one.agrees,
            "copy_locus": str(one.copy_locus),
        }
        for one in audit.rescued
    ]
