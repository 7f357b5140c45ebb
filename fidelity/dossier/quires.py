"""Which pages of an original make a quire, as the editor says; no text tells it of itself.

Arrives: ``quires = ["1r-8v", "9r-16v"]`` of a survivor and its original. Leaves: the pages of each
quire, in order. Start reading at ``quires_of``.
"""

from __future__ import annotations

import re

from fidelity.dossier.form import Entry
from fidelity.dossier.texts import DossierTexts
from fidelity.terms import Witness


def quires_of(entry: Entry, original: Witness, texts: DossierTexts) -> tuple[tuple[str, ...], ...]:
    """Give the pages of each quire; a range that names no pages of the original is a fault."""
    pages = list(dict.fromkeys(page for page in original.pages if page))
    found = []
    for at, written in enumerate(entry.values.get("quires", [])):
        quire = page_range(written, pages)
        if not quire:
            known = f"its pages go from {pages[0]} to {pages[-1]}" if pages else "it has no page marks"
            spot = entry.spot._replace(key="quires", item=at)
            texts.fault(spot, f"the original has no pages {written}", known)
        found.append(tuple(quire))
    return tuple(found)


def page_range(written: str, pages: list[str]) -> list[str]:
    """Find a range of pages, "1r-8v"; nothing where there is no such range.

    >>> page_range("1v-2r", ["1r", "1v", "2r", "2v"])
    ['1v', '2r']
    """
    for dash in re.finditer("[-–]", written):
        first, last = written[: dash.start()].strip(), written[dash.end() :].strip()
        if first in pages and last in pages:
            return pages[pages.index(first) : pages.index(last) + 1]
    return []
