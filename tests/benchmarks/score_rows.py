"""The figures over the proposals for many texts, as rows of tables.

Arrives: texts whose proposals are judged (``scoring.py``). Leaves: rows by level, by band, by kind, and by
what became of the wrong words. Start reading at ``level_rows``.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from itertools import pairwise, zip_longest

from tabulate import tabulate

from fidelity.confusions.intervals import wilson
from fidelity.trial.interval import share_interval
from tests.benchmarks.scoring import FATES, LEVELS, SETTLED, SURE, Judged

BANDS = (0.2, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
BAND_COUNTS = 200  # a band of so many proposals is held to what it said
PAGE = 1_500  # letters: what is nearer together than about a page is no independent trial
Row = dict[str, str | float | None]


def _all(found: Sequence[Judged]) -> list[tuple[float, bool]]:
    """Give the proposals of all texts: what was said of each, and whether it was right."""
    return [pair for one in found for pair in zip(one.said, one.right, strict=True)]


def level_rows(found: Sequence[Judged]) -> list[Row]:
    """Say how the proposals of at least each level fared; the interval is Wilson's."""
    rows: list[Row] = []
    wrong = sum(one.wrong_words for one in found)
    for number, level in enumerate(LEVELS):
        right = [is_so for said, is_so in _all(found) if said >= level]
        low, high = wilson(sum(right), len(right))
        rows.append(
            {
                "at_least": level,
                "proposals": len(right),
                "precision": sum(right) / len(right) if right else None,
                "low": low,
                "high": high,
                "wrong_words": wrong,
                "restored": sum(one.restored[number] for one in found) / max(wrong, 1),
            }
        )
    return rows


def band_rows(found: Sequence[Judged]) -> list[Row]:
    """Set what was said beside what was found, band by band.

    ``low`` and ``high`` are Wilson's 95 % limits of the share found, which take proposals for independent;
    ``page_low`` and ``page_high`` allow for pages that differ. ``holds`` is whether Wilson's interval, the
    narrower as a rule, has the mean of what was said in it, ``page_holds`` the same of the other.
    ``text_low`` and ``text_high`` are the means of the ranges that the program itself gave, of what may be
    right in one more text; ``in_range`` is whether the share found lies there.
    """
    rows: list[Row] = []
    for low, high in pairwise(BANDS):
        some = [
            (said, right, f"{text} {place // PAGE}", limits)
            for text, one in enumerate(found)
            for said, right, place, limits in zip_longest(one.said, one.right, one.places, one.ranges)
            if low <= said < high or said == high == 1
        ]
        if not some:
            continue
        said, right = sum(one[0] for one in some) / len(some), sum(one[1] for one in some)
        limits = wilson(right, len(some))
        pages = Counter(page for _, _, page, _ in some)
        paged = share_interval(Counter(page for _, is_so, page, _ in some if is_so), pages, 0.95)
        text = [sum(one[3][end] for one in some) / len(some) if some[0][3] else None for end in (0, 1)]
        share = right / len(some)
        rows.append(
            {
                "from": low, "to": high, "proposals": len(some), "said": said, "found": share,
                "low": limits[0], "high": limits[1], "page_low": paged[0], "page_high": paged[1],
                "holds": _yes(limits[0] <= said <= limits[1]),
                "page_holds": _yes(paged[0] <= said <= paged[1]), "text_low": text[0], "text_high": text[1],
                "in_range": _yes(text[0] <= share <= text[1]) if text[0] and text[1] else None,
            }
        )  # fmt: skip
    return rows


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def bands_missed(found: Sequence[Judged], at_least: int = BAND_COUNTS, by: str = "page_holds") -> list[Row]:
    """Give the bands of so many proposals whose interval misses the mean of what they said.

    The interval allows for pages that differ, or, by "holds", takes proposals for independent.
    """
    return [row for row in band_rows(found) if int(row["proposals"] or 0) >= at_least and row[by] == "no"]


def brier(found: Sequence[Judged]) -> float | None:
    """Give the mean squared difference of probability and outcome (Brier 1950, one-class form).

    None where nothing was proposed.
    """
    pairs = _all(found)
    return sum((said - right) ** 2 for said, right in pairs) / len(pairs) if pairs else None


def kind_rows(found: Sequence[Judged]) -> list[Row]:
    """Say how the proposals of each kind fared."""
    some = [one for text in found for one in zip(text.said, text.right, text.kinds, strict=True)]
    rows: list[Row] = []
    for kind in sorted({kind for _, _, kind in some}):
        own = [(said, right) for said, right, its in some if its == kind]
        row: Row = {"kind": kind, "proposals": len(own)}
        for level in (SETTLED, SURE):
            right = [is_so for said, is_so in own if said >= level]
            row[f"at {level}"] = len(right)
            row[f"right at {level}"] = sum(right) / len(right) if right else None
        row["Brier"] = sum((said - right) ** 2 for said, right in own) / len(own)
        rows.append(row)
    return rows


def fate_rows(found: Sequence[Judged]) -> list[Row]:
    """Say what became of the wrong words, and how many of them are words that are known."""
    fates = sum((one.fates for one in found), Counter[tuple[str, bool]]())
    total = max(fates.total(), 1)
    return [
        {
            "right reading": name,
            "wrong words": fates[name, True] + fates[name, False],
            "share": (fates[name, True] + fates[name, False]) / total,
            "a known word": fates[name, True],
        }
        for name in FATES
    ]


def show_rows(rows: Sequence[Row], show: Callable[[str], None]) -> None:
    """Print one table."""
    table = [list(row.values()) for row in rows]
    show(tabulate(table, headers=list(rows[0]) if rows else (), floatfmt=".3f", missingval="-") + "\n")
