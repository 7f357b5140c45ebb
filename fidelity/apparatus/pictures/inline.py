"""Fit a drawing into the page: its colours and letters become the page's, and it can be heard.

Arrives: SVG as matplotlib writes it, with text as text. Leaves: an ``<svg>`` element that loads nothing,
says nothing to the rest of the page, and names itself by a title and a description. Start reading at
``fitted_in``.
"""

from __future__ import annotations

import re

from lxml import etree
from markupsafe import Markup

from fidelity.apparatus.pictures.sheet import SCREEN

SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
GROWS = 1.25  # times its drawn size: on a wide screen a picture is not to shout
INKS = {  # colours of the drawing, and those of the page in their stead
    SCREEN.ink: "var(--ink)",
    SCREEN.soft: "var(--soft)",
    SCREEN.line: "var(--line)",
    SCREEN.paper: "var(--paper)",
}
_INK = re.compile("|".join(INKS))
_LONG_NUMBER = re.compile(r"-?\d+\.\d{3,}")
_OWN_FONT = re.compile(r"(?:font(?:-family|-size)?): ?[^;]*;? ?")
_FONT_SIZE = re.compile(r"font(?:-size)?: ?(?:\d{3} )?([\d.]+)px")
_MEASURED = ("d", "x", "y", "transform", "style")  # attributes that hold numbers drawn to millionths
_KEPT_NAMES = frozenset(("path", "pattern", "clipPath"))  # elements that others point to


def fitted_in(svg: bytes, name: str, title: str, description: str) -> Markup:
    """Give a drawing as an element of the page.

    Args:
        svg: as matplotlib wrote it.
        name: of the picture; no other of the page has it.
        title: what the picture is.
        description: what it shows, for those who hear the page.
    """
    parser = etree.XMLParser(resolve_entities=False, no_network=True, remove_comments=True)
    root = etree.fromstring(svg, parser)
    for element in (*root.iter(f"{SVG}metadata"), *root.iter(f"{SVG}style")):
        parent = element.getparent()
        if parent is not None:
            parent.remove(element)  # a style here would hold for the whole page
    for element in root.iter():
        _as_the_page_has_it(element, name)
    width = float(root.attrib["viewBox"].split()[2])
    for attribute in list(root.attrib):
        if attribute != "viewBox":
            del root.attrib[attribute]
    _can_be_heard(root, name, title, description)
    root.set("class", "picture")
    least = f" min-width: {width:.0f}px;" if width > SCREEN.width + 1 else ""
    root.set("style", f"max-width: {width * GROWS:.0f}px;{least}")
    etree.cleanup_namespaces(root)
    text = etree.tostring(root, encoding="unicode").replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)
    return Markup(text)  # noqa: S704 -- an element tree written out: every letter of the texts is escaped


def _as_the_page_has_it(element: etree._Element, name: str) -> None:
    """Give an element the page's colours, short numbers, and names that no other picture has."""
    tag = etree.QName(element).localname
    for attribute in _MEASURED:
        if attribute in element.attrib:
            element.set(attribute, _LONG_NUMBER.sub(_shorter, element.attrib[attribute]))
    for attribute, value in list(element.attrib.items()):
        if attribute == LINK:
            del element.attrib[attribute]
            element.set("href", f"#{name}-{value.removeprefix('#')}")
        elif "url(#" in value:
            element.set(attribute, value.replace("url(#", f"url(#{name}-"))
    if "id" in element.attrib:
        known = element.attrib.pop("id")
        if tag in _KEPT_NAMES:
            element.set("id", f"{name}-{known}")
    if "style" in element.attrib:
        style = element.attrib["style"]
        size = _FONT_SIZE.search(style) if tag == "text" else None
        style = _OWN_FONT.sub("", style) if tag == "text" else style
        style = f"font-size: {size[1]}px; {style}" if size else style
        element.set("style", _INK.sub(lambda ink: INKS[ink[0]], style).strip())


def _shorter(number: re.Match[str]) -> str:
    """Give a number to hundredths of a point.

    >>> _LONG_NUMBER.sub(_shorter, "M 12.345678 -0.000001")
    'M 12.35 0'
    """
    short = f"{float(number[0]):.2f}".rstrip("0").rstrip(".")
    return "0" if short == "-0" else short


def _can_be_heard(root: etree._Element, name: str, title: str, description: str) -> None:
    """Put title and description first, and name the picture by them."""
    for at, (tag, text) in enumerate((("title", title), ("desc", description))):
        told = etree.Element(f"{SVG}{tag}")
        told.set("id", f"{name}-{tag}")
        told.text = text
        root.insert(at, told)
    root.set("role", "img")
    root.set("aria-labelledby", f"{name}-title {name}-desc")
