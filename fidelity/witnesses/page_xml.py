"""Read PAGE XML: the text of a page, line by line, as a layout program or a transcriber saved it.

Arrives: an ``Xml`` whose root is ``PcGts``. Leaves: a ``Row`` for each line that has text, and from
them the Witness. Start reading at ``read_page_xml``, then ``rows_of_page_xml``.

Only the text of lines is taken: no words, glyphs, styles or places on the image. The regions come
in the order that ``ReadingOrder`` gives, those it does not name after them, as they stand. Of
several texts of a line the one with the lowest ``index`` counts, or else the first. The page is
cited by the name of its image without the ending ("12r" for ``scans/12r.tif``). Any namespace will
do, for the format has one for each year. (The format as of 2019-07-15; from memory.)
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import PurePosixPath
from typing import Any, cast

from lxml import etree

from fidelity.errors import DataError, Fault
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.leiden import LEIDEN_PROFILES, understand_signs
from fidelity.witnesses.plain import Line, Row, witness_of
from fidelity.witnesses.source_text import MOST_FAULTS
from fidelity.witnesses.xml_source import Xml, local_name

_NOT_IN_A_LABEL = re.compile(r"[\s\[\]:]+")  # what a page mark cannot hold, and the colon before the line
_UNNAMED = "1"  # a page that does not say which it is


def read_page_xml(xml: Xml, profile: str = "plain") -> tuple[Witness, tuple[str, ...]]:
    """Read the text of a PAGE document; there is nothing to tell of how it was taken.

    Args:
        xml: the document; its root is ``PcGts``.
        profile: which editorial signs stand in its lines: "plain", or a Leiden profile.

    Raises:
        DataError: see ``rows_of_page_xml``; or there is no line with text.
    """
    faults: list[Fault] = []
    return witness_of_xml_rows(rows_of_page_xml(xml, faults), xml, profile, faults), ()


def rows_of_page_xml(xml: Xml, faults: list[Fault]) -> list[Row]:
    """Give the lines of a PAGE document that have text, in reading order.

    Args:
        xml: the document; its root is ``PcGts``.
        faults: is added to: text that stands only in words or only in a region, references to
            regions that are not there, indices that are no numbers.
    """
    rows: list[Row] = []
    written = xml.letters.split("\n")
    for page in children(xml.root, "Page"):
        label = page_label(page.get("imageFilename", ""))
        on_page = 0
        for region in _regions(xml, page, faults):
            for line, text in _texts(xml, region, faults):
                on_page += 1
                rows.append(row_of(written, line, text, label, on_page))
    return rows


def witness_of_xml_rows(rows: list[Row], xml: Xml, profile: str, faults: list[Fault]) -> Witness:
    """Make a Witness of lines, or raise with every fault found in them.

    Raises:
        DataError: there is any fault, or no line.
    """
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
    return replace(witness_of(lines, rows), file=str(xml.file or ""))


def page_label(image: str) -> str:
    """Make of an image's name the label by which its page is cited.

    >>> page_label("scans/Hallowmere 12r.tif"), page_label("")
    ('Hallowmere_12r', '1')
    """
    stem = PurePosixPath(decode(image).replace("\\", "/").strip()).stem
    return _NOT_IN_A_LABEL.sub("_", stem).strip("_") or _UNNAMED


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


def _regions(xml: Xml, page: etree._Element, faults: list[Fault]) -> list[etree._Element]:
    """Give the text regions of a page in reading order."""
    standing = [one for one in page.iter("{*}TextRegion") if _on_page(one, page)]
    by_id = {one.get("id", ""): one for one in standing}
    others = {one.get("id", "") for one in page.iter("{*}*")} - by_id.keys()
    found: dict[etree._Element, None] = {}
    for order in children(page, "ReadingOrder"):
        for reference in _in_order(xml, order, faults):
            name = reference.get("regionRef", "")
            if name in by_id:
                found[by_id[name]] = None
            elif name not in others or not name:
                what = f"there is no region {decode(name)!r}"
                faults.append(xml.fault(reference, what, "name a region of this page"))
    return [*found, *(one for one in standing if one not in found)]


def _on_page(region: etree._Element, page: etree._Element) -> bool:
    """Tell whether a region is the page's own or stands in other regions of it."""
    return any(parent is page for parent in region.iterancestors())


def _in_order(xml: Xml, group: etree._Element, faults: list[Fault]) -> Iterator[etree._Element]:
    """Give the references to regions in a group and the groups in it, by index where they have one."""
    stack = [group]
    while stack:
        one = stack.pop()
        if local_name(one).startswith("RegionRef"):
            yield one
            continue
        inner = [each for each in one if "Group" in local_name(each) or "RegionRef" in local_name(each)]
        stack += reversed(_by_index(xml, inner, faults))
        if one.get("regionRef") and inner:  # a group may itself stand for the region around it
            yield one


def _by_index(xml: Xml, elements: list[etree._Element], faults: list[Fault]) -> list[etree._Element]:
    """Put elements in the order of their indices; those without one come last, as they stand."""
    keyed = []
    for at, element in enumerate(elements):
        written = element.get("index")
        if written is not None and not re.fullmatch(r"\s*[+-]?[0-9]{1,9}\s*", written):
            faults.append(xml.fault(element, f"the index {decode(written)!r} is no number", "give a number"))
            written = None
        keyed.append((written is None, int(written or 0), at, element))
    return [element for *_, element in sorted(keyed, key=lambda one: one[:3])]


def _texts(xml: Xml, region: etree._Element, faults: list[Fault]) -> Iterator[tuple[etree._Element, str]]:
    """Give the lines of a region that have text, each with its text."""
    lines = list(children(region, "TextLine"))
    if not lines and not list(children(region, "TextRegion")) and _text_of(xml, region, faults):
        remedy = "part its text into lines, as they stand in the manuscript"
        faults.append(xml.fault(region, "this region has text but no lines", remedy))
    for line in _by_index(xml, lines, faults):
        text = _text_of(xml, line, faults)
        if text:
            yield line, text
        elif any(_text_of(xml, word, faults) for word in children(line, "Word")):
            remedy = "save it with the text of each line (a TextEquiv of the TextLine)"
            faults.append(xml.fault(line, "the text of this line stands in its words only", remedy))


def _text_of(xml: Xml, element: etree._Element, faults: list[Fault]) -> str:
    """Give an element's own text: that with the lowest index, or the first; "" where there is none."""
    versions = list(children(element, "TextEquiv"))
    for version in _by_index(xml, versions, faults)[:1]:
        for unicode in children(version, "Unicode"):
            return " ".join(text_within(unicode).split())
    return ""
