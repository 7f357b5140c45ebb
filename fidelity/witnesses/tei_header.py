"""Read from a TEI header what the transcription refers to: hands, letters that Unicode lacks, siglum.

Arrives: the outermost element. Leaves: a ``TeiHeader``. Start reading at ``header_of``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from lxml import etree

from fidelity.letters import encode
from fidelity.witnesses.folds import known_scripts
from fidelity.witnesses.xml_source import local_name

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
MAIN_HAND = "main"
ADDED_HAND = "added"  # of what is added without a word on who added it, as in the Leiden reader
MOST_HANDS = 255  # one byte holds the hand of a letter

_CODE_POINT = re.compile(r"U\+([0-9A-Fa-f]{4,6})")
_NORMALISED = frozenset({"standardized", "standardised", "normalized", "normalised", "standard"})


@dataclass
class TeiHeader:
    """What a transcription may refer to.

    Attributes:
        hand_names: the hands; the first is the main hand.
        hand_of: xml:id of a hand -> index into ``hand_names``.
        glyphs: xml:id of a character or glyph -> its letters.
        siglum: the short sign the text is cited by; may be empty.
        script: the script of the main hand, if it is one that the tables know.
    """

    hand_names: list[str] = field(default_factory=lambda: [MAIN_HAND])
    hand_of: dict[str, int] = field(default_factory=dict)
    glyphs: dict[str, str] = field(default_factory=dict)
    siglum: str = ""
    script: str = ""

    def hand(self, reference: str) -> int:
        """Give the index of the hand that a reference (#hand2) names; an unknown one is added."""
        name = reference.strip().removeprefix("#")
        if name not in self.hand_of:
            if name in self.hand_names:
                self.hand_of[name] = self.hand_names.index(name)
            else:
                self.hand_of[name] = min(len(self.hand_names), MOST_HANDS)  # more is a fault, told at the end
                self.hand_names.append(name)
        return self.hand_of[name]


def header_of(root: etree._Element) -> TeiHeader:
    """Read hands, glyphs, siglum and script from the header; all may be wanting."""
    header = TeiHeader()
    element = root.find("{*}teiHeader")
    if element is None:
        return header
    _read_hands(element, header)
    for glyph in element.iter("{*}char", "{*}glyph"):
        if letters := _mapped(glyph):
            header.glyphs[glyph.get(XML_ID, "")] = letters
    for number in element.iter("{*}idno"):
        if number.get("type") == "siglum":
            header.siglum = (number.text or "").strip()
    return header


def _read_hands(element: etree._Element, header: TeiHeader) -> None:
    """Read the hands in their order, the main one (scope "sole" or "major") before the others."""
    notes = list(element.iter("{*}handNote"))
    if not notes:
        return
    main = next((note for note in notes if note.get("scope") in ("sole", "major")), notes[0])
    ordered = [main, *[note for note in notes if note is not main]]
    header.hand_names = []
    for note in ordered:
        identifier = note.get(XML_ID, "")
        header.hand_of[identifier] = min(len(header.hand_names), MOST_HANDS)
        header.hand_names.append(note.get("n") or identifier or f"hand {len(header.hand_names) + 1}")
    script = main.get("script", "")
    header.script = script if script in known_scripts() else ""


def _mapped(glyph: etree._Element) -> str:
    """Give the letters that a glyph is mapped to: its own form rather than a normalised one."""
    mappings = [each for each in glyph if local_name(each) == "mapping"]
    texts = [(each.get("type", ""), "".join(each.itertext()).strip()) for each in mappings]
    texts.sort(key=lambda pair: pair[0].lower() in _NORMALISED)
    for _, text in texts:
        written = _CODE_POINT.fullmatch(text)
        if written and int(written[1], 16) <= 0x10FFFF:
            return encode(chr(int(written[1], 16)))
        if text:
            return text
    return ""
