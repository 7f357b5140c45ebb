"""Find the order in which the lines of an ALTO page are read.

Arrives: a page of an ALTO document, and what the document's reading order names. Leaves: the lines of
the page. Start reading at ``lines_in_order``.

What the ``ReadingOrder`` names comes first, as it names it (ALTO 4.3: ``OrderedGroup`` and
``UnorderedGroup`` of ``ElementRef`` with a ``REF``); then the other blocks, each followed by the one
that its ``IDNEXT`` names (earlier versions); all else as it stands in the file. To name what is not
there is a fault: part of the text may be missing, or all of it in the wrong order. (From memory.)
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from lxml import etree

from fidelity.errors import Fault
from fidelity.letters import decode
from fidelity.witnesses.layout_lines import children
from fidelity.witnesses.xml_source import Xml

_MEND = "name an element of this document, or take the reference away"


def references_in_order(xml: Xml, faults: list[Fault]) -> list[str]:
    """Give the IDs that the reading order of a document names, in order.

    Args:
        xml: the document.
        faults: is added to: IDs that are not there.
    """
    references = [one for order in xml.root.iter("{*}ReadingOrder") for one in order.iter("{*}ElementRef")]
    if not references:
        return []
    there = {one.get("ID") for one in xml.root.iter("{*}*")} - {None}
    for one in references:
        name = one.get("REF", "").strip()
        if name not in there:
            what = f"the reading order names {decode(name)!r}, which is not there"
            faults.append(xml.fault(one, what, _MEND))
    return [one.get("REF", "").strip() for one in references]


def lines_in_order(
    xml: Xml, page: etree._Element, references: Sequence[str], faults: list[Fault]
) -> Iterator[etree._Element]:
    """Give the lines of the print space, or of the whole page where it has none, in reading order.

    Args:
        xml: the document.
        page: one of its pages.
        references: the IDs that its reading order names.
        faults: is added to: blocks whose next block is not there.
    """
    spaces = list(children(page, "PrintSpace")) or [page]
    standing = dict.fromkeys(line for space in spaces for line in space.iter("{*}TextLine"))
    by_id = {one.get("ID", ""): one for one in page.iter("{*}*") if one.get("ID")}
    found: dict[etree._Element, None] = {}
    for name in references:
        if name in by_id:
            found.update(dict.fromkeys(line for line in _lines_of(by_id[name]) if line in standing))
    for block in _by_next(xml, spaces, by_id, faults):
        found.update(dict.fromkeys(block.iter("{*}TextLine")))
    yield from (found | standing)


def _lines_of(element: etree._Element) -> Iterator[etree._Element]:
    """Give the lines in an element, or the line that it stands in."""
    within = list(element.iter("{*}TextLine"))
    return iter(within) if within else element.iterancestors("{*}TextLine")


def _by_next(
    xml: Xml, spaces: Sequence[etree._Element], by_id: Mapping[str, etree._Element], faults: list[Fault]
) -> Iterator[etree._Element]:
    """Give the blocks of a page in the order in which each names the next."""
    blocks = dict.fromkeys(block for space in spaces for block in space.iter("{*}TextBlock"))
    following = _following(xml, spaces, by_id, faults)
    named = set(following.values())
    found: set[etree._Element] = set()
    for first in [*(block for block in blocks if block not in named), *blocks]:  # the latter: in a circle
        block: etree._Element | None = first
        while block in blocks and block not in found:
            yield block
            found.add(block)
            block = following.get(block)


def _following(
    xml: Xml, spaces: Sequence[etree._Element], by_id: Mapping[str, etree._Element], faults: list[Fault]
) -> dict[etree._Element, etree._Element]:
    """Give for each block that names another the block that is read next."""
    following: dict[etree._Element, etree._Element] = {}
    naming = [one for space in spaces for one in space.iter("{*}TextBlock", "{*}ComposedBlock")]
    naming = [one for one in naming if one.get("IDNEXT", "").strip()]
    there = {one.get("ID") for one in xml.root.iter("{*}*")} if naming else set()
    for one in naming:
        name = one.get("IDNEXT", "").strip()
        if name not in there:
            what = f"the next block is to be {decode(name)!r}, which is not there"
            faults.append(xml.fault(one, what, _MEND))
        elif name in by_id:  # else it begins another page, and is read there
            last = [one, *one.iter("{*}TextBlock")][-1]
            following.setdefault(last, next(by_id[name].iter("{*}TextBlock"), by_id[name]))
    return following
