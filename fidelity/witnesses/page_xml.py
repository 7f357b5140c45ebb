"""Read PAGE XML: the text of a page, line by line, as a layout program or a transcriber saved it.

Arrives: an ``Xml`` whose root is ``PcGts``. Leaves: a ``Row`` for each line that has text, and from
them the Witness. Start reading at ``read_page_xml``, then ``rows_of_page_xml``.

Only the text of lines is taken: no words, glyphs, styles or places on the image. The regions come
in the order that ``ReadingOrder`` gives, those it does not name after them, as they stand; without
it, in that of their own indices (custom="readingOrder {index:0;}"), as lines do. Regions of the types
``LEFT_OUT`` (page numbers, running titles, catchwords) are no part of the text. Of
several texts of a line the one with the lowest ``index`` counts, or else the first. The page is
cited by the name of its image without the ending ("12r" for ``scans/12r.tif``). Any namespace will
do, for the format has one for each year. (The format as of 2019-07-15; from memory.)
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from lxml import etree

from fidelity.errors import Fault
from fidelity.letters import decode
from fidelity.terms import Witness
from fidelity.witnesses.layout_lines import Pages, children, read_layout, row_of, text_within
from fidelity.witnesses.plain import Row
from fidelity.witnesses.xml_source import Xml, local_name

LEFT_OUT = frozenset({"page-number", "header", "footer", "catch-word", "signature-mark"})  # types of regions

_CUSTOM_INDEX = re.compile(r"\breadingOrder\s*+\{[^}]{0,200}?\bindex\s*+:\s*+(\d{1,9})\s*+;?")


def read_page_xml(xml: Xml, profile: str = "plain") -> tuple[Witness, tuple[str, ...]]:
    """Read the text of a PAGE document, with the signs of a profile in its lines."""
    return read_layout(xml, profile, rows_of_page_xml)


def rows_of_page_xml(xml: Xml, faults: list[Fault], notes: list[str]) -> list[Row]:
    """Give the lines of a PAGE document that have text, in reading order.

    Args:
        xml: the document; its root is ``PcGts``.
        faults: is added to: text that stands only in words or only in a region, references to
            regions that are not there, indices that are no numbers, pages cited alike.
        notes: is added to: how many regions were left out that are no part of the text.
    """
    left_out: Counter[str] = Counter()
    pages = Pages(xml, faults, "give each Page an image of its own (imageFilename)")
    rows: list[Row] = []
    written = xml.letters.split("\n")
    for page in children(xml.root, "Page"):
        label = pages.label(page, page.get("imageFilename", ""))
        on_page = 0
        for region in _regions(xml, page, faults):
            if kind := _no_part_of_the_text(region):
                left_out[kind] += 1
                continue
            for line, text in _texts(xml, region, faults):
                on_page += 1
                rows.append(row_of(written, line, text, label, on_page))
    notes += [
        f"{kind} left out ({times} times)" if times > 1 else f"{kind} left out"
        for kind, times in left_out.items()
    ]
    return rows


def _no_part_of_the_text(region: etree._Element) -> str:
    """Give the type of a region, or of one that it stands in, that is left out as a fw of TEI is; else ""."""
    around = (one.get("type", "") for one in (region, *region.iterancestors()))
    return next((kind for kind in around if kind in LEFT_OUT), "")


def _regions(xml: Xml, page: etree._Element, faults: list[Fault]) -> list[etree._Element]:
    """Give the text regions of a page in reading order."""
    standing = [one for one in page.iter("{*}TextRegion") if _on_page(one, page)]
    by_id = {one.get("id", ""): one for one in standing}
    others = {one.get("id", "") for one in page.iter("{*}*")} - by_id.keys()
    found: dict[etree._Element, None] = {}
    if next(children(page, "ReadingOrder"), None) is None:
        standing = _as_custom_says(xml, page, faults)
    for order in children(page, "ReadingOrder"):
        for reference in _in_order(xml, order, faults):
            name = reference.get("regionRef", "")
            if name in by_id:
                found[by_id[name]] = None
            elif name not in others or not name:
                what = f"there is no region {decode(name)!r}"
                faults.append(xml.fault(reference, what, "name a region of this page"))
    return [*found, *(one for one in standing if one not in found)]


def _as_custom_says(xml: Xml, page: etree._Element, faults: list[Fault]) -> list[etree._Element]:
    """Give the text regions in the order of their own indices (@custom), each followed by those in it."""
    regions: list[etree._Element] = []
    stack = [page]
    while stack:
        one = stack.pop()
        if local_name(one) == "TextRegion":
            regions.append(one)
        inner = [each for each in one if "Region" in local_name(each) and len(each)]
        stack += reversed(_by_index(xml, inner, faults))
    return regions


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
    """Put elements in the order of their indices; those without one come last, as they stand.

    The index is @index, or for regions and lines readingOrder {index:0;} in @custom (from memory).
    """
    keyed = []
    for at, element in enumerate(elements):
        written = element.get("index")
        if written is None and (custom := _CUSTOM_INDEX.search(element.get("custom", ""))):
            written = custom[1]
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
