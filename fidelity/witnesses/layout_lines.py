"""What the readers of page layouts (PAGE XML, ALTO) share: from lines of XML to a Witness.

Arrives: an ``Xml`` and what finds its lines. Leaves: a ``Row`` for each line with text, and from
them the Witness. Start reading at ``read_layout``.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any, cast

from lxml import etree

from fidelity.errors import DataError, Fault
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.hints import hints_on
from fidelity.witnesses.leiden import LEIDEN_PROFILES, understand_signs
from fidelity.witnesses.plain import Line, Row, witness_of
from fidelity.witnesses.source_text import MOST_FAULTS
from fidelity.witnesses.xml_source import Xml, local_name

_NOT_IN_A_LABEL = re.compile(r"[\s\[\]:]+")  # what a page mark cannot hold, and the colon before the line


def read_layout(
    xml: Xml, profile: str, rows_of: Callable[[Xml, list[Fault], list[str]], list[Row]]
) -> tuple[Witness, tuple[str, ...]]:
    """Read the lines of a page layout, and tell what was left out.

    Args:
        xml: the document.
        profile: which editorial signs stand in its lines: "plain", or a Leiden profile.
        rows_of: gives its lines with text; adds what is wrong to the faults, what is to be told
            to the notes.

    Raises:
        DataError: there is any fault, or no line with text.
    """
    faults: list[Fault] = []
    notes: list[str] = []
    rows = rows_of(xml, faults, notes)
    if profile in LEIDEN_PROFILES:
        lines = [understand_signs(row, xml.file, faults, profile) for row in rows]
    else:
        lines = [Line(row.text) for row in rows]
    if not rows and not faults:
        what = "no line in it has text"
        faults.append(xml.fault(xml.root, what, "save it with the text of each line"))
    if faults:
        more = len(faults) - 2 * MOST_FAULTS
        ordered = sorted(faults, key=lambda fault: (fault.line or 0, fault.column or 0))[: 2 * MOST_FAULTS]
        raise DataError(
            faults=[*ordered, *([Fault(f"and {more} more faults", xml.file)] if more > 0 else [])]
        )
    witness = replace(witness_of(lines, rows), file=str(xml.file or ""))
    return witness, (*notes, *(hints_on(witness) if profile == "plain" else ()))


def page_label(image: str, place: int = 1) -> str:
    """Make of an image's name the label by which its page is cited; without one its place among the pages.

    >>> page_label("scans/Hallowmere 12r.tif"), page_label("", 2)
    ('Hallowmere_12r', '2')
    """
    stem = PurePosixPath(decode(image).replace("\\", "/").strip()).stem
    return _NOT_IN_A_LABEL.sub("_", stem).strip("_") or str(place)


class Pages:
    """The pages of a document, in order; two cited alike are a fault, for so would be their lines."""

    def __init__(self, xml: Xml, faults: list[Fault], remedy: str) -> None:
        self._xml, self._faults, self._remedy = xml, faults, remedy
        self._first: dict[str, int] = {}
        self._count = 0

    def label(self, page: etree._Element, name: str) -> str:
        """Give the label by which the next page is cited."""
        self._count += 1
        label = page_label(name, self._count)
        if label in self._first:
            what = f"a page {label} stands a second time (first in line {self._first[label]})"
            self._faults.append(self._xml.fault(page, what, self._remedy))
        self._first.setdefault(label, line_in_file(page))
        return label


def row_of(lines: Sequence[str], element: etree._Element, text: str, page: str, on_page: int) -> Row:
    """Make a row of a line's text, with the place in the file where its element begins."""
    number = line_in_file(element)
    written = lines[number - 1] if number <= len(lines) else ""
    begin = written.find(text)
    return Row(number, written, begin if begin >= 0 else None, text, f"{page}:{on_page}", page)


def line_in_file(element: etree._Element) -> int:
    """Give the line of the file that an element begins in, from 1."""
    number: int | None = cast(Any, element).sourceline
    return number or 1


def text_within(element: etree._Element) -> str:
    """Give all text inside an element, comments and instructions left out."""
    return "".join(map(str, element.itertext("{*}*")))


def children(element: etree._Element, *names: str) -> Iterator[etree._Element]:
    """Give the children of these names, whatever their namespace."""
    return (child for child in element if local_name(child) in names)
