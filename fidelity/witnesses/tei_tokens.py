"""Part a TEI document into its tags and what stands between them.

Arrives: a well-formed document, in letters. Leaves: ``Tokens``: every tag with the text after it, in
order, and what can be asked of them (where an element ends, which elements stand in it). Start
reading at ``tokens_of``.

A transcription has some hundreds of different tags, each written thousands of times. Read as
strings, each is understood once; a tree of elements would have each understood anew.
"""

from __future__ import annotations

import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field

NEARBY = 100  # tags; an element that needs to be looked into mostly ends within them
DROPPED = "\0"  # stands in place of the tag of an element that is not to be read: no tag is written so
DROPPED_EMPTY = "\0/"

_TAG = re.compile(r"<([^>]*)>")
_TAG_WITH_QUOTES = re.compile(r"""<((?:[^<>"']|"[^"]*"|'[^']*')*)>""")
_NO_ELEMENT = re.compile(  # comments, instructions, the document type, and text that is no markup
    r"<!--.*?-->|<\?.*?\?>|<!DOCTYPE[^\[>]*(?:\[.*?\]\s*)?>|<!\[CDATA\[(.*?)\]\]>", re.DOTALL
)
_ATTRIBUTE = re.compile(r"""([^\s=]+)\s*=\s*(?:"([^"]*)"|'([^']*)')""")
_REFERENCE = re.compile(r"&(?:#x([0-9a-fA-F]+)|#([0-9]+)|(\w+));")
_NAMED = {"amp": "&", "lt": "<", "gt": ">", "quot": '"', "apos": "'"}
_WHITE = str.maketrans("\t\n\r", "   ")  # as XML has it in attributes


@dataclass(frozen=True)
class Tag:
    """A start tag that has been understood.

    Attributes:
        name: as written, its prefix included.
        attributes: their values by their names as written.
        empty: whether it is an element's end as well.
    """

    name: str
    attributes: dict[str, str]
    empty: bool

    @property
    def local_name(self) -> str:
        """The name without its prefix."""
        return self.name.rpartition(":")[2]

    def get(self, name: str, default: str = "") -> str:
        """Give the value of an attribute, "" where it is not there."""
        return self.attributes.get(name, default)


def tag_of(written: str) -> Tag:
    """Understand a start tag.

    >>> tag_of("lb n='3' break=\\"no\\"/")
    Tag(name='lb', attributes={'n': '3', 'break': 'no'}, empty=True)
    """
    name, _, rest = written.rstrip("/ \t\n").replace("\n", " ").replace("\t", " ").partition(" ")
    attributes = {}
    if rest:
        for key, double, single in _ATTRIBUTE.findall(written):
            value = (double or single).translate(_WHITE)
            attributes[key] = without_references(value) if "&" in value else value
    return Tag(name, attributes, written.endswith("/"))


def without_references(text: str) -> str:
    """Put the letters for the references to them that XML knows.

    >>> without_references("a &amp; b &#x3c;")
    'a & b <'
    """
    return _REFERENCE.sub(_referred, text)


def _referred(found: re.Match[str]) -> str:
    hexadecimal, decimal, name = found.groups()
    if name:
        return _NAMED.get(name, found.group())
    return chr(int(hexadecimal, 16) if hexadecimal else int(decimal))


@dataclass
class Tokens:
    """The tags of a document and the texts after them.

    Attributes:
        tags: what stands between < and >, in order; ends begin with "/", empty elements end with it.
        texts: the text after each tag, up to the next.
        letters: the document.
    """

    tags: list[str]
    texts: list[str]
    letters: str
    _partners: array[int] | None = None
    _written_out: dict[int, bool] = field(default_factory=dict)
    _expansions: list[int] | None = None
    _places: array[int] | None = None
    _line_ends: array[int] | None = None

    def end_of(self, at: int) -> int:
        """Give where the element that begins here ends: at its end tag, or here if it is empty."""
        if self._partners is None:
            depth = 0
            for here, tag in enumerate(self.tags[at : at + NEARBY], at):
                depth += -1 if tag[:1] == "/" else int(tag[-1:] != "/")
                if not depth:
                    return here
        return self._partner(at)

    def _partner(self, at: int) -> int:
        """Give the end tag of a start tag and the other way round; all are found at once."""
        if self._partners is None:
            self._partners = array("i", range(len(self.tags)))
            open_tags: list[int] = []
            for here, tag in enumerate(self.tags):
                if tag[:1] == "/":
                    start = open_tags.pop()
                    self._partners[here], self._partners[start] = start, here
                elif tag[-1:] != "/":
                    open_tags.append(here)
        return self._partners[at]

    def children(self, at: int) -> Iterator[int]:
        """Give the elements that stand directly in the one that begins here."""
        if self.tags[at][-1:] == "/":
            return
        here = at + 1
        while self.tags[here][:1] != "/":
            yield here
            here = self.end_of(here) + 1

    def name(self, at: int) -> str:
        """Give the name of the element that begins or ends here, without its prefix."""
        return re.split(r"[\s/]", self.tags[at].removeprefix("/"), maxsplit=1)[0].rpartition(":")[2]

    def drop(self, at: int) -> None:
        """Have an element not be read."""
        self.tags[at] = DROPPED_EMPTY if self.tags[at][-1:] == "/" else DROPPED

    def text_in(self, at: int) -> str:
        """Give all the text inside an element."""
        return without_references("".join(self.texts[at : self.end_of(at)]))

    def is_written_out(self, at: int) -> bool:
        """Tell whether beside an abbreviation sign (am) the letters it stands for are given (ex).

        All signs in one parent are told at once, so that a long parent is gone through once.
        """
        if at not in self._written_out:
            parent = at - 1
            while parent > 0 and (self.tags[parent][:1] == "/" or self.tags[parent][-1:] == "/"):
                parent = self._partner(parent) - 1
            siblings = list(self.children(parent))
            given = any(self.name(each) == "ex" for each in siblings)
            self._written_out |= dict.fromkeys((each for each in siblings if self.name(each) == "am"), given)
        return self._written_out[at]

    def has_ex(self, at: int) -> bool:
        """Tell whether letters written out (ex) stand anywhere in an element."""
        if self._expansions is None:
            starts = (here for here, tag in enumerate(self.tags) if "ex" in tag[:40] and tag[:1] != "/")
            self._expansions = [here for here in starts if self.name(here) == "ex"]
        following = bisect_right(self._expansions, at)
        return following < len(self._expansions) and self._expansions[following] < self.end_of(at)

    def place(self, at: int) -> int:
        """Give the offset of a tag in the document."""
        if self._places is None:
            pattern = re.compile(f"{_NO_ELEMENT.pattern}|{_TAG_WITH_QUOTES.pattern}", re.DOTALL)
            found = pattern.finditer(self.letters)
            self._places = array("q", (each.start() for each in found if each.group()[1] not in "!?"))
        return self._places[at]

    def line(self, at: int) -> int:
        """Give the line of the file that a tag stands in, from 1."""
        if self._line_ends is None:
            self._line_ends = array("q", (each.start() for each in re.finditer("\n", self.letters)))
        return bisect_right(self._line_ends, self.place(at)) + 1


def tokens_of(letters: str) -> Tokens:
    """Part a well-formed document without entities of its own."""
    text = letters
    if "<!" in text or "<?" in text:
        text = _NO_ELEMENT.sub(lambda found: _escaped(found[1] or ""), text)
    parts = _TAG.split(text)
    tags = parts[1::2]
    if any(tag.count('"') % 2 or tag.count("'") % 2 for tag in set(tags)):  # a > in an attribute
        parts = _TAG_WITH_QUOTES.split(text)
        tags = parts[1::2]
    texts = parts[2::2]
    if "&" in text:
        texts = [without_references(each) if "&" in each else each for each in texts]
    return Tokens(tags, texts, letters)


def _escaped(text: str) -> str:
    """Write what is no markup so that it stays none."""
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
