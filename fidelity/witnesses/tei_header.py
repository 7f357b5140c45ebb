"""Read from a TEI header what the transcription refers to: hands, letters that Unicode lacks, siglum.

Arrives: the outermost element. Leaves: a ``TeiHeader``. Start reading at ``header_of``.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lxml import etree

from fidelity.letters import encode
from fidelity.witnesses.folds import known_scripts
from fidelity.witnesses.tei_hands import MAIN_HAND, Hands
from fidelity.witnesses.xml_letters import mapped_letters
from fidelity.witnesses.xml_source import local_name

XML_ID = "{http://www.w3.org/XML/1998/namespace}id"
XML_LANG = "{http://www.w3.org/XML/1998/namespace}lang"
ADDED_HAND = "added"  # of what is added without a word on who added it, as in the Leiden reader
MOST_HANDS = 255  # one byte holds the hand of a letter


@dataclass
class TeiHeader:
    """What a transcription may refer to.

    Attributes:
        hands: the hands that are named, in the header or in the text.
        glyphs: xml:id of a character or glyph -> its letters.
        siglum: the short sign the text is cited by; may be empty.
    """

    hands: Hands = field(default_factory=Hands)
    glyphs: dict[str, str] = field(default_factory=dict)
    siglum: str = ""

    def hand(self, reference: str, *, writes: bool = False) -> int:
        """Give the number of the hand that a reference (#hand2) names; an unknown one is added."""
        name = reference.strip().removeprefix("#")
        hands = self.hands
        if name not in hands.ids:
            if name in hands.names:
                hands.ids[name] = hands.names.index(name)
            else:
                hands.ids[name] = min(len(hands.names), MOST_HANDS)  # more is a fault, told at the end
                hands.names.append(name)
        hands.mentioned.add(name)
        if writes:
            hands.writing.add(hands.ids[name])
        return hands.ids[name]


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
    """Read the hands in their order, the main one before the others, if the header says which it is."""
    notes = list(element.iter("{*}handNote"))
    if not notes:
        return
    main = next((note for note in notes if note.get("scope") in ("sole", "major")), None)
    if main is None:
        main = next((note for note in notes if MAIN_HAND in (note.get("n"), note.get(XML_ID))), None)
    hands = header.hands
    if main is not None:
        notes = [main, *[note for note in notes if note is not main]]
        hands.is_declared, hands.names = True, []
    for note in notes:
        identifier = note.get(XML_ID, "")
        number = min(len(hands.names), MOST_HANDS)
        hands.ids[identifier] = number
        if note.get("scope") == "minor":
            hands.minor.add(number)
        if note.get("script", "") in known_scripts():
            hands.scripts[number] = note.get("script", "")
        hands.names.append(note.get("n") or identifier or f"hand {number + hands.is_declared}")


def _mapped(glyph: etree._Element) -> str:
    """Give the letters that a glyph is mapped to: its own form rather than a normalised one."""
    mappings = [each for each in glyph if local_name(each) == "mapping"]
    texts = [(each.get("type", ""), "".join(each.itertext()).strip()) for each in mappings]
    letters = mapped_letters(texts)
    return letters if any(letters == text for _, text in texts) else encode(letters)  # texts are in letters
