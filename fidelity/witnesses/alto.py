"""Read ALTO: the text of pages, line by line, as a layout program saved it.

Arrives: an ``Xml`` whose root is ``alto``. Leaves: a ``Row`` for each line with text, and from them
the Witness. Start reading at ``read_alto``, then ``rows_of_alto``.

Only what is written is taken (``String``, ``SP``, ``HYP``): no styles, no places on the image, no
guesses at other readings. The lines come in the order that ``alto_order.py`` finds. What stands in
the margins of a page (running titles, leaf numbers) is not read where the page has a print space. A
word broken at a line's end (``HYP``, or ``SUBS_TYPE`` HypPart1) runs on into the next line. The page
is cited by ``PRINTED_IMG_NR``, or else ``PHYSICAL_IMG_NR``; without either by the name of its image if
it is the only one, or else by its place among the pages. (ALTO 4, from memory in part.)
"""

from __future__ import annotations

from itertools import pairwise

from lxml import etree

from fidelity.errors import Fault
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.alto_order import lines_in_order, references_in_order
from fidelity.witnesses.layout_lines import (
    Pages,
    children,
    read_layout,
    row_of,
    text_within,
)
from fidelity.witnesses.plain import LINE_END_MARKS, Row
from fidelity.witnesses.xml_source import Xml, local_name

HYPHEN = "-"  # stands for a word broken at a line's end where the file does not say by what mark


def read_alto(xml: Xml, profile: str = "plain") -> tuple[Witness, tuple[str, ...]]:
    """Read the text of an ALTO document, with the signs of a profile in its lines."""
    return read_layout(xml, profile, rows_of_alto)


def rows_of_alto(xml: Xml, faults: list[Fault], _: list[str]) -> list[Row]:
    """Give the lines of an ALTO document that have text.

    Args:
        xml: the document; its root is ``alto``.
        faults: is added to: strings without content, pages cited alike, a reading order
            that names what is not there.
    """
    rows: list[Row] = []
    written = xml.letters.split("\n")
    pages = Pages(xml, faults, "give each Page its own PRINTED_IMG_NR or PHYSICAL_IMG_NR")
    references = references_in_order(xml, faults)
    for page in xml.root.iter("{*}Page"):
        label = pages.label(page, _name_of(xml, page))
        on_page = 0
        for line in lines_in_order(xml, page, references, faults):
            text = _text_of(xml, line, faults)
            if text:
                on_page += 1
                rows.append(row_of(written, line, text, label, on_page))
    return rows


def _name_of(xml: Xml, page: etree._Element) -> str:
    """Give the number on the page, or that of its image, or the name of the file that a sole page is in."""
    for key in ("PRINTED_IMG_NR", "PHYSICAL_IMG_NR"):
        if number := page.get(key, "").strip():
            return number
    if len(list(xml.root.iter("{*}Page"))) > 1:
        return ""
    names = (text_within(one).strip() for one in xml.root.iter("{*}fileName"))
    return next(filter(None, names), "")


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
