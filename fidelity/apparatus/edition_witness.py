"""Have a witness back from the edition file, letter for letter and line for line.

Arrives: the edition file, the id of a text and a siglum. Leaves: the ``Witness``, as it was before it was set
beside the others. Start reading at ``witness_of``.

What other witnesses have is taken out of the text; what is left is read as any TEI transcription is.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

from lxml import etree

from fidelity.apparatus.tei_letters import SOFT_HYPHEN
from fidelity.errors import DataError
from fidelity.letters import encode
from fidelity.terms import Mark, MarkKind, Witness
from fidelity.witnesses.taken_out import as_written
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_header import XML_ID, XML_LANG
from fidelity.witnesses.tei_lines import NO_MARK
from fidelity.witnesses.xml_source import local_name

_BEGINS, _ENDS = ("witStart", "lacunaEnd"), ("witEnd", "lacunaStart")
_FIRST_PRIVATE, _LAST_PRIVATE = (
    0xE000,
    0xF8FF,
)  # Unicode's private letters: one stands for a mark while reading
_DOCUMENT = (
    '<TEI xmlns="http://www.tei-c.org/ns/1.0"><teiHeader><profileDesc><handNotes>{hands}</handNotes>'
    "</profileDesc></teiHeader><text><body><ab>{text}</ab></body></text></TEI>"
)


def witness_of(apparatus: Path | str, text: str, siglum: str, *, with_signs: bool = False) -> Witness:
    """Give one witness of a lost text as the edition file has it.

    Args:
        apparatus: the file (a Path), or what is in it.
        text: id of the lost text.
        siglum: of the witness.
        with_signs: whether the copyist's own signs stand in their places, as he wrote them; else the letters
            alone, lost ones where he could read none.

    Raises:
        DataError: the file has no such text or witness.
    """
    source = apparatus.read_bytes() if isinstance(apparatus, Path) else apparatus.encode()
    root = etree.fromstring(source, etree.XMLParser(resolve_entities=False, no_network=True, huge_tree=True))
    of_text = next((one for one in root.iter("{*}text") if one.get("n") == text), None)
    if of_text is None:
        raise DataError(f"the edition has no text {text}", remedy="name one of its texts")
    lists = (one for one in root.iter("{*}listWit") if one.get("corresp") == f"#{of_text.get(XML_ID)}")
    witnesses = [one for each in lists for one in each.iter("{*}witness")]
    about = next((one for one in witnesses if one.get("n") == siglum), None)
    if about is None:
        raise DataError(f"{text} has no witness {siglum}", remedy="name one of those in its listWit")
    name = about.get(XML_ID, "")
    hands = [one for one in root.iter("{*}handNote") if one.get("corresp") == f"#{name}"]
    own = _Own(f"#{name}", about is witnesses[0], _free_letter(source.decode()) if with_signs else "")
    own.is_extant = not _begins_later(of_text, own.name)
    (body,) = of_text.iter("{*}ab")
    letters = "".join(own.inside(body))
    read, _ = read_tei(_DOCUMENT.format(hands="".join(map(_hand, hands)), text=letters))
    language = of_text.get(XML_LANG, "") if own.is_main else _told(about, "term", "language")
    fields = tuple(one.text or "" for one in about.iterfind("{*}list[@type='fields']/{*}item"))
    found = replace(read, siglum=siglum, language=language, fields=fields)
    return _with_signs(found, own) if own.sign else found


def _hand(note: etree._Element) -> str:
    """Give a hand as a transcription declares it."""
    kept = {
        "xml:id": note.get(XML_ID),
        "n": note.get("n"),
        "scope": note.get("scope"),
        "script": note.get("script"),
    }
    return f"<handNote {' '.join(f'{name}={quoteattr(value)}' for name, value in kept.items() if value)}/>"


def _told(about: etree._Element, element: str, kind: str) -> str:
    found = about.find(f"{{*}}{element}[@type='{kind}']")
    return "" if found is None else found.text or ""


def _free_letter(text: str) -> str:
    """Give a private letter that the file has not."""
    there = set(text)
    return next(chr(one) for one in range(_FIRST_PRIVATE, _LAST_PRIVATE) if chr(one) not in there)


def _begins_later(text: etree._Element, name: str) -> bool:
    """Tell whether a witness begins only after the beginning of the text."""
    for one in text.iter("{*}witStart"):
        reading = one.getparent()
        if reading is not None and name in (reading.get("wit") or "").split():
            return True
    return False


@dataclass
class _Own:
    """What one witness has of the text.

    Attributes:
        name: reference to it.
        is_main: whether it is the copy, to which lines belong that name no witness.
        sign: the letter that stands for a mark of the copyist's; "" where marks are left out.
        is_extant: whether it is extant at the place reached.
        marks: how many letters stand in the place of each mark, and what was taken out there.
    """

    name: str
    is_main: bool
    sign: str = ""
    is_extant: bool = True
    marks: list[tuple[MarkKind, int, str]] = field(default_factory=list)

    def inside(self, element: etree._Element) -> Iterator[str]:
        """Give what the witness has inside an element, as TEI."""
        if self.is_extant:
            yield escape(element.text or "")
        for child in element:
            yield from self._one(child, local_name(child))
            if self.is_extant:
                yield escape(child.tail or "")

    def _one(self, element: etree._Element, name: str) -> Iterator[str]:
        """Give what the witness has of one element."""
        if name == "app":
            for reading in element:
                if self.name in (reading.get("wit") or "").split():
                    yield from self.inside(reading)
        elif name in _BEGINS:
            self.is_extant = True
        elif name in _ENDS:
            self.is_extant = False
        elif name in ("lb", "pb"):
            edition = element.get("edRef")
            if edition == self.name or (edition is None and self.is_main):
                yield _beginning(element, name)
        elif name == "metamark":
            if self.sign and element.get("source") == self.name:
                taken = encode("".join(_letters_in(element)))
                self.marks.append((MarkKind(element.get("function", "")), int(element.get("n", "0")), taken))
                yield self.sign
        elif self.is_extant:
            yield etree.tostring(element, encoding="unicode", with_tail=False)


def _beginning(element: etree._Element, name: str) -> str:
    """Give a line's beginning, after the mark with which the line before ended."""
    mark = element.get("rend", "")
    kept = {key: element.get(key) for key in ("n", "type", "break")}
    about = "".join(f" {key}={quoteattr(value)}" for key, value in kept.items() if value is not None)
    return f"{escape(NO_MARK if mark == SOFT_HYPHEN else mark)}<{name}{about}/>"


def _letters_in(element: etree._Element) -> Iterator[str]:
    """Give the letters in a mark, its blanks written out."""
    yield element.text or ""
    for child in element:
        yield ("\t" if child.get("unit") == "tab" else " ") * int(child.get("quantity", "1"))
        yield child.tail or ""


def _with_signs(read: Witness, own: _Own) -> Witness:
    """Put the copyist's signs where he wrote them, in place of the letters that stand for them."""
    marks, offsets = [], [at for at, letter in enumerate(read.letters) if letter == own.sign]
    for number, (at, (kind, size, taken)) in enumerate(zip(offsets, own.marks, strict=True)):
        start = at - number
        line = read.line_of(at)
        marks.append(Mark(kind, start, start + size, taken, start, start + size, taken, line=line))
    keep = [at for at in range(len(read)) if read.letters[at] != own.sign]
    without = replace(
        read,
        letters="".join(read.letters[at] for at in keep),
        lines=tuple(start - sum(at < start for at in offsets) for start in read.lines),
        states=bytes(read.states[at] for at in keep) if read.states else b"",
        hands=bytes(read.hands[at] for at in keep) if read.hands else b"",
        marks=tuple(marks),
    )
    return as_written(without)
