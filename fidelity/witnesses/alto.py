"""Read ALTO: the text of pages, line by line, as a layout program saved it.

Arrives: an ``Xml`` whose root is ``alto``. Leaves: a ``Row`` for each line with text, and from them
the Witness. Start reading at ``read_alto``, then ``rows_of_alto``.

Only what is written is taken (``String``, ``SP``, ``HYP``), in the order of the file: no styles, no
places on the image, no guesses at other readings. What stands in the margins of a page (running
titles, leaf numbers) is not read where the page has a print space. A word broken at a line's end
(``HYP``, or ``SUBS_TYPE`` HypPart1) runs on into the next line. The page is cited by
``PHYSICAL_IMG_NR``, or else by the name of its image. (ALTO 4, from memory in part.)
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from lxml import etree

from fidelity.errors import Fault
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.page_xml import (
    children,
    line_in_file,
    page_label,
    row_of,
    text_within,
    witness_of_xml_rows,
)
from fidelity.witnesses.plain import LINE_END_MARKS, Row
from fidelity.witnesses.xml_source import Xml, local_name

HYPHEN = "-"  # stands for a word broken at a line's end where the file does not say by what mark


def read_alto(xml: Xml, profile: str = "plain") -> tuple[Witness, tuple[str, ...]]:
    """Read the text of an ALTO document; there is nothing to tell of how it was taken.

    Args:
        xml: the document; its root is ``alto``.
        profile: which editorial signs stand in its lines: "plain", or a Leiden profile.

    Raises:
        DataError: see ``rows_of_alto``; or there is no line with text.
    """
    faults: list[Fault] = []
    return witness_of_xml_rows(rows_of_alto(xml, faults), xml, profile, faults), ()


def rows_of_alto(xml: Xml, faults: list[Fault]) -> list[Row]:
    """Give the lines of an ALTO document that have text.

    Args:
        xml: the document; its root is ``alto``.
        faults: is added to: strings without content, pages cited alike.
    """
    rows: list[Row] = []
    written = xml.letters.split("\n")
    first: dict[str, int] = {}
    for page in xml.root.iter("{*}Page"):
        label = page_label(_name_of(xml, page))
        if label in first:
            what = f"a page {label} stands a second time (first in line {first[label]})"
            faults.append(xml.fault(page, what, "give each Page its own PHYSICAL_IMG_NR"))
        first.setdefault(label, line_in_file(page))
        on_page = 0
        for line in _lines(page):
            text = _text_of(xml, line, faults)
            if text:
                on_page += 1
                rows.append(row_of(written, line, text, label, on_page))
    return rows


def _name_of(xml: Xml, page: etree._Element) -> str:
    """Give the number of the page's image, or the name of the file it was read from."""
    number = page.get("PHYSICAL_IMG_NR", "").strip()
    if number:
        return number
    names = (text_within(one).strip() for one in xml.root.iter("{*}fileName"))
    return next(filter(None, names), "")


def _lines(page: etree._Element) -> Iterator[etree._Element]:
    """Give the lines of the print space, or of the whole page where it has none."""
    spaces = list(children(page, "PrintSpace")) or [page]
    for space in spaces:
        yield from space.iter("{*}TextLine")


def _text_of(xml: Xml, line: etree._Element, faults: list[Fault]) -> str:
    """Give the text of a line, with a hyphen at its end where a word runs on."""
    parts = list(children(line, "String", "SP", "HYP"))
    spaced = any(local_name(part) == "SP" for part in parts)  # else the strings are the words
    text = ""
    for before, part in pairwise([None, *parts]):
        name = local_name(part) if part is not None else ""
        if part is None or name == "HYP":
            continue
        if name == "SP":
            text += " "
            continue
        content = part.get("CONTENT")
        if content is None:
            faults.append(xml.fault(part, "this String has no CONTENT", "give it its text"))
        between = before is not None and not spaced and local_name(before) == "String"
        text += (" " if between else "") + " ".join((content or "").split())
    text = " ".join(text.split())
    return text + _line_end(parts, text)


def _line_end(parts: list[etree._Element], text: str) -> str:
    """Give the mark that a word runs on over the line's end, unless it is written already."""
    written = [part for part in parts if local_name(part) != "SP"]
    if not written or not text or text[-1] in LINE_END_MARKS:
        return ""
    last = written[-1]
    if local_name(last) == "HYP":
        mark = decode(last.get("CONTENT", HYPHEN)).strip()
        return mark if mark in tuple(LINE_END_MARKS) else HYPHEN
    return HYPHEN if last.get("SUBS_TYPE") == "HypPart1" else ""
