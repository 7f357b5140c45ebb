"""Errors and chances line by line, so that they can be put in order by page, leaf and place on the page.

Arrives: an alignment with its variants. Leaves: ``Lines``, and ``Series`` of pages. Start reading at
``lines_of_original``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray

from fidelity.confusions.order_tests import Series
from fidelity.confusions.scores import errors_of
from fidelity.terms import Alignment, Variant, Witness
from fidelity.variants.chances import chances_by_piece, offered_text
from fidelity.witnesses.folds import Folds

MEASURES = ("letters", "words", "division")
STRETCH = 2_000  # letters that stand for a page where there are no page marks: a well filled quarto page


@dataclass(frozen=True)
class Lines:
    """Errors and chances of a survivor, line by line, and on which page (from 0) each line stands."""

    text: str
    errors: Mapping[str, NDArray[np.float64]]
    chances: Mapping[str, NDArray[np.float64]]
    page: NDArray[np.intp]
    names: tuple[str, ...]


def lines_of_original(text: str, alignment: Alignment, variants: Sequence[Variant], folds: Folds) -> Lines:
    """Count errors and chances of each line of the original.

    Args:
        text: id of the survivor.
        alignment: its alignment.
        variants: of this survivor, causes decided.
        folds: letterforms counted as equal.
    """
    original, errors = alignment.original, errors_of(variants)
    replaced = [variant.original_span for variant in variants if variant.replaced or variant.set_aside]
    offered = {
        "letters": folds.fold(offered_text(alignment, replaced)),
        "words": folds.fold(offered_text(alignment)),
    }
    chances, wrong = {}, {}
    for measure in MEASURES:
        seen = offered["letters" if measure == "letters" else "words"]
        starts = [variant.original_span[0] for variant in errors[measure]]
        wrong[measure] = _by_line(original, starts)
        chances[measure] = np.maximum(_chances_by_line(original, seen, measure), wrong[measure])
    page, names = _pages(original, chances["letters"])
    return Lines(text, wrong, chances, page, names)


def lines_of_copy(text: str, alignment: Alignment, variants: Sequence[Variant]) -> Iterator[Lines]:
    """Count wrong letters by the lines of the copy, where it has page marks of its own."""
    copy = alignment.copy
    if not any(copy.pages) or set(copy.pages) <= set(alignment.original.pages):
        return
    wrong = _by_line(copy, [variant.copy_span[0] for variant in errors_of(variants)["letters"]])
    chances = np.maximum(_chances_by_line(copy, copy.letters, "letters"), wrong)
    yield Lines(text, {"letters": wrong}, {"letters": chances}, *_pages(copy, chances))


def _by_line(witness: Witness, starts: Sequence[int]) -> NDArray[np.float64]:
    """Count places by the line they stand in."""
    lines = np.searchsorted(witness.lines, np.array(starts, dtype=np.intp), side="right") - 1
    return np.bincount(lines, minlength=len(witness.lines)).astype(np.float64)


def _chances_by_line(witness: Witness, letters: str, measure: str) -> NDArray[np.float64]:
    """Count the chances of a measure in each line."""
    return np.array(chances_by_piece(measure, letters, witness.lines), dtype=np.float64)


def _pages(witness: Witness, letters: NDArray[np.float64]) -> tuple[NDArray[np.intp], tuple[str, ...]]:
    """Give the page of each line, numbered from 0, and the names of the pages."""
    if any(witness.pages):
        runs = [(name, len(list(lines))) for name, lines in groupby(witness.pages)]
        return np.repeat(np.arange(len(runs)), [size for _, size in runs]), tuple(name for name, _ in runs)
    before = np.cumsum(letters) - letters
    stretches = max(int(letters.sum()) // STRETCH, 1)
    page = np.minimum(before // STRETCH, stretches - 1).astype(np.intp)
    page = np.unique(page, return_inverse=True)[1]
    ends = [np.flatnonzero(page == number)[[0, -1]] for number in range(int(page[-1]) + 1)]
    return page, tuple(f"{witness.labels[first]}–{witness.labels[last]}" for first, last in ends)


def series_of(lines: Lines, measure: str) -> Series:
    """Put the pages of a survivor in order."""
    errors = np.bincount(lines.page, lines.errors[measure]).astype(np.float64)
    chances = np.bincount(lines.page, lines.chances[measure]).astype(np.float64)
    group = np.zeros(len(errors), dtype=np.intp)
    return Series(errors, chances, np.arange(len(errors), dtype=np.float64), group)


def joined(parts: Sequence[Series]) -> Series:
    """Put series side by side, the groups of each its own."""
    firsts = np.cumsum([0, *(int(part.group[-1]) + 1 for part in parts)])
    return Series(
        np.concatenate([part.errors for part in parts]),
        np.concatenate([part.chances for part in parts]),
        np.concatenate([part.at for part in parts]),
        np.concatenate([part.group + first for part, first in zip(parts, firsts, strict=False)]),
    )
