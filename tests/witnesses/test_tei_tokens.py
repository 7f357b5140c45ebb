"""The tags of a document are those that an XML parser finds, each understood as the parser does."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree

from fidelity.errors import DataError
from fidelity.witnesses.tei import read_tei
from fidelity.witnesses.tei_tokens import Tokens, tag_of, tokens_of

NAMES = ("ab", "w", "t:w", "am", "ex", "choice", "hi", "lb", "p", "ns.x-1")
ATTRIBUTES = (
    'n="1"',
    'n="it\'s"',
    'n="a > b"',
    "hand='#a \"b\"'",
    'xml:id = "a.1"',
    'rend=" x\ty\n"',
    'n="&amp;&lt;"',
)
TEXTS = ("a", " ", "\n", "&amp;", "&lt;b&gt;", "&#60;", "e\u0304", '"', "'", "]]&gt;")
NO_ELEMENTS = ("<!-- a < b > -->", "<?page 3 > 2?>", "<![CDATA[a<b>&c]]>")


def document(seed: int) -> str:
    """Give some well-formed document, with whatever XML allows between its tags."""
    rng = random.Random(seed)

    def element(depth: int) -> str:
        name = rng.choice(NAMES)
        attributes = "".join(f" {each}" for each in rng.sample(ATTRIBUTES, rng.choice((0, 0, 1, 2))))
        attributes = attributes if attributes.count(" n=") < 2 else ""
        if rng.random() < 0.2:
            return f"<{name}{attributes}{rng.choice(('', ' '))}/>"
        inside = "".join(piece(depth + 1) for _ in range(rng.randrange(5) if depth < 6 else 0))
        return f"<{name}{attributes}>{inside}</{name}>"

    def piece(depth: int) -> str:
        return element(depth) if rng.random() < 0.6 else rng.choice(TEXTS + NO_ELEMENTS)

    inside = "".join(element(1) for _ in range(rng.randint(1, 6)))
    return f'<!DOCTYPE t [ <!ELEMENT t ANY> ]>\n<t xmlns:t="urn:t">{inside}</t>'


def starts(tokens: Tokens) -> list[int]:
    return [at for at, tag in enumerate(tokens.tags) if tag[0] != "/"]


@given(st.integers(0, 10**9))
@settings(max_examples=300, deadline=None)
def test_tags_and_texts_are_those_of_the_parser(seed: int) -> None:
    """Names, attributes, texts, children and ends agree with what lxml makes of the same document."""
    letters = document(seed)
    tokens = tokens_of(letters)
    elements = list(etree.fromstring(letters, etree.XMLParser(collect_ids=False)).iter(etree.Element))
    begins = starts(tokens)
    assert [tokens.name(at) for at in begins] == [etree.QName(each).localname for each in elements]
    number = {at: which for which, at in enumerate(begins)}
    for at, element in zip(begins, elements, strict=True):
        attributes = {
            name.replace("{http://www.w3.org/XML/1998/namespace}", "xml:"): value
            for name, value in element.items()
        }
        read = {
            name: value for name, value in tag_of(tokens.tags[at]).attributes.items() if name[:5] != "xmlns"
        }
        assert read == attributes
        assert tokens.text_in(at) == "".join(element.itertext(etree.Element))
        children = [elements[number[child]] for child in tokens.children(at)]
        assert children == list(element.iterchildren(etree.Element))
        assert letters.startswith("<" + tokens.tags[at], tokens.place(at))
        assert tokens.has_ex(at) == (element.find(".//ex") is not None)
        parent = element.getparent()
        if etree.QName(element).localname == "am" and parent is not None:
            assert tokens.is_written_out(at) == (parent.find("{*}ex") is not None)


@pytest.mark.parametrize("size", [1, 300])
def test_an_element_ends_at_its_own_end_however_far(size: int) -> None:
    """An end is found both near and far, and both ways agree."""
    tokens = tokens_of("<a>" + "<b>x</b>" * size + "</a>")
    assert tokens.end_of(0) == len(tokens.tags) - 1 and tokens.end_of(1) == 2
    assert len(list(tokens.children(0))) == size


SPANS = "<ab>{}<anchor xml:id='e'/>n</ab>"


@pytest.mark.parametrize(
    ("begin", "states", "hands"),
    [
        ("<delSpan spanTo='#e'/>st<unclear>a</unclear>", [5, 5, 5, 0], []),
        ("<damageSpan spanTo='#e'/>st<supplied>a</supplied>", [1, 1, 2, 0], []),
        ("<addSpan spanTo='#e' hand='#x'/>sta", [], [1, 1, 1, 0]),
        ("<addSpan spanTo='#e'/>s<handShift new='#y'/>ta", [], [1, 1, 1, 0]),  # y writes all the rest
        ("<unclear>s<delSpan spanTo='#e'/>t</unclear>a", [1, 5, 5, 0], []),
    ],
)
def test_a_stretch_that_elements_cross_has_its_state(begin: str, states: list[int], hands: list[int]) -> None:
    """What is deleted, damaged or added from one point to another is so in all that lies between."""
    witness, _ = read_tei(SPANS.format(begin))
    assert (witness.letters, list(witness.states), list(witness.hands)) == ("stan", states, hands)


def test_a_stretch_goes_on_over_blocks_and_pages() -> None:
    """A deleted stretch may begin in one paragraph and end in another."""
    text = "<text><p>a<delSpan spanTo='#e'/>b</p><pb n='2r'/><p>c</p><p>d<lb xml:id='e' n='7'/>e</p></text>"
    witness, _ = read_tei(text)
    assert witness.letters == "ab c d e" and witness.labels == ("1", "2r:1", "2r:2", "2r:7")
    assert list(witness.states) == [0, 5, 0, 5, 0, 5, 0, 0]


def test_a_stretch_without_an_end_is_a_fault() -> None:
    """A stretch that nothing ends would falsify all that follows: it is refused, with its place."""
    with pytest.raises(DataError, match="no 'e' comes after it") as caught:
        read_tei("<ab>\nst <anchor xml:id='e'/><delSpan spanTo='#e'/>an</ab>")
    (fault,) = caught.value.faults
    assert (fault.line, fault.column) == (2, 24)


def test_faults_and_unknown_elements_beyond_number_are_told_in_short() -> None:
    """A thousand faults take no longer to tell than a few, and are told of in a list one can read."""
    with pytest.raises(DataError) as caught:
        read_tei("<ab>" + "<gap quantity='x' unit='chars'/>" * 1000 + "</ab>")
    assert len(caught.value.faults) < 100
    witness, notes = read_tei("<ab>" + "".join(f"<x{n}>a</x{n}>\n" for n in range(2000)) + "</ab>")
    assert len(notes) == 2000 and notes[-1].startswith("unknown element <x1999>, first in line 2000")
    assert witness.letters.replace(" ", "") == "a" * 2000
